"""What callers may hand in, as the values that the rest of the program takes: a path, a text or bytes, a picture."""

from __future__ import annotations

import json
import os
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from measure.challenge import Challenge, read_challenge
from measure.errors import InputMistakes, Mistake
from measure.file_content import FileContent, Readable, file_at, is_content
from measure.importing.plat_file import PlatFile, plat_of_result, read_plat_file
from measure.plat.plat import Plat
from measure.result.result import Result
from measure.structures.structure_rows import StructuresFile
from measure.structures.structures_table import read_structures
from tapeplat.measuring.measured_model import MeasuredModel
from vision.picture.photo import PhotoContent, PhotoPixels, PhotoSource

GivenFile = str | os.PathLike[str] | bytes | FileContent
"""A path; or a file's content: bytes, or text of several lines."""
GivenPhoto = str | os.PathLike[str] | bytes | NDArray[np.uint8] | PhotoContent | PhotoPixels
"""A path, a photo file's content, or a picture of shape (height, width, 3), blue-green-red."""

GivenOutlines = GivenFile | Mapping[str, Any] | Plat | Result | MeasuredModel
"""A file of outlines (GeoJSON, CSV with WKT, a result), a result's folder, a mapping in GeoJSON's shape, or values."""


def file_of(given: GivenFile, name: str) -> Readable:
    """A file to read; name is what messages call it where it is given without one.

    Raises InputMistakes for what can be no file's path.
    """
    if isinstance(given, FileContent):
        return given
    if isinstance(given, bytes):
        return FileContent(name, given)
    if isinstance(given, str) and is_content(given):
        return FileContent(name, given.encode("utf-8", "surrogatepass"))
    return file_at(given, name)


def challenge_of(given: Challenge | GivenFile) -> Challenge:
    """A challenge. Raises InputMistakes with everything that is wrong with it, each with its line."""
    return given if isinstance(given, Challenge) else read_challenge(file_of(given, "the challenge"))


def structures_of(given: StructuresFile | GivenFile | None, challenge: Challenge) -> StructuresFile | None:
    """A table of structures. Raises InputMistakes with every row that is wrong."""
    if given is None or isinstance(given, StructuresFile):
        return given
    return read_structures(file_of(given, "the structures"), challenge)


def team_of(given: str | int) -> str:
    """A team's name or number. Raises InputMistakes for text that holds bytes in place of letters."""
    team = str(given)
    shown = team.encode("utf-8", "replace").decode("utf-8")
    if shown != team:
        what = "it holds bytes that are no letters in this system's encoding"
        raise InputMistakes([Mistake(f"the team's name {shown}", what, "type it anew, or without accents")])
    return team


def photos_of(given: GivenPhoto | Sequence[GivenPhoto]) -> tuple[PhotoSource, ...]:
    """One photo or several; those without a name are numbered. Raises InputMistakes for what is no picture."""
    if isinstance(given, str | os.PathLike | bytes | np.ndarray | PhotoContent | PhotoPixels):
        return photos_of([given])
    if not given:
        raise InputMistakes([Mistake("the photos", "there is none", "give at least one photo of the model")])
    return tuple(_photo(photo, f"photo {number}") for number, photo in enumerate(given, 1))


def _photo(given: GivenPhoto, name: str) -> PhotoSource:
    if isinstance(given, bytes):
        return PhotoContent(name, given)
    if isinstance(given, np.ndarray):
        return PhotoPixels(name, _pixels(given, name))
    return given if isinstance(given, PhotoContent | PhotoPixels) else file_at(given, name)


def _pixels(given: NDArray[Any], name: str) -> NDArray[np.uint8]:
    if given.dtype != np.uint8 or given.ndim != 3 or given.shape[2] != 3:
        what = f"it is an array of {given.dtype} of shape {given.shape}"
        do = "give one of uint8 of shape (height, width, 3), blue-green-red as OpenCV reads pictures"
        raise InputMistakes([Mistake(name, what, do)])
    return given


def outlines_of(given: GivenOutlines, challenge: Challenge) -> PlatFile:
    """Outlines, and the result that they are from. Raises InputMistakes with everything that is wrong with them."""
    if isinstance(given, MeasuredModel):
        return outlines_of(given.result, challenge)
    if isinstance(given, Plat):
        return PlatFile(given)
    if isinstance(given, Result):
        return PlatFile(plat_of_result(given, challenge), given)
    if isinstance(given, Mapping):
        return read_plat_file(_geojson(given), challenge)
    file = file_of(given, "the plat")
    if isinstance(file, Path) and file.is_dir():
        file = file / "result.json"
    return read_plat_file(file, challenge)


def name_of(given: object) -> str:
    """What messages call outlines."""
    if isinstance(given, str) and is_content(given):
        return "the plat"
    return Path(given).name if isinstance(given, str | os.PathLike) else str(getattr(given, "name", "the plat"))


def _geojson(given: Mapping[str, Any]) -> FileContent:
    try:
        return FileContent("the plat", json.dumps(given).encode("utf-8"))
    except (TypeError, ValueError, RecursionError) as error:
        do = "give numbers, texts, lists and mappings in GeoJSON's shape"
        raise InputMistakes([Mistake("the plat", f"it cannot be written as JSON: {error}", do)]) from error

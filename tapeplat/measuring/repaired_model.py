"""A result folder whose outlines somebody repaired by hand: the changes as sent, and the folder's files made anew."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Annotated, Literal

import cv2
import numpy as np
from pydantic import ConfigDict, Field, TypeAdapter, ValidationError
from pydantic.dataclasses import dataclass as checked

from measure.challenge import Challenge
from measure.errors import InputMistakes, Mistake
from measure.importing.plat_file import PlatFile, read_plat_file
from measure.plat.measures import Measures
from measure.plat.plat import Plat
from measure.repair.pointing import Shown
from measure.repair.repair import Add, Edit, Places, Remove, Reshape, Rezone, repaired
from measure.result.result_making import found_remarks
from measure.structures.structure_rows import StructuresFile
from measure.units import MM_PER, Unit
from tapeplat.measuring.measured_model import CORRECTED_FILE, Measured, measured
from tapeplat.measuring.survey import Survey
from vision.picture.rectified import Rectified

RESULT_FILE = "result.json"
MOST_BYTES = 2_000_000
"""Of a request with changes."""
_AGAIN = "load the page again and repeat the change"
_OF_A_TABLE = re.compile(r"[^,:]+\.csv[,: ]")
"""Warnings about a structures' table start with its file's name."""
_STRICT = ConfigDict(allow_inf_nan=False, extra="forbid")
_Place = tuple[float, float]
_Ring = Annotated[tuple[_Place, ...], Field(max_length=2000)]
_Holes = Annotated[tuple[_Ring, ...], Field(max_length=50)]


class StaleResult(ValueError):  # noqa: N818  (says what is wrong, as our other refusals do)
    """The result has changed since the changes to it were begun."""


@checked(frozen=True, config=_STRICT)
class _Change:
    """One change as the page sends it, places in the result's unit."""

    do: Literal["reshape", "add", "remove", "rezone"]
    zone: str
    piece: int = 0
    outline: _Ring = ()
    holes: _Holes = ()
    to: str = ""


@checked(frozen=True, config=_STRICT)
class _Request:
    """What the page sends: the result that the changes are of (see result_version), and the changes."""

    base: str
    edits: Annotated[tuple[_Change, ...], Field(max_length=500)]


@dataclass(frozen=True)
class Request:
    """Changes to a result in mm; base is the version of the result that they are of."""

    base: str
    edits: tuple[Edit, ...]


_REQUEST = TypeAdapter(_Request)


def repaired_model(
    folder: Path, challenge: Challenge, request: Request, *, table: StructuresFile | None = None
) -> Measured:
    """The files of a result folder with the request's changes made, measured and judged again.

    The corrected picture stays and is not among the files.  table has to be given again where the model was measured
    with one: a result does not hold all of it.  Raises InputMistakes where the changes cannot be made or
    the folder cannot be used, StaleResult where the folder holds another result than the one that was changed.
    """
    if request.base != result_version(folder):
        raise StaleResult(f"the model was measured or changed again in the meantime; {_AGAIN}")
    given = read_plat_file(folder / RESULT_FILE, challenge)
    picture = _picture(folder, given)
    height, width = picture.bgr.shape[:2]
    shown = Shown.of((float(picture.origin[0]), float(picture.origin[1])), picture.mm_per_px, (width, height))
    before = _without_passing_remarks(given.plat, challenge)
    plat = repaired(before, request.edits, [zone.name for zone in challenge.zones], shown, challenge.unit)
    team = given.result.team if given.result else ""
    made = measured(challenge, Survey(plat, picture), team, table, given.result)
    return replace(made, files={name: data for name, data in made.files.items() if name != CORRECTED_FILE})


def result_version(folder: Path) -> str:
    """A short name of what the folder's result file holds now. Raises InputMistakes where there is none."""
    try:
        return hashlib.sha256((folder / RESULT_FILE).read_bytes()).hexdigest()[:16]
    except OSError as error:
        what = f"it cannot be read: {(error.strerror or str(error)).lower()}"
        raise InputMistakes([Mistake(RESULT_FILE, what, "measure the model again")]) from error


def read_request(text: str, unit: Unit) -> Request:
    """The changes in a request's JSON text, whose places are in the unit. Raises InputMistakes."""
    try:
        content = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise InputMistakes([Mistake("the changes", "they are no JSON", _AGAIN)]) from error
    try:
        asked = _REQUEST.validate_python(content)
    except ValidationError as error:
        first = error.errors()[0]
        at = ".".join(map(str, first["loc"])) or "the changes"
        raise InputMistakes([Mistake(at, first["msg"].lower(), _AGAIN)]) from error
    return Request(asked.base, tuple(_edit(change, MM_PER[unit]) for change in asked.edits))


def _edit(change: _Change, scale: float) -> Edit:
    outline, *holes = (_in_mm(ring, scale) for ring in (change.outline, *change.holes))
    if change.do == "reshape":
        return Reshape(change.zone, change.piece, outline, tuple(holes))
    if change.do == "add":
        return Add(change.zone, outline, tuple(holes))
    return Remove(change.zone, change.piece) if change.do == "remove" else Rezone(change.zone, change.piece, change.to)


def _in_mm(ring: Sequence[_Place], scale: float) -> Places:
    return tuple((x * scale, y * scale) for x, y in ring)


def _picture(folder: Path, given: PlatFile) -> Rectified:
    """The corrected picture beside the result."""
    known = given.result.corrected if given.result else None
    if known is None:
        what = "it belongs to no photo, so its outlines cannot be changed on a picture"
        raise InputMistakes([Mistake(RESULT_FILE, what, "change the file that it was made from")])
    file = folder / Path(known.file).name
    data = np.frombuffer(file.read_bytes(), np.uint8) if file.is_file() else np.zeros(0, np.uint8)
    bgr = cv2.imdecode(data, cv2.IMREAD_COLOR) if len(data) else None
    if bgr is None:
        raise InputMistakes([Mistake(file.name, "the corrected picture cannot be read", "measure the model again")])
    return Rectified(np.asarray(bgr, dtype=np.uint8), known.mm_per_px, np.array(known.origin_mm))


def _without_passing_remarks(plat: Plat, challenge: Challenge) -> Plat:
    """Without the warnings that follow from the outlines or from a table: they are said anew of the new ones."""
    measures = Measures(plat, challenge.tape_edge, challenge.touch_gap, challenge.subtract)
    passing = set(found_remarks(challenge, measures))
    kept = (said for said in plat.warnings if said not in passing and not _OF_A_TABLE.match(said))
    return replace(plat, warnings=tuple(kept))

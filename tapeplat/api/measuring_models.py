"""Photos or outlines of a model to its measured areas, distances and verdicts, and outlines changed by hand."""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path

from measure.challenge import Challenge
from measure.errors import InputMistakes
from measure.file_content import is_content
from measure.result.result import Result
from measure.structures.structure_rows import StructuresFile
from tapeplat.api.given_values import (
    GivenFile,
    GivenOutlines,
    GivenPhoto,
    challenge_of,
    outlines_of,
    photos_of,
    structures_of,
    team_of,
)
from tapeplat.measuring.marked_heights import with_marks_of
from tapeplat.measuring.measured_model import MeasuredModel, judged
from tapeplat.measuring.repairs import GivenChange, edits_of, repaired_model
from tapeplat.measuring.survey import survey
from tapeplat.output.corrected_picture import read_corrected
from vision.picture.rectified import Rectified


def read_challenge(challenge: GivenFile) -> Challenge:
    """The challenge in a file (its path), or in a file's text or bytes.

    Raises InputMistakes with everything that is wrong with it, each with its line.
    """
    return challenge_of(challenge)


def measure(
    challenge: Challenge | GivenFile,
    photos: GivenPhoto | Sequence[GivenPhoto],
    *,
    team: str | int = "",
    structures: StructuresFile | GivenFile | None = None,
    earlier: Result | None = None,
) -> MeasuredModel:
    """Measure one model from one or more photos of it and judge every rule.

    A photo is a path, a photo file's bytes, or a picture of shape (height, width, 3) of uint8, blue-green-red.
    structures is the path or the text of a CSV table; earlier is a result of the same photos, whose verdicts by hand
    and marked heights are kept.

    Raises InputMistakes where the challenge or the structures cannot be used, PhotoRefused where no photo can.
    """
    known = challenge_of(challenge)
    named, table = team_of(team), structures_of(structures, known)
    surveyed = survey(known, photos_of(photos))
    plat = surveyed.plat if earlier is None else with_marks_of(surveyed.plat, earlier)
    return judged(known, plat, surveyed.picture, team=named, table=table, earlier=earlier)


def check(
    challenge: Challenge | GivenFile,
    plat: GivenOutlines,
    *,
    team: str | int = "",
    structures: StructuresFile | GivenFile | None = None,
) -> MeasuredModel:
    """Judge every rule on outlines: in the parcel's frame and the challenge's unit, as docs/rules.md describes them.

    plat is the path or the text of a file (GeoJSON, CSV with WKT, a result), a mapping in GeoJSON's shape, a folder
    that a model was saved in, or a model. Of a result its team and the verdicts set by hand are kept, the corrected
    picture beside it, and its structures where no others are given.

    Raises InputMistakes where challenge, outlines or structures cannot be used.
    """
    known = challenge_of(challenge)
    named, table = team_of(team), structures_of(structures, known)
    given = outlines_of(plat, known)
    picture, file = _picture_beside(plat, given.result)
    made = judged(
        known,
        given.plat,
        picture,
        file,
        team=named or given.plat.team,
        table=table,
        earlier=given.result,
        built=given.result,
    )
    if picture is None and given.result is not None:
        return replace(made, result=replace(made.result, corrected=given.result.corrected))
    return made


def repair(model: MeasuredModel, changes: GivenChange | Iterable[GivenChange]) -> MeasuredModel:
    """The model with its outlines changed, measured and judged again; what was said by hand stays.

    changes are one or several, each a `tapeplat.Change` or a mapping of the same keys, places in the challenge's unit.
    Corners that stay keep their uncertainty, placed ones get that of pointing at the corrected picture.

    Raises InputMistakes where a change cannot be made, or the model has no picture to make it on.
    """
    return repaired_model(model, edits_of(changes, model.challenge.unit))


def _picture_beside(plat: GivenOutlines, result: Result | None) -> tuple[Rectified | None, bytes]:
    """A model's corrected picture, or that of a result read from a folder, and its file; None where it is not there."""
    if isinstance(plat, MeasuredModel):
        return plat.picture, plat.picture_file
    if result is None or result.corrected is None or not isinstance(plat, str | os.PathLike):
        return None, b""
    if isinstance(plat, str) and is_content(plat):
        return None, b""
    try:
        return read_corrected(Path(plat) if Path(plat).is_dir() else Path(plat).parent, result.corrected)
    except InputMistakes:
        return None, b""

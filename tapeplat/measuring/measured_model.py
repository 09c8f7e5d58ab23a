"""One model from its photos to everything that is written and said of it; nothing is written to disk here."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import cv2

from measure.challenge import Challenge, read_challenge
from measure.plat.measures import Measures
from measure.plat.plat import ESTIMATED_LENS
from measure.result.result import CorrectedResult, Result, result_text
from measure.result.result_making import result_of
from measure.result.teacher_verdicts import carried_over
from measure.rules.evaluation.evaluate import evaluate_all
from measure.structures.structure_rows import StructuresFile
from measure.structures.structures import team_structures
from measure.structures.structures_table import read_structures
from tapeplat.annotate.picture import annotated, png
from tapeplat.annotate.plat_svg import plat_svg
from tapeplat.measuring.survey import Survey, survey
from tapeplat.wording.notes import Notes
from tapeplat.wording.wording import notes_of
from vision.picture.rectified import Rectified

CORRECTED_FILE = "corrected.jpg"
_JPEG_QUALITY = 90


@dataclass(frozen=True, eq=False)
class Measured:
    """A measured model: its result, what is said of it, and the files to write by name, the last one naming the others.

    lenses: the lens profiles that were used.
    """

    notes: Notes
    result: Result
    files: Mapping[str, bytes]
    lenses: tuple[str, ...] = ()

    @property
    def warnings(self) -> tuple[str, ...]:
        """All that was inferred, left out or is odd."""
        return self.result.warnings


def measure_model(
    challenge_file: Path,
    photos: Sequence[Path],
    *,
    team: str = "",
    structures: Path | None = None,
    earlier: Result | None = None,
) -> Measured:
    """Measure one model from one or more photos and judge every rule.

    earlier is a result of the same photos; its verdicts by hand are kept.

    Raises InputMistakes where the challenge or the structures cannot be used, PhotoRefused where no photo can.
    """
    challenge = read_challenge(challenge_file)
    table = None if structures is None else read_structures(structures, challenge)
    return measured(challenge, survey(challenge, photos), team, table, earlier)


def measured(
    challenge: Challenge,
    surveyed: Survey,
    team: str = "",
    table: StructuresFile | None = None,
    earlier: Result | None = None,
) -> Measured:
    """Judge a surveyed model and make its files; verdicts by hand are carried over from an earlier result."""
    plat, picture = surveyed.plat, surveyed.picture
    measures = Measures(plat, challenge.tape_edge, challenge.touch_gap, challenge.subtract)
    built = None if table is None else team_structures(table, measures, team)
    outcomes, remarks = evaluate_all(challenge, measures, built), tuple[str, ...]()
    if earlier is not None:
        outcomes, remarks = carried_over(outcomes, earlier)
    notes = notes_of(challenge, measures, outcomes, team)
    where = (float(picture.origin[0]), float(picture.origin[1]))
    corrected = CorrectedResult(CORRECTED_FILE, picture.mm_per_px, where)
    result = result_of(challenge, measures, outcomes, team=team, structures=built, corrected=corrected, remarks=remarks)
    files = {
        CORRECTED_FILE: _jpeg(picture),
        "plat.svg": plat_svg(plat, notes.pieces, notes.title).encode("utf-8"),
        "annotated.png": png(annotated(picture, plat, notes)),
        "result.json": result_text(result).encode("utf-8"),
    }
    lenses = dict.fromkeys(p.lens for p in plat.photos if p.lens not in ("", ESTIMATED_LENS))
    return Measured(notes, result, files, tuple(lenses))


def _jpeg(picture: Rectified) -> bytes:
    done, data = cv2.imencode(".jpg", picture.bgr, [cv2.IMWRITE_JPEG_QUALITY, _JPEG_QUALITY])
    if not done:
        raise ValueError("the corrected picture cannot be written as JPEG")
    return data.tobytes()

"""Outlines from a file to verdicts: the same checker that judges photos. Nothing is written to disk here."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from measure.challenge import read_challenge
from measure.importing.plat_file import read_plat_file
from measure.plat.measures import Measures
from measure.result.result import Result, result_text
from measure.result.result_making import result_of
from measure.result.teacher_verdicts import carried_over
from measure.rules.evaluation.evaluate import evaluate_all
from measure.structures.structures import team_structures
from measure.structures.structures_table import read_structures
from tapeplat.wording.notes import Notes
from tapeplat.wording.verdict_table import verdict_table
from tapeplat.wording.wording import notes_of


@dataclass(frozen=True)
class Checked:
    """What is said of a plat from a file, and its result."""

    notes: Notes
    result: Result

    @property
    def warnings(self) -> tuple[str, ...]:
        """All that was inferred, left out or is odd."""
        return self.result.warnings

    @property
    def text(self) -> str:
        """The result file's text."""
        return result_text(self.result)

    def report(self, width: int = 100) -> str:
        """The verdicts as a table, and the warnings; plain text."""
        lines = [self.notes.title, verdict_table(self.notes.rules, width)]
        return "\n".join([*lines, *(f"warning: {warning}" for warning in self.warnings)])


def check_plat(
    challenge_file: Path, plat_file: Path, *, team: str = "", structures: Path | None = None, out: Path | None = None
) -> Checked:
    """Judge every rule on the outlines of a file. Raises InputMistakes where one of the files cannot be used.

    Of a result file its team and the verdicts set by hand are kept, and its corrected picture where the new result is
    to stand beside it, in the folder `out`.
    """
    challenge = read_challenge(challenge_file)
    table = None if structures is None else read_structures(structures, challenge)
    given = read_plat_file(plat_file, challenge)
    team = team or given.plat.team
    measures = Measures(given.plat, challenge.tape_edge, challenge.touch_gap, challenge.subtract)
    built = None if table is None else team_structures(table, measures, team)
    outcomes, remarks, corrected = evaluate_all(challenge, measures, built), tuple[str, ...](), None
    if given.result is not None:
        outcomes, remarks = carried_over(outcomes, given.result)
        stays = out is not None and out.resolve() == plat_file.parent.resolve()
        corrected = given.result.corrected if stays else None
    result = result_of(challenge, measures, outcomes, team=team, structures=built, corrected=corrected, remarks=remarks)
    return Checked(notes_of(challenge, measures, outcomes, team), result)

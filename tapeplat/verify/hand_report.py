"""Hand measurements that were compared with results, and everything that is written about them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from measure.hand.hand_comparison import Checked, Comparison, Measurers
from measure.hand.hand_verdicts import hand_verdicts
from measure.result.result import Result
from measure.teams import team_key
from tapeplat.archive.storage.folder_names import team_folder
from tapeplat.output.result_folder import write_folder
from tapeplat.verify.hand_files import hand_csv, hand_json
from tapeplat.verify.hand_teacher_page import TeamPart, summary_lines, teacher_page
from tapeplat.verify.hand_team_page import team_page


@dataclass(frozen=True)
class HandComparison:
    """Hand measurements compared with results: every row, in its own unit, and what is written about them."""

    results: tuple[Result, ...]
    found: Comparison

    @property
    def rows(self) -> tuple[Checked, ...]:
        """Every row of the table, in its order: whether it agrees, and what likely went wrong."""
        return self.found.rows

    @property
    def measurers(self) -> tuple[Measurers, ...]:
        """The quantities that several measured."""
        return self.found.measurers

    @property
    def warnings(self) -> tuple[str, ...]:
        """All that was inferred or could not be compared."""
        return self.found.warnings

    def of_team(self, team: str) -> tuple[Checked, ...]:
        """The rows of one team."""
        return self.found.of_team(team)

    @property
    def report(self) -> str:
        """How many agree, and the warnings; plain text."""
        return "\n".join([*summary_lines(self.rows), *(f"warning: {said}" for said in self.warnings)])

    def files(self, *, reveal: bool = False) -> Mapping[str, bytes]:
        """A page for each team and for the teacher, and the rows as tables; reveal shows teams the photo's values."""
        title = self.results[0].title
        teams = [_part(team, self.found, self.results) for team in _teams(self.found)]
        made: dict[str, bytes] = {}
        for part in teams:
            if any(row.agrees is not None for row in part.rows):
                text = team_page(title, part.team, part.rows, part.measurers, part.verdicts, reveal=reveal)
                made[f"{team_folder(part.team)}.html"] = text.encode("utf-8")
        made["teacher.html"] = teacher_page(title, teams, self.warnings).encode("utf-8")
        made["hand.csv"] = hand_csv(self.rows).encode("utf-8-sig")
        made["hand.json"] = hand_json(self.rows).encode("utf-8")
        return made

    def save(self, folder: str | Path, *, reveal: bool = False) -> None:
        """Write the files into a folder, all or none. Raises FolderNotWritable."""
        write_folder(Path(folder), self.files(reveal=reveal))


def _teams(found: Comparison) -> list[str]:
    """Every team once, under the name of its first row."""
    names: dict[str, str] = {}
    for row in found.rows:
        names.setdefault(team_key(row.team), row.team)
    return list(names.values())


def _part(team: str, found: Comparison, results: Sequence[Result]) -> TeamPart:
    rows = found.of_team(team)
    mine = [result for result in results if team_key(result.team) == team_key(team)]
    owner = mine[0] if mine else results[0] if len(results) == 1 and _compared(rows) else None
    measurers = [group for group in found.measurers if team_key(group.rows[0].team) == team_key(team)]
    return TeamPart(team, rows, measurers, hand_verdicts(owner, rows) if owner is not None else ())


def _compared(rows: Sequence[Checked]) -> bool:
    return any(row.photo is not None for row in rows)

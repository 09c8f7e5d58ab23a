"""From result files and a table of hand measurements to everything that is written about them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from measure.errors import InputMistakes, Mistake
from measure.hand.compare import Checked, Comparison, compare
from measure.hand.hand_verdicts import hand_verdicts
from measure.hand.values.hand_table import read_hand
from measure.result.result import Result, read_result
from measure.teams import team_key
from tapeplat.archive.storage.folder_names import team_folder
from tapeplat.verify.hand_files import hand_csv, hand_json
from tapeplat.verify.hand_teacher_page import TeamPart, summary_lines, teacher_page
from tapeplat.verify.hand_team_page import team_page


@dataclass(frozen=True)
class Verified:
    """The files by name, and what the terminal says."""

    files: dict[str, bytes]
    report: str


def verify_files(results: Sequence[Path], hand: Path, *, reveal: bool = False, same_ruler: bool = False) -> Verified:
    """Compare hand measurements with results. Raises InputMistakes with everything that is wrong with the files."""
    read, wrong = list[Result](), list[Mistake]()
    for path in results:
        try:
            read.append(read_result(path))
        except InputMistakes as error:
            wrong += error.mistakes
    if len({result.unit for result in read}) > 1 or len({result.title for result in read}) > 1:
        wrong.append(Mistake("the results", "they are of different challenges", "name results of one challenge"))
    zones = dict.fromkeys(zone.name for result in read for zone in result.zones)
    try:
        table = read_hand(hand, zones, read[0].unit if read else "cm") if zones else None
    except InputMistakes as error:
        wrong += error.mistakes
        table = None
    if wrong or table is None:
        raise InputMistakes(wrong)
    return _written(read, compare(table, read, same_ruler=same_ruler), reveal)


def _written(results: Sequence[Result], found: Comparison, reveal: bool) -> Verified:
    title = results[0].title
    teams = [_part(team, found, results) for team in _teams(found)]
    files: dict[str, bytes] = {}
    for part in teams:
        if any(row.agrees is not None for row in part.rows):
            text = team_page(title, part.team, part.rows, part.measurers, part.verdicts, reveal=reveal)
            files[f"{team_folder(part.team)}.html"] = text.encode("utf-8")
    files["teacher.html"] = teacher_page(title, teams, found.warnings).encode("utf-8")
    files["hand.csv"] = hand_csv(found.rows).encode("utf-8-sig")
    files["hand.json"] = hand_json(found.rows).encode("utf-8")
    lines = [*summary_lines(found.rows), *(f"warning: {said}" for said in found.warnings)]
    return Verified(files, "\n".join(lines))


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

"""The teacher's page: every number with the photo's value, En, the per cent error and the likely mistakes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from measure.hand.hand_comparison import Checked, Measurers
from measure.hand.hand_verdicts import HandVerdict
from measure.hand.mistakes.hints import MEANINGS
from tapeplat.output.plain_page import Cell, Row, bullets, heading, page, para, table
from tapeplat.verify.hand_words import (
    AGAIN,
    as_written,
    compared_with,
    en_text,
    median_text,
    mistakes_text,
    spread_text,
    state,
    team_name,
    value_text,
    verdict_value,
    what,
    with_uncertainty,
)

_HOW = (
    "A number agrees when it lies within the uncertainty of hand and photo together (as ISO 13528 compares "
    "laboratories; its number En is in hand.csv). Heights and volumes are compared with your table of structures. The "
    "hand's uncertainty follows from the method, the smallest division and the tape's width. The per cent error is the "
    "difference divided by the photo's value, as a class works it out. A mistake is named where it explains the number "
    "clearly better than anything else would, “perhaps” stands before those that may; only the first kind gives the "
    "team a hint of its own. They are a start for a talk, not a finding. = means that both give the same number."
)


@dataclass(frozen=True)
class TeamPart:
    """All of one team."""

    team: str
    rows: Sequence[Checked]
    measurers: Sequence[Measurers]
    verdicts: Sequence[HandVerdict]


def teacher_page(title: str, teams: Sequence[TeamPart], warnings: Sequence[str]) -> str:
    """The page as HTML."""
    parts = [para(title), *_summary([row for team in teams for row in team.rows])]
    if warnings:
        parts += [heading("To look at"), bullets(warnings)]
    for team in teams:
        parts += _team(team)
    return page("Hand measurements: for the teacher", parts, _HOW)


def summary_lines(rows: Sequence[Checked]) -> list[str]:
    """How many numbers agree, and which mistakes are common, as text."""
    judged = [row for row in rows if row.agrees is not None]
    good = sum(1 for row in judged if row.agrees)
    with_what = compared_with(judged).replace("your teacher’s", "your")
    lines = [f"{good} of {len(judged)} numbers agree with {with_what}"]
    counted = Counter(code for row in judged for code in (row.likely[0] if row.likely else ()))
    lines += [f"{count} x {MEANINGS[code]} ({code})" for code, count in counted.most_common()]
    unknown = sum(1 for row in judged if row.agrees is False and not row.likely)
    return [*lines, *([f"{unknown} x no mistake that clearly explains the number"] if unknown else [])]


def _summary(rows: Sequence[Checked]) -> list[str]:
    first, *others = summary_lines(rows)
    said = [heading("The class"), para(f"{first}.")]
    return [*said, para("Likely mistakes, the common ones first:"), bullets(others)] if others else said


def _team(part: TeamPart) -> list[str]:
    head = [
        "row",
        "what",
        "who",
        "written",
        "hand ±",
        "photo, or your table",
        "",
        "within the uncertainty?",
        "error %",
        "likely mistakes",
    ]
    written = [row for row in part.rows if row.row.value is not None]
    parts = [heading(team_name(part.team)), table(head, [_row(row) for row in written])]
    if part.measurers:
        rows = [_measurers(group) for group in part.measurers]
        parts += [heading("Measured more than once", 3), table(["what", "numbers", "median", "range", "photo"], rows)]
    if part.verdicts:
        rows = [_verdict(found) for found in part.verdicts]
        parts += [heading("The rules", 3), table(["rule", "photo", "by hand", "hand value", ""], rows)]
    return parts


def _row(checked: Checked) -> Row:
    row, said = checked.row, state(checked)
    start: list[Cell | str] = [str(row.number), what(row), row.who, Cell(as_written(row), "number")]
    if checked.photo is None:
        return Row([*start, "", "", "", "", "", checked.note])
    error = "" if checked.percent_error is None else f"{checked.percent_error:.1f}"
    cells = [
        *start,
        Cell(spread_text(row, checked.u95_hand), "number"),
        Cell(with_uncertainty(row, checked.photo, checked.u95_photo), "number"),
        Cell(said, "mark"),
        en_text(checked.en),
        Cell(error, "number"),
        checked.note or mistakes_text(checked) or ("nothing explains it" if said == AGAIN else ""),
    ]
    return Row(cells, "again" if said == AGAIN else "fits")


def _measurers(group: Measurers) -> Row:
    first = group.rows[0]
    photo = "" if first.photo is None else with_uncertainty(first.row, first.photo, first.u95_photo)
    numbers = ", ".join(f"{c.row.who} {as_written(c.row)}".strip() for c in group.rows)
    spread = (median_text(group), value_text(first.row, group.range, first.u95_hand))
    return Row([what(first.row), numbers, *(Cell(text, "number") for text in spread), Cell(photo, "number")])


def _verdict(found: HandVerdict) -> Row:
    mark = Cell("they differ" if found.differs else "", "mark")
    cells: list[Cell | str] = [found.text, found.photo, found.hand, Cell(verdict_value(found), "number"), mark]
    return Row(cells, "again" if found.differs else "")

"""A team's page: which numbers agree, where to look again, and a hint; nothing that gives the photo's values away.

Without `reveal` no photo value, no per cent error, no En and no direction of an error is on the page: a child who tries
numbers learns only whether the number written agrees.
"""

from __future__ import annotations

from collections.abc import Sequence

from measure.hand.hand_comparison import Checked, Measurers
from measure.hand.hand_verdicts import HandVerdict
from measure.hand.mistakes.hints import SMALLER_SQUARES, hints_for
from tapeplat.output.plain_page import Cell, Row, heading, page, para, table
from tapeplat.verify.hand_words import (
    AGAIN,
    as_written,
    compared_with,
    median_text,
    state,
    team_name,
    value_text,
    verdict_value,
    what,
)

_SIGNS = {"agrees": "✓ agrees", AGAIN: "↺ look again", "": "–"}
_FIRST = "first look again at the numbers"
"""In place of a verdict that comes from numbers that do not agree."""
_FOOT = "No two people measure quite alike. A number agrees when it is as near as careful hands can come."


def team_page(
    title: str,
    team: str,
    rows: Sequence[Checked],
    measurers: Sequence[Measurers],
    verdicts: Sequence[HandVerdict],
    *,
    reveal: bool = False,
) -> str:
    """The page of one team as HTML."""
    judged = [row for row in rows if row.agrees is not None]
    good = sum(1 for row in judged if row.agrees)
    parts = [
        para(title),
        para(f"{good} of {len(judged)} numbers agree with {compared_with(judged)}."),
        table(_head(judged, reveal), [_row(row, reveal) for row in rows if row.row.value is not None]),
        *_together(measurers),
        *_rules(verdicts),
    ]
    return page(f"{team_name(team)}: our hand measurements", parts, _FOOT)


def _head(judged: Sequence[Checked], reveal: bool) -> list[str]:
    return ["what", "who", "we wrote", "", "where to look", *([_revealed(judged)] if reveal else [])]


def _revealed(judged: Sequence[Checked]) -> str:
    tables = compared_with(judged)
    return f"{tables} {'say' if ' and ' in tables else 'says'}"


def _row(checked: Checked, reveal: bool) -> Row:
    row, said = checked.row, state(checked)
    hint = hints_for(checked.likely, checked.row.quantity)[0] if said == AGAIN else ""  # one thing to do
    hint = SMALLER_SQUARES if checked.too_coarse else hint
    if not said:
        hint = "Ask your teacher about this one: there is nothing to compare it with."
    cells: list[Cell | str] = [what(row), row.who, Cell(as_written(row), "number"), Cell(_SIGNS[said], "mark"), hint]
    if reveal:
        cells.append("" if checked.photo is None else value_text(row, checked.photo, checked.u95_photo))
    return Row(cells, {"agrees": "fits", AGAIN: "again"}.get(said, ""))


def _together(measurers: Sequence[Measurers]) -> list[str]:
    """What several measured: the team's own numbers beside each other."""
    if not measurers:
        return []
    rows = [
        Row(
            [
                what(group.rows[0].row),
                ", ".join(f"{c.row.who} {as_written(c.row)}".strip() for c in group.rows),
                Cell(median_text(group), "number"),
                Cell(value_text(group.rows[0].row, group.range, group.rows[0].u95_hand), "number"),
            ]
        )
        for group in measurers
    ]
    said = para(
        "The median is the number in the middle of three or more. The range is the largest number less the smallest."
    )
    return [heading("Measured more than once"), said, table(["what", "numbers", "median", "range"], rows)]


def _rules(verdicts: Sequence[HandVerdict]) -> list[str]:
    """What the team's own numbers say of the rules; the photo's verdicts are not here."""
    judged = [found for found in verdicts if found.hand not in ("not measured", "by eye")]
    if not judged:
        return []
    rows = [Row([found.text, *_said(found)]) for found in judged]
    return [heading("What our own numbers say about the rules"), table(["rule", "our numbers say", "ours"], rows)]


def _said(found: HandVerdict) -> list[Cell | str]:
    if found.again:
        return [Cell(_FIRST, "mark"), ""]
    return [Cell(found.hand, "mark"), Cell(verdict_value(found), "number")]

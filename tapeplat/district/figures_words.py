"""The schools' figures as tables: for a terminal, for a spreadsheet."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from tapeplat.district.figures import ChallengeFigures, RuleFigures

Table = list[list[str]]
"""Rows of cells under a row of headings."""
_GAP = "  "


def challenges_table(figures: Iterable[ChallengeFigures]) -> Table:
    """A row for each school, year and challenge; shares of rules met in the teams' first and last attempts."""
    head = ["school", "year", "challenge", "teams", "attempts", "met at first %", "met at last %"]
    rows = [
        [f.school, str(f.year), f.title, str(f.teams), str(f.attempts), _share(*f.first), _share(*f.last)]
        for f in figures
    ]
    return [head, *rows]


def rules_table(figures: Iterable[RuleFigures]) -> Table:
    """A row for each school, year, challenge and rule; counts of teams by their last attempt."""
    head = ["school", "year", "challenge", "rule", "teams", "met", "not met", "undecided"]
    rows = [
        [f.school, str(f.year), f.title, f.rule, *map(str, (f.teams, f.met, f.not_met, f.undecided))] for f in figures
    ]
    return [head, *rows]


def aligned(table: Sequence[Sequence[str]]) -> str:
    """The table in columns; numbers to the right."""
    rows = [[" ".join(cell.split()) for cell in row] for row in table]  # a title's line end is none of the table's
    widths = [max(len(row[at]) for row in rows) for at in range(len(rows[0]))]
    return "\n".join(_GAP.join(_cell(*pair) for pair in zip(row, widths, strict=True)).rstrip() for row in rows)


def _cell(text: str, width: int) -> str:
    return text.rjust(width) if text.isdecimal() or text == "-" else text.ljust(width)


def _share(met: int, rules: int) -> str:
    return str(round(100 * met / rules)) if rules else "-"

"""How a team is told from another, however its name or number was written."""

from __future__ import annotations

from measure.name_folding import folded


def team_key(team: str) -> str:
    """`Team 4`, `04` and a spreadsheet's `4.0` are team 4."""
    plain = folded(team).removeprefix("team ").strip()
    number = plain.removesuffix(".0")
    # Not as a number: somebody's typed digits may be more than Python takes for one.
    return number.lstrip("0") or "0" if number.isascii() and number.isdigit() else plain

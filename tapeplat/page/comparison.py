"""What a comparison says in numbers, as tables for the page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from measure.numbers import shown
from measure.result import Value
from measure.units import format_number
from tapeplat.archive.compare import Change, Comparison


@dataclass(frozen=True)
class Quantities:
    """One table: areas or gaps; a row holds name, before, after, change and its trend, in words."""

    title: str
    of: str
    rows: tuple[tuple[str, str, str, str, str], ...]


def quantities(found: Comparison) -> tuple[Quantities, ...]:
    """The tables of a comparison, those without rows left out."""
    made = (
        Quantities("Areas", "Zone", _rows(found.areas, f"sq {found.unit}", found)),
        Quantities("Gaps", "Between", _rows(found.gaps, found.unit, found)),
    )
    return tuple(table for table in made if table.rows)


def _rows(
    changes: Sequence[Change], unit: str, found: Comparison
) -> tuple[tuple[str, str, str, str, str], ...]:
    return tuple(
        (c.name, _said(c.before, unit, found), _said(c.after, unit, found), _changed(c.change, unit), c.trend)
        for c in changes
    )


def _said(value: Value | None, unit: str, found: Comparison) -> str:
    if value is None:
        return "–"
    return shown(value, unit, found.numbers) if value.value else f"0 {unit}"


def _changed(change: Value | None, unit: str) -> str:
    """With its sign and its uncertainty."""
    if change is None:
        return ""
    sign = "+" if change.value > 0 else "−" if change.value < 0 else ""
    return f"{sign}{format_number(abs(change.value), change.u95)} ± {format_number(change.u95, change.u95)} {unit}"

"""What photos show of a model's structures, as a table beside what was measured by hand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from measure.agreement import agrees
from measure.result.built_results import SeenStructure, StructureResult
from measure.result.result import Result
from measure.result.result_values import Value
from measure.structures.standing import SOLID_OF
from measure.voice import value_said


@dataclass(frozen=True)
class SeenRow:
    """One structure in words: height and volume by the photos, by hand where a row of the table is the same one, and
    whether the two agree (empty where there is nothing to compare).
    """

    number: int
    zone: str
    solid: str
    height: str
    volume: str
    by_hand: str
    agrees: str
    marked: bool


def seen_rows(result: Result) -> tuple[SeenRow, ...]:
    """Every structure that photos show, numbered as on the picture."""
    table = {row.row: row for row in result.structures}
    return tuple(_row(number, seen, table, result) for number, seen in enumerate(result.seen, 1))


def _row(number: int, seen: SeenStructure, table: Mapping[int, StructureResult], result: Result) -> SeenRow:
    hand = None if seen.row is None else table.get(seen.row)
    return SeenRow(
        number,
        seen.zone or "in no zone",
        "not known" if seen.solid == "other" else SOLID_OF[seen.solid],
        _said(seen.height, result.unit, result),
        _said(seen.volume, f"cubic {result.unit}", result),
        "" if hand is None else f"{_said(hand.height, result.unit, result)} tall (row {hand.row})",
        _agreement(seen),
        seen.origin == "marked photo",
    )


def _said(value: Value | None, unit: str, result: Result) -> str:
    return "not measurable" if value is None else value_said(value, unit, result.numbers)


def _agreement(seen: SeenStructure) -> str:
    apart = [
        f"{what}: En {abs(en):.1f}"
        for what, en in (("height", seen.en_height), ("volume", seen.en_volume))
        if en is not None and not agrees(en)
    ]
    if apart:
        return f"no ({', '.join(apart)})"
    return "yes" if seen.en_height is not None or seen.en_volume is not None else ""

"""The empty table that a class writes its hand measurements into: the fields of the measuring sheets."""

from __future__ import annotations

from collections.abc import Iterator

from measure.challenge import Challenge
from measure.hand.values.hand_table import COLUMNS, Method, QuantityName
from tapeplat.output.spreadsheet import csv_text
from tapeplat.paper.exercises.rule_facts import named_pairs, speaks_of_structures

_DIVISION = {"in": "1/8", "cm": "0.1", "mm": "1"}
_SIDES = 4


def template(challenge: Challenge) -> str:
    """CSV: for every zone its sides, perimeter, area and share, the gaps that rules name, structures if they count."""
    return csv_text([COLUMNS, *_rows(challenge)])


def _rows(challenge: Challenge) -> Iterator[tuple[str, ...]]:
    for zone, quantity, other, method in _asked(challenge):
        unit = "%" if quantity == "share" else challenge.unit
        division = (
            _DIVISION[challenge.unit] if method in ("ruler", "formula", "string") and quantity != "share" else "1"
        )
        yield "", "", zone, "", quantity, other, "", unit, method, division


def _asked(challenge: Challenge) -> Iterator[tuple[str, QuantityName, str, Method]]:
    for zone in challenge.zones:
        for side in range(1, _SIDES + 1):
            yield zone.name, "side", str(side), "ruler"
        yield zone.name, "perimeter", "", "ruler"
        yield zone.name, "area", "", "squares"
        yield zone.name, "area", "", "formula"
        yield zone.name, "share", "", "formula"
    for first, second in named_pairs(challenge):
        yield first, "gap", second, "ruler"
    for line in challenge.lines:
        yield line.name, "length", "", "string"
    if speaks_of_structures(challenge):
        for zone in challenge.zones:
            yield zone.name, "volume", "", "cubes"
            yield zone.name, "height", "", "ruler"

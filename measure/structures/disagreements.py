"""What a table and photos say differently of one structure, in words."""

from __future__ import annotations

from dataclasses import dataclass

from measure.numbers import NumberStyle
from measure.quantity import Quantity
from measure.structures.pairing import Measure, Pair
from measure.units import Unit, from_mm, volume_from_mm3
from measure.voice import Known, value_said


@dataclass(frozen=True)
class Reader:
    """How the class reads: the unit, and the form of numbers."""

    unit: Unit
    numbers: NumberStyle = "percent"


def disagreement_said(pair: Pair, measure: Measure, reader: Reader) -> str:
    """`the box in workshops (row 3) is 5.4 in tall by hand and 4.9 in by the photos`, with the En number."""
    hand, photos = (_said(quantity, measure, reader) for quantity in pair.values(measure))
    row, en = pair.row.row, pair.en(measure) or 0.0
    tall = " tall" if measure == "height" else ""
    who = f"the {row.solid} in {row.zone} (row {row.number} of the table)"
    verb = "is" if tall else "has"
    return f"{who} {verb} {hand}{tall} by hand and {photos} by the photos: they disagree (En {abs(en):.1f})"


def _said(quantity: Quantity | None, measure: Measure, reader: Reader) -> str:
    if quantity is None:
        return "nothing"
    turn = from_mm if measure == "height" else volume_from_mm3
    unit = reader.unit if measure == "height" else f"cubic {reader.unit}"
    return value_said(Known(turn(quantity.value, reader.unit), turn(quantity.u95, reader.unit)), unit, reader.numbers)

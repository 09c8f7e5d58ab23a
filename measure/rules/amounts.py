"""Amounts with their units, and the limits that rules are made of."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from measure.numbers import written
from measure.units import MM_PER, LengthUnit, area_to_mm2, to_mm, volume_to_mm3

Measure = Literal["number", "percent", "points", "length", "area", "volume"]
Relation = Literal["at least", "at most", "more than", "less than", "between", "exactly"]

SizeName = Literal["area", "perimeter", "length", "width", "volume", "surface area", "side surface area"]
OF_SIZE: dict[SizeName, Measure] = {
    "area": "area",
    "perimeter": "length",
    "length": "length",
    "width": "length",
    "volume": "volume",
    "surface area": "area",
    "side surface area": "area",
}
"""What the amounts of a size are."""
ON_LAND: tuple[SizeName, ...] = ("area", "perimeter", "length", "width")
"""The sizes of zones; the others are of what stands on them."""
OF_ONE: tuple[SizeName, ...] = ("perimeter", "length", "width")
"""The sizes that are never of several zones together."""
OPPOSITE: dict[Relation, Relation] = {
    "at least": "less than",
    "less than": "at least",
    "at most": "more than",
    "more than": "at most",
}
_UNIT_PREFIX = {"length": "", "area": "sq ", "volume": "cubic "}


@dataclass(frozen=True)
class Amount:
    """A number with what it counts: `4 1/2 in`, `20%`, `12 sq in`, `1.4`; a per cent keeps its number (20)."""

    number: Fraction
    measure: Measure = "number"
    unit: LengthUnit | None = None

    @property
    def value(self) -> float:
        """The number as it compares with what is measured: 0.2 for 20 %."""
        return float(self.number / 100 if self.measure in ("percent", "points") else self.number)

    @property
    def unit_text(self) -> str:
        """`in`, `sq in`, `cubic cm`; empty for numbers and per cent."""
        return f"{_UNIT_PREFIX[self.measure]}{self.unit}" if self.unit else ""

    @property
    def mm(self) -> float:
        """How many mm, mm2 or mm3 one of the unit is; 1 for plain numbers."""
        if self.unit is None:
            return 1.0
        return {"length": to_mm, "area": area_to_mm2, "volume": volume_to_mm3}[self.measure](1.0, self.unit)

    def in_unit_of(self, other: Amount) -> Amount:
        """The same amount, exactly, in the other's unit; itself where neither or only one has a unit."""
        if self.unit is None or other.unit is None or self.unit == other.unit:
            return self
        power = {"length": 1, "area": 2, "volume": 3}[self.measure]
        ratio = Fraction(str(MM_PER[self.unit])) / Fraction(str(MM_PER[other.unit]))
        return Amount(self.number * ratio**power, self.measure, other.unit)

    def __str__(self) -> str:
        if self.measure == "percent":
            return f"{written(self.number)}%"
        if self.measure == "points":
            return f"{written(self.number)} points"
        return f"{written(self.number)} {self.unit_text}".rstrip()


@dataclass(frozen=True)
class Limit:
    """How much: a relation, its amount (two for `between`), and the tolerance of `exactly`."""

    relation: Relation
    amount: Amount
    upper: Amount | None = None
    tolerance: Amount | None = None

    @property
    def low(self) -> float | None:
        """The smallest value that meets the limit, in the amount's unit; None where there is none."""
        if self.relation in ("at most", "less than"):
            return None
        return self.amount.value - (self._half_width if self.relation == "exactly" else 0.0)

    @property
    def high(self) -> float | None:
        """The largest value that meets the limit, in the amount's unit; None where there is none."""
        if self.relation in ("at least", "more than"):
            return None
        if self.upper is not None:
            return self.upper.value
        return self.amount.value + (self._half_width if self.relation == "exactly" else 0.0)

    @property
    def bounds_mm(self) -> tuple[float | None, float | None]:
        """low and high in mm, mm2 or mm3."""
        scale = self.amount.mm
        return None if self.low is None else self.low * scale, None if self.high is None else self.high * scale

    @property
    def whole_bounds(self) -> tuple[int, int | None]:
        """The least and the largest whole number that meet a limit of a count."""
        low = 0 if self.low is None else math.ceil(self.low)
        high = None if self.high is None else math.floor(self.high)
        if self.relation == "more than":
            low = math.floor(self.amount.value) + 1
        if self.relation == "less than":
            high = math.ceil(self.amount.value) - 1
        return low, high

    @property
    def strict(self) -> bool:
        """Whether the limit itself does not meet the rule."""
        return self.relation in ("more than", "less than")

    @property
    def stated(self) -> float | tuple[float, float]:
        """The limit as the result file has it: one number, or low and high."""
        low, high = self.low, self.high
        if low is not None and high is not None and low < high:
            return (low, high)
        return self.amount.value

    @property
    def opposite(self) -> Limit:
        """What holds when this one does not (`no zone covers more than ...`). Raises KeyError for two-sided ones."""
        return Limit(OPPOSITE[self.relation], self.amount)

    @property
    def _half_width(self) -> float:
        """`within 2%` is relative to the limit; points, and amounts with a unit, are absolute."""
        if self.tolerance is None:
            return 0.0
        if self.tolerance.measure == "percent":
            return self.amount.value * self.tolerance.value
        return self.tolerance.in_unit_of(self.amount).value

    def __str__(self) -> str:
        if self.upper is not None:
            return f"between {self.amount} and {self.upper}"
        return f"{self.relation} {self.amount}"

    @property
    def said(self) -> str:
        """With its tolerance: `exactly 20%, within 2%`."""
        return f"{self}{self.within_text}"

    @property
    def within_text(self) -> str:
        """`, within 2%` where there is a tolerance."""
        return "" if self.tolerance is None else f", within {self.tolerance}"

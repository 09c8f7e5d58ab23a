"""Measured values and places as a result file states them: in the challenge's unit, as exact as a float holds them."""

from __future__ import annotations

from collections.abc import Callable

from measure.quantity import FloatArray, Quantity
from measure.result.result_values import Place, Value
from measure.units import Unit, area_from_mm2, from_mm, volume_from_mm3

_DIGITS = 15
"""Significant ones: every decimal number of so many passes through a float unchanged, so that 1.5 stays 1.5."""


def number_of(value: float) -> float:
    """A number without the last bits, which differ between machines; the rest of its digits decide verdicts."""
    return float(f"{value:.{_DIGITS}g}")


def length_in(quantity: Quantity | None, unit: Unit) -> Value | None:
    """A length in mm, in the unit."""
    return _value(quantity, unit, from_mm)


def area_in(quantity: Quantity | None, unit: Unit) -> Value | None:
    """An area in mm2, in the unit's square."""
    return _value(quantity, unit, area_from_mm2)


def volume_in(quantity: Quantity | None, unit: Unit) -> Value | None:
    """A volume in mm3, in the unit's cube."""
    return _value(quantity, unit, volume_from_mm3)


def places_in(points: FloatArray, unit: Unit) -> tuple[Place, ...]:
    """Points (n, 2) in mm, in the unit."""
    return tuple((number_of(from_mm(float(x), unit)), number_of(from_mm(float(y), unit))) for x, y in points)


def _value(quantity: Quantity | None, unit: Unit, convert: Callable[[float, Unit], float]) -> Value | None:
    if quantity is None:
        return None
    return Value(number_of(convert(quantity.value, unit)), number_of(convert(quantity.u95, unit)))

"""One hand-measured value as it was written: its number, its unit, how finely it is written."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from measure.numbers import NUMBER_PATTERN, number_from_words
from measure.ruler_readings import division_as_written
from measure.units import LengthUnit, unit_named

_NUMBER = re.compile(NUMBER_PATTERN, re.VERBOSE | re.IGNORECASE)
_POWER_WORDS = re.compile(r"\b(?:sq|square|squared|cu|cubic|cubed)\b\.?|[²³]|\^?[23]$", re.IGNORECASE)
_COUNTED = {"square": 2, "squares": 2, "whole squares": 2, "cube": 3, "cubes": 3, "unit cubes": 3}


@dataclass(frozen=True)
class Written:
    """A number, the digits as they stand ("5 3/8", "13.2"), and what follows it.

    counted is 2 for a number of squares, 3 for a number of cubes, else 0; step is the finest step that the number's
    form shows.
    """

    number: Fraction
    digits: str
    step: Fraction
    unit: LengthUnit | None = None
    percent: bool = False
    counted: int = 0


def read_written(text: str) -> Written:
    """What a cell with a decimal point says: `5 3/8`, `13 cm`, `20%`, `41 sq in`, `40 squares`.

    Raises ValueError, saying what would be right.
    """
    plain = text.strip().lstrip("+=~≈").strip()
    found = _NUMBER.match(plain)
    if not found:
        raise ValueError(f'"{text[:40]}" is not a number such as 13.2 or 5 3/8')
    number, digits = number_from_words(found[0]), found[0].strip()
    words = " ".join(plain[found.end() :].split()).rstrip(".")
    step = _step(digits, number)
    if words in ("%", "percent", "per cent"):
        return Written(number, digits, step, percent=True)
    if words.casefold() in _COUNTED:
        return Written(number, digits, step, counted=_COUNTED[words.casefold()])
    unit = unit_named(_POWER_WORDS.sub(" ", words).strip()) if words else None
    if words and unit is None:
        raise ValueError(f'"{text[:40]}" has "{words[:20]}" behind its number; write the number and in, cm or mm')
    return Written(number, digits, step, unit)


def _step(digits: str, number: Fraction) -> Fraction:
    """The finest step shown; of a fraction as written, so 1/8 for 6/8."""
    under = re.search(r"[/⁄]\s?(\d+)", digits)
    if under:
        return Fraction(1, max(1, int(under[1])))
    try:
        return division_as_written(digits)
    except ValueError:
        return Fraction(1, number.denominator)

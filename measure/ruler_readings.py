"""What a length read on a ruler is worth: how finely it was read, and the uncertainty that follows."""

from __future__ import annotations

import math
import re
from fractions import Fraction

from measure.units import parse_number


def reading_u(division: float) -> float:
    """Standard uncertainty of a length read between two marks, in the unit of the smallest division.

    Each end is read to half a division either way, all places equally likely: a rectangular distribution of half-width
    division / 2, whose standard uncertainty is the half-width over the square root of 3 (JCGM 100:2008, 4.3.7).  A
    length has two such ends, independent of each other, so division / sqrt(6): 0.41 mm on a millimetre ruler.
    """
    half_width = division / 2
    return math.sqrt(2.0) * half_width / math.sqrt(3.0)


def division_as_written(number: str) -> Fraction:
    """The finest step that a number's form shows: 1/8 for `5 3/8`, 0.1 for `13.0`, 1 for `7`.

    Raises ValueError where it is no number.
    """
    value = parse_number(number)
    decimals = re.search(r"\.(\d*)\s*$", number)
    if decimals:
        return Fraction(1, 10 ** len(decimals[1]))
    return Fraction(1, value.denominator)

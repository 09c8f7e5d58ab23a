"""How uncertain a hand measurement is: from its method, the smallest division read, and guessing the tape's middle.

| cause | standard uncertainty | source |
| --- | --- | --- |
| one end of a length, read | division / (2 sqrt 3) | half a division either way, rectangular: JCGM 100:2008, 4.3.7 |
| one end, the tape's middle guessed | width / (4 sqrt 3) | a child's guess lies in the middle half of the tape, all places equally likely: common practice, no source |
| one end, at an edge of the tape, or on a drawn line; never less | 1 / sqrt 3 mm | common practice, no source |
| the ruler's scale | 0.1 % of a length | 0.5 mm over 300 mm, rectangular: class II, UK S.I. 2016/1153, Sch. 1I |
| squares counted, the cut ones as halves | see `measure.hand.values.squares` | worked out on the outline itself |
| squares counted, one more or less | square / sqrt 12 | half a square either way, rectangular: JCGM 100:2008, 4.3.7 |
| cubes counted | cube / sqrt 12 in each direction | half a cube either way, rectangular: JCGM 100:2008, 4.3.7 |
| a string laid along a line, and stretched out | 1 % of the length | it cuts curves short and stretches: common practice, no source |
| a worked-out number, rounded | last place / sqrt 12 | half a place either way, rectangular: JCGM 100:2008, 4.3.7 |

Lengths have two ends; an area by formula moves by each side's length times the place of that side, sides independent.
"""  # noqa: E501  (a table's row is one line)

from __future__ import annotations

import math

from measure.hand.values.hand_table import Method
from measure.plat.offset import TapeEdge
from measure.quantity import COVERAGE_FACTOR
from measure.ruler_readings import reading_u

RULER_SCALE = 0.5 / math.sqrt(3.0) / 300.0
"""Relative standard uncertainty of a school ruler's scale."""
STRING = 0.01
"""Relative standard uncertainty of a length by a string laid along a line."""
_AT_AN_EDGE = 1.0 / math.sqrt(3.0)


def placing_u(width: float, edge: TapeEdge) -> float:
    """Standard uncertainty in mm of where on a tape of that width (mm) a child puts the line that is measured."""
    middle = width / (4.0 * math.sqrt(3.0)) if edge == "middle" else 0.0
    return max(middle, _AT_AN_EDGE)


def end_u(division: float, placing: float) -> float:
    """One end of a length in mm: read to the division (mm), placed on the tape."""
    return math.hypot(reading_u(division) / math.sqrt(2.0), placing)


def cube_u(side: float) -> float:
    """One direction of a heap of cubes with that side, in mm."""
    return side / math.sqrt(12.0)


def rounding_u(step: float, method: Method) -> float:
    """A number that was worked out and rounded to a step; a length that was read is rounded to its division."""
    return step / math.sqrt(12.0) if method not in ("ruler", "string") else 0.0


def scale_u(value: float, power: int) -> float:
    """The part that the ruler's scale has in a value of that power of a length."""
    return RULER_SCALE * power * abs(value)


def expanded(u: float) -> float:
    """The expanded uncertainty at 95 %."""
    return COVERAGE_FACTOR * u

"""What rules allow of a quantity, for advice to who writes them."""

from __future__ import annotations

import math
from collections.abc import Hashable
from dataclasses import dataclass

from measure.rules.amounts import Limit


@dataclass(frozen=True)
class Most:
    """The most that a quantity can be, in mm, mm2 or plain numbers, and what that is called."""

    value: float
    words: str


@dataclass(frozen=True)
class Range:
    """What one rule allows of one quantity, in mm, mm2 or plain numbers.

    Two ranges are of the same quantity where `quantity` is the same; area_of names the zone where it is one's area.
    """

    quantity: Hashable
    words: str
    low: float
    high: float
    strict: bool = False
    area_of: str = ""


def allowed(limit: Limit, quantity: Hashable, words: str, *, scale: float = 1.0, area_of: str = "") -> Range:
    """The range that a limit leaves; scale is applied to its ends, besides its unit's mm."""
    low, high = limit.bounds_mm
    return Range(
        quantity,
        words,
        0.0 if low is None else low * scale,
        math.inf if high is None else high * scale,
        limit.strict,
        area_of,
    )

"""The widest gap that must be bridged so that several things hang together: a number in mm with its uncertainty.

What hangs together if gaps up to a threshold count as none only grows with the threshold.  So there is a least
threshold: the smallest over all ways of the largest gap on the way.  Where several gaps may or may not be within the
limit, the threshold is worked out anew in every draw of all of them together.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from measure.quantity import FloatArray, Quantity

Holds = Callable[[frozenset[int]], bool]
"""Whether it holds where the gaps of these numbers are none; of more gaps it holds as well."""
_CERTAIN = 6.0
"""Standard uncertainties from the limit beyond which a gap is within it, or not, for certain."""
_MOST_OPEN = 8
"""Gaps in doubt that are drawn together; of more, those nearest to the limit."""


@dataclass(frozen=True, eq=False, kw_only=True)
class Bottleneck(Quantity):
    """A least threshold; value and sensitivity are those of the gap that decides as measured.

    gaps are those in doubt; in a draw it is the smallest over `ways` (their places in gaps) of the largest of each.
    """

    gaps: tuple[Quantity, ...]
    ways: tuple[tuple[int, ...], ...]

    @property
    def linear(self) -> bool:
        """It is not: which gap decides differs from draw to draw."""
        return False

    @property
    def parts(self) -> tuple[Quantity, ...]:
        """The gaps in doubt."""
        return self.gaps

    def drawn(self, parts: FloatArray) -> FloatArray:
        """The threshold for gaps (draws, n), shape (draws,)."""
        return np.asarray(np.min([parts[:, list(way)].max(axis=1) for way in self.ways], axis=0))

    def __mul__(self, factor: Quantity | float) -> Quantity:
        """Larger or smaller as a whole; with another quantity, or turned round, only the linear part is left."""
        linear = super().__mul__(factor)
        if isinstance(factor, Quantity) or factor <= 0:
            return linear
        gaps = tuple(gap * factor for gap in self.gaps)
        return Bottleneck(linear.value, linear.sensitivity, gaps=gaps, ways=self.ways)


def bottleneck(gaps: Sequence[Quantity], limit: float, holds: Holds) -> tuple[Quantity, int] | None:
    """The least threshold in mm at which it holds, and the number of the gap that decides as measured.

    limit says which gaps are in doubt.  None where it does not hold even where all gaps are none; where it holds
    without any, the threshold is the smallest gap's, or 0 without one, and the number -1.
    """
    order = sorted(range(len(gaps)), key=lambda at: gaps[at].value)
    count = _fewest(order, holds)
    if count is None:
        return None
    if count == 0:
        return Quantity(min((gap.value for gap in gaps), default=0.0)), -1
    deciding = order[count - 1]
    gap = gaps[deciding]
    if not _in_doubt(gap, limit):
        return gap, deciding
    sure = frozenset(at for at in order if gaps[at].value <= limit and not _in_doubt(gaps[at], limit))
    doubtful = sorted((at for at in order if _in_doubt(gaps[at], limit)), key=lambda at: abs(gaps[at].value - limit))
    kept = sorted({deciding, *doubtful[:_MOST_OPEN]})
    ways = _least_ways(kept, sure, holds)
    if not ways or len(kept) == 1:
        return gap, deciding
    parts = tuple(gaps[at] for at in kept)
    return Bottleneck(gap.value, gap.sensitivity, gaps=parts, ways=ways), deciding


def _in_doubt(gap: Quantity, limit: float) -> bool:
    return abs(gap.value - limit) <= _CERTAIN * gap.u


def _fewest(order: Sequence[int], holds: Holds) -> int | None:
    """How many of the smallest gaps must be none so that it holds; it only grows with them."""
    if not holds(frozenset(order)):
        return None
    low, high = 0, len(order)
    while low < high:
        middle = (low + high) // 2
        if holds(frozenset(order[:middle])):
            high = middle
        else:
            low = middle + 1
    return low


def _least_ways(kept: Sequence[int], sure: frozenset[int], holds: Holds) -> tuple[tuple[int, ...], ...]:
    """The smallest sets of kept gaps with which, and what is sure, it holds; each by places in kept."""
    ways: list[tuple[int, ...]] = []
    for size in range(1, len(kept) + 1):
        for way in combinations(range(len(kept)), size):
            smaller = any(set(known) <= set(way) for known in ways)
            if not smaller and holds(sure | {kept[at] for at in way}):
                ways.append(way)
    return tuple(ways)

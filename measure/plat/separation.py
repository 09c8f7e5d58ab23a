"""The signed separation of two outlines, with its uncertainty and everything that competes for being the smallest.

Positive, it is the smallest gap.  Negative, it is how deep one outline's line reaches into the other's land: the
largest distance from a point of either outline inside the other's land to the other's outline; or, where that is more,
the diameter of the largest circle in the land that both share, for outlines that lie upon each other.  The separation
is symmetric and runs through 0 without a jump; no part of it moves faster than the outlines do.  (The smallest
translation that would part the two is another depth; it agrees for strips laid over one another, but for a zone that
fits into another's bay with a sliver of overlap on each side it is the whole way out of the bay.)
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from measure.plat.depth import deepest
from measure.plat.nearest_pairs import facing
from measure.plat.regions import Region
from measure.quantity import Quantity

Point = tuple[float, float]
MOST_CANDIDATES = 16
"""Kept at most: more neighbours on a finely stepped curve say nothing new."""
_PLAUSIBLE = 4.0
"""Standard deviations that a candidate may lie above the smallest and still compete."""


@dataclass(frozen=True, eq=False)
class Candidate:
    """One pair of places whose distance may be the smallest: the distance, and the point on either outline, in mm."""

    quantity: Quantity
    between: tuple[Point, Point]
    pieces: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True, eq=False)
class Separation:
    """The smallest signed distance in mm, where it is, between which pieces (zone, index from 1), and its competitors.

    candidates (the smallest first) are jointly normal; the separation is the smallest of them in every draw.
    """

    quantity: Quantity
    between: tuple[Point, Point]
    pieces: tuple[tuple[str, int], ...]
    candidates: tuple[Quantity, ...]


def between_regions(first: Region, second: Region, pieces: tuple[tuple[str, int], ...]) -> list[Candidate]:
    """Candidates for the separation of two regions; empty where a region is."""
    if first.empty or second.empty:
        return []
    found = deepest(first, second) or facing(first, second)
    return [Candidate(quantity, between, pieces) for quantity, between in found]


def smallest(candidates: Iterable[Candidate]) -> Separation | None:
    """The separation that candidates make; None without any."""
    ranked = sorted(candidates, key=lambda candidate: candidate.quantity.value)
    if not ranked:
        return None
    first = ranked[0]
    plausible = _plausible([candidate.quantity for candidate in ranked])
    return Separation(first.quantity, first.between, first.pieces, tuple(plausible))


def _plausible(ranked: Sequence[Quantity]) -> list[Quantity]:
    """Those that could be smaller than the first, given the uncertainty of the difference."""
    first = ranked[0]
    chosen = [first]
    for other in ranked[1:]:
        if len(chosen) == MOST_CANDIDATES:
            break
        difference = other - first
        if difference.value <= _PLAUSIBLE * difference.u + 1e-9 and not _known(other, chosen):
            chosen.append(other)
    return chosen


def _known(quantity: Quantity, others: Sequence[Quantity]) -> bool:
    """Whether the same random variable is there already, as from a corner that two sides share."""
    return any(abs((quantity - other).value) < 1e-9 and (quantity - other).u < 1e-9 for other in others)

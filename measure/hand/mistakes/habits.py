"""How a class measures, read from its own numbers: how carefully, and how often something happens that has no name.

The weights of what may have happened to a number that does not agree are estimated by expectation maximisation
(Dempster, Laird and Rubin, 1977; from memory): each number is shared out among the causes by their weights, and the
weights follow from the shares. A few numbers change little: the start counts as much as `_STARTING_ROWS` of them.
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass

from measure.hand.mistakes.mistake_codes import CARELESS, MISTAKEN, NEIGHBOUR_SIDE, UNEXPLAINED

_STARTING_ROWS = 12
_STARTING_SCATTER_ROWS = 20
_LEAST_SCATTER = 0.5
_ROUNDS = 30
_MEDIAN_OF_NORMAL = 0.6745
"""The median of a standard normal variable's absolute value."""


@dataclass(frozen=True)
class Weighed:
    """How likely a number is, were each of the causes what happened; in one over the number's own unit."""

    listed: float
    unexplained: float
    careless: float
    neighbour: float


@dataclass(frozen=True)
class Habits:
    """Weights of what may have happened to a number that does not agree."""

    listed: float = MISTAKEN
    unexplained: float = UNEXPLAINED
    careless: float = CARELESS


def habits_of(numbers: Sequence[Weighed]) -> Habits:
    """The weights that make these numbers, which do not agree, most likely."""
    start = Habits()
    whole = start.listed + start.unexplained + start.careless
    found = start
    for _ in range(_ROUNDS):
        counts = [_STARTING_ROWS * part / whole for part in (start.listed, start.unexplained, start.careless)]
        for number in numbers:
            shares = _shares(number, found)
            counts = [count + share for count, share in zip(counts, shares, strict=True)]
        total = sum(counts)
        found = Habits(*(whole * count / total for count in counts))
    return found


def scatter_of(z: Sequence[float]) -> float:
    """How far right numbers lie from the true ones, in the standard uncertainties taken of them, at most 1.

    z are the differences of all numbers that agree in these uncertainties, those beyond 2 left out. A robust standard
    deviation, from the median; never below half of what was taken.
    """
    if not z:
        return 1.0
    found = statistics.median(abs(each) for each in z) / _MEDIAN_OF_NORMAL
    held = (len(z) * found**2 + _STARTING_SCATTER_ROWS) / (len(z) + _STARTING_SCATTER_ROWS)
    return min(1.0, max(_LEAST_SCATTER, math.sqrt(held)))


def _shares(number: Weighed, habits: Habits) -> tuple[float, float, float]:
    """How much of a number each cause with a weight of its own accounts for."""
    parts = (
        habits.listed * number.listed,
        habits.unexplained * number.unexplained,
        habits.careless * number.careless,
    )
    total = sum(parts) + NEIGHBOUR_SIDE * number.neighbour
    if total <= 0:
        return 0.0, 1.0, 0.0
    return parts[0] / total, parts[1] / total, parts[2] / total

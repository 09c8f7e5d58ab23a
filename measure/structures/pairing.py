"""Which structure that photos show is which row of a table, and whether the two agree (the En number)."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from measure.agreement import agrees, en_number
from measure.quantity import Quantity
from measure.structures.standing import Seen
from measure.structures.structure_rows import Structure

_OTHER_SOLID, _NOT_KNOWN, _VOLUME = 1.0, 0.5, 0.3
"""What another solid, and a height that is not known, count for in a pair, beside the logarithm of its heights' ratio;
and what the logarithm of its volumes' ratio counts for."""
_NEVER = 1e6
MOST_ALIKE = 200
"""Structures of one row that are looked for one by one."""
Measure = Literal["height", "volume"]
_May = Callable[[Structure, Seen], bool]


@dataclass(frozen=True, eq=False)
class Pair:
    """A structure of a row and of the photos that are the same one."""

    row: Structure
    seen: Seen

    def en(self, measure: Measure) -> float | None:
        """(hand - photos) / sqrt(U_hand^2 + U_photos^2), one of `count` alike; None where one of the two is unknown."""
        hand, photos = self.values(measure)
        if hand is None or photos is None:
            return None
        return en_number(hand.value, hand.u95, photos.value, photos.u95)

    def values(self, measure: Measure) -> tuple[Quantity | None, Quantity | None]:
        """By hand and by the photos, in mm or mm3."""
        if measure == "height":
            return self.row.height, self.seen.solid.height
        return _volume_of_one(self.row), self.seen.solid.volume

    @property
    def apart(self) -> tuple[Measure, ...]:
        """What the two do not agree about: an En above 1."""
        ens = ((measure, self.en(measure)) for measure in _MEASURES)
        return tuple(measure for measure, en in ens if en is not None and not agrees(en))


_MEASURES: tuple[Measure, ...] = ("height", "volume")


def paired(rows: Sequence[Structure], seen: Sequence[Seen]) -> tuple[Pair, ...]:
    """The pairs, zone by zone; then those that a table has in another zone, where solid and height are the same.

    A zone's structures are paired so that solids, heights and volumes differ least in all: what the photos show is a
    row's as long as the table has one left.
    """
    slots = [row for row in rows for _ in range(min(row.pieces, MOST_ALIKE))]
    near = _assigned(slots, seen, lambda row, one: row.row.zone == one.zone)
    left = [row for at, row in enumerate(slots) if at not in near]
    rest = [one for at, one in enumerate(seen) if at not in near.values()]
    far = _assigned(left, rest, _same_elsewhere)
    made = [Pair(slots[a], seen[b]) for a, b in near.items()] + [Pair(left[a], rest[b]) for a, b in far.items()]
    return tuple(sorted(made, key=lambda pair: pair.seen.number))


def _same_elsewhere(row: Structure, one: Seen) -> bool:
    """Whether a row in another zone is the structure all the same."""
    en = Pair(row, one).en("height")
    return one.called(row.row.solid) and en is not None and agrees(en)


def _assigned(rows: Sequence[Structure], seen: Sequence[Seen], may: _May) -> dict[int, int]:
    """The places of rows, each with that of what is seen."""
    if not rows or not seen:
        return {}
    from scipy.optimize import linear_sum_assignment  # most models have nothing to pair, and wait for no library

    costs = np.array([[_cost(row, one) if may(row, one) else _NEVER for one in seen] for row in rows])
    found = zip(*linear_sum_assignment(costs), strict=True)
    return {int(a): int(b) for a, b in found if costs[a, b] < _NEVER}


def _cost(row: Structure, one: Seen) -> float:
    solid = one.solid
    ratios = _log_ratio(row.height, solid.height) + _VOLUME * _log_ratio(_volume_of_one(row), solid.volume)
    return ratios + (0.0 if one.called(row.row.solid) else _OTHER_SOLID)


def _log_ratio(a: Quantity | None, b: Quantity | None) -> float:
    if a is None or b is None or min(a.value, b.value) <= 0:
        return _NOT_KNOWN
    return abs(math.log(a.value / b.value))


def _volume_of_one(row: Structure) -> Quantity | None:
    return None if row.volume is None else row.volume * (1.0 / row.pieces)


def apart(pairs: Sequence[Pair]) -> Iterator[tuple[Pair, Measure]]:
    """Every pair that does not agree, once a quantity."""
    yield from ((pair, measure) for pair in pairs for measure in pair.apart)

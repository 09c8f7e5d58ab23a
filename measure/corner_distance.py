"""How far two corners that face each other are apart: no linear measure where they may well be at the same place.

Seen from the one corner, what the other may not come upon without an overlap is a wedge: the directions of both
corners' sides, the other's turned round, span it (the Minkowski difference of the two corners).  The gap is the
distance of the other corner from this wedge: from its tip, where neither side serves, else from the nearer of its two
lines; within it, it is negative.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from measure.quantity import FloatArray, Quantity

_HALF_TURN = np.pi * (1 - 1e-9)


@dataclass(frozen=True, eq=False, kw_only=True)
class CornerDistance(Quantity):
    """A distance in mm whose value and sensitivity are linear, and the place of the other corner that it hangs on.

    offset: across and down from the one corner to the other; edges (2, 2): unit vectors along the wedge's two lines.
    """

    offset: tuple[Quantity, Quantity]
    edges: FloatArray

    @property
    def linear(self) -> bool:
        """It is not, unless the other corner's place is exact."""
        return not any(part.u > 0 for part in self.offset)

    @property
    def parts(self) -> tuple[Quantity, ...]:
        """The place of the other corner."""
        return self.offset

    def drawn(self, parts: FloatArray) -> FloatArray:
        """The distance for places (draws, 2) of the other corner, shape (draws,)."""
        return distance_from_wedge(parts, self.edges)

    def __mul__(self, factor: Quantity | float) -> Quantity:
        """Larger or smaller as a whole; with another quantity, or turned round, only the linear part is left."""
        linear = super().__mul__(factor)
        if isinstance(factor, Quantity) or factor <= 0:
            return linear
        across, down = (part * factor for part in self.offset)
        return CornerDistance(linear.value, linear.sensitivity, offset=(across, down), edges=self.edges)


def wedge(sides: Sequence[FloatArray]) -> FloatArray | None:
    """The two unit vectors (2, 2) that bound all the directions given; None where they span half a turn or more."""
    units = np.array([side / max(float(np.hypot(*side)), 1e-12) for side in sides])
    angles = np.arctan2(units[:, 1], units[:, 0])
    order = np.argsort(angles)
    free = np.diff(np.append(angles[order], angles[order[0]] + 2 * np.pi))
    widest = int(np.argmax(free))
    if free[widest] < _HALF_TURN:
        return None
    return np.asarray(units[order[[(widest + 1) % len(order), widest]]])


def distance_from_wedge(places: FloatArray, edges: FloatArray) -> FloatArray:
    """Signed distances (n,) of places (n, 2) from a wedge with its tip at the origin."""
    first, last = edges
    beside = np.maximum(places @ [first[1], -first[0]], places @ [-last[1], last[0]])
    beyond_tip = (places @ first < 0) & (places @ last < 0)
    return np.asarray(np.where(beyond_tip, np.hypot(places[:, 0], places[:, 1]), beside))

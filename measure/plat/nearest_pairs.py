"""Corners of one outline against sides of another: the pairs among which the smallest gap is found.

The smallest distance between two lines that do not cross is always from a corner of one to a side of the other.
Where the corner's foot lies within the side, the distance is counted along the side's outward normal; this runs
smoothly through 0 and its gradient is exact to first order (the side's turning about the foot does not matter).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import shapely

from measure.plat.corner_pairs import corner_distance
from measure.plat.outline import Sides
from measure.plat.regions import Region
from measure.quantity import FloatArray, Quantity

Place = tuple[float, float]
Found = tuple[Quantity, tuple[Place, Place]]
MOST_PAIRS = 64
_TOUCHING = 1e-9


def facing(first: Region, second: Region) -> list[Found]:
    """Signed distances of the nearest corners and sides, (quantity, (point on the first, point on the second))."""
    forth, back = _Pairs(first.sides, second), _Pairs(second.sides, first)
    nearest = min(forth.nearest, back.nearest)
    reach = nearest + 12.0 * max(_largest_u(first.sides), _largest_u(second.sides)) + _TOUCHING
    pairs = forth.within(reach) + [replace(pair, places=pair.places[::-1]) for pair in back.within(reach)]
    return [(pair.quantity, pair.places) for pair in _once_a_corner(_without_idle_corners(pairs))]


@dataclass(frozen=True, eq=False)
class _Pair:
    quantity: Quantity
    places: tuple[Place, Place]
    on_side: bool
    abreast: bool = True
    """Of two corners in one place: whether the corner's own sides lie ahead of the side whose normal is taken."""


def _without_idle_corners(pairs: list[_Pair]) -> list[_Pair]:
    """Leave out two corners of which one stands no further off from a side.

    Such corners come about where two sides face each other with their ends abreast: they slide past each other, and
    near 0 their distance would read the sliding as closing in.
    """
    served: dict[Place, float] = {}
    for pair in pairs:
        if pair.on_side:
            for place in pair.places:
                served[place] = min(served.get(place, np.inf), pair.quantity.value)
    return [pair for pair in pairs if pair.on_side or pair.quantity.value < _least(served, pair.places)]


def _once_a_corner(pairs: list[_Pair]) -> list[_Pair]:
    """Of two corners in one place keep one direction, one that parts the two where there is one.

    Across it they slide: two zones that abut with their ends abreast part sideways, not lengthwise.
    """
    kept: dict[Place, _Pair] = {}
    for pair in sorted(pairs, key=lambda pair: not pair.abreast):
        if _in_one_place(pair):
            kept.setdefault(pair.places[0], pair)
    return [pair for pair in pairs if not _in_one_place(pair)] + list(kept.values())


def _in_one_place(pair: _Pair) -> bool:
    return not pair.on_side and pair.quantity.value < _TOUCHING


def _least(served: dict[Place, float], places: tuple[Place, Place]) -> float:
    return min(served.get(place, np.inf) for place in places)


class _Pairs:
    """The corners of one region that lie outside the other, against the other's sides."""

    def __init__(self, corners: Sides, other: Region) -> None:
        self.corners, self.sides = corners, other.sides
        self.normal = self.sides.outward / np.maximum(self.sides.lengths, 1e-12)[:, None]
        self.ahead = corners.starts @ self.normal.T - (self.sides.starts * self.normal).sum(axis=1)
        self.share, self.distance = distances(corners.starts, self.sides)
        inside = shapely.contains_xy(other.geometry, corners.starts)
        on_line = self.distance.min(axis=1, initial=np.inf) < _TOUCHING  # a last digit may put it inside
        self.distance[inside & ~on_line] = np.inf
        self.distance[self.ahead < -_TOUCHING] = np.inf  # behind the side: another one is nearer
        self.nearest = float(self.distance.min(initial=np.inf))

    def within(self, reach: float) -> list[_Pair]:
        """The pairs not further apart than reach, nearest first, at most MOST_PAIRS."""
        corner, side = np.nonzero(self.distance <= reach)
        order = np.argsort(self.distance[corner, side], kind="stable")[:MOST_PAIRS]
        return [self._pair(c, s) for c, s in zip(corner[order].tolist(), side[order].tolist(), strict=True)]

    def _pair(self, corner: int, side: int) -> _Pair:
        point, share = self.corners.starts[corner], self.share[corner, side]
        foot, foot_moves = place_on(self.sides, side, share)
        apart = float(self.distance[corner, side])
        on_side = bool(0.0 < share < 1.0)
        direction = self.normal[side] if on_side or apart < _TOUCHING else (point - foot) / apart
        value = float(self.ahead[corner, side]) if on_side else apart
        linear = Quantity(value, direction @ (self.corners.start_moves[corner] - foot_moves))
        quantity = corner_distance(linear, self.corners, corner, self.sides, side, float(share)) or linear
        return _Pair(quantity, (as_place(point), as_place(foot)), on_side, self._abreast(corner, side))

    def _abreast(self, corner: int, side: int) -> bool:
        """Whether the neighbours of a corner lie no further back along a side's normal than the corner, or hardly."""
        point = self.corners.starts[corner]
        before = self.corners.starts[np.hypot(*(self.corners.ends - point).T) < _TOUCHING]
        neighbours = np.vstack([before, self.corners.ends[corner]]) - point
        return bool((neighbours @ self.normal[side] > -0.1 * np.hypot(*neighbours.T)).all())


def place_on(sides: Sides, side: int, share: float) -> tuple[FloatArray, FloatArray]:
    """The point (2,) at a share of a side's length, and its movement (2, k)."""
    point = (1.0 - share) * sides.starts[side] + share * sides.ends[side]
    return point, (1.0 - share) * sides.start_moves[side] + share * sides.end_moves[side]


def distances(points: FloatArray, sides: Sides) -> tuple[FloatArray, FloatArray]:
    """For each point and side where the foot lies along the side (0 to 1), and the distance, both (points, sides)."""
    along = sides.ends - sides.starts
    squared = np.maximum((along**2).sum(axis=1), 1e-24)
    share = np.clip((points @ along.T - (sides.starts * along).sum(axis=1)) / squared, 0.0, 1.0)
    foot = sides.starts + share[..., None] * along
    return share, np.hypot(*np.moveaxis(points[:, None, :] - foot, -1, 0))


def _largest_u(sides: Sides) -> float:
    """The largest standard uncertainty of any corner's coordinate, in mm."""
    return float(np.sqrt((sides.start_moves**2).sum(axis=2).max(initial=0.0)))


def as_place(point: FloatArray) -> Place:
    """A point (2,) as plain numbers."""
    return float(point[0]), float(point[1])

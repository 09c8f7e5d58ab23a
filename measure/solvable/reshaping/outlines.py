"""Outlines as a vector of corners that may be moved, and as a plat that knows how it moves with them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from measure.plat.plat import Piece, Plat, Ring
from measure.quantity import FloatArray, Quantity
from measure.solvable.problem.layout import Layout, Placed


@dataclass(frozen=True, eq=False)
class Outlines:
    """Every piece's corners (n, 2) in mm, clockwise in the picture; fixed ones, keep-clear zones', do not move."""

    width: float
    depth: float
    zones: tuple[str, ...]
    corners: tuple[FloatArray, ...]
    fixed: tuple[bool, ...]

    @property
    def vector(self) -> FloatArray:
        """All coordinates that may be moved, x and y of corner by corner."""
        return np.concatenate(
            [np.zeros(0), *(c.ravel() for c, f in zip(self.corners, self.fixed, strict=True) if not f)]
        )

    def at(self, vector: FloatArray) -> Outlines:
        """The same outlines with their corners where the vector says."""
        made, start = [], 0
        for corners, fixed in zip(self.corners, self.fixed, strict=True):
            size = 0 if fixed else corners.size
            made.append(corners if fixed else vector[start : start + size].reshape(-1, 2))
            start += size
        return Outlines(self.width, self.depth, self.zones, tuple(made), self.fixed)

    @property
    def sound(self) -> bool:
        """Whether every outline is a simple polygon of some size."""
        return all(ring.is_valid and ring.area > 1.0 for ring in map(shapely.Polygon, self.corners))

    def plat(self) -> Plat:
        """The plat whose sources are the vector's entries, each worth 1 mm."""
        count, start, pieces = len(self.vector), 0, []
        for zone, corners, fixed in zip(self.zones, self.corners, self.fixed, strict=True):
            moves = np.zeros((len(corners), 2, count))
            if not fixed:
                moves.reshape(corners.size, count)[:, start : start + corners.size] = np.eye(corners.size)
                start += corners.size
            pieces.append(Piece(zone, Ring(corners, moves), Quantity(0.0)))
        return Plat(self.width, self.depth, tuple(pieces), (), "given")

    def turns(self) -> Iterator[Quantity]:
        """Twice the area of each triangle of three corners in a row, in mm2: not below 0 where an outline is convex."""
        count, start = len(self.vector), 0
        for corners, fixed in zip(self.corners, self.fixed, strict=True):
            if not fixed:
                yield from _turns(corners, start, count)
                start += corners.size

    def layout(self) -> Layout:
        """The outlines as a layout, in hundredths of a mm, without corners on straight sides."""
        rings = (shapely.Polygon(np.round(corners, 2)).simplify(1e-3) for corners in self.corners)
        rows = (shapely.get_coordinates(ring.exterior)[:-1].tolist() for ring in rings)
        placed = (Placed(z, (), corners=tuple((x, y) for x, y in r)) for z, r in zip(self.zones, rows, strict=True))
        return Layout(self.width, self.depth, tuple(placed))


def outlines_of(layout: Layout, rings: Sequence[FloatArray], fixed: Sequence[bool]) -> Outlines:
    """The layout's pieces with these corners; they are turned clockwise in the picture."""
    turned = tuple(ring if _area(ring) > 0 else ring[::-1] for ring in rings)
    return Outlines(layout.width, layout.depth, tuple(p.zone for p in layout.pieces), turned, tuple(fixed))


def _area(ring: FloatArray) -> float:
    ahead = np.roll(ring, -1, axis=0)
    return float((ring[:, 0] * ahead[:, 1] - ring[:, 1] * ahead[:, 0]).sum()) / 2


def _turns(corners: FloatArray, start: int, count: int) -> Iterator[Quantity]:
    n = len(corners)
    for at in range(n):
        before, own, after = at - 1, at, (at + 1) % n
        (ax, ay), (bx, by), (cx, cy) = corners[before], corners[own], corners[after]
        moves = np.zeros(count)
        for corner, slope in ((before % n, (by - cy, cx - bx)), (own, (cy - ay, ax - cx)), (after, (ay - by, bx - ax))):
            moves[start + 2 * corner : start + 2 * corner + 2] += slope
        yield Quantity(float((bx - ax) * (cy - by) - (by - ay) * (cx - bx)), moves)

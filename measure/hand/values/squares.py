"""Counting squares on an outline: what a child may count, over many ways to lay the clear grid.

The grid is laid on the outline itself in a fixed set of ways: along the parcel's sides and along the outline's longest
side, from a corner and shifted, and turned.  Each way gives the number of whole squares and of cut ones; an area is
the whole squares and half of the cut ones.  How far that scatters about the true area is the method's own uncertainty
(nothing is taken from a table: the published rules for dot grids hold for hundreds of dots, a class counts tens).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import affinity

from measure.quantity import FloatArray

_SHIFTS = (0.0, 0.125, 0.375, 0.625, 0.875)
"""Of a square: from a corner, and anywhere (the middles of four equal parts)."""
_TURNS = (0.3, 0.75, 1.2)
"""Radians, beside the two directions that children choose."""
_MOST_CELLS = 1000
"""Squares in one way of laying the grid; finer grids are taken by the average of many."""
_CUT_PER_LENGTH = 4.0 / math.pi
"""Squares that a long line cuts, per side of a square of its length, over all directions (Buffon; Cauchy-Crofton)."""


@dataclass(frozen=True, eq=False)
class Counts:
    """Areas in mm2 by counting, one for each way to lay the grid: the whole squares alone, and with the cut halves.

    halves has only the ways along a side, which children choose and which scatter most.
    """

    whole: FloatArray
    halves: FloatArray

    def u(self, area: float) -> float:
        """Standard uncertainty in mm2 of whole squares and half the cut ones, about the true area."""
        return float(np.sqrt(np.mean((self.halves - area) ** 2)))


def counts(polygon: shapely.Polygon, side: float) -> Counts:
    """What counting squares of that side (mm) on the polygon (mm) gives."""
    minx, miny, maxx, maxy = polygon.bounds
    if (maxx - minx) * (maxy - miny) > _MOST_CELLS * side**2:
        return _of_a_fine_grid(polygon, side)
    found = np.array([_counted(laid, side) for laid in _ways(polygon, side)])
    whole, cut = found.T * side**2
    chosen = len(whole) - len(_TURNS) * len(_SHIFTS[1::2]) ** 2
    return Counts(whole, (whole + 0.5 * cut)[:chosen])


def _ways(polygon: shapely.Polygon, side: float) -> Iterator[shapely.Polygon]:
    """The polygon as it lies on a grid whose lines are the multiples of side."""
    directions = [0.0] if abs(math.sin(2.0 * _longest(polygon))) < 1e-3 else [0.0, -_longest(polygon)]
    for turn in (*directions, *_TURNS):
        turned = affinity.rotate(polygon, turn, origin=(0, 0), use_radians=True)
        x, y = turned.bounds[:2]
        shifts = _SHIFTS if turn in directions else _SHIFTS[1::2]
        for right in shifts:
            for down in shifts:
                yield affinity.translate(turned, right * side - x, down * side - y)


def _counted(laid: shapely.Polygon, side: float) -> tuple[int, int]:
    """Whole squares, and squares that are cut: touching along a line is neither."""
    columns, rows = (math.ceil(far / side - 1e-9) for far in laid.bounds[2:])
    x, y = np.meshgrid(np.arange(columns) * side, np.arange(rows) * side)
    shapely.prepare(laid)
    slack = 1e-6 * side
    cells = shapely.box(x.ravel() + slack, y.ravel() + slack, x.ravel() + side - slack, y.ravel() + side - slack)
    whole = shapely.covers(laid, cells)
    return int(whole.sum()), int(shapely.intersects(laid, cells).sum() - whole.sum())


def _longest(polygon: shapely.Polygon) -> float:
    """The direction of the longest side, in radians."""
    along = np.diff(shapely.get_coordinates(polygon.exterior), axis=0)
    x, y = along[np.argmax(np.hypot(*along.T))]
    return math.atan2(y, x)


def _of_a_fine_grid(polygon: shapely.Polygon, side: float) -> Counts:
    cut = _CUT_PER_LENGTH * polygon.length / side
    spread = side**2 * math.sqrt(cut) * np.array([-1.0, 1.0])
    whole = polygon.area - 0.5 * cut * side**2 + 0.5 * spread
    return Counts(whole, polygon.area + spread / math.sqrt(12.0))

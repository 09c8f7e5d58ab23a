"""Areas that straight lines enclose, each with the line that bounds every side of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, Polygon
from shapely.ops import polygonize, unary_union

from calib.edges import FloatArray
from vision.find.closing import LEAST_TURN, SPARE
from vision.find.rough_outlines import Found

ON_LINE = 1e-3
"""A point this near to a line is on it, mm."""


@dataclass(frozen=True, eq=False)
class Line:
    """What may bound a zone, from start to end: an own strip, a side of another outline, or the parcel's edge."""

    start: FloatArray
    end: FloatArray
    strip: int = -1
    lender: Found | None = None
    edge: int = -1

    @property
    def segment(self) -> LineString:
        """As shapely's."""
        return LineString([self.start, self.end])

    @property
    def half(self) -> float:
        """Half the width of a neighbour's strip; 0 for the parcel's edge."""
        return self.lender.width / 2 if self.lender else 0.0


@dataclass(frozen=True, eq=False)
class Side:
    """One side of an enclosed area, from start to end (2,) mm, and what it lies on."""

    line: Line
    start: FloatArray
    end: FloatArray

    @property
    def length(self) -> float:
        """Length, mm."""
        return float(np.linalg.norm(self.end - self.start))

    @property
    def direction(self) -> FloatArray:
        """Unit direction."""
        return np.asarray((self.end - self.start) / self.length)


def enclosed(lines: Sequence[Line]) -> list[list[Side]]:
    """The sides of every area that the lines enclose, clockwise in the picture; the smallest area first."""
    segments = np.array([line.segment for line in lines])
    faces = sorted(polygonize(unary_union(segments)), key=lambda face: float(face.area))
    rings = [_ring(Polygon(face.exterior), lines, segments) for face in faces]
    return [ring for ring in rings if ring is not None]


def _ring(face: Polygon, lines: Sequence[Line], segments: NDArray[np.object_]) -> list[Side] | None:
    """The sides of an enclosed area, clockwise in the picture, by what bounds them; None where that is not plain."""
    corners = np.asarray(shapely.geometry.polygon.orient(face, 1.0).exterior.coords)
    sides: list[Side] = []
    for start, end in pairwise(corners):
        line = _under((start + end) / 2, lines, segments)
        if line is None:
            return None
        if sides and sides[-1].line is line:
            start = sides.pop().start
        sides.append(Side(line, start, end))
    if len(sides) > 1 and sides[0].line is sides[-1].line:
        sides[0] = Side(sides[0].line, sides.pop().start, sides[0].end)
    sides = _without_slivers(sides)
    return sides if len(sides) >= 3 else None


def _without_slivers(sides: list[Side]) -> list[Side]:
    """Leave out short stretches of a neighbour's side that run on along an own strip: its corner lies under it."""
    for i, side in enumerate(sides):
        if side.line.lender is None or side.length > 2 * side.line.half + 2 * SPARE or len(sides) <= 3:
            continue
        for step in (-1, 1):
            j = (i + step) % len(sides)
            own = sides[j]
            if own.line.strip >= 0 and own.direction @ side.direction > np.cos(np.arcsin(LEAST_TURN)):
                whole = Side(own.line, *((own.start, side.end) if step < 0 else (side.start, own.end)))
                return _without_slivers([whole if k == j else s for k, s in enumerate(sides) if k != i])
    return sides


def _under(point: FloatArray, lines: Sequence[Line], segments: NDArray[np.object_]) -> Line | None:
    """The line that a point lies on, an own strip first."""
    near = np.flatnonzero(shapely.distance(segments, shapely.Point(point)) < ON_LINE)
    return min((lines[int(i)] for i in near), key=lambda line: line.strip < 0, default=None)

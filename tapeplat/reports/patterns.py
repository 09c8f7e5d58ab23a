"""Fills that stay apart in a grey print: lines, dots and crosses, cut to a zone's outline.

A pattern is the same wherever it lies on a page (it is anchored to the page, not to the shape), so that a zone's pieces
and its legend match.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import affinity

from measure.quantity import FloatArray

Lines = list[FloatArray]


@dataclass(frozen=True, eq=False)
class Filled:
    """A pattern inside a shape: lines (n, 2) each, the middles of dots (n, 2), in mm; tone is the grey below them."""

    lines: tuple[FloatArray, ...]
    dots: FloatArray
    line_width: float
    dot_radius: float
    tone: float


@dataclass(frozen=True)
class Pattern:
    """A fill: parallel lines (angle in degrees, distance in mm, length of dashes in mm or 0), a lattice of dots."""

    families: tuple[tuple[float, float, float], ...] = ()
    dots: float = 0.0
    line_width: float = 0.18
    tone: float = 1.0


PATTERNS = (
    Pattern(((45, 2.4, 0),)),
    Pattern(dots=2.4),
    Pattern(((0, 2.0, 0),)),
    Pattern(((0, 3.0, 0), (90, 3.0, 0))),
    Pattern(((90, 2.0, 0),)),
    Pattern(tone=0.82),
    Pattern(((135, 2.4, 0),)),
    Pattern(((45, 3.2, 0), (135, 3.2, 0))),
    Pattern(((0, 2.0, 2.0),)),
    Pattern(((45, 1.1, 0),)),
    Pattern(dots=3.4, tone=0.88),
    Pattern(((90, 2.0, 2.0),)),
    Pattern(((135, 1.1, 0),)),
    Pattern(((0, 3.4, 0),), line_width=0.7),
    Pattern(dots=1.4),
    Pattern(((45, 3.4, 0),), line_width=0.7),
)
KEEP_CLEAR = Pattern(((45, 1.3, 0), (135, 1.3, 0)), line_width=0.22, tone=0.9)
DOT_RADIUS = 0.32


def filled(pattern: Pattern, shape: shapely.Geometry) -> Filled:
    """A pattern cut to a shape (mm on the page)."""
    lines = [line for family in pattern.families for line in _lines(*family, shape)]
    dots = _dots(pattern.dots, shape) if pattern.dots else np.zeros((0, 2))
    return Filled(tuple(lines), dots, pattern.line_width, DOT_RADIUS, pattern.tone)


def _lines(angle: float, apart: float, dash: float, shape: shapely.Geometry) -> Iterator[FloatArray]:
    """Parallel lines inside the shape: level ones in the shape turned back, then turned again."""
    if shape.is_empty:
        return
    turned = affinity.rotate(shape, -angle, origin=(0, 0))
    left, top, right, bottom = turned.bounds
    rows = np.arange(np.ceil(top / apart), np.floor(bottom / apart) + 1)
    for row in rows:
        y = row * apart
        for start, end in _spans(left, right, dash, row):
            inside = affinity.rotate(
                turned.intersection(shapely.LineString([(start, y), (end, y)])), angle, origin=(0, 0)
            )
            for part in shapely.get_parts(inside):
                if part.geom_type == "LineString" and part.length > 0.05:
                    yield shapely.get_coordinates(part)


def _spans(left: float, right: float, dash: float, row: float) -> Iterator[tuple[float, float]]:
    """The whole width, or dashes as far apart as they are long, every other row moved by half of that."""
    if dash == 0:
        yield left - 1, right + 1
        return
    step, shift = 2 * dash, dash if row % 2 else 0.0
    for n in range(int(np.floor((left - shift) / step)), int(np.ceil((right - shift) / step)) + 1):
        yield n * step + shift, n * step + shift + dash


def _dots(apart: float, shape: shapely.Geometry) -> FloatArray:
    """The points of a lattice, every other row moved by half a step, that lie well inside the shape."""
    room = shape.buffer(-1.3 * DOT_RADIUS)
    if room.is_empty:
        return np.zeros((0, 2))
    left, top, right, bottom = room.bounds
    rise = apart * 0.75
    rows = np.arange(np.ceil(top / rise), np.floor(bottom / rise) + 1)
    columns = np.arange(np.floor(left / apart) - 1, np.ceil(right / apart) + 2)
    x, y = np.meshgrid(columns * apart, rows * rise)
    x = x + np.where(rows % 2 == 1, apart / 2, 0.0)[:, None]
    points = np.column_stack([x.ravel(), y.ravel()])
    return np.asarray(points[shapely.contains_xy(room, points[:, 0], points[:, 1])], dtype=np.float64)

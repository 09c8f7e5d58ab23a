"""Where pieces of lines meet: both go on, or one ends on the other."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely

from calib.edges import FloatArray
from vision.picture.traced_lines import LineMeeting, TracedLine

NEAR = 0.8
"""How far past the other's border an end may stop that lies on it, mm."""
GOES_ON = 1.0
"""A piece goes on past a crossing where it is longer there than this many widths of both."""


def meetings_of(pieces: Sequence[TracedLine]) -> tuple[LineMeeting, ...]:
    """All meetings of pieces, of one line or of two."""
    shapes = [shapely.LineString(piece.points) for piece in pieces]
    branches = [b for i in range(len(pieces)) for b in _branches(i, pieces, shapes)]
    found = list(branches)
    for i, one in enumerate(pieces):
        for j in range(i, len(pieces)):
            places = _self_crossings(one) if i == j else _crossings(shapes[i], shapes[j])
            reach = GOES_ON * (one.width + pieces[j].width)
            for at in places:
                taken = (b for b in branches if {i, j} == set(b.pieces))
                if all(np.hypot(at[0] - b.at[0], at[1] - b.at[1]) > reach for b in taken):
                    found.append(LineMeeting((i, j), at, "crossing"))
    return tuple(found)


def _branches(i: int, pieces: Sequence[TracedLine], shapes: Sequence[shapely.LineString]) -> Iterator[LineMeeting]:
    piece = pieces[i]
    if piece.closed:
        return
    for end, kind in zip(piece.points[[0, -1]], piece.ends, strict=True):
        if kind == "hidden":
            continue
        point = shapely.Point(end)
        for j, other in enumerate(shapes):
            shape = other if j != i else _without_own_end(piece, end)
            # An end lies on the border of a broad line, or on its middle.
            if shape.is_empty or shape.distance(point) > pieces[j].width / 2 + NEAR:
                continue
            at = shape.interpolate(shape.project(point))
            yield LineMeeting((i, j), (float(at.x), float(at.y)), "branch")


def _without_own_end(piece: TracedLine, end: FloatArray) -> shapely.LineString:
    """A piece's line without what belongs to its end."""
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(piece.points, axis=0), axis=1))])
    if np.allclose(end, piece.points[-1]):
        along = along[-1] - along
    rest = piece.points[along > 3 * piece.width + NEAR]
    return shapely.LineString(rest) if len(rest) > 1 else shapely.LineString()


def _crossings(one: shapely.LineString, other: shapely.LineString) -> list[tuple[float, float]]:
    shared = one.intersection(other)
    parts = getattr(shared, "geoms", [shared])
    return [(float(p.centroid.x), float(p.centroid.y)) for p in parts if not p.is_empty]


def _self_crossings(piece: TracedLine) -> list[tuple[float, float]]:
    """Where a line crosses itself: places that it passes twice."""
    points = piece.points
    start, along = points[:-1], np.diff(points, axis=0)
    found = []
    for i in range(len(start) - 2):
        rest = start[i + 2 :] - start[i]
        ways = along[i + 2 :]
        area = along[i, 0] * ways[:, 1] - along[i, 1] * ways[:, 0]
        safe = np.where(np.abs(area) < 1e-12, np.inf, area)
        t = (rest[:, 0] * ways[:, 1] - rest[:, 1] * ways[:, 0]) / safe
        u = (rest[:, 0] * along[i, 1] - rest[:, 1] * along[i, 0]) / safe
        hits = np.flatnonzero((t >= 0) & (t < 1) & (u >= 0) & (u < 1) & np.isfinite(safe))
        last = len(start) - 1 if piece.closed and i == 0 else len(start)
        found += [start[i] + t[k] * along[i] for k in hits if k + i + 2 < last]
    return [(float(x), float(y)) for x, y in found]

"""The parcel's edge as the side of an outline: no tape runs there, so its place is the parcel's own."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from calib.edges import FloatArray
from calib.estimate.plane import Plane
from vision.find.rough_outlines import Borrowed
from vision.fit.sides import Side

SQUARE = 1e-6
"""Standard uncertainty of an edge in the parcel's own frame, mm: none but the parcel's size, which is the plane's."""

INSIDE = 0.005
"""How far inside the parcel's edge such a side is put, mm, so that rounding does not put it outside."""


def parcel_corners(plane: Plane) -> FloatArray:
    """The parcel's corners (4, 2) mm, clockwise from the origin."""
    width, depth = plane.value("parcel width"), plane.value("parcel depth")
    return np.array([[0.0, 0.0], [width, 0.0], [width, depth], [0.0, depth]])


def parcel_sensitivity(plane: Plane, total: int) -> FloatArray:
    """How the parcel's corners move (4, 2, total) with the plane's sources."""
    sensitivity = np.zeros((4, 2, total))
    count = plane.factor.shape[1]
    sensitivity[1:3, 0, :count] = plane.factor[plane.names.index("parcel width")]
    sensitivity[2:4, 1, :count] = plane.factor[plane.names.index("parcel depth")]
    return sensitivity


def edge_side(plane: Plane, corners: FloatArray, borrowed: Borrowed) -> Side:
    """A side of a rough outline (n, 2) mm put onto the parcel's edge that it runs along."""
    start, end = corners[borrowed.side], corners[(borrowed.side + 1) % len(corners)]
    side = Side(
        start, end, np.zeros(2), np.diag([SQUARE**2, SQUARE**2]), np.linspace(0, 1, 200), np.zeros(0, dtype=np.intp)
    )
    ends = parcel_corners(plane)[[borrowed.edge, (borrowed.edge + 1) % 4]]
    along = (ends[1] - ends[0]) / np.linalg.norm(ends[1] - ends[0])
    # How far along the side's normal the edge's line passes its two ends.
    across = np.array([along[1], -along[0]])
    low, high = (float((ends[0] - INSIDE * across - at) @ across / (side.normal @ across)) for at in (start, end))
    return Side(start, end, np.array([(low + high) / 2, high - low]), side.covariance, side.seen, side.used)


def held_to_edges(points: FloatArray, moves: FloatArray, open_edges: Sequence[Borrowed], plane: Plane) -> FloatArray:
    """Movements (n, 2, k) of corners (n, 2) of which the sides named run along the parcel's edge.

    moves are those of the places in the photo.  A corner on an edge moves with the edge across it, and with its other
    side's tape across that; along its own line a side may move freely.
    """
    at_edge = {b.side: b.edge for b in open_edges}
    held, count = moves.copy(), len(points)
    edge_moves = parcel_sensitivity(plane, moves.shape[2])
    for i in range(count):
        around = ((i - 1) % count, i)
        if not any(side in at_edge for side in around):
            continue
        rows, rhs = [], []
        for side in around:
            along = points[(side + 1) % count] - points[side]
            normal = np.array([along[1], -along[0]]) / np.linalg.norm(along)
            rows.append(normal)
            moved = edge_moves[at_edge[side]] if side in at_edge else moves[i]
            rhs.append(normal @ moved)
        held[i] = np.linalg.solve(np.array(rows), np.array(rhs))
    return held

"""Outlines to begin with: rectangles that keep looser limits, as they are, rounded, or as triangles in corners."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterator
from itertools import islice

import numpy as np

from measure.quantity import FloatArray
from measure.solvable.cpsat.piece_variables import Settings
from measure.solvable.cpsat.search import SEED, Deadline, search
from measure.solvable.problem.grid import grids
from measure.solvable.problem.layout import Box, Layout
from measure.solvable.problem.problem import Problem
from measure.solvable.problem.tightened import tightened
from measure.solvable.reshaping.outlines import Outlines, outlines_of
from measure.solvable.reshaping.spots import at_spots, corner_triangle, ellipse, kept_rings

_LOOSER = (0.05, 0.15, 0.35, 0.6)
"""Shares of their numbers by which limits are loosened until rectangles keep them."""
_SEARCH = 1.0
"""Seconds for one search for rectangles."""
_SEEDS, _SPOTS = 3, 3
_AT_EDGE = 0.15
"""Of the parcel's shorter side: a rectangle so near to a corner may become a triangle in it."""


def starts(problem: Problem, deadline: Deadline) -> Iterator[Outlines]:
    """Starts, the most promising first, while there is time; none where looser limits have no rectangles either."""
    kept = frozenset(zone.name for zone in problem.zones if zone.kind == "keep-clear")
    spots: Iterator[Outlines] | None = None
    for near in _rectangles(problem, deadline):
        if spots is None:
            counts = Counter(piece.zone for piece in near.pieces)
            spots = at_spots(problem, kept_rings(near.pieces, kept), counts)
        yield from islice(spots, _SPOTS)
        yield from (_reshaped(near, kept, shape) for shape in (_rounded, _with_middles, _in_corners))
    if spots is not None:
        yield from spots


def _rectangles(problem: Problem, deadline: Deadline) -> Iterator[Layout]:
    """Layouts of rectangles that keep limits as little loosened as they must be."""
    grid = grids(problem.challenge)[0]
    for seed in range(SEED, SEED + _SEEDS):
        for share in _LOOSER:
            if deadline.over:
                return
            looser = tightened(problem, -share)
            found = search(looser, Settings(grid), min(_SEARCH, deadline.left), seed=seed).layout
            if found is not None:
                yield found
                break


def _reshaped(layout: Layout, kept: frozenset[str], shape: Callable[[Box, Layout], FloatArray]) -> Outlines:
    fixed = [piece.zone in kept for piece in layout.pieces]
    rings = [
        piece.outline() if still else shape(piece.boxes[0], layout)
        for piece, still in zip(layout.pieces, fixed, strict=True)
    ]
    return outlines_of(layout, rings, fixed)


def _with_middles(box: Box, _: Layout) -> FloatArray:
    """The rectangle with a corner in the middle of each side."""
    x1, y1, x2, y2 = box
    x, y = (x1 + x2) / 2, (y1 + y2) / 2
    return np.array([(x1, y1), (x, y1), (x2, y1), (x2, y), (x2, y2), (x, y2), (x1, y2), (x1, y)])


def _rounded(box: Box, layout: Layout) -> FloatArray:
    """An ellipse of the rectangle's area and shape, moved onto the parcel where it reaches beyond."""
    x1, y1, x2, y2 = box
    size = np.array([layout.width, layout.depth])
    half = np.minimum(np.array([x2 - x1, y2 - y1]) / math.sqrt(math.pi), size / 2)
    return ellipse(np.clip([(x1 + x2) / 2, (y1 + y2) / 2], half, size - half), half)


def _in_corners(box: Box, layout: Layout) -> FloatArray:
    """A right triangle of the rectangle's area in the parcel's corner beside it; else the rectangle."""
    x1, y1, x2, y2 = box
    near = _AT_EDGE * min(layout.width, layout.depth)
    left, right = x1 <= near, layout.width - x2 <= near
    top, bottom = y1 <= near, layout.depth - y2 <= near
    if left == right or top == bottom:
        return _with_middles(box, layout)
    area = (x2 - x1) * (y2 - y1)
    return corner_triangle(np.array([layout.width, layout.depth]), (float(right), float(bottom)), area)

"""Printed patterns in a line's colour: grids, hatching, mortar between bricks.

Hands lay two rails, or a few streets beside each other; print repeats: many straight strands, as broad as each other,
side by side at small distances.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from calib.edges import FloatArray
from vision.lines.shown.polylines import length_of
from vision.lines.shown.strands import Strand

STRAIGHT, LEAST_LENGTH = 0.985, 4.0
"""Share of a strand's length that its ends lie apart, and its length, mm, for it to be one of a pattern's."""
PARALLEL, SAME_WIDTH = 4.0, 1.35
"""By how many degrees strands of a pattern are turned, and by what factor their widths differ at most."""
NEXT = 30.0
"""How far apart the next ones of a pattern lie at most, mm."""
LEAST_ROWS = 5
"""Fewer rows beside each other are laid by hand."""


def shows_pattern(strands: Sequence[Strand]) -> bool:
    """Whether strands repeat as print does."""
    straight = [s for s in strands if not s.closed and _is_straight(s)]
    if len(straight) < LEAST_ROWS:
        return False
    beside = _beside(straight)
    left = set(range(len(straight)))
    while left:
        group = {left.pop()}
        grown = list(group)
        while grown:
            more = {int(j) for j in np.flatnonzero(beside[grown.pop()])} & left
            left -= more
            group |= more
            grown += more
        if _rows([straight[i] for i in sorted(group)]) >= LEAST_ROWS:
            return True
    return False


def _is_straight(strand: Strand) -> bool:
    long = length_of(strand.points)
    return long >= LEAST_LENGTH and float(np.linalg.norm(strand.points[-1] - strand.points[0])) >= STRAIGHT * long


def _ways(strands: Sequence[Strand]) -> FloatArray:
    """The directions (n, 2) from end to end."""
    ways = np.array([s.points[-1] - s.points[0] for s in strands])
    return np.asarray(ways / np.linalg.norm(ways, axis=1, keepdims=True))


def _beside(strands: Sequence[Strand]) -> NDArray[np.bool_]:
    """Which strands (n, n) lie next to each other, parallel and as broad, a stretch of both side by side."""
    ways, widths = _ways(strands), np.array([s.width for s in strands])
    middles = np.array([(s.points[0] + s.points[-1]) / 2 for s in strands])
    halves = np.array([np.linalg.norm(s.points[-1] - s.points[0]) / 2 for s in strands])
    parallel = np.abs(ways @ ways.T) > np.cos(np.deg2rad(PARALLEL))
    alike = np.maximum(widths[:, None], widths) < SAME_WIDTH * np.minimum(widths[:, None], widths)
    between = middles[None] - middles[:, None]
    along = np.abs(np.einsum("ijk,ik->ij", between, ways))
    across = np.abs(between[..., 0] * ways[:, None, 1] - between[..., 1] * ways[:, None, 0])
    # A brick's joints lie half a brick further on in every row.
    near = (across < NEXT) & (along < halves[:, None] + halves)
    return np.asarray(parallel & alike & near)


def _rows(strands: Sequence[Strand]) -> int:
    """On how many lines beside each other strands of one direction lie."""
    way = _ways(strands)[0]
    offsets = np.sort(
        [float(m[0] * way[1] - m[1] * way[0]) for m in ((s.points[0] + s.points[-1]) / 2 for s in strands)]
    )
    width = float(np.median([s.width for s in strands]))
    return 1 + int((np.diff(offsets) > 1.5 * width).sum())

"""Spaces between two pieces of one tape that their strips' ends close, which are no zones."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from shapely.geometry import Polygon

from calib.edges import FloatArray
from vision.find.closing import LEAST_TURN, Candidate

NARROW = 24.0
"""Clear width of a space between two pieces up to which their strips' ends may close it, mm: a zone tile's."""


def without_gaps(candidates: Sequence[Candidate], width: float) -> list[Candidate]:
    """Leave out narrow spaces between pieces whose strips, laid on a little, touch: no side is the space's own."""
    kept = []
    for one in candidates:
        others = [o for o in candidates if o is not one]
        narrow = Polygon(one.corners).buffer(-width / 2 - NARROW / 2).is_empty
        if not (narrow and all(_runs_along(side, others, width) for side in _sides(one))):
            kept.append(one)
    return kept


def _sides(outline: Candidate) -> list[FloatArray]:
    """Both ends (2, 2) of every side."""
    return list(np.stack([outline.corners, np.roll(outline.corners, -1, axis=0)], axis=1))


def _runs_along(side: FloatArray, others: Sequence[Candidate], width: float) -> bool:
    """Whether a side lies on the line of another outline's side, and beside it or within a few tapes' widths."""
    along = (side[1] - side[0]) / np.linalg.norm(side[1] - side[0])
    for other in (s for o in others for s in _sides(o)):
        way = other[1] - other[0]
        turned = abs(float(along @ way)) < np.cos(np.arcsin(LEAST_TURN)) * np.linalg.norm(way)
        off = np.abs((side - other[0]) @ np.array([-way[1], way[0]])) / np.linalg.norm(way)
        span = (other - side[0]) @ along
        reach_over = float(span.min()) < np.linalg.norm(side[1] - side[0]) + width and float(span.max()) > -width
        if not turned and off.max() < 0.5 * width and reach_over:
            return True
    return False

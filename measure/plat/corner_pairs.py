"""A corner that faces another outline's corner, closely enough for their distance to be no linear measure."""

from __future__ import annotations

import numpy as np

from measure.corner_distance import CornerDistance, distance_from_wedge, wedge
from measure.plat.outline import Sides
from measure.quantity import FloatArray, Quantity

_STRAIGHT = 40.0
"""Standard uncertainties of the other corner's place from which on its distance is as good as linear: the mean then
lies 1 / 80 of an uncertainty further off than the measured distance."""
_LONG = 6.0
"""The same, which a corner's sides must be longer than: past their ends there are other corners."""
_SLIDING = 4.0
"""The same, by which a corner's foot may lie short of the end of a side for the corner there to count."""
_AS_MEASURED = 1e-6
"""mm"""
_SAME = 1e-9


def corner_distance(
    linear: Quantity, corners: Sides, corner: int, others: Sides, side: int, share: float
) -> CornerDistance | None:
    """The distance of a corner from the corner at the nearer end of another outline's side; None where it is linear.

    linear: the distance as measured, of the corner and the side's place at that share of its length.
    """
    end = share >= 0.5
    point, moves = corners.starts[corner], corners.start_moves[corner]
    place = others.ends[side] if end else others.starts[side]
    place_moves = others.end_moves[side] if end else others.start_moves[side]
    offset, offset_moves = place - point, place_moves - moves
    u = float(np.sqrt(np.linalg.eigvalsh(offset_moves @ offset_moves.T)[-1]))
    short_of_end = min(share, 1.0 - share) * float(others.lengths[side])
    if u == 0.0 or linear.value > _STRAIGHT * u or short_of_end > _SLIDING * u:
        return None
    own, theirs = _sides_at(corners, point), _sides_at(others, place)
    if own is None or theirs is None or min(float(np.hypot(*way)) for way in (*own, *theirs)) < _LONG * u:
        return None
    edges = wedge([*own, *(-way for way in theirs)])
    if edges is None or abs(distance_from_wedge(offset[None], edges)[0] - linear.value) > _AS_MEASURED:
        return None
    across, down = (Quantity(float(offset[axis]), offset_moves[axis]) for axis in (0, 1))
    return CornerDistance(linear.value, linear.sensitivity, offset=(across, down), edges=edges)


def _sides_at(sides: Sides, corner: FloatArray) -> tuple[FloatArray, FloatArray] | None:
    """From a corner along its two sides; None where it has more than two, as where pieces meet in it."""
    after = np.flatnonzero(np.hypot(*(sides.starts - corner).T) < _SAME)
    before = np.flatnonzero(np.hypot(*(sides.ends - corner).T) < _SAME)
    if len(after) != 1 or len(before) != 1:
        return None
    return sides.ends[after[0]] - corner, sides.starts[before[0]] - corner

"""How points and numbers move, as a result file keeps it: in its unit, source by source, without idle digits."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from measure.quantity import FloatArray, Quantity
from measure.result.result_values import Moves, Steps
from measure.units import MM_PER, Unit

_DIGITS = 6
"""Of a movement, counted from the first digit of the least uncertain corner's (or the tape's) standard uncertainty."""
_MOST_DECIMALS = 17
FARTHEST = 1e6
"""mm from the parcel's origin: what a file says beyond that was spoilt, and overflows in what is worked out of it."""
_LEAST_CERTAIN = 1e5
"""mm that a corner may move by one standard deviation of one source."""


def packed(sensitivity: FloatArray, unit: Unit) -> tuple[Moves, ...]:
    """For every source that moves it the stretch of points from the first that moves to the last."""
    moves = rounded(sensitivity / MM_PER[unit])
    found = []
    for source in np.flatnonzero(np.abs(moves).max(axis=(0, 1), initial=0.0)):
        points = np.flatnonzero(np.abs(moves[:, :, source]).max(axis=1))
        first, last = int(points[0]), int(points[-1])
        found.append((int(source), first, tuple(moves[first : last + 1, :, source].ravel().tolist())))
    return tuple(found)


def unpacked(moves: Sequence[Moves], points: int, sources: int, scale: float) -> FloatArray:
    """Sensitivities (points, 2, sources) in mm. Raises ValueError where the moves are of another outline."""
    made = np.zeros((points, 2, sources))
    for source, first, steps in moves:
        last = first + len(steps) // 2
        if not (0 <= source < sources and first >= 0 and last <= points and len(steps) % 2 == 0):
            raise ValueError("its uncertainty is of another outline")
        with np.errstate(over="ignore"):  # what is that large is refused
            made[first:last, :, source] = np.reshape(steps, (-1, 2)) * scale
    return made


def steps_of(quantity: Quantity, unit: Unit) -> Steps:
    """How a length in mm moves, for every source that moves it."""
    moves = rounded(quantity.sensitivity[None, :] / MM_PER[unit])[0]
    return tuple((int(at), float(moves[at])) for at in np.flatnonzero(moves))


def unpacked_steps(steps: Steps, sources: int, scale: float) -> FloatArray:
    """The movement (sources,) of a length in mm. Raises ValueError where the steps are of another result."""
    made = np.zeros(sources)
    for source, step in steps:
        if not 0 <= source < sources:
            raise ValueError("its tape's uncertainty is of another result")
        made[source] = step * scale
    return made


def rounded(moves: FloatArray) -> FloatArray:
    """Movements (n, ...) without digits that are too small to change an uncertainty, and so a verdict."""
    u = np.sqrt((moves.reshape(len(moves), -1) ** 2).sum(axis=1))
    if not u.any():
        return moves
    return np.round(moves, min(_MOST_DECIMALS, _DIGITS - math.floor(math.log10(u[u > 0].min()))))


def checked_size(points: FloatArray, moves: FloatArray) -> None:
    """Raises ValueError for places and movements that no model on a table has."""
    if np.abs(points).max(initial=0.0) > FARTHEST:
        raise ValueError("its corners lie farther away than any model's")
    if np.abs(moves).max(initial=0.0) > _LEAST_CERTAIN:
        raise ValueError("its corners are less certain than any measurement")

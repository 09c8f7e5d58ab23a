"""How thick the land is that two outlines share: the diameter of the largest circle in it.

Where two outlines run along each other, no point of either lies deep inside the other, however much land they share.
The diameter moves with the sides that the circle touches, in the mixture that does not change when the circle's centre
is moved (the envelope theorem).
"""

from __future__ import annotations

import numpy as np
import shapely

from measure.plat.nearest_pairs import Found, as_place, distances, place_on
from measure.plat.outline import Sides
from measure.plat.regions import Region
from measure.quantity import FloatArray, Quantity

_FINE = 1e-7
"""The circle is found to this share of its radius."""


def thickness(first: Region, second: Region) -> Found | None:
    """Minus the diameter, and where the circle touches the first and the second outline; None if they share no land."""
    parts = shapely.get_parts(shapely.intersection(first.geometry, second.geometry))
    shared = shapely.union_all(parts[shapely.get_dimensions(parts) == 2])  # where they only touch there are lines, too
    if shared.area <= 0:
        return None
    rough = float(np.sqrt(shared.area)) * _FINE
    radius = shapely.maximum_inscribed_circle(shared, tolerance=rough)
    centre = shapely.get_coordinates(radius)[0]
    reach = float(radius.length) + 3.0 * rough
    touched = [_touched(centre, region.sides, reach) for region in (first, second)]
    ways = np.concatenate([way for way, _, _ in touched])
    weights = _balance(ways)
    moves = np.concatenate([move for _, move, _ in touched])
    sensitivity = 2.0 * np.einsum("n,ni,nik->k", weights, ways, moves)
    ends = [_end(feet, centre) for _, _, feet in touched]
    return Quantity(-2.0 * float(radius.length), -sensitivity), (ends[0], _opposite(ends[0], touched[1][2], centre))


def _touched(centre: FloatArray, sides: Sides, reach: float) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Of the sides that the circle touches: unit vectors (n, 2) towards them, how those places move (n, 2, k), and
    the places (n, 2).
    """
    shares, gaps = (row[0] for row in distances(centre[None], sides))
    near = np.flatnonzero(gaps <= reach)
    found = [place_on(sides, int(at), float(shares[at])) for at in near]
    feet = np.array([point for point, _ in found]).reshape(-1, 2)
    ways = (feet - centre) / np.maximum(gaps[near], 1e-12)[:, None]
    return ways, np.array([move for _, move in found]).reshape(len(found), 2, sides.start_moves.shape[2]), feet


def _balance(ways: FloatArray) -> FloatArray:
    """Weights (n,) of unit vectors (n, 2), none negative, that sum to 1 and leave the centre in its place."""
    from scipy.optimize import nnls  # half a second to import, and only overlaps need it

    weights, _ = nnls(np.vstack([ways.T, np.ones(len(ways))]), np.array([0.0, 0.0, 1.0]))
    return np.asarray(weights / max(float(weights.sum()), 1e-12))


def _end(feet: FloatArray, centre: FloatArray) -> tuple[float, float]:
    return as_place(feet[0] if len(feet) else centre)


def _opposite(end: tuple[float, float], feet: FloatArray, centre: FloatArray) -> tuple[float, float]:
    """The place across the circle from `end`."""
    if not len(feet):
        return as_place(2 * centre - np.array(end))
    return as_place(feet[int(np.argmax(np.hypot(*(feet - np.array(end)).T)))])

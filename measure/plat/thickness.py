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

_ROUGH = 1e-3
"""The circle is searched for to this share of the land's size: in a strip all circles are nearly alike, and a finer
search would try them one by one."""
_STEPS = 8
_NEAR = 1e-6
"""mm: a side as near as this to the circle touches it."""
_FINE = 1e-9
"""mm: then its centre is moved between the sides around it until it gains less than this."""


def thickness(first: Region, second: Region) -> Found | None:
    """Minus the diameter, and where the circle touches the first and the second outline; None if they share no land."""
    parts = shapely.get_parts(shapely.intersection(first.geometry, second.geometry))
    shared = shapely.union_all(parts[shapely.get_dimensions(parts) == 2])  # where they only touch there are lines, too
    if shared.area <= 0:
        return None
    rough = float(np.sqrt(shared.area)) * _ROUGH
    circle = shapely.maximum_inscribed_circle(shared, tolerance=rough)
    centre, radius = _centred(shapely.get_coordinates(circle)[0], (first.sides, second.sides), rough)
    touched = [_touched(centre, region.sides, radius + _NEAR) for region in (first, second)]
    ways = np.concatenate([way for way, _, _ in touched])
    weights = _balance(ways)
    moves = np.concatenate([move for _, move, _ in touched])
    sensitivity = 2.0 * np.einsum("n,ni,nik->k", weights, ways, moves)
    ends = [_end(feet, centre) for _, _, feet in touched]
    return Quantity(-2.0 * radius, -sensitivity), (ends[0], _opposite(ends[0], touched[1][2], centre))


def _centred(centre: FloatArray, outlines: tuple[Sides, Sides], step: float) -> tuple[FloatArray, float]:
    """The centre of the largest circle near this place, and its radius: by linear programs, exact for sides."""
    from scipy.optimize import linprog  # half a second to import, and only overlaps need it

    best = _gap(centre, outlines)
    for _ in range(_STEPS):
        ways, gaps = (
            np.concatenate(parts) for parts in zip(*(_ways(centre, sides) for sides in outlines), strict=True)
        )
        near = gaps <= best + 4.0 * step
        limits = np.hstack([ways[near], np.ones((int(near.sum()), 1))])
        bounds = [(-step, step), (-step, step), (None, None)]
        found = linprog([0.0, 0.0, -1.0], A_ub=limits, b_ub=gaps[near], bounds=bounds)
        moved = centre + found.x[:2] if found.success else centre
        reached = _gap(moved, outlines)
        if reached > best:
            centre = moved
        gained, best = reached - best, max(best, reached)
        if 0.0 <= gained < _FINE:
            break
        step = step if gained > 0 else step / 4.0
    return centre, best


def _ways(centre: FloatArray, sides: Sides) -> tuple[FloatArray, FloatArray]:
    """Unit vectors (n, 2) from a place towards its nearest place on every side, and how far that is."""
    shares, gaps = (row[0] for row in distances(centre[None], sides))
    feet = sides.starts + shares[:, None] * (sides.ends - sides.starts)
    return (feet - centre) / np.maximum(gaps, 1e-12)[:, None], gaps


def _gap(centre: FloatArray, outlines: tuple[Sides, Sides]) -> float:
    return min(float(distances(centre[None], sides)[1].min()) for sides in outlines)


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

"""How far land reaches along the parcel's axes, to its edges, over a point, and where its centroid lies."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import numpy as np
import shapely

from measure.plat import outline
from measure.plat.nearest_pairs import as_place, distances, place_on
from measure.plat.outline import Sides
from measure.plat.place import distance_from_point, inside
from measure.plat.regions import Region
from measure.plat.separation import Candidate, Separation, smallest
from measure.quantity import FloatArray, Quantity

_NEAR = 5.0
"""mm: a corner so much further off than the first does not compete with it."""
_MOST = 8
_LEAST_CROSSING = 0.3
"""Sine of the angle below which a crossing is taken to move no faster."""
Vector = tuple[float, float]
Plane = tuple[Vector, float]


def span_along(land: Region, way: Vector) -> tuple[tuple[Quantity, ...], tuple[Quantity, ...]]:
    """How far in mm land reaches along a unit vector: the corners that may be furthest, and those furthest back,
    negated, so that the largest of either counts.
    """
    return _furthest(land.sides, np.array(way)), _furthest(land.sides, -np.array(way))


def _furthest(sides: Sides, way: FloatArray) -> tuple[Quantity, ...]:
    along = sides.starts @ way
    order = np.argsort(-along)[:_MOST]
    near = [int(at) for at in order if along[at] >= along.max() - _NEAR]
    return tuple(Quantity(float(along[at]), way @ sides.start_moves[at]) for at in near)


def gap_to_edge(land: Region, parcel: Sides, edge: int, piece: tuple[str, int]) -> Separation | None:
    """The smallest distance in mm to one side of the parcel, negative beyond it; sides count from the top clockwise."""
    one = slice(edge, edge + 1)
    side = Sides(parcel.starts[one], parcel.ends[one], parcel.start_moves[one], parcel.end_moves[one])
    return smallest(inside(land.sides, side, piece))


def into_part(land: Region, planes: Sequence[Plane], piece: tuple[str, int]) -> Separation:
    """How far in mm land reaches into a part of the plane, negated: the least distance of any of its points from the
    lines that bound the part, where that is largest. planes: unit vectors inwards, and how far along them a line lies.
    """
    sides, found = land.sides, []
    for at, point in enumerate(sides.starts):
        found.append(_reached(point, planes, sides.start_moves[at], piece))
    for (way, line), (other, far) in combinations(planes, 2):
        # where both are alike far off, on a side: there the lesser of them may be largest
        along = np.array(way) - np.array(other)
        ahead, further = (points @ along - line + far for points in (sides.starts, sides.ends))
        for side in np.flatnonzero(ahead * further < 0):
            point, moves = place_on(sides, int(side), float(ahead[side] / (ahead[side] - further[side])))
            found.append(_reached(point, planes, _across(sides, int(side), along, moves), piece))
    nearest = smallest(found)
    assert nearest is not None
    return nearest


def _reached(point: FloatArray, planes: Sequence[Plane], moves: FloatArray, piece: tuple[str, int]) -> Candidate:
    way, line = min(planes, key=lambda plane: float(point @ np.array(plane[0])) - plane[1])
    along = np.array(way)
    depth = float(point @ along) - line
    foot = point - depth * along
    return Candidate(Quantity(-depth, -(along @ moves)), (as_place(point), as_place(foot)), (piece,))


def _across(sides: Sides, side: int, along: FloatArray, moves: FloatArray) -> FloatArray:
    """How the place moves where a side crosses a fixed line at right angles to `along`, (2, k)."""
    fixed = np.array([-along[1], along[0]]) / max(float(np.hypot(*along)), 1e-12)
    normal = sides.outward[side] / max(float(sides.lengths[side]), 1e-12)
    crossing = float(normal @ fixed)
    crossing = np.sign(crossing or 1.0) * max(abs(crossing), _LEAST_CROSSING)
    return np.asarray(np.outer(fixed, (normal @ moves) / crossing))


def between_centroids(first: Region, second: Region) -> Quantity:
    """The distance in mm between two lands' centroids, to first order."""
    (x, y), (u, v) = outline.centroid(first.sides), outline.centroid(second.sides)
    east, south = u - x, v - y
    size = float(np.hypot(east.value, south.value))
    if size <= 0:
        return Quantity(0.0, np.hypot(east.sensitivity, south.sensitivity))
    return Quantity(size, (east.value * east.sensitivity + south.value * south.sensitivity) / size)


def distance_of_centroid(land: Region, target: Vector) -> Quantity:
    """The distance in mm of land's centroid from a fixed point."""
    return distance_from_point(outline.centroid(land.sides), target)


def centroid_along(land: Region, way: Vector) -> Quantity:
    """How far in mm along a unit vector from the origin land's centroid lies."""
    x, y = outline.centroid(land.sides)
    return x * way[0] + y * way[1]


def point_within(land: Region, point: Vector, piece: tuple[str, int]) -> Separation:
    """How far in mm a fixed point lies inside land, the nearest outline deciding; negative outside."""
    at = np.array(point)
    shares, gaps = (row[0] for row in distances(at[None], land.sides))
    within = bool(shapely.contains_xy(land.geometry, *point))
    order = np.argsort(gaps)[: _MOST if within else 1]
    found = [_from_outline(land.sides, int(side), float(shares[side]), at, within, piece) for side in order]
    nearest = smallest(found)
    assert nearest is not None
    return nearest


def _from_outline(
    sides: Sides, side: int, share: float, at: FloatArray, within: bool, piece: tuple[str, int]
) -> Candidate:
    foot, moves = place_on(sides, side, share)
    apart = at - foot
    size = float(np.hypot(*apart))
    sign = 1.0 if within else -1.0
    outward = sides.outward[side] / max(float(sides.lengths[side]), 1e-12)
    way = -sign * apart / size if size > 1e-9 else outward  # from the point towards the outline, outwards
    return Candidate(Quantity(sign * size, way @ moves), (as_place(at), as_place(foot)), (piece,))

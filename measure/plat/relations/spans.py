"""How far land reaches along the parcel's axes, to its edges, over a point, and where its centroid lies."""

from __future__ import annotations

import numpy as np
import shapely

from measure.plat import outline
from measure.plat.nearest_pairs import as_place, distances, place_on
from measure.plat.outline import Sides
from measure.plat.place import distance_from_point, inside
from measure.plat.plat import signed_area
from measure.plat.regions import Region
from measure.plat.separation import Candidate, Separation, between_regions, smallest
from measure.quantity import FloatArray, Quantity

_NEAR = 5.0
"""mm: a corner so much further off than the first does not compete with it."""
_MOST = 8
Vector = tuple[float, float]


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


def into_box(land: Region, box: tuple[float, float, float, float], piece: tuple[str, int]) -> Separation | None:
    """The signed separation of land and a fixed rectangle (x and y from, x and y to): negative where it reaches in."""
    corners = shapely.get_coordinates(shapely.box(*box))[:-1]
    corners = corners[::-1] if signed_area(corners) < 0 else corners
    still = np.zeros((len(corners), 2, land.sources))
    region = Region(shapely.box(*box), Sides(corners, np.roll(corners, -1, axis=0), still, still))
    return smallest(between_regions(land, region, (piece,)))


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

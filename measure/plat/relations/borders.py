"""What two lands have with each other: the length along which they border, and the land that both hold."""

from __future__ import annotations

import numpy as np
import shapely

from measure.plat import outline
from measure.plat.nearest_pairs import distances, place_on
from measure.plat.outline import Sides, joined
from measure.plat.regions import Region, traced
from measure.quantity import FloatArray, Quantity

_END = 1e-6
"""A share of a side: nearer to its end than this is at it."""
_LEAST_CROSSING = 0.3
"""Sine of the angle below which an end of the common border is taken to move no faster along the side."""


def common_border(first: Region, second: Region, gap: float, along: tuple[float, float] | None = None) -> Quantity:
    """The length in mm of the first outline that lies on the second land or within `gap` of it.

    along: a unit vector; then only its extent that way counts (beside an edge, not the sides that lead to it).

    To first order: its ends move along the outline, with the corners of the first where they lie there, else with the
    second outline's nearest places. Whether a whole side is near enough is taken as measured.
    """
    near = shapely.buffer(second.geometry, gap, quad_segs=64)
    sides, length = first.sides, 0.0
    moves: FloatArray = np.zeros(first.sources)
    for side in range(len(sides)):
        line = shapely.LineString([sides.starts[side], sides.ends[side]])
        for part in shapely.get_parts(shapely.intersection(line, near)):
            if part.length > 0:
                way = (sides.ends[side] - sides.starts[side]) / sides.lengths[side]
                share = 1.0 if along is None else abs(float(way @ np.array(along)))
                length += share * float(part.length)
                moves = moves + share * _stretch(sides, side, shapely.get_coordinates(part), second.sides)
    return Quantity(length, moves)


def shared_land(first: Region, second: Region) -> Quantity:
    """The area in mm2 of the land that both hold."""
    geometry = shapely.intersection(first.geometry, second.geometry)
    if geometry.area <= 0:
        return Quantity(0.0, np.zeros(first.sources))
    return outline.area(traced(geometry, joined([first.sides, second.sides], first.sources)).sides)


def fixed_rectangle(ends: tuple[float, float, float, float], sources: int) -> Region:
    """A rectangle along the axes, from x, y to x, y, that does not move."""
    left, top, right, bottom = ends
    corners = np.array([[left, top], [right, top], [right, bottom], [left, bottom]])
    still = np.zeros((4, 2, sources))
    return Region(shapely.box(*ends), Sides(corners, np.roll(corners, -1, axis=0), still, still))


def beyond_edge(width: float, depth: float, side: int, sources: int) -> Region:
    """What lies beyond one side of the parcel (0 to 3, from the top clockwise); it does not move."""
    corners = np.array([[0.0, 0.0], [width, 0.0], [width, depth], [0.0, depth]])
    outside = [
        (-width, -depth, 2 * width, 0.0),
        (width, -depth, 2 * width, 2 * depth),
        (-width, depth, 2 * width, 2 * depth),
        (-width, -depth, 0.0, 2 * depth),
    ]
    still = np.zeros((1, 2, sources))
    edge = Sides(corners[[side]], corners[[(side + 1) % 4]], still, still)
    return Region(shapely.box(*outside[side]), edge)


def _stretch(sides: Sides, side: int, part: FloatArray, other: Sides) -> FloatArray:
    """How the length of a part of one side moves, (k,)."""
    start, end = sides.starts[side], sides.ends[side]
    along = end - start
    length = max(float(np.hypot(*along)), 1e-12)
    unit = along / length
    shares = sorted(float((point - start) @ along) / length**2 for point in (part[0], part[-1]))
    first, last = (_end_moves(sides, side, share, unit, other) for share in shares)
    return np.asarray(last - first)


def _end_moves(sides: Sides, side: int, share: float, unit: FloatArray, other: Sides) -> FloatArray:
    """How one end of the part moves along the side, (k,)."""
    if share <= _END or share >= 1.0 - _END:
        return np.asarray(unit @ place_on(sides, side, round(share))[1])
    point, moves = place_on(sides, side, share)
    where, gaps = (row[0] for row in distances(point[None], other))
    nearest = int(np.argmin(gaps))
    foot, foot_moves = place_on(other, nearest, float(where[nearest]))
    apart = point - foot
    size = float(np.hypot(*apart))
    if size <= 0:
        return np.zeros(moves.shape[-1])
    normal = apart / size
    crossing = float(normal @ unit)
    crossing = np.sign(crossing or 1.0) * max(abs(crossing), _LEAST_CROSSING)
    # the end stays at the gap from the other outline: it moves with the foot, as seen along the side
    return np.asarray(unit @ moves + (normal @ (foot_moves - moves)) / crossing)

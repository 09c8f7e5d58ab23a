"""Unions and differences of regions whose outlines are uncertain.

Shapely finds the boundary of the result; each of its sides lies on a side of an outline that went in, and moves with
it.  So every corner of the result is a corner of an input or the crossing of two inputs' sides, and its movement
follows from those two sides.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from measure.plat.outline import Sides, cross, joined
from measure.plat.plat import signed_area
from measure.quantity import FloatArray

_PARALLEL = 0.05
"""Sine of the angle below which two sides' crossing is not solved: there the corner moves as the sides do."""


@dataclass(frozen=True, eq=False)
class Region:
    """A polygonal region, perhaps empty or in parts, and its boundary sides with their movements."""

    geometry: BaseGeometry
    sides: Sides

    @property
    def empty(self) -> bool:
        """Whether nothing is left of it."""
        return len(self.sides) == 0

    @property
    def sources(self) -> int:
        """How many sources its movements have."""
        return int(self.sides.start_moves.shape[2])


def union(regions: Sequence[Region], sources: int) -> Region:
    """The union. Regions that do not overlap keep their own sides, so that nothing is lost to rounding."""
    sides = joined((region.sides for region in regions), sources)
    geometry = shapely.union_all([region.geometry for region in regions])
    apart = sum(region.geometry.area for region in regions)
    if apart - geometry.area <= 1e-9 * apart:
        return Region(geometry, sides)
    return traced(geometry, sides)


def difference(region: Region, others: Sequence[Region]) -> Region:
    """The region without the others."""
    geometry = shapely.difference(region.geometry, shapely.union_all([other.geometry for other in others]))
    return traced(geometry, joined([region.sides, *(other.sides for other in others)], region.sources))


def surroundings(regions: Sequence[Region], margin: float = 1000.0) -> Region:
    """A rectangle around several regions, with so many mm to spare; it does not move."""
    low_x, low_y, high_x, high_y = shapely.union_all([region.geometry for region in regions]).bounds
    box = shapely.box(low_x - margin, low_y - margin, high_x + margin, high_y + margin)
    corners = _turned_rings(box)[0]
    still = np.zeros((len(corners), 2, regions[0].sources))
    return Region(box, Sides(corners, np.roll(corners, -1, axis=0), still, still))


def traced(geometry: BaseGeometry, inputs: Sides) -> Region:
    """A region bounded by parts of the input sides (or of their prolongations), moving with them."""
    rings = [ring for polygon in polygons_of(geometry) for ring in _turned_rings(polygon)]
    return Region(geometry, joined((_follow(ring, inputs) for ring in rings), int(inputs.start_moves.shape[2])))


def polygons_of(geometry: BaseGeometry) -> list[shapely.Polygon]:
    """The polygons with an area in any geometry."""
    parts = shapely.get_parts(shapely.get_parts(geometry))
    return [part for part in parts if isinstance(part, shapely.Polygon) and part.area > 0]


def _turned_rings(polygon: shapely.Polygon) -> list[FloatArray]:
    """Points without the repeated last one, the outer ring clockwise in the picture, holes the other way."""
    rings = [(polygon.exterior, False), *((hole, True) for hole in polygon.interiors)]
    points = [(shapely.get_coordinates(ring)[:-1], hole) for ring, hole in rings]
    return [ring[::-1] if (signed_area(ring) < 0) != hole else ring for ring, hole in points]


def _follow(points: FloatArray, inputs: Sides) -> Sides:
    starts, ends = points, np.roll(points, -1, axis=0)
    side = _lying_on(starts, ends, inputs)
    start_moves, end_moves = _moves_on(starts, side, inputs), _moves_on(ends, side, inputs)
    outward = inputs.outward[side] / np.maximum(inputs.lengths[side], 1e-12)[:, None]
    corners = _crossing_moves(np.roll(outward, 1, axis=0), np.roll(end_moves, 1, axis=0), outward, start_moves)
    return Sides(starts, ends, corners, np.roll(corners, -1, axis=0))


def _lying_on(starts: FloatArray, ends: FloatArray, inputs: Sides) -> NDArray[np.intp]:
    """For each side of the result the input side whose line it lies on; the nearest of several on one line."""
    off_line = np.maximum(_line_distance(starts, inputs), _line_distance(ends, inputs))
    beyond = _end_distance(0.5 * (starts + ends), inputs)
    return np.asarray(np.argmin(off_line + 1e-6 * beyond, axis=1))


def _line_distance(points: FloatArray, inputs: Sides) -> FloatArray:
    """Distance of each point from each side's line, shape (points, sides)."""
    normals = inputs.outward / np.maximum(inputs.lengths, 1e-12)[:, None]
    return np.asarray(np.abs(points @ normals.T - (inputs.starts * normals).sum(axis=1)))


def _end_distance(points: FloatArray, inputs: Sides) -> FloatArray:
    """How far each point lies beyond the ends of each side, along it, shape (points, sides)."""
    lengths = np.maximum(inputs.lengths, 1e-12)
    directions = (inputs.ends - inputs.starts) / lengths[:, None]
    along = points @ directions.T - (inputs.starts * directions).sum(axis=1)
    return np.asarray(np.abs(along - np.clip(along, 0.0, lengths)))


def _moves_on(points: FloatArray, side: NDArray[np.intp], inputs: Sides) -> FloatArray:
    """How points fixed on their sides move with them, shape (n, 2, k)."""
    starts, along = inputs.starts[side], inputs.ends[side] - inputs.starts[side]
    share = ((points - starts) * along).sum(axis=1) / np.maximum((along**2).sum(axis=1), 1e-24)
    share = share[:, None, None]
    return np.asarray((1.0 - share) * inputs.start_moves[side] + share * inputs.end_moves[side])


def _crossing_moves(
    normal: FloatArray, moves: FloatArray, next_normal: FloatArray, next_moves: FloatArray
) -> FloatArray:
    """Movement of the crossing of two lines with unit normals (n, 2), each line moving by (n, 2, k) at that point."""
    sine = cross(normal, next_normal)
    crossing = np.abs(sine) > _PARALLEL
    across = np.einsum("nd,ndk->nk", normal, moves)
    next_across = np.einsum("nd,ndk->nk", next_normal, next_moves)
    x = across * next_normal[:, 1:] - next_across * normal[:, 1:]
    y = normal[:, :1] * next_across - next_normal[:, :1] * across
    solved = np.stack([x, y], axis=1) / np.where(crossing, sine, 1.0)[:, None, None]
    return np.where(crossing[:, None, None], solved, 0.5 * (moves + next_moves))

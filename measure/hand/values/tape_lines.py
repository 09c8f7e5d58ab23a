"""What a hand measurer may take from one outline: its sides, area and perimeter along either edge of the tape.

Sides are moved by their own tape's half width (Ring.taped), not at all along the parcel's edge, as in
measure.plat.offset.
For a mitred corner with turn t between sides moved outwards by d and d', the side moved by d becomes longer by
(d' - d cos t) / sin t: with one tape all round d tan(t / 2) (Machinery's Handbook's chamfers; school trigonometry).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import shapely

from measure.plat.offset import LEAST_OPENING, TapeEdge, region
from measure.plat.outline import area, cross, norms, ring_sides
from measure.plat.plat import Piece, Ring, signed_area
from measure.quantity import FloatArray, Quantity

_SHARPEST = math.radians(157.0)
"""Turns beyond this are cut square by whoever lays the tape; their mitre counts as this one's."""
_OF_AREA = 0.985
"""An outline that fills this share of its box is a rectangle to a child."""
Placing = Callable[[float], float]
"""mm: how well an end is placed on a tape of that width in mm."""


@dataclass(frozen=True, eq=False)
class Outline:
    """One piece as measured, lengths in mm."""

    piece: Piece
    curved: bool
    width: float

    @staticmethod
    def of(piece: Piece) -> Outline:
        """Of a measured piece."""
        return Outline(piece, piece.ring.curved, piece.tape_width.value)

    @cached_property
    def widths(self) -> FloatArray:
        """The width of every side's tape in mm, side 1 first, 0 where there is none; shape (n,)."""
        return self.width * np.array(self.piece.ring.taped or np.ones(len(self.piece.ring.points)))

    @cached_property
    def polygon(self) -> shapely.Polygon:
        """Along the tape's middle."""
        return shapely.Polygon(self.piece.ring.points, [hole.points for hole in self.piece.holes])

    @cached_property
    def _lands(self) -> dict[TapeEdge, shapely.Geometry]:
        """Along every edge; empty where tape covers all of it."""
        bare = replace(
            self.piece,
            ring=_bare(self.piece.ring),
            holes=tuple(_bare(hole) for hole in self.piece.holes),
            tape_width=Quantity(self.width),
        )
        return {
            "middle": self.polygon,
            "inner": region(bare, "inner", 0).geometry,
            "outer": region(bare, "outer", 0).geometry,
        }

    def sides(self, edge: TapeEdge) -> FloatArray:
        """The outer ring's sides along the edge, side 1 first; none of a curved outline."""
        if self.curved:
            return np.zeros(0)
        points = self._ordered
        moved = {"middle": 0.0, "inner": -0.5, "outer": 0.5}[edge] * self.widths
        return np.asarray(np.maximum(0.0, norms(np.roll(points, -1, axis=0) - points) + _longer(points, moved)))

    def side_u(self, index: int) -> float:
        """Standard uncertainty of a side (from 0), as the photo knows it."""
        points, moves = self.piece.ring.points, self.piece.ring.sensitivity
        after = (index + 1) % len(points)
        along = points[after] - points[index]
        direction = along / max(float(norms(along)), 1e-9)
        return float(np.linalg.norm(direction @ (moves[after] - moves[index])))

    def area_at(self, known: float, known_at: TapeEdge, edge: TapeEdge) -> float:
        """The area along an edge, from the area along another."""
        return max(0.0, known + float(self._lands[edge].area - self._lands[known_at].area))

    def perimeter_at(self, edge: TapeEdge) -> float:
        """The perimeter along an edge, holes' outlines too."""
        return float(self._lands[edge].length)

    def boxes(self, edge: TapeEdge) -> tuple[tuple[float, float], ...]:
        """Length and width of the boxes around the outline: along the parcel's sides, and the smallest; often one.

        None where tape covers all land along the edge.
        """
        around = self._lands[edge]
        if around.is_empty:
            return ()
        minx, miny, maxx, maxy = around.bounds
        corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(around))
        first = float(maxx - minx), float(maxy - miny)
        second = float(norms(corners[1] - corners[0])), float(norms(corners[2] - corners[1]))
        same = abs(first[0] * first[1] - second[0] * second[1]) < 0.02 * first[0] * first[1]
        return (first,) if same else (first, second)

    @cached_property
    def is_box(self) -> bool:
        """Whether a child sees a rectangle."""
        smallest = shapely.minimum_rotated_rectangle(self.polygon)
        return not self.curved and float(self.polygon.area) > _OF_AREA * float(smallest.area)

    @cached_property
    def inward_corners(self) -> tuple[int, ...]:
        """The corners, from 0, where the outer ring turns the other way, as an L does once."""
        return tuple(np.flatnonzero(np.tan(_turns(self._ordered) / 2.0) < -0.1).tolist())

    @cached_property
    def _ordered(self) -> FloatArray:
        """The outer ring, clockwise in the picture or its mirror image, so that corners keep their numbers."""
        points = self.piece.ring.points
        return points if signed_area(points) > 0 else points * np.array([1.0, -1.0])

    def area_gain(self) -> float:
        """mm2 of area for a mm of each side's place, sides independent; a curve's places as its diameter's ends."""
        if self.curved:
            return float(self.polygon.length) / math.sqrt(2.0)
        return float(np.sqrt((self.sides("middle") ** 2).sum()))

    def perimeter_gain(self) -> float:
        """mm of perimeter for a mm of every end: two a side, independent; a curve as a whole."""
        return 2.0 * math.pi if self.curved else math.sqrt(2.0 * len(self.piece.ring.points))

    def area_placing(self, placing: Placing) -> float:
        """mm: as well as all sides together are placed on their tapes, for area_gain."""
        return self._together(placing, np.ones(1) if self.curved else self.sides("middle") ** 2)

    def perimeter_placing(self, placing: Placing) -> float:
        """mm: as well as all ends together are placed, for perimeter_gain; every side's tape bears two ends."""
        return self._together(placing, np.ones(1))

    def side_placing(self, index: int, placing: Placing) -> float:
        """mm: as well as each of a side's (from 0) two ends is placed, on the tapes of the sides before and after."""
        beside = self.widths[[index - 1, (index + 1) % len(self.widths)]]
        return float(np.sqrt(np.mean([placing(width) ** 2 for width in beside.tolist()])))

    def width_at(self, place: tuple[float, float], other: tuple[float, float]) -> float:
        """mm: the tape's width at the end of a gap: of the sides there, the one that lies most across it."""
        rings = (self.piece.ring, *self.piece.holes)
        lines = np.concatenate([np.stack([r.points, np.roll(r.points, -1, axis=0)], axis=1) for r in rings])
        widths = self.width * np.concatenate([r.taped or np.ones(len(r.points)) for r in rings])
        away = shapely.distance(shapely.linestrings(lines), shapely.Point(place))
        there = away <= away.min() + max(widths.max(), self.width) / 2.0
        along = lines[:, 1] - lines[:, 0]
        slant = np.abs(along @ np.subtract(other, place)) / np.maximum(norms(along), 1e-9)
        return float(widths[np.lexsort((away, np.where(there, np.round(slant, 6), np.inf)))[0]])

    def _together(self, placing: Placing, weights: FloatArray) -> float:
        """The root mean square over the sides, by their weights."""
        squares = np.array([placing(width) ** 2 for width in self.widths.tolist()])
        return float(np.sqrt(np.average(squares, weights=np.broadcast_to(weights, squares.shape))))

    def product_spread(self) -> float:
        """mm2: how far the products of two neighbouring sides scatter about the area of a four-sided outline."""
        sides = self.sides("middle")
        if len(sides) != 4 or not self.is_box:
            return 0.0
        return float(np.sqrt(np.mean((sides * np.roll(sides, -1) - self.polygon.area) ** 2)))

    def print_share(self, prints: Sequence[int], sources: int) -> float:
        """Relative standard uncertainty of a length that comes from reading the printed check lines."""
        whole: Quantity = area(ring_sides(self.piece.ring, sources))
        moves = whole.sensitivity[list(prints)]
        return float(np.sqrt(moves @ moves)) / (2.0 * abs(whole.value)) if whole.value else 0.0


def _bare(ring: Ring) -> Ring:
    """Without what moves it."""
    return replace(ring, sensitivity=np.zeros((len(ring.points), 2, 0)))


def _turns(points: FloatArray) -> FloatArray:
    """The turn at every corner, positive where a clockwise line turns towards its inside; shape (n,)."""
    along = np.roll(points, -1, axis=0) - points
    before = np.roll(along, 1, axis=0)
    turns = np.arctan2(cross(before, along), (before * along).sum(axis=1))
    return np.asarray(np.clip(turns, -_SHARPEST, _SHARPEST))


def _longer(points: FloatArray, moved: FloatArray) -> FloatArray:
    """How much longer every side of a clockwise line becomes, each moved outwards by its own mm; shape (n,)."""
    turns = _turns(points)
    half, before = np.tan(turns / 2.0), np.roll(moved, 1)
    apart = (before - moved) / 2.0 * np.sin(turns) / np.maximum(1.0 - np.cos(turns), LEAST_OPENING)
    mitre = (before + moved) / 2.0 * half
    # At its own first corner a side gains where the side before moves further, at its last one the other way round.
    return np.asarray(mitre + apart + np.roll(mitre - apart, -1))

"""What a hand measurer may take from one outline: its sides, area and perimeter along either edge of the tape.

For a mitred outline with perimeter P and turns t, moving every side outwards by d changes area and perimeter by exactly
d P + d^2 T and 2 d T, where T is the sum of tan(t / 2); a side with turns t and t' at its ends becomes longer by
d (tan(t / 2) + tan(t' / 2)).  For a smooth curve T is pi (Steiner's formula; a school book's ring around a disc).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely

from measure.challenge import TapeEdge
from measure.outline import area, cross, norms, ring_sides
from measure.plat import Piece, Ring, signed_area
from measure.quantity import FloatArray, Quantity

_SHARPEST = math.radians(157.0)
"""Turns beyond this are cut square by whoever lays the tape; their mitre counts as this one's."""
_OF_AREA = 0.985
"""An outline that fills this share of its box is a rectangle to a child."""


@dataclass(frozen=True, eq=False)
class Outline:
    """One piece as measured, lengths in mm. `at` says how far outwards of the tape's middle each edge lies."""

    piece: Piece
    curved: bool
    width: float

    @staticmethod
    def of(piece: Piece) -> Outline:
        """Of a measured piece."""
        return Outline(piece, piece.ring.curved, piece.tape_width.value)

    def at(self, edge: TapeEdge) -> float:
        """mm outwards from the tape's middle."""
        return {"middle": 0.0, "inner": -0.5, "outer": 0.5}[edge] * self.width

    @cached_property
    def polygon(self) -> shapely.Polygon:
        """Along the tape's middle."""
        return shapely.Polygon(self.piece.ring.points, [hole.points for hole in self.piece.holes])

    @cached_property
    def turning(self) -> float:
        """T: the sum of tan(t / 2) over all corners, those of holes too."""
        if self.curved:
            return math.pi * (1 - len(self.piece.holes))
        rings = (_clockwise(self.piece.ring), *(_clockwise(hole)[::-1] for hole in self.piece.holes))
        return float(sum(_half_turns(ring).sum() for ring in rings))

    @cached_property
    def length(self) -> float:
        """The perimeter along the tape's middle, holes' outlines too."""
        return float(self.polygon.length)

    def sides(self, edge: TapeEdge) -> FloatArray:
        """The outer ring's sides along the edge, side 1 first; none of a curved outline."""
        if self.curved:
            return np.zeros(0)
        points = self.piece.ring.points
        ordered = points if signed_area(points) > 0 else points * np.array([1.0, -1.0])
        half = _half_turns(ordered)
        lengths = norms(np.roll(ordered, -1, axis=0) - ordered)
        return np.asarray(np.maximum(0.0, lengths + self.at(edge) * (half + np.roll(half, -1))))

    def side_u(self, index: int) -> float:
        """Standard uncertainty of a side (from 0), as the photo knows it."""
        points, moves = self.piece.ring.points, self.piece.ring.sensitivity
        after = (index + 1) % len(points)
        along = points[after] - points[index]
        direction = along / max(float(norms(along)), 1e-9)
        return float(np.linalg.norm(direction @ (moves[after] - moves[index])))

    def area_at(self, known: float, known_at: TapeEdge, edge: TapeEdge) -> float:
        """The area along an edge, from the area along another."""
        step, perimeter = self.at(edge) - self.at(known_at), self.perimeter_at(known_at)
        return max(0.0, known + step * perimeter + step**2 * self.turning)

    def perimeter_at(self, edge: TapeEdge) -> float:
        """The perimeter along an edge."""
        return max(0.0, self.length + 2.0 * self.at(edge) * self.turning)

    def boxes(self, edge: TapeEdge) -> tuple[tuple[float, float], ...]:
        """Length and width of the boxes around the outline: along the parcel's sides, and the smallest; often one."""
        around = shapely.Polygon(self.piece.ring.points)
        minx, miny, maxx, maxy = around.bounds
        smallest = shapely.minimum_rotated_rectangle(around)
        corners = shapely.get_coordinates(smallest)
        turned = norms(corners[1] - corners[0]), norms(corners[2] - corners[1])
        more = 2.0 * self.at(edge)
        found = [(float(a) + more, float(b) + more) for a, b in ((maxx - minx, maxy - miny), turned)]
        first, second = found
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
        points = self.piece.ring.points
        ordered = points if signed_area(points) > 0 else points * np.array([1.0, -1.0])
        return tuple(np.flatnonzero(_half_turns(ordered) < -0.1).tolist())

    def area_gain(self) -> float:
        """mm2 of area for a mm of each side's place, sides independent; a curve's places as its diameter's ends."""
        if self.curved:
            return self.length / math.sqrt(2.0)
        return float(np.sqrt((self.sides("middle") ** 2).sum()))

    def perimeter_gain(self) -> float:
        """mm of perimeter for a mm of every end: two a side, independent; a curve as a whole."""
        return 2.0 * math.pi if self.curved else math.sqrt(2.0 * len(self.piece.ring.points))

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


def _clockwise(ring: Ring) -> FloatArray:
    return ring.points if signed_area(ring.points) > 0 else ring.points[::-1]


def _half_turns(points: FloatArray) -> FloatArray:
    """tan(t / 2) at every corner, positive where a clockwise line turns towards its inside; shape (n,)."""
    along = np.roll(points, -1, axis=0) - points
    before = np.roll(along, 1, axis=0)
    turns = np.arctan2(cross(before, along), (before * along).sum(axis=1))
    return np.asarray(np.tan(np.clip(turns, -_SHARPEST, _SHARPEST) / 2.0))

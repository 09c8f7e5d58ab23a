"""A layout: where every zone's pieces lie, as rectangles and as Ls of two rectangles; and as a plat for the checker."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from measure.challenge import Challenge
from measure.plat.plat import Piece, Plat, nested, normalised, ordered
from measure.quantity import FloatArray, Quantity
from measure.rules.evaluation.evaluate import evaluate_all
from measure.rules.verdict import Outcome

Box = tuple[float, float, float, float]
"""x1, y1, x2, y2 in mm."""


@dataclass(frozen=True)
class Placed:
    """One piece: one box, or two stacked ones that share a left or a right side (an L).

    cut: what is cut off each corner of a single box, in mm along its sides, for a rounder piece.
    corners: of a piece of any other shape, which then has no boxes, its corners in mm.
    """

    zone: str
    boxes: tuple[Box, ...]
    cut: float = 0.0
    corners: tuple[tuple[float, float], ...] = ()

    def outline(self) -> FloatArray:
        """The corners (n, 2) in mm."""
        if self.corners:
            return np.array(self.corners)
        if self.cut > 0:
            return self._octagon()
        land = shapely.union_all([shapely.box(*box) for box in self.boxes]).normalize()
        points = shapely.get_coordinates(shapely.remove_repeated_points(land.simplify(0.0).exterior))[:-1]
        return np.asarray(points, dtype=np.float64)

    def _octagon(self) -> FloatArray:
        (x1, y1, x2, y2), c = self.boxes[0], self.cut
        ring = [
            (x1 + c, y1),
            (x2 - c, y1),
            (x2, y1 + c),
            (x2, y2 - c),
            (x2 - c, y2),
            (x1 + c, y2),
            (x1, y2 - c),
            (x1, y1 + c),
        ]
        land = shapely.remove_repeated_points(shapely.Polygon(ring), tolerance=1e-6)
        return np.asarray(shapely.get_coordinates(land)[:-1], dtype=np.float64)


@dataclass(frozen=True)
class Layout:
    """All pieces; width and depth are the parcel's, in mm."""

    width: float
    depth: float
    pieces: tuple[Placed, ...]

    @property
    def of_boxes(self) -> bool:
        """Whether every piece is made of boxes, whose sides can be moved."""
        return all(piece.boxes for piece in self.pieces)


def plat_of(layout: Layout) -> Plat:
    """The layout as the plat that a file with these outlines gives: exact, without tape."""
    made = [_piece(piece) for piece in layout.pieces]
    return Plat(layout.width, layout.depth, ordered(nested(made)), (), "given")


def checked(challenge: Challenge, plat: Plat) -> tuple[Outcome, ...]:
    """What the checker of photos says of a plat."""
    return evaluate_all(challenge, challenge.measures(plat))


def all_met(outcomes: Sequence[Outcome], among: Iterable[int]) -> bool:
    """Whether every one of these rules (by its place among the outcomes) is met."""
    return all(outcomes[at].verdict == "met" for at in among)


def _piece(placed: Placed) -> Piece:
    points = placed.outline()
    return Piece(placed.zone, normalised(points, np.zeros((len(points), 2, 0))), Quantity(0.0))

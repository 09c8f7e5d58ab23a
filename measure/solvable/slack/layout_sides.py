"""The sides of a layout as a vector that may be moved: shared sides are one number, fixed ones are none."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from measure.challenge import Zone
from measure.quantity import FloatArray, Quantity
from measure.solvable.problem.layout import Box, Layout, Placed
from measure.solvable.problem.problem import Problem

_SAME = 1e-6
"""mm."""
Movable = tuple[Quantity, Quantity, Quantity, Quantity]
"""A box whose sides know how they move with the vector."""


class MovablePiece(NamedTuple):
    """A piece whose boxes know how they move; what is cut off its corners stays, in mm.

    lost is the area of what lies inside it and is subtracted.
    """

    zone: str
    boxes: list[Movable]
    cut: float
    lost: Quantity = Quantity(0.0)


@dataclass(frozen=True, eq=False)
class Sides:
    """Each box's sides are `base` plus the vector's entries in `places` (-1: fixed); start is the layout's vector."""

    layout_made_from: Layout
    places: tuple[tuple[tuple[int, int, int, int], ...], ...]
    start: FloatArray

    @property
    def count(self) -> int:
        """How many sides can be moved."""
        return len(self.start)

    def pieces(self, values: FloatArray) -> list[MovablePiece]:
        """Every piece, its sides as quantities with their gradients."""
        unit = np.eye(self.count)
        still = np.zeros(self.count)

        def side(place: int, fixed: float) -> Quantity:
            return Quantity(fixed, still) if place < 0 else Quantity(float(values[place]), unit[place])

        def movable(places: tuple[int, int, int, int], box: Box) -> Movable:
            x1, y1, x2, y2 = (side(place, fixed) for place, fixed in zip(places, box, strict=True))
            return x1, y1, x2, y2

        pieces = zip(self.places, self.layout_made_from.pieces, strict=True)
        return [
            MovablePiece(piece.zone, [movable(p, box) for p, box in zip(own, piece.boxes, strict=True)], piece.cut)
            for own, piece in pieces
        ]

    def layout(self, values: FloatArray) -> Layout:
        """The layout with its sides at these places."""
        made = self.layout_made_from
        placed = tuple(
            Placed(zone, tuple((a.value, b.value, c.value, d.value) for a, b, c, d in boxes), cut)
            for zone, boxes, cut, _ in self.pieces(values)
        )
        return Layout(made.width, made.depth, placed)


def sides_of(problem: Problem, layout: Layout) -> Sides:
    """Which sides of a layout may move: all but those of keep-clear zones whose place or size is given."""
    start: list[float] = []
    places = []
    zones = {zone.name: zone for zone in problem.zones}
    for piece in layout.pieces:
        own: dict[tuple[int, float], int] = {}
        fixed = _is_fixed(zones[piece.zone])
        places.append(tuple(_box_places(box, at, piece, fixed, own, start) for at, box in enumerate(piece.boxes)))
    return Sides(layout, tuple(places), np.array(start))


def _is_fixed(zone: Zone) -> bool:
    return zone.kind == "keep-clear" and (zone.place is not None or zone.size is not None)


def _box_places(
    box: Box, at: int, piece: Placed, fixed: bool, own: dict[tuple[int, float], int], start: list[float]
) -> tuple[int, int, int, int]:
    """Places in the vector; boxes of an L share the sides that they have in common."""
    made = []
    for axis_side, value in enumerate(box):
        axis = axis_side % 2
        # Along x both left or both right sides may be one; along y the upper one's bottom is the lower one's top.
        key = (axis if axis else 10 + axis_side, round(value / _SAME))
        if fixed:
            made.append(-1)
        elif at and key in own:
            made.append(own[key])
        else:
            own[key] = len(start)
            made.append(len(start))
            start.append(value)
    x1, y1, x2, y2 = made
    return x1, y1, x2, y2

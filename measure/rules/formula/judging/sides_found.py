"""Sides and corners of an outline, and its shape, as far as tape that was laid by hand tells them.

A corner that turns by less than can be measured, and by less than 15 degrees, is a point on a straight side
(measure.plat.side_tests). A shape may be off by ANGLE at every corner, and its equal sides by SHARE of their length.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np
import shapely

from measure.plat.measures import piece_of, pieces_of
from measure.plat.side_tests import OutlineSides, sides_of
from measure.quantity import FloatArray, Quantity
from measure.rules.formula.formula_data import ShapeName
from measure.rules.formula.judging.events import AllOf, AnyOf, Certain, Compared, Event, Shown, Unclear
from measure.rules.formula.judging.formula_allowance import angle_allowed, length_allowed
from measure.rules.formula.judging.numbers_found import Exact, Measured, Number
from measure.rules.formula.judging.numbers_reckoned import Ordered, added
from measure.rules.formula.judging.things_found import Names
from measure.rules.rule_context import Context
from measure.rules.verdict import Mark, Unknown

ANGLE = 5.0
"""Degrees by which a corner of hand-laid tape may be off."""
SHARE = 0.05
"""Share of a length by which sides of hand-laid tape that are equal may differ."""
_LEAST_ROUND = 8
"""Corners from which an outline of straight stretches may be a circle."""
_SHARP = 60.0
"""Degrees: a corner of many that turns by more is no point of a curve."""
_HARDLY = 30.0
"""Degrees by which each of many corners turns that draw a curve."""
_SEVERAL = "{} has several pieces; say it of each, as in `for every piece of homes: ... that piece ...`"
_CURVED = "{} has a curved outline, without sides and corners"
_SIDE_COUNT = {
    "rectangle": 4, "square": 4, "triangle": 3, "right triangle": 3, "parallelogram": 4, "trapezoid": 4, "rhombus": 4,
    "L-shape": 6,
}  # fmt: skip


def side_count(names: Names, context: Context) -> Number | Unknown:
    """The number of sides of an outline."""
    sides = _outline(names, context)
    return sides if isinstance(sides, Unknown) else Exact(float(len(sides)))


def side_lengths(names: Names, context: Context) -> tuple[Number, ...] | Unknown:
    """The lengths of an outline's sides in mm."""
    sides = _outline(names, context)
    if isinstance(sides, Unknown):
        return sides
    return tuple(_number(sides.length(at), names, context) for at in range(len(sides)))


def shape_event(shape: ShapeName, names: Names, context: Context) -> Event:
    """Whether an outline has a shape; of a zone, every piece of it."""
    pieces = tuple(piece for name in names for piece in pieces_of(name, context.measures))
    if len(pieces) > 1:
        return AllOf(tuple(shape_event(shape, (piece,), context) for piece in pieces))
    if shape in ("circle", "oval"):
        return _circle(names, context) if shape == "circle" else _oval(names, context)
    sides = _outline(names, context)
    if isinstance(sides, Unknown):
        return Certain(False) if sides.why == _CURVED else Unclear(sides)
    if len(sides) != _SIDE_COUNT.get(shape, len(sides)):
        return Certain(False)
    return _Corners(sides, names, context).event(shape)


class _Corners:
    def __init__(self, sides: OutlineSides, names: Names, context: Context) -> None:
        self.sides, self.names, self.context = sides, names, context

    def event(self, shape: ShapeName) -> Event:
        match shape:
            case "triangle":
                return Certain(True)
            case "right triangle":
                return AnyOf(tuple(self._turns((at,), 90.0) for at in range(3)))
            case "rectangle":
                return self._right(range(4))
            case "square":
                return AllOf((self._right(range(4)), self._equal()))
            case "parallelogram":
                return AllOf((self._parallel(0), self._parallel(1)))
            case "rhombus":
                return AllOf((self._parallel(0), self._parallel(1), self._equal()))
            case "trapezoid":
                return AnyOf((self._parallel(0), self._parallel(1))) if self.sides.convex else Certain(False)
            case "straight-sided shape":
                return Certain(not _drawn_round(self.sides.turns))
            case "right-angled shape":
                turns = enumerate(self.sides.turns)
                return AllOf(tuple(self._turns((at,), math.copysign(90.0, turn)) for at, turn in turns))
            case "regular polygon":
                count = len(self.sides)
                return AllOf((*(self._turns((at,), 360.0 / count) for at in range(count)), self._equal()))
        inwards = [at for at, turn in enumerate(self.sides.turns) if turn < 0]
        if len(inwards) != 1:
            return Certain(False)
        return AllOf((self._right(at for at in range(6) if at not in inwards), self._turns((inwards[0],), -90.0)))

    def _right(self, corners: Iterable[int]) -> Event:
        return AllOf(tuple(self._turns((at,), 90.0) for at in corners))

    def _parallel(self, side: int) -> Event:
        """Of four sides: one and the one across, between which two corners turn by half a circle."""
        return self._turns((side + 1, side + 2), 180.0)

    def _turns(self, corners: tuple[int, ...], degrees: float) -> Event:
        turn = math.degrees(sum(float(self.sides.turns[at % len(self.sides)]) for at in corners))
        moves = np.degrees(sum(self.sides.turn_moves[at % len(self.sides)] for at in corners))
        number = _number(Quantity(turn, np.asarray(moves)), self.names, self.context)
        beside = [at for corner in corners for at in (corner - 1, corner)]
        shortest = min(float(self.sides.lengths[at % len(self.sides)]) for at in beside)
        off = ANGLE + angle_allowed(self.context, shortest)
        shown = Shown("degrees", 1.0, (degrees - ANGLE, degrees + ANGLE))
        return Compared(number, Exact(degrees - off), Exact(degrees + off), shown=shown)

    def _equal(self) -> Event:
        lengths = tuple(_number(self.sides.length(at), self.names, self.context) for at in range(len(self.sides)))
        longest, shortest = Ordered("largest", lengths), Ordered("smallest", lengths)
        more = Exact(length_allowed(self.context, shortest.value))
        return Compared(longest, high=added([shortest, more], [1.0 + SHARE, 1.0]), shown=Shown())


def _circle(names: Names, context: Context) -> Event:
    """Every corner as far from the centroid as every other, within SHARE: of a curved outline, or of many sides."""
    piece = _piece(names, context)
    if isinstance(piece, Unknown):
        return Unclear(piece)
    ring = context.measures.all_pieces(names[0])[0].ring
    if not ring.curved and len(ring.points) < _LEAST_ROUND:
        return Certain(False)
    centre = ring.points.mean(axis=0)
    away = ring.points - centre
    radii = np.hypot(*away.T)
    moves = ring.sensitivity - ring.sensitivity.mean(axis=0)
    drawn = tuple(
        _number(Quantity(float(r), (way / r) @ move), names, context)
        for r, way, move in zip(radii, away, moves, strict=True)
        if r > 0
    )
    longest, shortest = Ordered("largest", drawn), Ordered("smallest", drawn)
    more = Exact(2.0 * length_allowed(context, shortest.value))
    return Compared(longest, high=added([shortest, more], [(1.0 + SHARE) / (1.0 - SHARE), 1.0]))


def _drawn_round(turns: FloatArray) -> bool:
    """Whether so many corners that hardly turn draw a curve."""
    return len(turns) >= 2 * _LEAST_ROUND and float(np.degrees(np.abs(turns)).max()) < _HARDLY


def _oval(names: Names, context: Context) -> Event:
    """A curved outline, or one of many sides without a sharp corner, that covers all but SHARE of its convex hull."""
    piece = _piece(names, context)
    if isinstance(piece, Unknown):
        return Unclear(piece)
    ring = context.measures.all_pieces(names[0])[0].ring
    if not ring.curved:
        turns = np.degrees(np.abs(sides_of(ring).turns))
        if len(turns) < _LEAST_ROUND or float(turns.max()) > _SHARP:
            return Certain(False)
    hull = shapely.MultiPoint(ring.points).convex_hull.exterior.coords[:-1]
    at = [int(np.argmin(np.hypot(*(ring.points - np.asarray(corner)).T))) for corner in hull]
    land, around = (_area_of(ring.points[which], ring.sensitivity[which]) for which in (range(len(ring.points)), at))
    share = land.value / around.value
    moves = (land.sensitivity - share * around.sensitivity) / around.value
    number = _number(Quantity(share, moves), names, context)
    return Compared(number, Exact(1.0 - SHARE), shown=Shown(limit=1.0 - SHARE))


def _area_of(points: FloatArray, moves: FloatArray) -> Quantity:
    """The area within corners, either way round; how it moves by the derivative of the shoelace formula."""
    after, before = np.roll(points, -1, axis=0), np.roll(points, 1, axis=0)
    twice = float((points[:, 0] * after[:, 1] - after[:, 0] * points[:, 1]).sum())
    grown = 0.5 * np.stack([after[:, 1] - before[:, 1], before[:, 0] - after[:, 0]], axis=1)
    made = Quantity(0.5 * twice, np.einsum("ij,ijk->k", grown, moves))
    return made if twice > 0 else Quantity(-made.value, -made.sensitivity)


def _outline(names: Names, context: Context) -> OutlineSides | Unknown:
    piece = _piece(names, context)
    if isinstance(piece, Unknown):
        return piece
    ring = context.measures.all_pieces(names[0])[0].ring
    return Unknown(_CURVED, names) if ring.curved else sides_of(ring)


def _piece(names: Names, context: Context) -> str | Unknown:
    found = context.measures.all_pieces(names[0])
    if len(names) > 1 or len(found) > 1:
        return Unknown(_SEVERAL, names)
    return names[0] if len(found[0].ring.points) > 2 else Unknown("the outline of {} is not known", names)


def _number(found: Quantity, names: Names, context: Context) -> Measured:
    """Without the sources that side_tests adds for every outline anew."""
    shared = Quantity(found.value, found.sensitivity[: context.measures.source_count()])
    zone, index = piece_of(names[0])
    mark = Mark("piece" if index else "zone", ((zone, index or 0),))
    return Measured((shared,), names, mark)

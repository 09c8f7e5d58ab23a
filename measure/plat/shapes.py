"""Names of the measured outlines' shapes, as far as anyone can tell, with the reason in words for the class.

The most special name that the outline may have is given: what is a square within what can be measured is called one.
Definitions are those of the Common Core geometry standards (3.G.A.1, 4.G.A.2, 5.G.B.3 and 4) and their Progressions
document: an isosceles triangle has at least two equal sides, a rhombus is a parallelogram and a kite, and a trapezoid
has at least one pair of parallel sides, or, where the challenge says `shapes = "exclusive"`, exactly one.  A kite has
no corner that points inwards.

The shape is that of the tape's middle line; mitred corners keep it along the tape's other edges.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from measure.plat.plat import Piece
from measure.plat.side_tests import OutlineSides, may_be_zero, misfit, sides_of
from measure.quantity import Quantity
from measure.units import format_number

Trapezoids = Literal["inclusive", "exclusive"]
_WITHIN = "within what can be measured"
_POLYGONS = {5: "pentagon", 6: "hexagon", 7: "heptagon", 8: "octagon", 9: "nonagon", 10: "decagon", 12: "dodecagon"}
_RIGHT = math.pi / 2
_NEARLY_RIGHT = math.radians(12.0)
"""Angles that all are right to this may be meant to be right: the reason says how far they are from it."""


@dataclass(frozen=True)
class Shape:
    """A shape's name, the reasons for it in plain words, and the more general names that it has too."""

    name: str
    reasons: tuple[str, ...] = ()
    also: tuple[str, ...] = ()


def shape_of(piece: Piece, trapezoids: Trapezoids = "inclusive") -> Shape | None:
    """The shape of a piece's outline; None where it is not measurable."""
    if piece.status != "measured" or len(piece.ring.points) < 3:
        return None
    if piece.ring.curved:
        return Shape("curved", ("its outline has no straight sides and corners",))
    sides = sides_of(piece.ring)
    if len(sides) == 3:
        return _triangle(sides)
    if len(sides) == 4:
        return _quadrilateral(sides, trapezoids)
    return _polygon(sides)


# ---- triangles


def _triangle(sides: OutlineSides) -> Shape:
    if may_be_zero(sides.unequal(((0, 1), (1, 2)))):
        said = f"three equal sides {_WITHIN}"
        return Shape("equilateral triangle", (said,), ("isosceles triangle", "acute triangle"))
    by_sides, sides_said = _by_sides(sides)
    by_angles, angles_said = _by_angles(sides)
    return Shape(
        f"{by_angles} {by_sides} triangle", (sides_said, angles_said), (f"{by_sides} triangle", f"{by_angles} triangle")
    )


def _by_sides(sides: OutlineSides) -> tuple[str, str]:
    pairs = ((0, 1), (1, 2), (2, 0))
    first, second = min(pairs, key=lambda pair: misfit(sides.unequal((pair,))))
    if may_be_zero(sides.unequal(((first, second),))):
        one, other = sorted((sides.numbers[first], sides.numbers[second]))
        return "isosceles", f"two equal sides {_WITHIN}: sides {one} and {other}"
    return "scalene", "no two sides are equal"


def _by_angles(sides: OutlineSides) -> tuple[str, str]:
    """The largest angle decides; a right one is one that may be right."""
    angles = [sides.angle(corner) for corner in range(3)]
    nearest = min(range(3), key=lambda corner: misfit(sides.turned_by(_RIGHT, (corner,))))
    if may_be_zero(sides.turned_by(_RIGHT, (nearest,))):
        return "right", f"one right angle {_WITHIN}: corner {sides.numbers[nearest]}, {_degrees(angles[nearest])}"
    largest = max(angles, key=lambda angle: angle.value)
    if largest.value > _RIGHT:
        return "obtuse", f"one angle is larger than a right angle: {_degrees(largest)}"
    return "acute", f"all angles are smaller than a right angle; the largest is {_degrees(largest)}"


# ---- quadrilaterals


def _quadrilateral(sides: OutlineSides, trapezoids: Trapezoids) -> Shape:
    """From the most special down; a name's conditions are tested together."""
    right, equal = sides.turned_by(_RIGHT, (0, 1, 2)), sides.unequal(((0, 1), (1, 2), (2, 3)))
    parallel = [sides.unparallel(0, 2), sides.unparallel(1, 3)]
    trapezoid = ("trapezoid",) if trapezoids == "inclusive" else ()
    two_pairs, all_right, all_equal = "two pairs of parallel sides", "all angles right", "four equal sides"
    if may_be_zero([*right[:1], *equal]):
        reasons = (all_equal, f"{all_right} {_WITHIN}")
        return Shape("square", reasons, ("rectangle", "rhombus", "parallelogram", "kite", *trapezoid))
    if may_be_zero(right):
        return Shape("rectangle", (two_pairs, f"{all_right} {_WITHIN}"), ("parallelogram", *trapezoid))
    if sides.convex and may_be_zero(equal):
        also = ("parallelogram", "kite", *trapezoid)
        return Shape("rhombus", (two_pairs, f"{all_equal} {_WITHIN}", *_not_right(sides)), also)
    if may_be_zero(parallel):
        return Shape("parallelogram", (f"{two_pairs} {_WITHIN}", *_not_right(sides)), trapezoid)
    pairs = min((((0, 1), (2, 3)), ((1, 2), (3, 0))), key=lambda pairs: misfit(sides.unequal(pairs)))
    if may_be_zero(sides.unequal(pairs)) and sides.convex:
        return Shape("kite", (f"two pairs of equal sides next to each other {_WITHIN}",))
    first = min((0, 1), key=lambda at: misfit(parallel[at : at + 1]))
    if may_be_zero(parallel[first : first + 1]):
        pair = f"{'one' if trapezoids == 'inclusive' else 'exactly one'} pair of parallel sides {_WITHIN}"
        which = f"sides {sides.numbers[first]} and {sides.numbers[first + 2]}"
        return Shape("trapezoid", (f"{pair}: {which}", *_not_right(sides)))
    inwards = () if sides.convex else ("one corner points inwards",)
    return Shape("irregular quadrilateral", ("no two sides are parallel", *inwards, *_not_right(sides)))


def _not_right(sides: OutlineSides) -> tuple[str, ...]:
    """Of corners that look right at first sight, how far the worst is from it."""
    if (np.abs(sides.turns - _RIGHT) > _NEARLY_RIGHT).any():
        return ()
    worst = max(range(len(sides)), key=lambda corner: misfit(sides.turned_by(_RIGHT, (corner,))))
    if may_be_zero(sides.turned_by(_RIGHT, (worst,))):
        return ()
    corner = sides.numbers[worst]
    return (f"nearly a rectangle, but the angle at corner {corner} is {_degrees(sides.angle(worst))}",)


# ---- five sides and more


def _polygon(sides: OutlineSides) -> Shape:
    """Equal sides and all but three angles make a polygon regular: closing it settles the rest."""
    count = len(sides)
    noun = _POLYGONS.get(count, f"polygon with {count} sides")
    equal = sides.unequal([(at, at + 1) for at in range(count - 1)])
    if sides.convex and may_be_zero([*equal, *sides.turned_by(2 * math.pi / count, range(count - 3))]):
        return Shape(f"regular {noun}", (f"{count} equal sides and {count} equal angles {_WITHIN}",))
    reasons = [f"{count} sides that are not all equal, or angles that are not"]
    outwards = sides.turns > 0
    steps = [Quantity(float(abs(t) - _RIGHT), moves) for t, moves in zip(sides.turns, sides.turn_moves, strict=True)]
    if not outwards.all():
        inwards = int((~outwards).sum())
        reasons.append("one corner points inwards" if inwards == 1 else f"{inwards} corners point inwards")
    if all(may_be_zero([step]) for step in steps):
        reasons.append(f"every corner is square {_WITHIN}")
    return Shape(f"irregular {noun}", tuple(reasons))


def _degrees(angle: Quantity) -> str:
    value, u95 = math.degrees(angle.value), math.degrees(angle.u95)
    return f"{format_number(value, u95)} ± {format_number(u95, u95)} degrees"

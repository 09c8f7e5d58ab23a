"""What can be said of an outline's sides and corners under the measurement's uncertainty: parallel, equal, right.

A statement such as "all angles are right" is a set of numbers that would be 0 if it were true.  They are uncertain and
depend on the same corners, so they are judged together: with covariance C, the deviations g keep to the statement as
far as anyone can tell where g' C^-1 g is within the 95 % point of the chi-squared distribution (the usual test of a
linear hypothesis; for one number, 1.96 standard uncertainties).  A true square is then called one 95 times in 100,
however many sides and angles that takes.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from measure.plat.outline import cross, norms
from measure.plat.plat import Ring, signed_area
from measure.quantity import FloatArray, Quantity

FLOOR = 0.05
"""mm: corners are taken no more certain than this in x and in y; given ones are written with so many digits."""
_NOTHING = 1e-9
"""A share of the largest variance, and a deviation, that count for none."""
_SIGNIFICANCE = 0.05
_HARDLY_A_CORNER = np.radians(15.0)
"""A corner that turns by less may be a point on a straight side."""


@dataclass(frozen=True, eq=False)
class OutlineSides:
    """The sides of an outline, clockwise in the picture: how they run and how far that is certain.

    points (n, 2) in mm, numbers (n,) what the corners, and the sides from them, are called on the picture; lengths (n,)
    in mm, side i from corner i to i + 1; turns (n,) in radians, at corner i; the movements have shape (n, k).
    """

    points: FloatArray
    numbers: tuple[int, ...]
    lengths: FloatArray
    length_moves: FloatArray
    turns: FloatArray
    heading_moves: FloatArray

    def __len__(self) -> int:
        return len(self.points)

    @cached_property
    def turn_moves(self) -> FloatArray:
        """How each turn moves, shape (n, k)."""
        return np.asarray(self.heading_moves - np.roll(self.heading_moves, 1, axis=0))

    @property
    def convex(self) -> bool:
        """Whether no corner points inwards."""
        return bool((self.turns > 0).all())

    def angle(self, corner: int) -> Quantity:
        """The angle inside a corner, in radians."""
        return Quantity(float(np.pi - self.turns[corner]), -self.turn_moves[corner])

    def length(self, side: int) -> Quantity:
        """The length of a side in mm."""
        return Quantity(float(self.lengths[side]), self.length_moves[side])

    def turned_by(self, angle: float, corners: Sequence[int]) -> list[Quantity]:
        """How far corners are from turning by an angle."""
        return [Quantity(float(self.turns[at] - angle), self.turn_moves[at]) for at in corners]

    def unequal(self, pairs: Sequence[tuple[int, int]]) -> list[Quantity]:
        """How far sides are from being equally long, pair by pair, in mm."""
        return [self.length(a) - self.length(b) for a, b in pairs]

    def unparallel(self, a: int, b: int) -> Quantity:
        """How far two sides are from being parallel, as the sine of the angle between them."""
        between = float(self.turns[a + 1 : b + 1].sum())
        return Quantity(float(np.sin(between)), np.cos(between) * (self.heading_moves[b] - self.heading_moves[a]))


def sides_of(ring: Ring) -> OutlineSides:
    """The sides between an outline's true corners: points on a straight side, as far as can be measured, are left out.

    Raises ValueError where fewer than three corners are left.
    """
    points, moves, numbers = ring.points, _with_floor(ring.sensitivity), tuple(range(1, len(ring.points) + 1))
    if signed_area(points) < 0:
        points, moves, numbers = points[::-1], moves[::-1], numbers[::-1]
    made = _sides(points, moves, numbers)
    while len(made) > 3:
        straight = _straightest(made, moves)
        if straight is None:
            break
        numbers = numbers[:straight] + numbers[straight + 1 :]
        points, moves = np.delete(made.points, straight, axis=0), np.delete(moves, straight, axis=0)
        made = _sides(points, moves, numbers)
    if len(made) < 3:
        raise ValueError("an outline has at least three corners")
    return made


def may_be_zero(deviations: Sequence[Quantity]) -> bool:
    """Whether all the deviations together may be 0, at 95 %; they are not to depend on each other."""
    return chance_of_more(misfit(deviations), len(deviations)) >= _SIGNIFICANCE


def chance_of_more(misfit: float, count: int) -> float:
    """The chance that chi-squared of `count` degrees of freedom is larger than misfit.

    The sums of a whole number of terms in Abramowitz and Stegun, 26.4.4 and 26.4.5 (from memory); importing scipy for
    them would take longer than judging a whole model.
    """
    half, first = 0.5 * misfit, 0.5 if count % 2 else 0.0
    if half <= 0.0:
        return 1.0
    if not math.isfinite(half):
        return 0.0
    # Logarithms: of outlines with hundreds of sides the terms alone would over- and underflow.
    shapes = (first + step for step in range(count // 2))
    terms = (math.exp(shape * math.log(half) - half - math.lgamma(shape + 1.0)) for shape in shapes)
    return (math.erfc(math.sqrt(half)) if count % 2 else 0.0) + sum(terms)


def misfit(deviations: Sequence[Quantity]) -> float:
    """g' C^-1 g of deviations with a common covariance; infinite where they deviate in a way that nothing moves."""
    g = np.array([deviation.value for deviation in deviations])
    moves = np.array([deviation.sensitivity for deviation in deviations])
    covariance = moves @ moves.T
    try:
        return float(g @ np.linalg.solve(covariance, g))
    except np.linalg.LinAlgError:
        variances, axes = np.linalg.eigh(covariance)
        along, moved = axes.T @ g, variances > _NOTHING * variances.max(initial=0.0)
        if np.abs(along[~moved]).max(initial=0.0) > _NOTHING:
            return math.inf
        return float((along[moved] ** 2 / variances[moved]).sum())


def _with_floor(sensitivity: FloatArray) -> FloatArray:
    """The movements (n, 2, k) with a source of its own for every corner and axis, shape (n, 2, k + 2n)."""
    count = len(sensitivity)
    own = FLOOR * np.eye(2 * count).reshape(count, 2, 2 * count)
    return np.concatenate([sensitivity, own], axis=2)


def _sides(points: FloatArray, moves: FloatArray, numbers: tuple[int, ...]) -> OutlineSides:
    along = np.roll(points, -1, axis=0) - points
    along_moves = np.roll(moves, -1, axis=0) - moves
    lengths = np.maximum(norms(along), 1e-9)
    unit = along / lengths[:, None]
    length_moves = np.einsum("nd,ndk->nk", unit, along_moves)
    normal = np.stack([-unit[:, 1], unit[:, 0]], axis=1)
    heading_moves = np.einsum("nd,ndk->nk", normal, along_moves) / lengths[:, None]
    before = np.roll(unit, 1, axis=0)
    turns = np.arctan2(cross(before, unit), (before * unit).sum(axis=1))
    return OutlineSides(points, numbers, lengths, length_moves, turns, heading_moves)


def _straightest(sides: OutlineSides, moves: FloatArray) -> int | None:
    """The corner that is least of one, where it lies on the line between its neighbours as far as can be told."""
    at = int(np.argmin(np.abs(sides.turns)))
    if abs(sides.turns[at]) > _HARDLY_A_CORNER:
        return None
    before, after = at - 1, (at + 1) % len(sides)
    chord = sides.points[after] - sides.points[before]
    size = max(float(norms(chord)), 1e-9)
    normal = np.array([-chord[1], chord[0]]) / size
    share = float((sides.points[at] - sides.points[before]) @ chord) / size**2
    off = float((sides.points[at] - sides.points[before]) @ normal)
    off_moves = normal @ (moves[at] - (1 - share) * moves[before] - share * moves[after])
    return at if may_be_zero([Quantity(off, off_moves)]) else None

"""Directed sides of an outline and what follows from them: area, perimeter, centroid, each with its uncertainty.

All gradients are analytic.  When a boundary moves, an area changes by the boundary's length times how far it moves
along its outward normal (Leibniz's rule for a moving boundary); for a polygon this is the gradient of the signed
shoelace sum, and it also holds where only parts of sides bound a region, as in a union.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from measure.plat.plat import Ring, signed_area
from measure.quantity import FloatArray, Quantity


@dataclass(frozen=True, eq=False)
class Sides:
    """Sides from starts to ends, both (m, 2) in mm, and how each end moves with every source, both (m, 2, k).

    They run clockwise in the picture (y down) around what they enclose, and the other way around its holes: the
    outward normal of a side with direction (dx, dy) is (dy, -dx).
    """

    starts: FloatArray
    ends: FloatArray
    start_moves: FloatArray
    end_moves: FloatArray

    @property
    def outward(self) -> FloatArray:
        """Outward normals, each as long as its side, shape (m, 2)."""
        along = self.ends - self.starts
        return np.stack([along[:, 1], -along[:, 0]], axis=1)

    @property
    def lengths(self) -> FloatArray:
        """Lengths in mm, shape (m,)."""
        return norms(self.ends - self.starts)

    def __len__(self) -> int:
        return len(self.starts)


def area(sides: Sides) -> Quantity:
    """The area in mm2 that the sides enclose."""
    near = sides.starts[:1].sum(axis=0)  # a local origin keeps digits
    value = 0.5 * float(cross(sides.starts - near, sides.ends - near).sum())
    middle_moves = 0.5 * (sides.start_moves + sides.end_moves)
    return Quantity(value, np.einsum("md,mdk->k", sides.outward, middle_moves))


def perimeter(sides: Sides) -> Quantity:
    """The total length of the sides in mm."""
    along = sides.ends - sides.starts
    lengths = norms(along)
    directions = along / np.where(lengths > 0, lengths, 1.0)[:, None]
    stretch = np.einsum("md,mdk->k", directions, sides.end_moves - sides.start_moves)
    return Quantity(float(lengths.sum()), stretch)


def centroid(sides: Sides) -> tuple[Quantity, Quantity]:
    """The centroid (x, y) in mm of what the sides enclose.

    Raises ZeroDivisionError where they enclose nothing.
    """
    whole = area(sides)
    near = sides.starts[:1].sum(axis=0)
    starts, ends = sides.starts - near, sides.ends - near
    if whole.value == 0:
        raise ZeroDivisionError("an outline without area has no centroid")
    moment = (cross(starts, ends)[:, None] * (starts + ends)).sum(axis=0) / 6.0
    centre = moment / whole.value
    # The moment changes by the integral of position times normal movement along each side, both linear in between.
    first = np.einsum("md,mdk->mk", sides.outward, 2.0 * sides.start_moves + sides.end_moves)
    second = np.einsum("md,mdk->mk", sides.outward, sides.start_moves + 2.0 * sides.end_moves)
    moment_moves = (starts.T @ first + ends.T @ second) / 6.0
    moves = (moment_moves - centre[:, None] * whole.sensitivity) / whole.value
    x, y = (Quantity(float(near[axis] + centre[axis]), moves[axis]) for axis in (0, 1))
    return x, y


def ring_sides(ring: Ring, sources: int, *, hole: bool = False) -> Sides:
    """The sides of a ring, turned clockwise in the picture (anticlockwise for a hole), with that many sources."""
    moves = widened(ring.sensitivity, sources)
    points = ring.points
    if (signed_area(points) < 0) != hole:
        points, moves = points[::-1], moves[::-1]
    return Sides(points, np.roll(points, -1, axis=0), moves, np.roll(moves, -1, axis=0))


def joined(parts: Iterable[Sides], sources: int) -> Sides:
    """All the sides of several outlines."""
    kept: Sequence[Sides] = [part for part in parts if len(part)]
    if not kept:
        none, no_moves = np.zeros((0, 2)), np.zeros((0, 2, sources))
        return Sides(none, none, no_moves, no_moves)
    return Sides(
        np.concatenate([part.starts for part in kept]),
        np.concatenate([part.ends for part in kept]),
        np.concatenate([part.start_moves for part in kept]),
        np.concatenate([part.end_moves for part in kept]),
    )


def widened(moves: FloatArray, sources: int) -> FloatArray:
    """Sensitivities (..., k) with zeros for the sources that they lack, shape (..., sources)."""
    missing = sources - moves.shape[-1]
    return np.pad(moves, [(0, 0)] * (moves.ndim - 1) + [(0, missing)]) if missing > 0 else moves


def norms(vectors: FloatArray) -> FloatArray:
    """Lengths of vectors (..., 2)."""
    return np.asarray(np.hypot(vectors[..., 0], vectors[..., 1]))


def cross(a: FloatArray, b: FloatArray) -> FloatArray:
    """Cross products of vectors (n, 2), shape (n,): positive for a clockwise turn in the picture."""
    return np.asarray(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])

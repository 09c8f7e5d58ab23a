"""Solids that stand on the plane: a box, a ridge prism, a pyramid, a cylinder, a cone, as meshes of flat faces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from calib.edges import FloatArray

BodyKind = Literal["box", "prism", "pyramid", "cylinder", "cone"]
ROUND_SIDES = 36
"""Flat sides in place of a round one: 0.1 mm off at a radius of 30 mm."""
_FILL: dict[BodyKind, float] = {"box": 1.0, "prism": 1 / 2, "pyramid": 1 / 3, "cylinder": 1.0, "cone": 1 / 3}
_Corner = tuple[float, float, float]


@dataclass(frozen=True)
class Body:
    """A solid: the centre of its footprint, length along its own axis and width across it, height, mm; turn, radians.

    A round one has its diameter for length and width.  A prism's ridge runs along its length.
    """

    kind: BodyKind
    x: float
    y: float
    length: float
    width: float
    height: float
    turn: float = 0.0

    @property
    def is_round(self) -> bool:
        """Whether it has a diameter in place of length and width."""
        return self.kind in ("cylinder", "cone")

    @property
    def vector(self) -> FloatArray:
        """Its parameters (p,): centre, length, height; unless it is round, width and turn besides."""
        free = [self.x, self.y, self.length, self.height]
        return np.array(free if self.is_round else [*free, self.width, self.turn], dtype=np.float64)

    def with_vector(self, vector: FloatArray) -> Body:
        """The same kind of solid with these parameters."""
        x, y, length, height, *rest = map(float, vector)
        width, turn = rest if rest else (length, 0.0)
        return replace(self, x=x, y=y, length=length, height=height, width=width, turn=turn)

    def as_high_as(self, height: float) -> Body:
        """The same solid with another height."""
        return replace(self, height=height)

    @property
    def corners(self) -> FloatArray:
        """The mesh's corners (n, 3): place and height above the plane, mm."""
        unit = mesh_of(self.kind).corners
        flat = unit[:, :2] * (self.length, self.width) @ self._axes + (self.x, self.y)
        return np.column_stack([flat, unit[:, 2] * self.height])

    @property
    def moves(self) -> FloatArray:
        """How every corner moves with every parameter, (n, 3, p)."""
        unit = mesh_of(self.kind).corners
        moves = np.zeros((len(unit), 3, len(self.vector)))
        moves[:, 0, 0] = moves[:, 1, 1] = 1.0
        moves[:, 2, 3] = unit[:, 2]
        if self.is_round:
            moves[:, :2, 2] = unit[:, :2]
            return moves
        along, across = self._axes
        moves[:, :2, 2] = unit[:, :1] * along
        moves[:, :2, 4] = unit[:, 1:2] * across
        flat = unit[:, :2] * (self.length, self.width) @ self._axes
        moves[:, :2, 5] = np.column_stack([-flat[:, 1], flat[:, 0]])
        return moves

    @property
    def footprint(self) -> FloatArray:
        """The corners (n, 2) of the face that it stands on, mm."""
        return self.corners[: mesh_of(self.kind).feet, :2]

    @property
    def floor(self) -> float:
        """The footprint's area, mm2."""
        return self.length * self.width * (np.pi / 4 if self.is_round else 1.0)

    @property
    def volume(self) -> float:
        """In mm3."""
        return self.floor * self.height * _FILL[self.kind]

    @property
    def side_surface(self) -> float:
        """The area of all faces but the floor and a flat top, mm2."""
        a, b, h = self.length, self.width, self.height
        if self.kind == "box":
            return 2 * (a + b) * h
        if self.kind == "cylinder":
            return float(np.pi * a * h)
        if self.kind == "cone":
            return float(np.pi * a / 2 * np.hypot(h, a / 2))
        if self.kind == "prism":
            return float(b * h + 2 * a * np.hypot(h, b / 2))
        return float(a * np.hypot(h, b / 2) + b * np.hypot(h, a / 2))

    @property
    def surface(self) -> float:
        """The area of all faces, the floor too, mm2."""
        return self.side_surface + self.floor * (2 if self.kind in ("box", "cylinder") else 1)

    @property
    def _axes(self) -> FloatArray:
        c, s = np.cos(self.turn), np.sin(self.turn)
        return np.array([[c, s], [-s, c]])


@dataclass(frozen=True, eq=False)
class Mesh:
    """A solid of length, width and height 1: corners (n, 3), the first `feet` of them on the plane.

    faces (f, 3): three corners of each face but the lowest, anticlockwise seen from outside with heights upwards.
    edges (e, 4): two corners and the two faces that meet there; face -1 is the lowest.  smooth (e,): edges that only
    the flat faces in place of a round one make.
    """

    corners: FloatArray
    feet: int
    faces: NDArray[np.int64]
    edges: NDArray[np.int64]
    smooth: NDArray[np.bool_]


@cache
def mesh_of(kind: BodyKind, sides: int = ROUND_SIDES) -> Mesh:
    """The mesh of a kind of solid; sides: how many a round one has."""
    if kind in ("cylinder", "cone"):
        angle = np.arange(sides) * 2 * np.pi / sides
        ring = np.column_stack([np.cos(angle), np.sin(angle)]) / 2
    else:
        ring = np.array([[-0.5, -0.5], [0.5, -0.5], [0.5, 0.5], [-0.5, 0.5]])
    base = [(float(x), float(y), 0.0) for x, y in ring]
    if kind in ("box", "cylinder"):
        return _upright(base, kind == "cylinder")
    return _ridged(base) if kind == "prism" else _pointed(base, kind == "cone")


def _upright(base: list[_Corner], smooth: bool) -> Mesh:
    n = len(base)
    faces = [(i, (i + 1) % n, (i + 1) % n + n) for i in range(n)] + [(n, n + 1, n + 2)]
    feet = [(i, (i + 1) % n, i, -1) for i in range(n)]
    rim = [(i + n, (i + 1) % n + n, i, n) for i in range(n)]
    sides = [(i, i + n, i, (i - 1) % n) for i in range(n)]
    return _mesh(base + [(x, y, 1.0) for x, y, _ in base], n, faces, [*feet, *rim, *sides], smooth)


def _pointed(base: list[_Corner], smooth: bool) -> Mesh:
    n = len(base)
    faces = [(i, (i + 1) % n, n) for i in range(n)]
    feet = [(i, (i + 1) % n, i, -1) for i in range(n)]
    sides = [(i, n, i, (i - 1) % n) for i in range(n)]
    return _mesh([*base, (0.0, 0.0, 1.0)], n, faces, [*feet, *sides], smooth)


def _ridged(base: list[_Corner]) -> Mesh:
    faces = [(0, 1, 5), (1, 2, 5), (2, 3, 4), (3, 0, 4)]
    edges = [(0, 1, 0, -1), (1, 2, 1, -1), (2, 3, 2, -1), (3, 0, 3, -1), (4, 5, 0, 2)]
    edges += [(1, 5, 0, 1), (2, 5, 1, 2), (3, 4, 2, 3), (0, 4, 3, 0)]
    return _mesh([*base, (-0.5, 0.0, 1.0), (0.5, 0.0, 1.0)], 4, faces, edges, False)


def _mesh(
    corners: list[_Corner], feet: int, faces: Sequence[tuple[int, ...]], edges: Sequence[tuple[int, ...]], smooth: bool
) -> Mesh:
    """The last `feet` edges are those between the sides: where they are smooth, only an outline shows them."""
    is_smooth = np.zeros(len(edges), dtype=bool)
    is_smooth[len(edges) - feet :] = smooth
    return Mesh(np.array(corners), feet, np.array(faces), np.array(edges), is_smooth)

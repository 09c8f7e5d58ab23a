"""Plats made for tests: outlines with known sources, and draws from those sources."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from measure.plat.plat import Piece, Plat, Ring, Source
from measure.quantity import Quantity

Array = NDArray[np.float64]
Corners = Sequence[tuple[float, float]]


def rectangle(x: float, y: float, width: float, height: float) -> Corners:
    return [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]


def regular(sides: int, radius: float, centre: tuple[float, float] = (0.0, 0.0)) -> Corners:
    angles = 2 * np.pi * np.arange(sides) / sides
    return [(centre[0] + radius * np.cos(a), centre[1] + radius * np.sin(a)) for a in angles]


def exact(
    zone: str, corners: Corners, *, width: float = 12.0, holes: Sequence[Corners] = (), curved: bool = False
) -> Piece:
    rings = [Ring(np.array(c, float), np.zeros((len(c), 2, 0)), curved) for c in (corners, *holes)]
    return Piece(zone, rings[0], Quantity(width), tuple(rings[1:]))


def plat(
    *pieces: Piece, frame: str = "given", parcel: Ring | None = None, width: float = 400, depth: float = 300
) -> Plat:
    sources = max((p.ring.sensitivity.shape[2] for p in pieces), default=0)
    named = tuple(Source(f"s{i}", "given") for i in range(sources))
    return Plat(width, depth, tuple(pieces), named, frame, parcel)  # type: ignore[arg-type]


class Model:
    """Outlines that share a scale and a shift, with noise of their own at every corner: all sources are known."""

    def __init__(self, seed: int, *, scale: float = 0.002, shift: float = 0.2, noise: float = 0.25) -> None:
        self.random = np.random.default_rng(seed)
        self.scale, self.shift, self.noise = scale, shift, noise
        self.sources = 3  # scale, shift right, shift down
        self.rings: list[tuple[Array, list[tuple[int, int, int]]]] = []
        self.widths: list[int] = []

    def piece(
        self, zone: str, corners: Corners, *, width: float = 12.0, width_u: float = 0.2, curved: bool = False
    ) -> Piece:
        """A piece whose sensitivity is widened by `settled` once all pieces are there."""
        points = np.array(corners, float)
        moves = np.zeros((len(points), 2, 400))
        moves[:, :, 0] = self.scale * points
        moves[:, 0, 1] = moves[:, 1, 2] = self.shift
        for corner in range(len(points)):
            for axis in (0, 1):
                moves[corner, axis, self.sources] = self.noise
                self.sources += 1
        tape = np.zeros(400)
        tape[self.sources] = width_u
        self.sources += 1
        return Piece(zone, Ring(points, moves, curved), Quantity(width, tape))


def drawn(draws: int = 10_000, seed: int = 5) -> Array:
    return np.random.default_rng(seed).standard_normal((draws, 400))


def moved_points(ring: Ring, z: Array) -> Array:
    """The ring's points in every draw, (draws, n, 2)."""
    return np.asarray(ring.points + np.einsum("ndk,zk->znd", ring.sensitivity, z, optimize=True))


def moved_polygons(ring: Ring, z: Array) -> NDArray[np.object_]:
    return np.asarray(shapely.polygons(moved_points(ring, z)))


def moved_value(quantity: Quantity, z: Array) -> Array:
    return np.asarray(quantity.value + z[:, : len(quantity.sensitivity)] @ quantity.sensitivity)

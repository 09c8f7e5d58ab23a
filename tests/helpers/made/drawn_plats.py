"""Pieces and pictures drawn for the tests: no file, no vision."""

from __future__ import annotations

import numpy as np

from measure.plat.plat import Piece, Ring
from measure.quantity import FloatArray, Quantity
from vision.picture.rectified import Rectified

WIDTH, DEPTH = 381.0, 305.0


def ring(points, inferred=(), curved=False) -> Ring:
    array = np.array(points, dtype=float)
    return Ring(array, np.zeros((*array.shape, 0)), curved=curved, inferred=tuple(inferred))


def ellipse(x: float, y: float, a: float, b: float) -> FloatArray:
    angle = np.linspace(0, 2 * np.pi, 90, endpoint=False)
    return np.column_stack([x + a * np.cos(angle), y + b * np.sin(angle)])


def piece(zone: str, points, holes=(), inferred=(), curved=False) -> Piece:
    return Piece(zone, ring(points, inferred, curved), Quantity(12.0), holes=tuple(ring(hole) for hole in holes))


def corrected(size: int = 1000, seed: int = 1) -> Rectified:
    """A blotchy photo of the parcel and 20 mm around it, its longer side of that many pixels."""
    scale = (WIDTH + 40) / size
    shape = (round((DEPTH + 40) / scale), size)
    rough = np.random.default_rng(seed).integers(90, 230, (9, 12, 3)).astype(np.uint8)
    bgr = rough[np.arange(shape[0])[:, None] * 9 // shape[0], np.arange(size)[None] * 12 // size]
    return Rectified(np.ascontiguousarray(bgr), scale, np.array([-20.0, -20.0]))

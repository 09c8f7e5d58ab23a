"""How far a line's middle moves with every source of uncertainty, and its length and width with it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from calib.edges import FloatArray
from calib.estimate.plane import Plane
from vision.lines.centreline import Centreline
from vision.lines.shown.polylines import length_of, normals, tangents

BUMP = 20.0
"""Length of the bumps in which a middle is uneven, mm."""
COMMON = (0.05, 0.02)
"""Displacement of a whole middle, px, and as a share of the width: a round cord's two rims differ in light."""
END = (0.35, 0.06)
"""Standard uncertainty of where a line ends, px, and as a share of its width: a cord's end frays."""
BOW = 0.08
"""How far a hidden stretch may bow off the smooth way across it, of its length (common practice, no source)."""
SHARP = 0.15
"""Standard uncertainty of what corners add to a length, as a share of it: none is quite sharp, as a string bends."""
FOLLOWED = 0.0006
"""How much longer or shorter a smooth curve is than the line, as a share of its length."""


@dataclass(frozen=True, eq=False)
class LineSources:
    """Sensitivity of points (n, 2, k), length (k,) and width (k,) to the plane's k0 sources, the height above the board
    and the piece's own sources: the last k - k0 - 1.
    """

    points: FloatArray
    length: FloatArray
    width: FloatArray


def line_sources(plane: Plane, line: Centreline, height: float, u_height: float) -> LineSources:
    """Everything that moves a centreline, `height` mm above the plane give or take u_height."""
    pixels = plane.camera.project(line.points, height)
    _, by_plane = plane.locate(pixels, height)
    per_mm = (plane.camera.locate(pixels, height + 0.5) - line.points) / 0.5
    own = _own(plane, line)
    points = np.concatenate([by_plane, per_mm[:, :, None] * u_height, own], axis=2)
    total = length_of(line.points)
    by_length = np.einsum("ij,ijk->k", _by_points(line.points), points)
    length = np.concatenate(
        [by_length, [FOLLOWED * total, float(np.hypot(_bow_length(line), SHARP * line.sharpened))], [0.0]]
    )
    points = np.concatenate([points, np.zeros((*points.shape[:2], 3))], axis=2)
    width = np.zeros(points.shape[2])
    width[-1] = line.u_width
    return LineSources(points, length, width)


def _own(plane: Plane, line: Centreline) -> FloatArray:
    """The piece's own sources (n, 2, m): bumps, one displacement of all, both ends, the bow of every hidden stretch."""
    along, normal = tangents(line.points), normals(line.points)
    count, total = len(line.points), length_of(line.points)
    px = plane.camera.mm_per_px(line.points.mean(axis=0))
    bumps = max(2, round(total / BUMP) + 1)
    at = np.linspace(0.0, bumps - 1.0, count)
    hats = np.maximum(0.0, 1 - np.abs(at[:, None] - np.arange(bumps)))
    spread = line.scatter / np.sqrt(max(1.0, BUMP / line.step))
    common = np.full((count, 1), float(np.hypot(COMMON[0] * px, COMMON[1] * line.width)))
    aside = np.concatenate([hats * spread, common, _bows(line)], axis=1)
    ends = np.zeros((count, 2, 2))
    if not line.closed:
        size = float(np.hypot(END[0] * px, END[1] * line.width))
        ends[0, :, 0], ends[-1, :, 1] = -along[0] * size, along[-1] * size
    return np.concatenate([normal[:, :, None] * aside[:, None, :], ends], axis=2)


def _bows(line: Centreline) -> FloatArray:
    """How far each hidden stretch (n, m) may bow, mm: nothing at its ends, most midway."""
    bows = []
    for first, last in hidden_stretches(line):
        bow = np.zeros(len(line.points))
        t = (np.arange(last - first) + 0.5) / (last - first)
        bow[first:last] = BOW * length_of(line.points[max(0, first - 1) : last + 1]) * np.sin(np.pi * t)
        bows.append(bow)
    return np.stack(bows, axis=1) if bows else np.zeros((len(line.points), 0))


def _bow_length(line: Centreline) -> float:
    """By how much the bows of hidden stretches change the length, mm: a bow of b over a gap g adds (pi b)^2 / 4 g."""
    gaps = [length_of(line.points[max(0, a - 1) : b + 1]) for a, b in hidden_stretches(line)]
    return (np.pi * BOW) ** 2 / 4 * float(np.linalg.norm(gaps)) if gaps else 0.0


def hidden_stretches(line: Centreline) -> Sequence[tuple[int, int]]:
    """From which to before which of its points a centreline is hidden."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], line.hidden.astype(np.int8), [0]])))
    return [(int(a), int(b)) for a, b in edges.reshape(-1, 2)]


def _by_points(points: FloatArray) -> FloatArray:
    """Derivative (n, 2) of a polyline's length by its points."""
    along = np.diff(points, axis=0)
    along /= np.maximum(np.linalg.norm(along, axis=1, keepdims=True), 1e-12)
    return np.vstack([np.zeros(2), along]) - np.vstack([along, np.zeros(2)])

"""Open lines of points: even spacing, normals, smooth ways between two ends."""

from __future__ import annotations

import numpy as np
import shapely

from calib.edges import FloatArray


def resampled(points: FloatArray, spacing: float) -> FloatArray:
    """The same line (n, 2) with points at equal distances of about `spacing`; its ends stay."""
    line = shapely.LineString(points)
    count = max(2, round(line.length / spacing)) + 1
    return np.asarray(shapely.get_coordinates(line.interpolate(np.linspace(0.0, 1.0, count), normalized=True)))


def length_of(points: FloatArray) -> float:
    """Length of a line (n, 2)."""
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


def tangents(points: FloatArray) -> FloatArray:
    """Unit tangents (n, 2) of a line (n, 2)."""
    along = np.gradient(points, axis=0)
    return np.asarray(along / np.maximum(np.linalg.norm(along, axis=1, keepdims=True), 1e-12))


def normals(points: FloatArray) -> FloatArray:
    """Unit normals (n, 2): with y down, to the right of the way."""
    along = tangents(points)
    return np.column_stack([-along[:, 1], along[:, 0]])


def eased(points: FloatArray, over: int) -> FloatArray:
    """A line (n, 2) with every point at the mean of `over` (odd) around it; fewer near the ends, which stay."""
    total = np.vstack([np.zeros(2), np.cumsum(points, axis=0)])
    at = np.arange(len(points))
    reach = np.minimum(np.minimum(at, at[::-1]), over // 2)
    return np.asarray((total[at + reach + 1] - total[at - reach]) / (2 * reach + 1)[:, None])


def between(start: FloatArray, way: FloatArray, end: FloatArray, onwards: FloatArray, spacing: float) -> FloatArray:
    """The smooth way from an end (2,) with its direction `way` to another, which goes on `onwards`, both ends left out
    (cubic Hermite).
    """
    far = float(np.linalg.norm(end - start))
    t = np.linspace(0.0, 1.0, max(2, round(far / spacing)) + 1)[1:-1, None]
    return np.asarray(
        (2 * t**3 - 3 * t**2 + 1) * start + (t**3 - 2 * t**2 + t) * far * way
        + (3 * t**2 - 2 * t**3) * end + (t**3 - t**2) * far * onwards
    )  # fmt: skip

"""Which names a quadrilateral has by the definitions alone, from its corners, by arithmetic of its own."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

Corners = Sequence[tuple[float, float]]


def defined_names(corners: Corners, small: float = 1e-6) -> set[str] | None:
    """All names, inclusively, of what differs from its definition by less than small (of a length, or in radians).

    None for what is no quadrilateral (crossing sides, points on a line or nearly so).
    """
    points = np.array(corners, float)
    along = np.roll(points, -1, axis=0) - points
    lengths = np.linalg.norm(along, axis=1)
    unit = along / lengths[:, None]
    turns = _cross(np.roll(unit, 1, axis=0), unit)
    if not shapely.Polygon(points).is_valid or (np.abs(turns) < 0.01).any():
        return None
    opposite = [abs(float(_cross(unit[i : i + 1], unit[i + 2 : i + 3])[0])) < small for i in (0, 1)]
    equal = np.abs(lengths - np.roll(lengths, -1)) < small * lengths.max()
    right = np.abs((np.roll(unit, 1, axis=0) * unit).sum(axis=1)) < small
    convex = bool((turns > 0).all() or (turns < 0).all())
    names = {
        "square": bool(equal.all() and right.all()),
        "rectangle": bool(right.all()),
        "rhombus": bool(equal.all()),
        "parallelogram": all(opposite),
        "kite": convex and bool((equal[0] and equal[2]) or (equal[1] and equal[3])),
        "trapezoid": any(opposite),
    }
    return {name for name, holds in names.items() if holds}


def rotated(corners: Corners, angle: float) -> Corners:
    cos, sin = np.cos(angle), np.sin(angle)
    return [(float(cos * x - sin * y), float(sin * x + cos * y)) for x, y in corners]


def moved(corners: Corners, random: np.random.Generator, u: float) -> Corners:
    points = np.array(corners, float)
    noisy = points + random.normal(0.0, u, points.shape)
    return [(float(x), float(y)) for x, y in noisy]


def _cross(a: np.ndarray, b: np.ndarray) -> np.ndarray:  # type: ignore[type-arg]
    return np.asarray(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])

"""The rings of outlines from elsewhere: points in mm where they are sound, else what is wrong with them and where."""

from __future__ import annotations

import re
from typing import Any

import numpy as np
import shapely

from measure.errors import Mistake
from measure.quantity import FloatArray
from measure.units import MM_PER, Unit, from_mm

_FARTHEST = 1e7
"""mm; numbers beyond are no places on a board."""


def rings_of(coordinates: Any, where: str, unit: Unit, mistakes: list[Mistake]) -> tuple[FloatArray, ...] | None:
    """Rings (n, 2) in mm, the closing point left off; None, with the mistake noted, where one cannot be used."""
    rings = []
    for ring in coordinates if isinstance(coordinates, list) else ():
        points = _points(ring)
        problem = "an outline has something else than pairs of numbers in it"
        if points is not None:
            problem = problem_of(points, unit)
        if points is None or problem:
            mistakes.append(Mistake(where, problem, "mend that outline in the file"))
            return None
        rings.append(_without_repeats(points[:-1]) * MM_PER[unit])
    if not rings:
        mistakes.append(Mistake(where, "it has no outline", "give at least three corners"))
        return None
    if len(rings) > 1 and not shapely.Polygon(rings[0], rings[1:]).is_valid:
        mistakes.append(Mistake(where, "a hole crosses or leaves its outline", "mend that hole in the file"))
        return None
    return tuple(rings)


def line_of(coordinates: Any, where: str, unit: Unit, mistakes: list[Mistake]) -> FloatArray | None:
    """Points (n, 2) in mm of an open line; None, with the mistake noted, where it cannot be used."""
    points = _points(coordinates)
    problem = "a line has something else than pairs of numbers in it"
    if points is not None:
        far = np.abs(points).max(axis=1, initial=0.0) > from_mm(_FARTHEST, unit)
        points = points[np.append(True, (np.diff(points, axis=0) != 0).any(axis=1))] if len(points) else points
        problem = "a line has fewer than two different points" if len(points) < 2 else ""
        problem = "a line has a point far from any parcel" if far.any() else problem
    if points is None or problem:
        mistakes.append(Mistake(where, problem, "mend that line in the file"))
        return None
    return np.asarray(points * MM_PER[unit])


def _points(ring: Any) -> FloatArray | None:
    """Points (n, 2); None where something in the ring is no finite pair of numbers. A third coordinate is left out."""
    if not isinstance(ring, list) or not all(_is_pair(point) for point in ring):
        return None
    try:
        points = np.array([point[:2] for point in ring], dtype=np.float64).reshape(-1, 2)
    except OverflowError:
        return None
    return points if np.isfinite(points).all() else None


def _is_pair(point: Any) -> bool:
    """Whether a point is a list of numbers; true and false are numbers to Python, but not here."""
    whole = isinstance(point, list) and len(point) >= 2
    return whole and all(isinstance(number, int | float) and not isinstance(number, bool) for number in point[:2])


def problem_of(points: FloatArray, unit: Unit) -> str:
    """What is wrong with a closed ring, with the place in the file's unit; nothing where it is sound."""
    far = np.abs(points).max(axis=1, initial=0.0) > from_mm(_FARTHEST, unit)
    if far.any():
        return f"an outline has a corner at {_place(points[far][0])}, far from any parcel"
    if len(points) < 4:
        return f"an outline has only {max(0, len(points) - 1)} corners"
    if not np.allclose(points[0], points[-1], rtol=0, atol=1e-9 * max(1.0, float(np.abs(points).max()))):
        first, last = (_place(p) for p in (points[0], points[-1]))
        return f"an outline is open: it starts at {first} and ends at {last}"
    if len(np.unique(points[:-1], axis=0)) < 3:
        return "an outline has fewer than three different corners"
    ring = shapely.LinearRing(points)
    if not ring.is_simple:
        return f"the outline crosses itself at {_crossing(points)}"
    if shapely.Polygon(ring).area < 1e-6 * from_mm(1.0, unit) ** 2:
        return "an outline encloses no area"
    return ""


def _without_repeats(points: FloatArray) -> FloatArray:
    """A corner written twice in a row is one corner."""
    return np.asarray(points[(points != np.roll(points, 1, axis=0)).any(axis=1)])


def _crossing(points: FloatArray) -> str:
    """Where a ring crosses or touches itself, in shapely's words for it: Self-intersection[4.2 1]."""
    reason = shapely.is_valid_reason(shapely.Polygon(points))
    found = re.search(r"\[(\S+) (\S+)\]", reason)
    return _place(np.array([float(found[1]), float(found[2])])) if found else _place(points[0])


def _place(point: FloatArray) -> str:
    return f"({point[0]:.4g}, {point[1]:.4g})"

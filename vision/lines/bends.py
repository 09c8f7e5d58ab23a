"""Sharp bends of a line: a smooth curve cuts them short, so their corner is looked for in the photo.

The straight parts before and after a bend meet at its corner, if it is one: then the line's outer edge lies half a
width beyond that place.  A line that is bent round has its outer edge nearer.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from calib.camera import Camera
from calib.edges import STEP, FloatArray, positions, sample_profiles
from vision.lines.shown.polylines import length_of, tangents

BENT = 25.0
"""Degrees by which a line turns at a corner, at least."""
WITHIN, BESIDE = 1.6, (1.8, 4.5)
"""Within how many widths it turns so far on either side, and which part of the line on either side tells its way."""
STRAIGHT = 0.12
"""How far such a part strays from a straight line, in widths, and at most 0.3 mm more."""
FARTHEST = 1.2
"""How far outside the smooth curve a corner lies at most, in widths."""


def sharpened(
    photo: NDArray[np.uint8], camera: Camera, points: FloatArray, width: float, height: float
) -> tuple[FloatArray, float]:  # fmt: skip
    """The points (n, 2), with corners where the line has such, and by how much they made it longer, mm."""
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
    before, done = float(along[-1]), list[float]()
    for at in _bends(points, along, width):
        parts = [_part(points, along, at, side, width) for side in (-1, 1)]
        if parts[0] is None or parts[1] is None or any(abs(along[at] - a) < 3 * width for a in done):
            continue
        corner = _corner(parts[0], parts[1])
        if corner is None or float(np.linalg.norm(corner - points[at])) > FARTHEST * width:
            continue
        if _is_sharp(photo, camera, points[at], corner, parts, width, height):
            done.append(float(along[at]))
            points, along = _with_corner(points, along, at, corner, width)
    return points, max(0.0, length_of(points) - before) if done else 0.0


def _bends(points: FloatArray, along: FloatArray, width: float) -> list[int]:
    """The points that a line turns most at, its sharpest bend first."""
    ways = tangents(points)
    turn = np.zeros(len(points))
    for i in range(len(points)):
        first, last = np.searchsorted(along, [along[i] - WITHIN * width, along[i] + WITHIN * width])
        a, b = ways[first], ways[min(last, len(points) - 1)]
        turn[i] = np.rad2deg(np.arccos(np.clip(a @ b, -1, 1)))
    found = list[int]()
    for i in np.argsort(-turn):
        if turn[i] < BENT:
            break
        if all(abs(along[i] - along[j]) > 3 * width for j in found):
            found.append(int(i))
    return found


def _part(
    points: FloatArray, along: FloatArray, at: int, side: int, width: float
) -> tuple[FloatArray, FloatArray] | None:
    """A place (2,) and the direction (2,) away from the bend of the straight part beside it; None where it is bent."""
    away = side * (along - along[at])
    own = points[(away > BESIDE[0] * width) & (away < max(BESIDE[1] * width, BESIDE[0] * width + 8.0))]
    if len(own) < 3:
        return None
    middle = own.mean(axis=0)
    _, _, axes = np.linalg.svd(own - middle, full_matrices=False)
    if np.abs((own - middle) @ axes[1]).max() > STRAIGHT * width + 0.3:
        return None
    far = own[-1] if side > 0 else own[0]
    return middle, axes[0] * np.sign(axes[0] @ (far - middle))


def _corner(one: tuple[FloatArray, FloatArray], other: tuple[FloatArray, FloatArray]) -> FloatArray | None:
    """Where two straight parts meet; None where they are parallel or meet beside the bend."""
    (p, v), (q, w) = one, other
    area = v[0] * w[1] - v[1] * w[0]
    if abs(area) < np.sin(np.deg2rad(BENT / 2)):
        return None
    t = ((q - p)[0] * w[1] - (q - p)[1] * w[0]) / area
    corner = p + t * v
    return corner if t < 0 and (corner - q) @ w < 0 else None


def _is_sharp(
    photo: NDArray[np.uint8], camera: Camera, inner: FloatArray, corner: FloatArray,
    parts: list[tuple[FloatArray, FloatArray] | None], width: float, height: float,
) -> bool:  # fmt: skip
    """Whether the line's outer edge lies half a width beyond the corner, or more, rather than beyond the curve."""
    ways = [part[1] for part in parts if part is not None]
    out = -(ways[0] + ways[1])
    out /= max(float(np.linalg.norm(out)), 1e-9)
    apart = float((corner - inner) @ out)
    if apart < 0.02 * width:
        return False
    base = camera.project(corner[None], height)
    ahead = camera.project((corner + out)[None], height)
    scale = float(np.linalg.norm(ahead - base))
    reach = 1.6 * width * scale + 4.0
    colours = sample_profiles(photo, base, (ahead - base) / scale, reach)[0]
    at = positions(reach) / scale
    core = colours[np.abs(at + apart) <= max(0.2 * width, STEP / scale)].mean(axis=0)
    ground = colours[at > 1.3 * width].mean(axis=0)
    step = ground - core
    share = (colours - core) @ step / max(float(step @ step), 1e-9)
    over = np.flatnonzero((at > -apart) & (share >= 0.5))
    return bool(len(over) and at[over[0]] > width / 2 - apart / 2)


def _with_corner(
    points: FloatArray, along: FloatArray, at: int, corner: FloatArray, width: float
) -> tuple[FloatArray, FloatArray]:
    """The line straight to the corner and on from it, with as many points."""
    near = np.abs(along - along[at]) <= BESIDE[0] * width
    first, last = int(np.flatnonzero(near)[0]), int(np.flatnonzero(near)[-1])
    points = points.copy()
    t = np.linspace(0.0, 1.0, at - first + 1)[:, None]
    points[first : at + 1] = points[first] + t * (corner - points[first])
    t = np.linspace(0.0, 1.0, last - at + 1)[:, None]
    points[at : last + 1] = corner + t * (points[last] - corner)
    return points, np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])

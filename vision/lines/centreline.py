"""The middle of a piece of line: edges read along it, a smooth curve through their middles, its ends."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from calib.camera import Camera
from calib.edges import STEP, FloatArray, positions, sample_profiles
from vision.lines.bends import sharpened
from vision.lines.chains import BRIDGED, SEEN, Chain
from vision.lines.shown.polylines import length_of, normals, resampled
from vision.lines.shown.profiles import Profiles, read_profiles
from vision.lines.shown.strands import alike

ROUNDS = 2
LEAST_SCATTER = (0.02, 0.08)
"""How much single middles scatter at least, mm and px."""
HINT, GUESS = 0.2, 0.05
"""Weight of a place where lines cross or one edge is missing, and of one that nothing shows, against one that is seen.
"""
LEAST_STEP, MOST_STEP = 0.8, 2.0
"""Distance of the profiles along a line, a third of its width, mm."""
POINT_SPACING = 2.0
"""Distance of a centreline's points, mm."""
GROUP, GROUPS = 8, 4
"""Profiles whose grounds are taken as one, and such groups before an end: it may lie past another edge of tape."""
BEYOND = 2.5
"""How far past a line's end what lies there is read, px."""


@dataclass(frozen=True, eq=False)
class Centreline:
    """points (n, 2) mm, which of its points (n,) nothing shows, how much single middles scatter about it and how far
    they lie apart, mm; the line's width; whether bare ground follows at its ends; colours (k, 3) beside them.
    """

    points: FloatArray
    hidden: NDArray[np.bool_]
    scatter: float
    step: float
    width: float
    u_width: float
    bare: tuple[bool, bool]
    beside: tuple[FloatArray, FloatArray]
    closed: bool
    sharpened: float = 0.0
    """By how much corners at its bends made it longer, mm."""


def centreline_of(
    photo: NDArray[np.uint8], camera: Camera, chain: Chain, height: float, joined: tuple[bool, bool]
) -> Centreline:
    """The middle of a piece, `height` mm above the plane; ends that are joined to another piece stay where they are."""
    step = float(np.clip(chain.width / 3, LEAST_STEP, MOST_STEP))
    points, shown = _spaced(chain.points, chain.shown, step)
    width, scatter = chain.width, 1.0
    for _ in range(ROUNDS):
        seen = read_profiles(photo, camera, points, normals(points), width, height)
        points, scatter = _smooth(points, seen, shown, chain.closed)
        width = seen.width
    points, sharpened_by = (points, 0.0) if chain.closed else sharpened(photo, camera, points, width, height)
    count = max(1, int(seen.found.sum()))
    # Neighbouring profiles share pixels, and both edges what the light spills.
    u_width = float(np.hypot(seen.spread / np.sqrt(max(1.0, count / 4)), 0.3 / np.median(seen.scale)))
    bare = (False, False)
    beside = (_beside(seen, -1), _beside(seen, 1))
    if not chain.closed:
        sides = [_ended(photo, camera, points[::way], seen, way, height) for way in (-1, 1)]
        bare = (sides[0][1] and not joined[0], sides[1][1] and not joined[1])
        ends = [points[0] if joined[0] else sides[0][0], points[-1] if joined[1] else sides[1][0]]
        points, shown = _with_ends(points, shown, ends)
    points, shown = _spaced(points, shown, POINT_SPACING)
    return Centreline(points, shown == BRIDGED, scatter, step, width, u_width, bare, beside, chain.closed, sharpened_by)


def laid_on(line: Centreline, side: int, others: Sequence[Centreline]) -> Centreline:
    """The line with its first (0) or last (1) end carried on to the middle of the other line next to it, if one is."""
    end = shapely.Point(line.points[-side])
    shapes = [shapely.LineString(other.points) for other in others]
    reach = [2.0 * (line.width + other.width) for other in others]
    near = [(s.distance(end), i) for i, s in enumerate(shapes) if s.distance(end) <= reach[i]]
    if not near:
        return line
    shape = shapes[min(near)[1]]
    met = np.array(shape.interpolate(shape.project(end)).coords[0])
    points = np.vstack([met, line.points]) if side == 0 else np.vstack([line.points, met])
    hidden = np.concatenate([[False], line.hidden]) if side == 0 else np.concatenate([line.hidden, [False]])
    return replace(line, points=points, hidden=hidden)


def _spaced(points: FloatArray, shown: NDArray[np.int64], spacing: float) -> tuple[FloatArray, NDArray[np.int64]]:
    """The same line with its points at equal distances, and what each of them shows."""
    even = resampled(points, spacing)
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
    nearest = np.searchsorted((along[1:] + along[:-1]) / 2, np.linspace(0.0, along[-1], len(even)))
    return even, shown[nearest]


def _smooth(
    points: FloatArray, seen: Profiles, shown: NDArray[np.int64], closed: bool
) -> tuple[FloatArray, float]:  # fmt: skip
    """A smoothing spline through the middles that profiles show, as many points; and how much these scatter."""
    from scipy.interpolate import splev, splprep  # slow to import, and only curves need it

    sure = seen.found & (shown == SEEN)
    sure &= np.abs(seen.offset) < 0.5 * seen.width + 0.5
    moved = points + np.where(sure, seen.offset, 0.0)[:, None] * normals(points)
    scatter = _scatter(seen.offset, sure, float(np.median(seen.scale)))
    weights = np.where(sure, 1.0, np.where(shown == BRIDGED, GUESS, HINT)) / scatter
    count = len(points)
    if count < 5:
        return moved, scatter
    spline, at = splprep(moved.T, w=weights, s=float(sure.sum()), k=3, per=int(closed))
    smooth = np.column_stack(splev(at, spline))
    if closed:
        smooth[-1] = smooth[0]
    return smooth, scatter


def _scatter(offset: FloatArray, sure: NDArray[np.bool_], scale: float) -> float:
    """Standard deviation of single middles, from their third differences, which a smooth line leaves at nothing."""
    least = max(LEAST_SCATTER[0], LEAST_SCATTER[1] / scale)
    run = sure[:-3] & sure[1:-2] & sure[2:-1] & sure[3:]
    if run.sum() < 8:
        return least
    third = np.diff(offset, n=3)[run]
    return max(least, float(1.4826 * float(np.median(np.abs(third))) / np.sqrt(20.0)))


def _ended(
    photo: NDArray[np.uint8], camera: Camera, points: FloatArray, seen: Profiles, way: int, height: float
) -> tuple[FloatArray, bool]:
    """Where the line ends past the last of its points (n, 2), and whether bare ground lies beyond; way: 1 for the
    profiles' last, -1 for their first.
    """
    back = points[max(0, len(points) - 4)]
    along = (points[-1] - back) / max(float(np.linalg.norm(points[-1] - back)), 1e-9)
    width, aside = seen.width, np.array([-along[1], along[0]])
    across = points[-1] + np.linspace(-0.25, 0.25, 5)[:, None] * width * aside
    base = camera.project(across, height)
    ahead = camera.project(across + along, height)
    scale = np.linalg.norm(ahead - base, axis=1)
    reach = 2.2 * width * float(scale.mean()) + BEYOND + 2.0
    colours = sample_profiles(photo, base, (ahead - base) / scale[:, None], reach).mean(axis=0)
    at = positions(reach)
    near = slice(-8, None) if way > 0 else slice(0, 8)
    core = np.median(seen.core[near], axis=0)
    ground = np.median(np.concatenate([seen.left[near], seen.right[near]]), axis=0)
    for _ in range(2):
        step = ground - core
        share = (colours - core) @ step / max(float(step @ step), 1e-9)
        inside = np.flatnonzero((share < 0.5) & (at <= reach - BEYOND - 2.0))
        # From inside the line outwards, the first place that is more ground than line for good.
        first = at > -1.2 * width * scale.mean()
        over = np.flatnonzero(first & (share >= 0.5))
        i = int(over[0]) if len(over) else int(inside[-1]) if len(inside) else len(at) // 2
        low, high = share[max(0, i - 1)], share[i]
        edge = at[i] - STEP * (1 - np.clip((0.5 - low) / (high - low), 0, 1)) if high > low else at[i]
        beyond = colours[(at > edge + 1.5) & (at < edge + 1.5 + BEYOND)]
        if not len(beyond):
            break
        ground = beyond.mean(axis=0)
    sides = _beside(seen, way)
    bare = bool(len(beyond)) and bool(alike(np.broadcast_to(ground, sides.shape), sides).any())
    return points[-1] + along * float(edge) / float(scale.mean()), bare


def _beside(seen: Profiles, way: int) -> FloatArray:
    """The colours (k, 3) of the grounds that a line crosses before its end: on the left and on the right of groups of
    profiles; way: 1 for the last ones, -1 for the first ones.
    """
    sides = [side[::-way][: GROUPS * GROUP] for side in (seen.left, seen.right)]
    return np.stack([np.median(s[i : i + GROUP], axis=0) for s in sides for i in range(0, len(s), GROUP)])


def _with_ends(
    points: FloatArray, shown: NDArray[np.int64], ends: list[FloatArray]
) -> tuple[FloatArray, NDArray[np.int64]]:
    """The line from one end (2,) to the other: points past them are left out."""
    start, end = ends
    first, last = points[1] - points[0], points[-1] - points[-2]
    kept = np.ones(len(points), dtype=bool)
    half = len(points) // 2
    kept[:half] = (points[:half] - start) @ first > 0
    kept[half:] = (points[half:] - end) @ last < 0
    # Only next to the ends does their direction say what lies past them.
    reach = max(6, len(points) // 6)
    kept[reach : len(points) - reach] = True
    inner = points[kept]
    return np.vstack([start, inner, end]), np.concatenate([shown[:1], shown[kept], shown[-1:]])


__all__ = ["Centreline", "centreline_of", "length_of"]

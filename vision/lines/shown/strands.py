"""Branches of a mask that are lines: both edges show along them, as far apart all the way, with like ground beside."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from calib.camera import Camera
from calib.card.colours import log_colour
from calib.edges import FloatArray
from vision.lines.shown.branches import NOWHERE, Branch
from vision.lines.shown.polylines import eased, length_of, normals, resampled
from vision.lines.shown.profiles import Profiles, read_profiles
from vision.picture.rectified import Rectified

STEP_MM = 1.0
"""Distance of profiles, mm."""
LEAST_FOUND, LEAST_ALIKE, RIDGE = 0.6, 0.35, 0.2
"""Share of a strand's profiles with both edges, share of these on one ground for it to be a line for sure, and cosine
between the steps of colour at both edges.
"""
UNEVEN, UNEVEN_PX = 0.2, 0.35
"""Typical deviation of single widths, as a share of the width and in px, from which it is no line."""
ALIKE, SHADED = (0.3, 0.5), (0.35, 1.3)
"""Log colour ratio and log lightness by which ground of one colour differs at most; and where a cord's own shadow and
the light that it reflects lie on one side.
"""
SHADOW_RATIO, DEEPEST, THIN_DEEPEST, THIN_PX = 0.12, 1.2, 0.8, 5.0
"""Log colour ratio by which a shadow differs from what is beside it at most, and log lightness; and where it is thinner
than so many px, as a thin line mixes with its ground.
"""
NEAR_END, CLEAR = 6, 2.0
"""Profiles that tell of the ground around an end, and how far from it these begin besides the line's width, mm."""
TRIM = 0.6
"""How much of a loose end is left to be found anew, in widths."""
BROADEST, THINNEST = 14.0, 0.5
"""Widths of lines, mm, with what measuring them adds or takes."""


@dataclass(frozen=True, eq=False)
class Strand:
    """A piece of line between meetings: points (n, 2) mm, its width, ground colours (k, 3) around either end, and the
    numbers of the places where it meets others.
    """

    points: FloatArray
    width: float
    grounds: tuple[NDArray[np.float32], NDArray[np.float32]]
    meets: tuple[int, int]
    closed: bool
    px: float
    """Its width in px of the photo."""
    sure: bool
    """Whether it is a line by itself; else only where it goes on from one."""


def strand_of(
    photo: NDArray[np.uint8], camera: Camera, picture: Rectified, branch: Branch, height: float
) -> Strand | None:  # fmt: skip
    """The strand that a branch shows, `height` mm above the plane; None where it is no line."""
    flat = picture.to_mm(branch.points)
    width = 2 * float(np.median(branch.half_width)) * picture.mm_per_px
    points = camera.locate(camera.project(flat, 0.0), height)
    over = 2 * max(1, round(0.6 * width / picture.mm_per_px)) + 1
    if length_of(points) < max(STEP_MM, 0.3 * width):
        return None
    points = resampled(eased(points, over), STEP_MM)
    seen = None
    for _ in range(2):
        seen = read_profiles(photo, camera, points, normals(points), width, height)
        points = eased(points + seen.offset[:, None] * normals(points), 3)
        width = seen.width
    assert seen is not None
    if not _is_line(seen):
        return None
    sure = _on_one_ground(seen) >= LEAST_ALIKE
    points = _trimmed(points, round(TRIM * width / STEP_MM), branch)
    return Strand(
        points, width, _grounds(seen), branch.meets, branch.closed, width * float(np.median(seen.scale)), sure
    )


def _trimmed(points: FloatArray, by: int, branch: Branch) -> FloatArray:
    """Without so many points at loose ends, where a skeleton runs into a corner of the mask."""
    if branch.closed:
        return points
    by = min(by, len(points) // 4)
    first, last = (by if meet == NOWHERE else 0 for meet in branch.meets)
    return points[first : len(points) - last]


def _is_line(seen: Profiles) -> bool:
    found = seen.found
    if found.mean() < LEAST_FOUND or not THINNEST < seen.width < BROADEST or _is_shadow(seen):
        return False
    return seen.spread <= UNEVEN * seen.width + UNEVEN_PX / float(np.median(seen.scale))


def _is_shadow(seen: Profiles) -> bool:
    """Whether what is beside it is of the same colour in more light: a bar of shadow, on the board or on tape."""
    sides = np.stack([seen.left, seen.right])[:, seen.found]
    more = _tones(sides) - _tones(seen.core[seen.found])
    ratio, light = np.abs(np.median(more[..., :2], axis=1)).max(), np.median(more[..., 2], axis=1)
    deepest = DEEPEST if seen.width * float(np.median(seen.scale)) > THIN_PX else THIN_DEEPEST
    return bool(ratio < SHADOW_RATIO and (light > 0).all() and (light < deepest).all())


def _on_one_ground(seen: Profiles) -> float:
    """On which share of profiles the line lies on one ground, and differs from it on both sides in one way.

    What has other things on its two sides may be an edge, a wall or tape.
    """
    found = seen.found
    core, left, right = seen.core[found], seen.left[found], seen.right[found]
    far_left, far_right = seen.far_left[found], seen.far_right[found]
    steps = (left - core, right - core)
    size = np.linalg.norm(steps[0], axis=1) * np.linalg.norm(steps[1], axis=1)
    ridge = np.sum(steps[0] * steps[1], axis=1) > RIDGE * size
    # Another line may run close by on one side.
    pairs = ((left, right), (far_left, far_right), (left, far_right), (far_left, right))
    one_ground = np.any([alike(a, b, SHADED) for a, b in pairs], axis=0)
    return float((ridge & one_ground).mean())


def alike(one: FloatArray, other: FloatArray, most: tuple[float, float] = ALIKE) -> NDArray[np.bool_]:
    """Whether colours (..., 3) are one ground's in nearly one light; most: in log colour ratio and log lightness."""
    apart = np.abs(_tones(one) - _tones(other))
    return np.asarray((apart[..., :2] < most[0]).all(axis=-1) & (apart[..., 2] < most[1]))


def _tones(colours: FloatArray) -> FloatArray:
    """Log colour ratios and log lightness (..., 3) of colours (..., 3)."""
    return np.asarray(log_colour(np.clip(np.rint(colours), 0, 255).astype(np.uint8)), dtype=np.float64)


def _grounds(seen: Profiles) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    count = len(seen.offset)
    # What hides the line at its end, or crosses it there, lies beside its last profiles.
    skip = min(max(1, round((seen.width + CLEAR) / STEP_MM)), count // 2)
    sides = (seen.left, seen.right, seen.far_left, seen.far_right)
    first, last = slice(skip, skip + NEAR_END), slice(max(0, count - skip - NEAR_END), count - skip)
    ends = [np.stack([np.median(s[part], axis=0) for s in sides]) for part in (first, last)]
    return ends[0].astype(np.float32), ends[1].astype(np.float32)


__all__ = ["NOWHERE", "TRIM", "Strand", "alike", "strand_of"]

"""Edges at sub-pixel precision: where the brightness across a known line passes half-way between its two sides.

Pixel coordinates count from the centre of the top-left pixel, x to the right, y down, as OpenCV's remap takes them.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
STEP = 0.5
"""Distance of samples along a profile, px."""


@dataclass(frozen=True, eq=False)
class Crossings:
    """Half-way crossings of n profiles: offset (n,) px along the normal, contrast, width; found marks the usable ones.

    contrast is far side minus near side; width is the distance in px over which the brightness rises (10 % to 90 %).
    """

    offset: FloatArray
    contrast: FloatArray
    width: FloatArray
    found: NDArray[np.bool_]


def sample_profiles(image: NDArray[np.uint8], points: FloatArray, normals: FloatArray, reach: float) -> FloatArray:
    """Read the image along normals through points.

    points, normals: (n, 2) px, normals of length 1. Returns (n, m) or (n, m, channels) for m positions from -reach to
    reach in steps of STEP. Outside the image the border is repeated.
    """
    u = positions(reach)
    xy = points[:, None, :] + u[None, :, None] * normals[:, None, :]
    maps = xy.astype(np.float32)
    read = cv2.remap(image, maps[..., 0], maps[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(read, dtype=np.float64)


def positions(reach: float) -> FloatArray:
    """The positions of a profile's samples, px, symmetric about 0."""
    half = round(reach / STEP)
    return np.arange(-half, half + 1, dtype=np.float64) * STEP


def half_way(profiles: FloatArray, reach: float, *, plateau: float, min_contrast: float) -> Crossings:
    """Find where each profile (n, m) passes half-way between its two plateaus, nearest to the middle.

    plateau is how many px at either end count as the side's own brightness. A profile is found where its contrast is at
    least min_contrast and both plateaus are flat against that contrast.
    """
    u = positions(reach)
    k = max(2, round(plateau / STEP))
    near, far = profiles[:, :k], profiles[:, -k:]
    low, high = near.mean(1), far.mean(1)
    contrast = high - low
    flat = (near.std(1) < 0.2 * np.abs(contrast)) & (far.std(1) < 0.2 * np.abs(contrast))
    safe = np.where(np.abs(contrast) < 1e-9, 1.0, contrast)
    share = (profiles - low[:, None]) / safe[:, None]
    offset, crossed = _crossing(share, u, 0.5)
    ten, _ = _crossing(share, u, 0.1)
    ninety, _ = _crossing(share, u, 0.9)
    found = flat & crossed & (np.abs(contrast) >= min_contrast)
    return Crossings(offset, contrast, np.abs(ninety - ten), found)


def straight(along: FloatArray, offset: FloatArray) -> tuple[float, float]:
    """Offset at along = 0 and slope of the least-squares line; a constant where all `along` are the same."""
    mean_along, mean_offset = float(along.mean()), float(offset.mean())
    away = along - mean_along
    spread = float(away @ away)
    slope = float(away @ (offset - mean_offset)) / spread if spread > 0 else 0.0
    return mean_offset - slope * mean_along, slope


def _crossing(share: FloatArray, u: FloatArray, level: float) -> tuple[FloatArray, NDArray[np.bool_]]:
    """Where share (n, m) rises through level, nearest to u = 0, by linear interpolation."""
    below, above = share[:, :-1] < level, share[:, 1:] >= level
    rises = below & above
    distance = np.where(rises, np.abs(u[:-1] + STEP / 2)[None, :], np.inf)
    at = distance.argmin(1)
    row = np.arange(len(share))
    a, b = share[row, at], share[row, at + 1]
    gap = np.where(b > a, b - a, 1.0)
    return u[at] + STEP * np.clip((level - a) / gap, 0, 1), rises[row, at]

"""The corrected picture: a photo seen from straight above, in the frame of its plane."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.camera import Camera
from calib.edges import FloatArray

RIM = 12.0
"""Shown around the parcel, mm."""
GRID = 16
"""The map from corrected to photo pixels is exact on every GRID-th pixel and linear between."""


@dataclass(frozen=True, eq=False)
class Rectified:
    """A corrected picture: bgr (h, w, 3), its scale, and the place in mm of the centre of its top-left pixel."""

    bgr: NDArray[np.uint8]
    mm_per_px: float
    origin: FloatArray

    def to_mm(self, pixels: FloatArray) -> FloatArray:
        """Places (n, 2) in mm of corrected pixels (n, 2)."""
        return np.asarray(self.origin + pixels * self.mm_per_px)

    def to_px(self, places: FloatArray) -> FloatArray:
        """Corrected pixels (n, 2) of places (n, 2) in mm."""
        return np.asarray((places - self.origin) / self.mm_per_px)


def rectify(
    bgr: NDArray[np.uint8], camera: Camera, low: FloatArray, high: FloatArray, mm_per_px: float, outside: int = 0
) -> Rectified:
    """Correct the part of the plane from `low` to `high` (each (2,), mm); what the photo does not show is `outside`."""
    width, height = (max(2, int(np.ceil(side / mm_per_px)) + 1) for side in high - low)
    map_x, map_y = _maps(camera, low, mm_per_px, width, height)
    picture = cv2.remap(
        bgr, map_x, map_y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT, borderValue=(outside, outside, outside)
    )
    return Rectified(np.asarray(picture, dtype=np.uint8), mm_per_px, np.asarray(low, dtype=np.float64))


def _maps(
    camera: Camera, low: FloatArray, mm_per_px: float, width: int, height: int
) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Photo coordinates of every corrected pixel, interpolated from a coarse grid whose nodes are exact."""
    columns, rows = -(-width // GRID) + 1, -(-height // GRID) + 1
    x, y = np.meshgrid(np.arange(columns) * GRID, np.arange(rows) * GRID)
    places = low + np.column_stack([x.ravel(), y.ravel()]) * mm_per_px
    photo = camera.project(places).reshape(rows, columns, 2).astype(np.float32)
    # An affine warp puts node i exactly on pixel i * GRID, where a plain resize would put it half a cell off.
    onto = np.array([[1 / GRID, 0, 0], [0, 1 / GRID, 0]])
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    maps = [cv2.warpAffine(photo[..., i], onto, (width, height), flags=flags) for i in (0, 1)]
    return np.asarray(maps[0], dtype=np.float32), np.asarray(maps[1], dtype=np.float32)

"""The pinhole camera with a radial lens, looking at the plane of the parcel's top.

World frame: millimetres, x right, y down, z away from the camera (a point h above the parcel has z = -h).  A camera
point is X = R x + t; the ideal pixel is c + f (X/Z, Y/Z); the lens moves it along the radius from c by the factor
1 + k1 r^2 + k2 r^4, r in half diagonals of the picture.  Parameters as a vector: see `CAMERA_PARAMETERS`.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from calib.edges import FloatArray

CAMERA_PARAMETERS = ("rx", "ry", "rz", "tx", "ty", "tz", "log_f", "cx", "cy", "k1", "k2")
"""Rotation vector (rad), translation (mm), log of f (px), centre (px), lens."""


@dataclass(frozen=True, eq=False)
class Camera:
    """One photo's camera: vector (11,) as CAMERA_PARAMETERS, picture size (width, height) in px."""

    vector: FloatArray
    size: tuple[int, int]

    @property
    def half_diagonal(self) -> float:
        """Half of the picture's diagonal, px: the unit of the lens's radius."""
        return float(np.hypot(*self.size)) / 2

    @property
    def rotation(self) -> FloatArray:
        """R, shape (3, 3)."""
        return np.asarray(cv2.Rodrigues(self.vector[:3])[0], dtype=np.float64)

    @property
    def position(self) -> FloatArray:
        """The camera's place in the world frame, mm, shape (3,)."""
        return -self.rotation.T @ self.vector[3:6]

    @property
    def tilt(self) -> float:
        """Angle between the viewing direction and the plane's normal, radians."""
        return float(np.arccos(np.clip(self.rotation[2, 2], -1, 1)))

    def project(self, points: FloatArray, height: float | FloatArray = 0.0) -> FloatArray:
        """Pixels (n, 2) of points (n, 2) in mm that lie `height` (one for all, or (n,)) above the plane."""
        rotation = self.rotation
        raised = np.multiply.outer(np.asarray(height, dtype=np.float64), rotation[:, 2])
        world = points @ rotation[:, :2].T + self.vector[3:6] - raised
        ideal = np.exp(self.vector[6]) * world[:, :2] / world[:, 2:] + self.vector[7:9]
        return self.distort(np.asarray(ideal, dtype=np.float64))

    def locate(self, pixels: FloatArray, height: float | FloatArray = 0.0) -> FloatArray:
        """Points (n, 2) in mm, `height` (one for all, or (n,)) above the plane, that appear at pixels (n, 2)."""
        rays = (self.undistort(pixels) - self.vector[7:9]) / np.exp(self.vector[6])
        rotation = self.rotation
        directions = np.column_stack([rays, np.ones(len(rays))]) @ rotation
        distance = (-np.asarray(height) - self.position[2]) / directions[:, 2]
        return np.asarray(self.position[:2] + distance[:, None] * directions[:, :2], dtype=np.float64)

    def distort(self, ideal: FloatArray) -> FloatArray:
        """Where the lens puts ideal pixels (n, 2)."""
        centre = self.vector[7:9]
        q = (ideal - centre) / self.half_diagonal
        r2 = np.sum(q * q, axis=-1, keepdims=True)
        return np.asarray(centre + (ideal - centre) * (1 + self.vector[9] * r2 + self.vector[10] * r2 * r2))

    def undistort(self, pixels: FloatArray) -> FloatArray:
        """The inverse of `distort`, by fixed-point iteration (|k1| below about 0.3)."""
        centre = self.vector[7:9]
        shown = (pixels - centre) / self.half_diagonal
        q = shown
        for _ in range(6):
            r2 = np.sum(q * q, axis=-1, keepdims=True)
            q = shown / (1 + self.vector[9] * r2 + self.vector[10] * r2 * r2)
        return centre + q * self.half_diagonal

    def mm_per_px(self, at: FloatArray) -> float:
        """Millimetres per pixel around the point `at` (2,) of the plane, the mean of both directions."""
        around = at + np.array([[-5.0, 0], [5, 0], [0, -5], [0, 5]])
        seen = self.project(around)
        return float(20 / (np.linalg.norm(seen[1] - seen[0]) + np.linalg.norm(seen[3] - seen[2])))

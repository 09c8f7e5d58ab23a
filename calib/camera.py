"""The pinhole camera with a radial lens, looking at the plane of the parcel's top.

World frame: millimetres, x right, y down, z away from the camera (a point h above the parcel has z = -h).  A camera
point is X = R x + t; the ideal pixel is c + f (X/Z, Y/Z); the lens moves it along the radius from c as
`calib.radial_terms` says.  Parameters as a vector: see `CAMERA_PARAMETERS`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import cv2
import numpy as np

from calib.edges import FloatArray
from calib.radial_terms import POWERS, RADIAL

CAMERA_PARAMETERS = ("rx", "ry", "rz", "tx", "ty", "tz", "log_f", "cx", "cy", *RADIAL)
"""Rotation vector (rad), translation (mm), log of f (px), centre (px), lens."""
NEWTON_STEPS, SAME_RADIUS = 10, 1e-8
FARTHEST = 100.0
"""No point of a picture lies so many half diagonals from its middle."""
LEAST_SLOPE = 0.3
"""Of the distorted radius against the ideal one, where a step of Newton's method still is one towards the root."""


@dataclass(frozen=True, eq=False)
class Projection:
    """Pixels (n, 2) and their derivatives: by the camera's parameters (n, 2, 14), place (n, 2, 2) and height (n, 2)."""

    pixels: FloatArray
    by_camera: FloatArray
    by_place: FloatArray
    by_height: FloatArray


@dataclass(frozen=True, eq=False)
class Camera:
    """One photo's camera: vector (14,) as CAMERA_PARAMETERS, picture size (width, height) in px."""

    vector: FloatArray
    size: tuple[int, int]

    @property
    def half_diagonal(self) -> float:
        """Half of the picture's diagonal, px: the unit of the lens's radius."""
        return float(np.hypot(*self.size)) / 2

    @cached_property
    def rotation(self) -> FloatArray:
        """R, shape (3, 3)."""
        return np.asarray(cv2.Rodrigues(self.vector[:3])[0], dtype=np.float64)

    @cached_property
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

    def projection(self, points: FloatArray, height: float | FloatArray = 0.0) -> Projection:
        """As project, with all derivatives."""
        rotation, by_turn = cv2.Rodrigues(self.vector[:3])
        spatial = np.column_stack([points, -np.broadcast_to(height, len(points))])
        world = spatial @ rotation.T + self.vector[3:6]
        focal, depth = np.exp(self.vector[6]), world[:, 2:]
        slope = world[:, :2] / depth
        ideal = focal * slope
        r2 = np.sum(ideal**2, axis=1, keepdims=True) / self.half_diagonal**2
        degrees = np.arange(1, len(RADIAL) + 1)
        lower = r2 ** (degrees - 1)
        factor = 1 + r2 * lower @ self._powers[:, None]
        growth = lower @ (degrees * self._powers)[:, None] * 2 / self.half_diagonal**2
        bent = factor[:, :, None] * np.eye(2) + growth[:, :, None] * ideal[:, :, None] * ideal[:, None, :]
        seen = np.concatenate([np.broadcast_to(np.eye(2), (len(points), 2, 2)), -slope[:, :, None]], axis=2)
        by_world = bent @ (seen * (focal / depth)[:, :, None])
        by_camera = np.empty((len(points), 2, len(CAMERA_PARAMETERS)))
        turned = spatial @ by_turn.reshape(3, 3, 3).transpose(0, 2, 1)
        by_camera[:, :, :3] = np.einsum("nij,knj->nik", by_world, turned)
        by_camera[:, :, 3:6] = by_world
        by_camera[:, :, 6] = np.einsum("nij,nj->ni", bent, ideal)
        by_camera[:, :, 7:9] = np.eye(2)
        by_camera[:, :, 9:] = ideal[:, :, None] * (r2 * lower @ POWERS)[:, None, :]
        by_place, by_height = by_world @ rotation[:, :2], -by_world @ rotation[:, 2]
        return Projection(self.vector[7:9] + ideal * factor, by_camera, by_place, by_height)

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
        return np.asarray(centre + (ideal - centre) * self._factor(r2))

    def undistort(self, pixels: FloatArray) -> FloatArray:
        """The inverse of `distort`, by Newton's method on the radius; sound wherever the lens does not fold over.

        Not a number where it does so and the method runs away.
        """
        centre = self.vector[7:9]
        shown = (pixels - centre) / self.half_diagonal
        reach = np.linalg.norm(shown, axis=-1, keepdims=True)
        r, lost = reach, np.zeros(reach.shape, dtype=bool)
        slopes = self._powers * np.arange(3, 2 * len(RADIAL) + 2, 2)
        for _ in range(NEWTON_STEPS):
            r2 = r * r
            slope = 1 + _horner(r2, slopes)
            step = (r * self._factor(r2) - reach) / np.maximum(slope, LEAST_SLOPE)
            r = r - step
            lost |= np.abs(r) > FARTHEST
            r = np.where(lost, reach, r)
            if np.abs(step).max(initial=0.0, where=~lost) < SAME_RADIUS:
                break
        r = np.where(lost, np.nan, r)
        return np.asarray(centre + shown * (r / np.maximum(reach, 1e-12)) * self.half_diagonal)

    def _factor(self, r2: FloatArray) -> FloatArray:
        """How much farther from the centre the lens puts what lies at radius^2 r2."""
        return 1 + _horner(r2, self._powers)

    @cached_property
    def _powers(self) -> FloatArray:
        """Coefficients of r^2, r^4, ..."""
        return np.asarray(POWERS @ self.vector[9:])

    def mm_per_px(self, at: FloatArray) -> float:
        """Millimetres per pixel around the point `at` (2,) of the plane, the mean of both directions."""
        around = at + np.array([[-5.0, 0], [5, 0], [0, -5], [0, 5]])
        seen = self.project(around)
        return float(20 / (np.linalg.norm(seen[1] - seen[0]) + np.linalg.norm(seen[3] - seen[2])))


def _horner(r2: FloatArray, powers: FloatArray) -> FloatArray:
    """The sum of powers[i] r^(2 i + 2)."""
    total = np.zeros_like(r2)
    for power in powers[::-1]:
        total = r2 * (power + total)
    return total

"""The drawing camera, written apart from the measuring one so that neither hides the other's mistakes.

X_cam = R (x, y, z) + t with z away from the camera (a point h above the board has z = -h); ideal pixel = c + f X/Z; the
lens moves it from c by the factor 1 + k1 r^2 + k2 r^4 + k3 r^6, r in half diagonals.  Integer pixels are pixel centres.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from tests.helpers.scenes.raster import FloatArray

LEAST_AWAY = 0.3
"""What is less far along the camera's axis than this share of its distance from the frame's origin is not drawn."""


@dataclass(frozen=True, eq=False)
class View:
    """Picture size (width, height) px, rotation (3, 3), translation (3,) mm, focal length px, centre (2,) px, lens."""

    size: tuple[int, int]
    rotation: FloatArray
    translation: FloatArray
    focal: float
    centre: FloatArray
    k1: float = 0.0
    k2: float = 0.0
    k3: float = 0.0

    @property
    def half_diagonal(self) -> float:
        return float(np.hypot(*self.size)) / 2

    @property
    def place(self) -> FloatArray:
        """Where the camera is, mm, shape (3,): z is negative above the board."""
        return -self.rotation.T @ self.translation

    def project(self, points: FloatArray, height: float | FloatArray = 0.0) -> FloatArray:
        """Pixels (n, 2) of points (n, 2) mm that lie `height` mm above the board."""
        spatial = np.column_stack([points, np.broadcast_to(-np.asarray(height, float), len(points))])
        camera = spatial @ self.rotation.T + self.translation
        away = self.focal * camera[:, :2] / camera[:, 2:]
        r2 = (away**2).sum(axis=1, keepdims=True) / self.half_diagonal**2
        return self.centre + away * (1 + self.k1 * r2 + self.k2 * r2**2 + self.k3 * r2**3)

    def rings(self, ring: FloatArray, height: float | FloatArray = 0.0, most: float = 12.0) -> FloatArray:
        """A ring (n, 2) mm in the photo, its sides cut into pieces of at most `most` px that the lens may bend."""
        ends = np.roll(ring, -1, axis=0)
        height = np.broadcast_to(np.asarray(height, float), len(ring))
        length = np.linalg.norm(self.project(ends, np.roll(height, -1)) - self.project(ring, height), axis=1)
        count = np.maximum(1, np.ceil(length / most)).astype(int)
        owner = np.repeat(np.arange(len(ring)), count)
        t = (np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)) / count[owner]
        places = ring[owner] + t[:, None] * (ends - ring)[owner]
        return self.project(places, height[owner] + t * (np.roll(height, -1) - height)[owner])

    def in_front(self, ring: FloatArray) -> FloatArray:
        """The part (m, 2) of a ring (n, 2) mm on the board's plane that lies before the camera; the rest has no place
        in the photo.
        """
        away = ring @ self.rotation[2, :2] + self.translation[2]
        least = LEAST_AWAY * float(np.linalg.norm(self.translation))
        kept = []
        for here, there, start, end in zip(away, np.roll(away, -1), ring, np.roll(ring, -1, axis=0), strict=True):
            if here >= least:
                kept.append(start)
            if (here < least) != (there < least):
                kept.append(start + (least - here) / (there - here) * (end - start))
        return np.array(kept).reshape(-1, 2)

    def places(self, pixels: FloatArray) -> FloatArray:
        """Points (n, 2) of the board's plane at pixels (n, 2): good to about 0.01 px, for textures."""
        shown = (pixels - self.centre) / self.half_diagonal
        q = shown
        for _ in range(8):
            r2 = (q**2).sum(axis=1, keepdims=True)
            q = shown / (1 + self.k1 * r2 + self.k2 * r2**2 + self.k3 * r2**3)
        rays = np.column_stack([q * self.half_diagonal / self.focal, np.ones(len(q))]) @ self.rotation
        at = -self.rotation.T @ self.translation
        return at[:2] - at[2] * rays[:, :2] / rays[:, 2:]


def looking(
    size: tuple[int, int],
    at: FloatArray,
    *,
    tilt: float = 0.0,
    azimuth: float = 0.0,
    roll: float = 0.0,
    focal: float | None = None,
    fill: float = 0.92,
    k1: float = 0.0,
    k2: float = 0.0,
    off_centre: tuple[float, float] = (0.0, 0.0),
) -> View:
    """A camera that gets all of the points `at` (n, 2) mm in: they fill `fill` of the picture.  Angles in degrees."""
    focal = focal or 26 / np.hypot(36, 24) * np.hypot(*size)
    tilt, azimuth, roll = np.deg2rad([tilt, azimuth, roll])
    centre = (np.array(size) - 1) / 2 + off_centre
    axis = np.array([np.cos(azimuth), np.sin(azimuth), 0.0])
    rotation = _about(np.array([0.0, 0, 1]), roll) @ _about(axis, tilt)
    aim = np.append((at.min(axis=0) + at.max(axis=0)) / 2, 0.0)

    def placed(aim: FloatArray, far: float) -> View:
        return View(size, rotation, -rotation @ (aim - far * rotation[2]), float(focal), centre, k1, k2)

    near, far = 50.0, 20000.0
    for _ in range(40):
        middle = np.sqrt(near * far)
        # Aim at the middle of what is seen, so that a tilted view uses the picture well.
        for _ in range(4):
            seen = placed(aim, middle).project(at)
            aim = np.append(placed(aim, middle).places(((seen.min(axis=0) + seen.max(axis=0)) / 2)[None])[0], 0.0)
        seen = placed(aim, middle).project(at) - (np.array(size) - 1) / 2
        fits = (np.abs(seen) < np.array(size) / 2 * fill).all()
        near, far = (near, middle) if fits else (middle, far)
    return placed(aim, far)


def halved(view: View) -> View:
    """The same camera with half as many pixels along each side."""
    return replace(
        view,
        size=(view.size[0] // 2, view.size[1] // 2),
        focal=view.focal / 2,
        centre=(view.centre + 0.5) / 2 - 0.5,
    )


def _about(axis: FloatArray, angle: float) -> FloatArray:
    x, y, z = axis
    cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    return np.eye(3) + np.sin(angle) * cross + (1 - np.cos(angle)) * cross @ cross

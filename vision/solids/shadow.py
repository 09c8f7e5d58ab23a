"""How solids look in the plane's corrected picture: as if a lamp in the camera's place threw their shadows on it.

With the camera's place e and H above the plane, a point x that is h above it is shown at e + (x - e) H / (H - h).
"""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.edges import FloatArray
from vision.solids.body import Body, mesh_of

LEAST_BELOW = 5.0
"""So far at least a solid's top stays below the camera, mm; nothing higher has a shadow."""


def shadow(points: FloatArray, eye: FloatArray) -> FloatArray:
    """Where points (n, 3), their heights upwards, are shown (n, 2); eye (3,): the camera's place, z away from it."""
    stretch = -eye[2] / np.maximum(-eye[2] - points[:, 2], LEAST_BELOW)
    return np.asarray(eye[:2] + (points[:, :2] - eye[:2]) * stretch[:, None])


def shadow_moves(points: FloatArray, moves: FloatArray, eye: FloatArray) -> FloatArray:
    """How the shadows (n, 2, p) of points (n, 3) move where those move by (n, 3, p)."""
    below = np.maximum(-eye[2] - points[:, 2], LEAST_BELOW)
    stretch = -eye[2] / below
    by_height = (points[:, :2] - eye[:2]) * (stretch / below)[:, None]
    return np.asarray(stretch[:, None, None] * moves[:, :2] + by_height[:, :, None] * moves[:, 2:])


def outline(body: Body, eye: FloatArray) -> FloatArray:
    """The convex outline (m, 2) of a body's shadow."""
    hull = cv2.convexHull(shadow(body.corners, eye).astype(np.float32))
    return np.asarray(hull[:, 0], dtype=np.float64)


def draw_shadow(mask: NDArray[Any], body: Body, eye: FloatArray, origin: FloatArray, mm_per_px: float) -> None:
    """Fill a body's shadow with 1 in a mask (h, w) whose first pixel lies at origin, mm, to a sixteenth of a pixel."""
    at = np.round((outline(body, eye) - origin) / mm_per_px * 16).astype(np.int32)
    cv2.fillConvexPoly(mask, at, 1, cv2.LINE_8, 4)


def seen_edges(body: Body, eye: FloatArray) -> NDArray[np.int64]:
    """The edges of a body's mesh (m,) that a camera at eye (3,) sees."""
    mesh = mesh_of(body.kind)
    a, b, c = body.corners[mesh.faces].transpose(1, 0, 2)
    normal = np.cross(b - a, c - a)
    lit = np.append(np.sum(normal * (np.append(eye[:2], -eye[2]) - a), axis=1) > 0, False)
    one, other = lit[mesh.edges[:, 2]], lit[mesh.edges[:, 3]]
    return np.flatnonzero(np.where(mesh.smooth, one != other, one | other))

"""The height of an upright edge from one photo, whose foot on the plane and whose top a person marks in it.

As the camera is known against the plane, so are the verticals' vanishing point and the height above the plane of each
point of an upright edge (Criminisi, Reid and Zisserman 2000).  Both marks count alike: the estimate is the maximum-
likelihood one, which moves each as little as puts them on one vertical.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from calib.camera import CAMERA_PARAMETERS, Camera
from calib.edges import FloatArray
from calib.estimate.plane import Plane

MARKING = 2.0
"""Standard uncertainty of a mark in each direction, px."""
FLAT = 0.3
"""Of the land against its plane, mm."""
MOST_LEAN = np.deg2rad(12.0)
"""Between the line from mark to mark and the vertical there, in the picture: more is no upright edge."""
LEAST_KNOWN = 0.3
"""A height whose standard uncertainty is a larger share of it is not known."""
LEAST_BELOW = 0.05
"""So far below the camera, as a share of its height, a top lies at least."""
_STEPS, _SETTLED = 20, 1e-6

MarkFault = Literal["not-upright", "not-above", "seen-from-above"]


class MarksRefused(ValueError):  # noqa: N818  (a refusal, like PhotoRefused)
    """Two marks that tell no height; fault says why.

    not-upright: they lie on no upright edge.  not-above: the top lies no higher than the foot.  seen-from-above: an
    upright edge there is seen so nearly end on that its height is not known.
    """

    def __init__(self, fault: MarkFault) -> None:
        super().__init__(fault)
        self.fault: MarkFault = fault


@dataclass(frozen=True)
class MarkedHeight:
    """Height above the plane and its standard uncertainty, mm; the foot's place on the plane, mm.

    aside: how far the marked top lies beside the vertical through the marked foot, px.
    """

    height: float
    u: float
    foot: tuple[float, float]
    aside: float


def marked_height(plane: Plane, foot: FloatArray, top: FloatArray, marking: float = MARKING) -> MarkedHeight:
    """The height of an edge from its foot to its top, pixels (2,) each, marked with a standard uncertainty in px.

    Raises MarksRefused where the marks tell none.
    """
    camera = plane.camera
    marks = np.array([foot, top], dtype=np.float64)
    start = _first(camera, marks)
    aside, lean = _aside(camera, start, marks)
    if abs(aside) > 4 * marking and lean > MOST_LEAN:
        raise MarksRefused("not-upright")
    found = _closest(camera, start, marks)
    if not 0 < found[2] < (1 - LEAST_BELOW) * -camera.position[2]:
        raise MarksRefused("not-above")
    u = _spread(plane, found, marks, marking)
    if not u <= LEAST_KNOWN * found[2]:
        raise MarksRefused("seen-from-above")
    return MarkedHeight(float(found[2]), u, (float(found[0]), float(found[1])), float(aside))


def _first(camera: Camera, marks: FloatArray) -> FloatArray:
    """Place and height (3,) where the marked top's ray passes nearest to the vertical over the marked foot."""
    (x, y), (farther, beyond) = camera.locate(marks)
    eye = camera.position
    ray = np.array([farther, beyond]) - eye[:2]
    reach = float(ray @ ray)
    along = float((np.array([x, y]) - eye[:2]) @ ray) / reach if reach > 0 else 1.0
    return np.array([x, y, -eye[2] * (1 - along)])


def _aside(camera: Camera, found: FloatArray, marks: FloatArray) -> tuple[float, float]:
    """How far the top's mark lies beside the vertical through the foot's, px, and at what angle, radians."""
    upward = camera.projection(found[None, :2], np.zeros(1)).by_height[0]
    upward = upward / max(float(np.linalg.norm(upward)), 1e-12)
    way = marks[1] - marks[0]
    aside = float(upward[0] * way[1] - upward[1] * way[0])
    return aside, abs(float(np.arctan2(aside, abs(float(upward @ way)))))


def _closest(camera: Camera, start: FloatArray, marks: FloatArray) -> FloatArray:
    """Place and height (3,) whose foot and top are seen nearest to the marks, by Gauss-Newton."""
    found = start
    for _ in range(_STEPS):
        slopes, seen = _seen(camera, found)
        step = np.linalg.lstsq(slopes, (marks - seen).ravel(), rcond=None)[0]
        limit = 0.3 * abs(float(camera.position[2]))
        found = found + np.clip(step, -limit, limit)
        found[2] = min(found[2], (1 - LEAST_BELOW / 2) * -camera.position[2])
        if np.abs(step).max() < _SETTLED:
            break
    return found


def _seen(camera: Camera, found: FloatArray) -> tuple[FloatArray, FloatArray]:
    """How both ends' pixels move with place and height (4, 3), and where they are (2, 2)."""
    ends = camera.projection(np.array([found[:2], found[:2]]), np.array([0.0, found[2]]))
    slopes = np.zeros((2, 2, 3))
    slopes[:, :, :2] = ends.by_place
    slopes[1, :, 2] = ends.by_height[1]
    return slopes.reshape(4, 3), ends.pixels


def _spread(plane: Plane, found: FloatArray, marks: FloatArray, marking: float) -> float:
    """The standard uncertainty of the height: marks, camera, plane; wider where the edge does not stand upright."""
    slopes, seen = _seen(plane.camera, found)
    solving = np.linalg.pinv(slopes)
    ends = plane.camera.projection(np.array([found[:2], found[:2]]), np.array([0.0, found[2]]))
    rows = [plane.names.index(name) for name in CAMERA_PARAMETERS]
    by_sources = ends.by_camera.reshape(4, -1) @ plane.factor[rows]
    misfit = float(np.linalg.norm(marks - seen)) / marking
    by_marks = max(misfit, 1.0) * marking * float(np.linalg.norm(solving[2]))
    return float(np.sqrt(by_marks**2 + np.sum((solving[2] @ by_sources) ** 2) + FLAT**2))

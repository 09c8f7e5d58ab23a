"""How certain a solid's size is that was fitted to edges in several photos.

Three parts: how far the pictures' edges lie off the body's, each edge as a whole, as what moves one of its points
moves all (a sandwich covariance in clusters: Liang and Zeger 1986); what the cameras and the plane may be off, carried
over to the body; and what else the body may be.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from calib.edges import FloatArray
from calib.estimate.parameters import OWN
from calib.estimate.plane import Plane
from vision.solids.body import Body, mesh_of
from vision.solids.edge_fit import EdgePicture, Steps, steps_across
from vision.solids.find_bodies import FoundBody
from vision.solids.shadow import LEAST_BELOW

EDGE = 0.5
"""Standard uncertainty of where a picture shows a solid's edge, mm: rounded edges, light, the picture's grain."""
PIXEL = 0.5
"""And in pixels of the photo."""
FLAT = 0.3
"""Of the land against its plane, mm."""
REACH = 1.0
UNKNOWN = 60.0
"""Standard deviation, mm, of what nothing is known of before: an edge that no photo shows tells nothing."""
RIVAL = 0.25
"""What else scores that much less than a body, or closer, is what it may be."""
UNLIKELY = 0.1
"""A rival that scores so much less than a body whose edges all are shown is about a third as likely."""


@dataclass(frozen=True)
class BodySpread:
    """Standard uncertainties of a body's height, floor, volume, surface and side surface, in mm, mm2 and mm3."""

    height: float
    floor: float
    volume: float
    surface: float
    side_surface: float


def spread_of(found: FoundBody, pictures: Sequence[EdgePicture], planes: Sequence[Plane]) -> BodySpread:
    """The standard uncertainties of a body that was found in pictures of these planes."""
    body = found.body
    covariance = _covariance(body, pictures, planes)
    covariance[3, 3] += FLAT**2
    rivals = [(_chance(found, score), rival) for score, rival in found.rivals[1:]]

    def spread(name: str) -> float:
        slope = _slope(body, name)
        value = float(getattr(body, name))
        apart = max((chance * abs(float(getattr(rival, name)) - value) for chance, rival in rivals), default=0.0)
        variance = float(slope @ covariance @ slope)
        return float(np.hypot(np.sqrt(max(variance, 0.0)), apart))

    return BodySpread(*(spread(name) for name in BodySpread.__dataclass_fields__))


def _chance(found: FoundBody, score: float) -> float:
    """By what share of the difference to a rival a body may be off: half where it is as good, or nothing is clear."""
    behind = found.score - score
    if found.is_clear:
        return 0.5 * float(np.exp(-max(behind, 0.0) / UNLIKELY))
    return 0.5 if behind < RIVAL else 0.0


def _covariance(body: Body, pictures: Sequence[EdgePicture], planes: Sequence[Plane]) -> FloatArray:
    """Of the body's parameters (p, p)."""
    size = len(body.vector)
    normal, middle = np.eye(size) / UNKNOWN**2, np.zeros((size, size))
    own, shared = list[FloatArray](), np.zeros((size, len(planes[0].sources)))
    for picture, plane in zip(pictures, planes, strict=True):
        steps = steps_across(body, picture, REACH)
        weight = steps.clear * steps.samples.share / (1 + (steps.offset / 0.3) ** 2)
        slopes = steps.samples.moves * weight[:, None]
        normal += slopes.T @ steps.samples.moves
        middle += _scatter(steps, weight, float(np.hypot(EDGE, PIXEL * _px(plane, body))))
        moved = slopes.T @ _moved(body, steps, picture, plane)
        is_own = np.array([name in OWN for name in plane.sources])
        own.append(np.where(is_own, moved, 0.0))
        shared += np.where(is_own, 0.0, moved)
    inverse = np.linalg.inv(normal)
    for moved in (*own, shared):
        middle += moved @ moved.T
    return np.asarray(inverse @ (middle + np.eye(size) / UNKNOWN**2) @ inverse)


def _scatter(steps: Steps, weight: FloatArray, edge: float) -> FloatArray:
    """What every edge, being off as a whole, may move (p, p)."""
    total = np.zeros((steps.samples.moves.shape[1],) * 2)
    for number in np.unique(steps.samples.edge):
        on = steps.samples.edge == number
        if weight[on].sum() > 0:
            pull = steps.samples.moves[on].T @ weight[on]
            off = float(np.average(steps.offset[on], weights=weight[on]))
            total += np.outer(pull, pull) * (edge**2 + off**2)
    return total


def _px(plane: Plane, body: Body) -> float:
    return plane.camera.mm_per_px(np.array([body.x, body.y]))


def _moved(body: Body, steps: Steps, picture: EdgePicture, plane: Plane) -> FloatArray:
    """How far the picture's edges move against the body's, along the normals, with the plane's sources (n, k)."""
    samples = steps.samples
    seen = samples.points + steps.offset[:, None] * samples.normals
    _, places = plane.locate(plane.camera.project(seen))
    ends = mesh_of(body.kind).edges[samples.edge, :2]
    heights = body.corners[ends, 2].mean(axis=1)
    below = np.maximum(-picture.eye[2] - heights, LEAST_BELOW)
    eye = _eye_moves(plane)
    away = (samples.points - picture.eye[:2]) * (heights / -picture.eye[2] / below)[:, None]
    shown = -(heights / below)[:, None, None] * eye[:2] + away[:, :, None] * eye[2]
    return np.asarray(np.einsum("ni,nik->nk", samples.normals, places - shown))


def _eye_moves(plane: Plane) -> FloatArray:
    """How the camera's place moves with the plane's sources (3, k)."""
    base, moves = plane.camera.position, np.zeros((3, plane.factor.shape[0]))
    for at, name in enumerate(("rx", "ry", "rz", "tx", "ty", "tz")):
        vector = plane.camera.vector.copy()
        vector[at] += 1e-6
        moves[:, plane.names.index(name)] = (type(plane.camera)(vector, plane.camera.size).position - base) / 1e-6
    return np.asarray(moves @ plane.factor)


def _slope(body: Body, name: str) -> FloatArray:
    """How a quantity of a body changes with its parameters (p,)."""
    base, start = float(getattr(body, name)), body.vector
    slope = np.zeros(len(start))
    for at in range(len(start)):
        moved = start.copy()
        moved[at] += 1e-4
        slope[at] = (float(getattr(body.with_vector(moved), name)) - base) / 1e-4
    return slope

"""From where one more photo would tell the most of a solid.

The edges that a camera there would see tell so much, as far as other solids leave them in sight; that side is asked for
after which the volume is most certain.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from shapely.geometry import Polygon

from calib.edges import FloatArray
from vision.solids.body import Body
from vision.solids.edge_fit import EdgePicture, Samples, samples_of
from vision.solids.shadow import outline

Side = Literal["left", "right", "top", "bottom"]
SIDES: dict[Side, tuple[float, float]] = {"left": (-1, 0), "right": (1, 0), "top": (0, -1), "bottom": (0, 1)}
"""Of the parcel as it is drawn, from its middle."""
WANTED_TILT = np.deg2rad(35.0)
"""Of a photo that is asked for: far enough off to tell heights, and the card is still seen well."""
EDGE = 0.6
"""Standard uncertainty of where an edge is shown, mm, as far as it matters which view is better."""
SPACING = 4.0
UNKNOWN = 60.0


@dataclass(frozen=True)
class WantedView:
    """A photo that is asked for: from which side of the parcel as drawn, and how far off straight above, radians."""

    side: Side
    tilt: float


def wanted_view(body: Body, pictures: Sequence[EdgePicture], others: Sequence[Body]) -> WantedView:
    """The side from which one more photo would make a body's volume most certain."""
    known = sum((_told(body, picture.eye, others) for picture in pictures), np.eye(len(body.vector)) / UNKNOWN**2)

    def left_over(side: Side) -> float:
        return _volume_variance(body, known + _told(body, _eye(side, body, pictures), others))

    return WantedView(min(SIDES, key=left_over), float(WANTED_TILT))


def _eye(side: Side, body: Body, pictures: Sequence[EdgePicture]) -> FloatArray:
    """A camera (3,) on a side of a body, as far away as the photos' cameras are."""
    place = np.array([body.x, body.y, 0.0])
    away = float(np.mean([np.linalg.norm(picture.eye - place) for picture in pictures]))
    x, y = SIDES[side]
    return np.asarray(place + away * np.array([x * np.sin(WANTED_TILT), y * np.sin(WANTED_TILT), -np.cos(WANTED_TILT)]))


def _told(body: Body, eye: FloatArray, others: Sequence[Body]) -> FloatArray:
    """What a camera's view of a body's edges tells of its parameters, as a normal matrix (p, p)."""
    samples: Samples = samples_of(body, eye, SPACING)
    weight = samples.share * in_sight(body, eye, others) / (EDGE**2 * 10.0)
    return np.asarray((samples.moves * weight[:, None]).T @ samples.moves)


def in_sight(body: Body, eye: FloatArray, others: Sequence[Body]) -> float:
    """The share of a body's picture that other solids, nearer to the camera, leave in sight."""
    shown = Polygon(outline(body, eye)).buffer(0)
    for other in others:
        if _distance(other, eye) < _distance(body, eye):
            shown = shown.difference(Polygon(outline(other, eye)).buffer(0))
    whole = Polygon(outline(body, eye)).area
    return float(shown.area / max(whole, 1e-9))


def _distance(body: Body, eye: FloatArray) -> float:
    return float(np.hypot(body.x - eye[0], body.y - eye[1]))


def _volume_variance(body: Body, normal: FloatArray) -> float:
    slope, base = np.zeros(len(body.vector)), body.volume
    for at in range(len(slope)):
        moved = body.vector
        moved[at] += 1e-4
        slope[at] = (body.with_vector(moved).volume - base) / 1e-4
    return float(slope @ np.linalg.solve(normal, slope))

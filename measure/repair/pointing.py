"""How uncertain a corner is that somebody placed by hand on the corrected picture.

| cause | standard uncertainty | source |
| --- | --- | --- |
| pointing at a place of the enlarged picture | 2 px of the corrected picture, across and down alike | common practice, no source |
| guessing the tape's middle, both edges in sight | width / (8 sqrt 3): the guess lies in the middle quarter, all places equally likely | common practice, no source |
| plane, lens, print, card, tiles, height of the tape | as for the corners that were measured nearby | this photo's own |
| the same, where nothing was measured nearby | 0.5 % of the way from the picture's middle | common practice, no source |

The causes that all of a photo's outlines share move places smoothly: a small change of a plane's projection moves a
place (x, y) by a + bx + cy + x(gx + hy) across and by d + ex + fy + y(gx + hy) down (the derivative of a homography at
the identity; Hartley and Zisserman, Multiple View Geometry, 2nd ed., section 2.3, gives the homography).  Those eight
numbers are fitted for every cause to the corners that were measured, near ones weighing more.  Of several photos, whose
planes err each by itself, that takes a mixture: up to 1.4 times too little of the part that is the plane's alone.
"""  # noqa: E501  (a table's row is one line)

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from measure.plat.plat import Plat, Ring, Source
from measure.quantity import FloatArray
from measure.units import MM_PER, Unit, format_number

HAND = "hand"
"""The kind of the sources that a place pointed at by hand has."""
POINTING_PX = 2.0
UNKNOWN_SCALE = 0.005
_OWN_KINDS = ("edge", "width", "hidden", "given", HAND)
"""Sources of single outlines; all other kinds move every place of the picture."""
_NEAR = 5.0
"""mm: corners nearer than this weigh no more."""
_OF_A_CURVE = 24
"""As many of a curve's points are enough to know how the shared causes move it."""


@dataclass(frozen=True)
class PictureExtent:
    """What the corrected picture shows: its scale, and its bounds in mm in the parcel's frame."""

    mm_per_px: float
    left: float
    top: float
    right: float
    bottom: float

    @property
    def middle(self) -> FloatArray:
        """Its middle, shape (2,), in mm."""
        return np.array([self.left + self.right, self.top + self.bottom]) / 2

    @classmethod
    def of(cls, origin: tuple[float, float], mm_per_px: float, size: tuple[int, int]) -> PictureExtent:
        """From the place of the top-left pixel's centre and the size (width, height) in px."""
        left, top = origin[0] - mm_per_px / 2, origin[1] - mm_per_px / 2
        return cls(mm_per_px, left, top, left + size[0] * mm_per_px, top + size[1] * mm_per_px)


def pointing_u(mm_per_px: float, tape_width: float) -> float:
    """Standard uncertainty in mm, across and down alike, of a corner placed by hand on tape of that width (mm)."""
    return math.hypot(POINTING_PX * mm_per_px, tape_width / (8.0 * math.sqrt(3.0)))


def place_said(point: FloatArray, unit: Unit) -> str:
    """A place in mm as a message has it, in the class's unit."""
    across, down = (format_number(float(value) / MM_PER[unit], 1.0 / MM_PER[unit]) for value in point)
    return f"({across}, {down}) {unit}"


def by_hand(ring: Ring, sources: Sequence[Source]) -> tuple[int, ...]:
    """The points of a ring (from 0) that were placed by hand."""
    return points_by_hand(ring.sensitivity, sources)


def points_by_hand(sensitivity: FloatArray, sources: Sequence[Source]) -> tuple[int, ...]:
    """The points (from 0) that were placed by hand, of a sensitivity (n, 2, k)."""
    own = [at for at, source in enumerate(sources) if source.kind == HAND and at < sensitivity.shape[2]]
    return tuple(np.flatnonzero(np.abs(sensitivity[:, :, own]).max(axis=(1, 2), initial=0.0)).tolist())


def shared_moves(plat: Plat, places: FloatArray, shown: PictureExtent) -> FloatArray | None:
    """How the causes that the whole picture shares move places (n, 2): shape (n, 2, sources) in mm per deviation.

    None where no outline of the plat tells.
    """
    points, moves = _known(plat)
    if not moves.any():
        return None
    size = max(shown.right - shown.left, shown.bottom - shown.top) / 2
    there, here = (points - shown.middle) / size, (places - shown.middle) / size
    basis, made = _basis(there), np.zeros((len(places), 2, moves.shape[2]))
    for at, place in enumerate(here):
        weight = 1.0 / np.hypot(np.linalg.norm(there - place, axis=1), _NEAR / size)[:, None, None]
        left, right = (basis * weight).reshape(-1, 8), (moves * weight).reshape(2 * len(there), -1)
        made[at] = _basis(place[None])[0] @ np.linalg.lstsq(left, right, rcond=None)[0]
    return made


def _known(plat: Plat) -> tuple[FloatArray, FloatArray]:
    """Points (n, 2) of the measured outlines and how the shared sources move them, shape (n, 2, sources)."""
    own = [at for at, source in enumerate(plat.sources) if source.kind in _OWN_KINDS]
    points, moves = [np.zeros((0, 2))], [np.zeros((0, 2, len(plat.sources)))]
    for piece in plat.pieces:
        for ring in (piece.ring, *piece.holes) if piece.status == "measured" else ():
            step = max(1, len(ring.points) // _OF_A_CURVE)
            kept = np.arange(0, len(ring.points), step)
            found = np.zeros((len(kept), 2, len(plat.sources)))
            found[:, :, : ring.sensitivity.shape[2]] = ring.sensitivity[kept]
            found[:, :, own] = 0.0
            points.append(ring.points[kept])
            moves.append(found)
    return np.concatenate(points), np.concatenate(moves)


def _basis(places: FloatArray) -> FloatArray:
    """What each of the eight numbers of a small change of projection does to places (n, 2): shape (n, 2, 8)."""
    x, y = places.T
    one, none = np.ones_like(x), np.zeros_like(x)
    across = np.stack([one, x, y, none, none, none, x * x, x * y], axis=1)
    down = np.stack([none, none, none, one, x, y, x * y, y * y], axis=1)
    return np.stack([across, down], axis=1)

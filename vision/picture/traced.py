"""What vision hands on: traced pieces in the plane's frame, with their sensitivity to named sources."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from calib.edges import FloatArray
from calib.estimate.plane import Plane
from vision.picture.rectified import Rectified
from vision.picture.remarks import Remark
from vision.picture.traced_lines import NO_LINES, TracedLines

Kind = Literal["plane", "lens", "print", "tile", "parcel", "card", "height", "flatness", "edge", "width"]
_SHARED_KINDS = ("lens", "print", "tile", "parcel", "card", "height", "flatness")


@dataclass(frozen=True)
class TapeSpec:
    """One zone's tape as the challenge names it: swatch box, zone tile or None, height of the tape's middle, mm."""

    zone: str
    swatch: int
    tile: int | None = None
    height: float = 0.0


@dataclass(frozen=True)
class Cause:
    """One independent source of uncertainty of the traced points."""

    name: str
    kind: Kind

    @property
    def shared(self) -> bool:
        """Whether another photo of the same model, taken with the same phone, would have it just so."""
        return self.kind in _SHARED_KINDS


@dataclass(frozen=True, eq=False)
class TracedRing:
    """A closed line along the tape's middle: points (n, 2) mm, sensitivity (n, 2, k), and the stretches not shown.

    inferred: (side from 0, from, to) as fractions of the side from point i to point i + 1.  taped: how wide the tape
    along each side is against the piece's own tape, 0 along the parcel's edge; empty where all of it is its own.
    """

    points: FloatArray
    sensitivity: FloatArray
    curved: bool = False
    inferred: tuple[tuple[int, float, float], ...] = ()
    taped: tuple[float, ...] = ()


@dataclass(frozen=True, eq=False)
class TracedPiece:
    """One outline of a zone, its same-tape holes, the tape's width with its sensitivity (k,) and the share inferred."""

    zone: str
    ring: TracedRing
    holes: tuple[TracedRing, ...]
    width: float
    width_sensitivity: FloatArray
    bridged: float
    measurable: bool = True


@dataclass(frozen=True, eq=False)
class Traced:
    """One photo's model: pieces in the frame, its sources, the plane they lie on, the parcel's corners and a picture.

    parcel has four corners, clockwise from the origin, and is None where only the card is known.
    unread names the zones whose swatch box is empty, so that nothing is known of them.
    lines: empty where none is declared.
    """

    pieces: tuple[TracedPiece, ...]
    causes: tuple[Cause, ...]
    plane: Plane
    frame: Literal["tiles", "board", "card"]
    parcel: TracedRing | None
    picture: Rectified
    unread: tuple[str, ...]
    remarks: tuple[Remark, ...]
    lines: TracedLines = NO_LINES

    @property
    def mm_per_px(self) -> float:
        """How much of the plane a pixel of the photo covers, in the middle of the picture."""
        middle = self.picture.to_mm(np.array(self.picture.bgr.shape[1::-1]) / 2.0)
        return self.plane.camera.mm_per_px(middle)

    @property
    def tilt_deg(self) -> float:
        """How far from straight above the photo was taken."""
        return float(np.rad2deg(self.plane.camera.tilt))

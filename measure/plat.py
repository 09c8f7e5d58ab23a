"""The plat: the measured map of one model, in the parcel's frame, in millimetres, with its uncertainty.

Frame: origin at the parcel's top-left corner, x to the right, y down.  Outlines follow the tape's middle, run clockwise
in the picture and start at the corner nearest the origin; the last point is not the first one again.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from measure.quantity import FloatArray, Quantity

Status = Literal["measured", "not measurable"]
Frame = Literal["tiles", "board", "card", "given"]
"""Where the parcel's frame comes from; with "card" nothing is known about places on the parcel."""


@dataclass(frozen=True)
class Source:
    """One independent cause of uncertainty.

    kind is "print", "card", "tile", "plane", "lens", "height", "flatness", "parcel", "edge", "width", "hidden" or
    "given"; shared says that another photo of the same model, with the same phone, would have the same error.
    """

    name: str
    kind: str
    shared: bool = False


@dataclass(frozen=True, eq=False)
class Ring:
    """A closed line: points (n, 2) in mm and their sensitivity (n, 2, k) in mm per standard deviation of each source.

    inferred lists the stretches that no photo shows: (side, from, to) with side counted from 0 (side i runs from point
    i to point i + 1) and from and to as fractions of that side.
    """

    points: FloatArray
    sensitivity: FloatArray
    curved: bool = False
    inferred: tuple[tuple[int, float, float], ...] = ()


@dataclass(frozen=True, eq=False)
class Piece:
    """One taped outline of a zone: its ring along the tape's middle, same-tape rings inside it, the tape's width."""

    zone: str
    ring: Ring
    tape_width: Quantity
    holes: tuple[Ring, ...] = ()
    bridged: float = 0.0
    status: Status = "measured"


@dataclass(frozen=True)
class PhotoRecord:
    """What the result file says of one photo."""

    file: str
    sha256: str
    mm_per_px: float
    tilt_deg: float


@dataclass(frozen=True, eq=False)
class Plat:
    """All pieces of one model. Pieces are ordered top to bottom, then left to right, by centroid.

    parcel is the parcel's measured outline (four corners from the origin's clockwise) or None where the frame is the
    card's; width and depth are the parcel as the challenge states it, in mm.
    """

    width: float
    depth: float
    pieces: tuple[Piece, ...]
    sources: tuple[Source, ...]
    frame: Frame
    parcel: Ring | None = None
    photos: tuple[PhotoRecord, ...] = ()
    warnings: tuple[str, ...] = ()
    team: str = ""

"""The plat: the measured map of one model, in the parcel's frame, in millimetres, with its uncertainty.

Frame: origin at the parcel's top-left corner, x to the right, y down.  Outlines follow the tape's middle, run clockwise
in the picture and start at the corner nearest the origin; the last point is not the first one again.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import shapely

from measure.notices import Notice
from measure.plat.seen_solid import SeenSolid
from measure.quantity import FloatArray, Quantity

Status = Literal["measured", "not measurable"]
Frame = Literal["tiles", "board", "card", "given"]
"""Where the parcel's frame comes from; with "card" nothing is known about places on the parcel."""
RepairKind = Literal["drawn", "outline", "zone", "middle", "joined", "line"]
"""Drawn by hand, its outline changed, or said to be another zone's; of a piece of a line its middle changed, joined
with other pieces, or said to be another line's."""
LineEndKind = Literal["free", "hidden", "edge", "joined"]
"""It ends there, seen; goes under something; ends at the parcel's or the picture's edge; or on another piece of its
own line."""
ESTIMATED_LENS = "estimated from the photo"
"""A photo's lens where no profile tells it."""
_NO_AREA = 1e-9
"""mm2: what rounding leaves of a ring that encloses nothing."""
_SAME_PLACE = 1e-6
"""mm: corners whose distances from the origin differ by less are equally near."""


@dataclass(frozen=True)
class Source:
    """One independent cause of uncertainty.

    kind is "print", "card", "tile", "plane", "lens", "height", "flatness", "parcel", "edge", "width", "hidden", "given"
    or "hand"; shared says that another photo of the same model, with the same phone, would have the same error.
    """

    name: str
    kind: str
    shared: bool = False


@dataclass(frozen=True, eq=False)
class Ring:
    """A closed line: points (n, 2) in mm and their sensitivity (n, 2, k) in mm per standard deviation of each source.

    inferred lists the stretches that no photo shows: (side, from, to) with side counted from 0 (side i runs from point
    i to point i + 1) and from and to as fractions of that side.  taped says how wide each side's tape is against the
    piece's own: a neighbour's strip, or 0 along the parcel's edge without tape; empty where all of it is its own.
    """

    points: FloatArray
    sensitivity: FloatArray
    curved: bool = False
    inferred: tuple[tuple[int, float, float], ...] = ()
    taped: tuple[float, ...] = ()


@dataclass(frozen=True)
class Was:
    """A piece before it was repaired by hand: its zone and its rings, the outline first, as places in mm.

    Of a piece of a line its line's name, and the middles of all pieces that it was made of.
    """

    zone: str
    rings: tuple[tuple[tuple[float, float], ...], ...]


@dataclass(frozen=True)
class Repaired:
    """A piece is not as it was measured: what was done to it by hand, and how it was; None where it was drawn."""

    changes: tuple[RepairKind, ...]
    was: Was | None = None


@dataclass(frozen=True, eq=False)
class Piece:
    """One taped outline of a zone: its ring along the tape's middle, same-tape rings inside it, the tape's width."""

    zone: str
    ring: Ring
    tape_width: Quantity
    holes: tuple[Ring, ...] = ()
    bridged: float = 0.0
    status: Status = "measured"
    repaired: Repaired | None = None


@dataclass(frozen=True, eq=False)
class LinePiece:
    """One piece of a line: points (n, 2) along its middle and their sensitivity (n, 2, k), in mm as those of a ring.

    length is the middle's; closed: the last point repeats the first. inferred and bridged are as those of outlines.
    """

    line: str
    points: FloatArray
    sensitivity: FloatArray
    length: Quantity
    width: Quantity
    inferred: tuple[tuple[int, float, float], ...] = ()
    bridged: float = 0.0
    ends: tuple[LineEndKind, LineEndKind] = ("free", "free")
    closed: bool = False
    repaired: Repaired | None = None


@dataclass(frozen=True)
class LineDoubt:
    """Under something a line could go on in more than one way: which, nobody sees.

    ends are (its piece from 0, 0 at the start or 1 at the end); each way joins pairs of them, by their place in `ends`.
    """

    line: str
    ends: tuple[tuple[int, int], ...]
    ways: tuple[tuple[tuple[int, int], ...], ...]


Terms = tuple[float, ...]
Rows = tuple[Terms, ...]
TERMS = (5, 3)
"""Radial terms of a lens, k1 to k5; results of earlier versions have three."""


@dataclass(frozen=True)
class LensRecord:
    """What a photo showed of its lens: the radial terms k1 to k5 as it was measured with, and their covariance.

    camera and title name what its photos share the lens by, wholly and for people.  information (rows) and vector are
    what this photo itself adds to what is known of any phone, told_information and told_vector what `others` other
    photos of the camera added.
    """

    camera: str
    title: str
    terms: Terms
    covariance: Rows
    information: Rows
    vector: Terms
    others: int = 0
    told_information: Rows = ()
    told_vector: Terms = ()

    def __post_init__(self) -> None:
        count = len(self.terms)
        own = (self.vector, self.covariance, *self.covariance, self.information, *self.information)
        told = (self.told_vector, self.told_information, *self.told_information)
        whole = count in TERMS and all(len(p) == count for p in own) and all(len(p) in (0, count) for p in told)
        if not whole:
            raise ValueError("these are no terms of a lens")


@dataclass(frozen=True)
class CameraRecord:
    """A photo's camera against the parcel's top: its parameters (rad, mm, px) as calib.camera has them, their
    covariance (rows), and the upright photo's size in px.
    """

    parameters: Terms
    covariance: Rows
    size: tuple[int, int]


@dataclass(frozen=True)
class PhotoRecord:
    """What is known of one photo that was measured; lens says where the knowledge of its lens comes from.

    subject holds the parcel and the card in the upright photo, polygons in px; radial is None where the photo's file
    does not tell its camera.
    """

    file: str
    sha256: str
    mm_per_px: float
    tilt_deg: float
    lens: str = ""
    subject: tuple[tuple[tuple[float, float], ...], ...] = ()
    radial: LensRecord | None = None
    camera: CameraRecord | None = None


@dataclass(frozen=True, eq=False)
class Plat:
    """All pieces of one model. Pieces are ordered top to bottom, then left to right, by centroid.

    parcel is the parcel's measured outline (four corners from the origin's clockwise) or None where the frame is the
    card's; width and depth are the parcel as the challenge states it, in mm.  solids are the structures that several
    photos show; solids_complete says that no others stand there: that the photos leave no doubt, or somebody's word.
    lines are the pieces of pipes, cables, roads and rails; of unread_lines nothing is known.
    """

    width: float
    depth: float
    pieces: tuple[Piece, ...]
    sources: tuple[Source, ...]
    frame: Frame
    parcel: Ring | None = None
    photos: tuple[PhotoRecord, ...] = ()
    notices: tuple[Notice, ...] = ()
    team: str = ""
    solids: tuple[SeenSolid, ...] = ()
    lines: tuple[LinePiece, ...] = ()
    line_doubts: tuple[LineDoubt, ...] = ()
    unread_lines: tuple[str, ...] = ()
    solids_complete: bool = False


def normalised(
    points: FloatArray,
    sensitivity: FloatArray,
    *,
    curved: bool = False,
    inferred: tuple[tuple[int, float, float], ...] = (),
    taped: tuple[float, ...] = (),
) -> Ring:
    """A ring as plats hold it: clockwise in the picture (y down), from the corner nearest the origin.

    points (n, 2), sensitivity (n, 2, k), inferred stretches and the sides' tapes are turned and renumbered together.
    Of corners equally near, the upper one comes first, then the left one.
    """
    count = len(points)
    if signed_area(points) < -_NO_AREA:
        points, sensitivity = points[::-1], sensitivity[::-1]
        # The side from i to i + 1 now runs from the reversed place of i + 1 to that of i.
        inferred = tuple(((count - 2 - side) % count, 1.0 - end, 1.0 - start) for side, start, end in inferred)
        taped = tuple(taped[(count - 2 - side) % count] for side in range(count)) if taped else ()
    distance = np.hypot(points[:, 0], points[:, 1])
    near = np.flatnonzero(distance <= distance.min() + _SAME_PLACE)
    first = min(near.tolist(), key=lambda i: (points[i, 1], points[i, 0]))
    stretches = sorted(((side - first) % count, start, end) for side, start, end in inferred)
    points, sensitivity = np.roll(points, -first, axis=0), np.roll(sensitivity, -first, axis=0)
    return Ring(points, sensitivity, curved, tuple(stretches), (*taped[first:], *taped[:first]))


def ordered(pieces: Iterable[Piece]) -> tuple[Piece, ...]:
    """Pieces top to bottom, then left to right, by centroid: the order in which they are numbered."""
    return tuple(sorted(pieces, key=_reading_place))


def nested(pieces: Iterable[Piece]) -> tuple[Piece, ...]:
    """Pieces with every ring of a zone inside another ring of the same zone turned into a hole of that piece.

    A ring inside such a hole is a piece again, an island.  Pieces that bring holes of their own, and pieces that are
    not measurable, stay as they are.
    """
    given = list(pieces)
    plain = [at for at, piece in enumerate(given) if piece.status == "measured" and not piece.holes]
    shapes = {at: shapely.Polygon(given[at].ring.points) for at in plain}
    around = {at: [host for host in plain if _encloses(given, shapes, host, at)] for at in plain}
    holes = {at for at in plain if len(around[at]) % 2}
    kept = []
    for at, piece in enumerate(given):
        if at not in holes:
            # A hole belongs to the innermost ring around it.
            mine = [hole for hole in sorted(holes) if around[hole] and min(around[hole], key=_size_in(shapes)) == at]
            kept.append(replace(piece, holes=(*piece.holes, *(given[hole].ring for hole in mine))))
    return tuple(kept)


def _encloses(pieces: list[Piece], shapes: dict[int, shapely.Polygon], host: int, other: int) -> bool:
    same_zone = pieces[host].zone == pieces[other].zone
    larger = same_zone and shapes[host].area > shapes[other].area
    return bool(larger and shapes[host].is_valid and shapes[other].is_valid and shapes[host].covers(shapes[other]))


def _size_in(shapes: dict[int, shapely.Polygon]) -> Callable[[int], float]:
    return lambda at: float(shapes[at].area)


def _reading_place(piece: Piece) -> tuple[float, float]:
    """(y, x) of the centroid, without the last digits' noise; pieces without an outline come last."""
    points = piece.ring.points
    if len(points) == 0:
        return (np.inf, np.inf)
    shell_area = abs(signed_area(points))
    centre = points.mean(axis=0)
    if shell_area > 0:
        polygon = shapely.Polygon(points, [hole.points for hole in piece.holes])
        centre = shapely.get_coordinates(polygon.centroid)[0]
    return round(float(centre[1]), 6), round(float(centre[0]), 6)


def signed_area(points: FloatArray) -> float:
    """The shoelace area of a closed line, positive where it runs clockwise in the picture (y down)."""
    if len(points) < 3:
        return 0.0
    local = points - points[0]  # a local origin keeps digits
    after = np.roll(local, -1, axis=0)
    return 0.5 * float((local[:, 0] * after[:, 1] - local[:, 1] * after[:, 0]).sum())

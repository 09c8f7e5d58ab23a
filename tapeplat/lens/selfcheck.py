"""The self-check sheet in a photo: what is measured against what is printed.

Card and outlines come from one print, so they share its scale whatever that is; the sheet of paper, which is cut to
size, tells the scale itself where its edges show.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from calib.edges import FloatArray
from calib.estimate.adjustment import PAPER as SHEET_HEIGHT
from calib.estimate.adjustment import StraightLine
from calib.estimate.parameters import shift_of
from calib.estimate.plane import Plane
from calib.photo_refused import PhotoRefused, Reason
from calib.photo_setup import PhotoSetup, Priors
from calib.printed import CARD, CARD_TAG, SELF_CHECK_OUTLINES, SELF_CHECK_SWATCH, KnownOutline
from calib.prints.edge_shift import EdgeShift
from tapeplat.paper.pdf.pdf_canvas import PAPERS
from vision.board.board_edges import WIDE_MM, board_sides
from vision.picture.photo import Photo
from vision.picture.traced import TapeSpec, Traced, TracedPiece
from vision.tracing import trace

SAME_OUTLINE = 0.8
"""Overlap over union from which a traced outline is the printed one."""
PRINTED = 0.0005
"""A printer's scale wanders by about this much over a page, relative (common practice, no source)."""
DRAWN = 0.05
"""How exactly a printer draws a side, mm (half a dot of 300 dpi)."""
CLAIMED = 2.0
"""What the program claims is so many standard uncertainties: the expanded uncertainty that results state."""
FARTHEST, FARTHEST_ONE = 2.0, 3.1
"""Root mean square of the differences, and the largest, in standard uncertainties, that an honest program may find in
one photo: one of 25 numbers lies beyond 3.1 in 5 % of photos.
"""
LEAST_OFF = 0.002
"""A print whose scale is off by less than this, relative, is as good as a ruler can tell."""
PAPER_CUT = 0.5
"""Standard uncertainty of a cut sheet's width and height, mm (ISO 216:2007 allows 2 mm; common practice, no source)."""
PAPER_EDGE = 0.3
"""How well a paper's edge is found above its own shadow, mm."""
ONE_SCALE = 0.012
"""Width and height of the paper must agree on the scale to this, relative, else it is not the paper that was found."""
ONE_SHEET = 0.1
"""Card and outlines are one sheet of paper, which lies flat to this, mm."""
REACH = (190.0, 230.0)
"""The part of the sheet that holds the outlines, mm."""

CARD_SHIFT = shift_of(CARD_TAG)
"""The edge shift of the only print that the sheet has."""


@dataclass(frozen=True, eq=False)
class OutlineCheck:
    """One outline: measured area over printed area less 1, with its standard uncertainty; sides likewise in mm (n,)."""

    name: str
    area: float
    u_area: float
    sides: FloatArray
    u_sides: FloatArray


@dataclass(frozen=True)
class PaperCheck:
    """The paper as measured over its true size, and the standard uncertainty of that."""

    name: str
    scale: float
    u: float


@dataclass(frozen=True)
class SelfCheck:
    """What one photo of the sheet shows; paper is None where its edges were not found."""

    outlines: tuple[OutlineCheck, ...]
    paper: PaperCheck | None
    lens_from: str

    @property
    def count(self) -> int:
        """How many areas and sides were compared."""
        return sum(map(len, self._apart))

    @property
    def beyond(self) -> int:
        """How many of them differ from the print by more than the program claims."""
        return sum(int((np.abs(apart) > CLAIMED).sum()) for apart in self._apart)

    @property
    def as_claimed(self) -> bool:
        """Whether every area and every side differs from the printed one by no more than the program claims."""
        return self.beyond == 0

    @property
    def likely(self) -> bool:
        """Whether they differ by no more than chance explains, as one in twenty may lie beyond what is claimed."""
        largest = max(float(np.abs(apart).max()) for apart in self._apart)
        return largest <= FARTHEST_ONE and max(float(np.mean(apart**2)) for apart in self._apart) <= FARTHEST**2

    @property
    def _apart(self) -> tuple[FloatArray, FloatArray]:
        """Differences of areas and of sides in standard uncertainties, the print's own included."""
        areas = np.array([o.area / np.hypot(o.u_area, 2 * PRINTED) for o in self.outlines])
        return areas, np.concatenate([o.sides / np.hypot(o.u_sides, DRAWN) for o in self.outlines])

    @property
    def print_is_off(self) -> bool:
        """Whether the paper's size says that the print's scale is not the one that is assumed."""
        return self.paper is not None and abs(self.paper.scale - 1) > max(FARTHEST * self.paper.u, LEAST_OFF)


def self_check(photo: Photo, printed_line: tuple[float | None, float | None] = (None, None)) -> SelfCheck:
    """Measure the sheet as a model is measured. Raises PhotoRefused.

    printed_line: the card's check lines as a ruler shows them, mm, along and up.
    """
    setup = PhotoSetup(*REACH, printed_line=printed_line, priors=Priors(flatness=ONE_SHEET), bow=0.0)
    traced = _traced(photo, setup)
    shared = np.array([cause.kind == "print" for cause in traced.causes])
    outlines = tuple(_outline(known, traced, ~shared) for known in SELF_CHECK_OUTLINES)
    return SelfCheck(outlines, _paper(photo.bgr, traced.plane), photo.lens_from)


def _traced(photo: Photo, setup: PhotoSetup) -> Traced:
    try:
        return trace(photo, setup, [TapeSpec("outline", SELF_CHECK_SWATCH)], board=False)
    except PhotoRefused as refusal:
        what = _LACKING.get(refusal.reason)
        if what is not None:
            raise _no_sheet(what) from refusal
        raise


_LACKING: dict[Reason, str] = {
    "no-tape": "its outlines were not found",
    "no-swatches": "its outlines were not found",
    "no-card": "its card was not found",
    "other-model": "corner tiles are in it, as on a model",
    "other-challenge": "a model is in it",
    "parcel-cut-off": "corner tiles are in it, as on a model",
}
"""What a refusal of a model's photo means of the sheet's."""


def _no_sheet(what: str) -> PhotoRefused:
    return PhotoRefused(
        "no-tape",
        f"this is no whole self-check sheet: {what}; print the self-check sheet at 100 %, lay it flat and get all "
        "of it in, without glare and hard shadows",
    )


def _outline(known: KnownOutline, traced: Traced, own: NDArray[np.bool_]) -> OutlineCheck:
    """A printed outline against the traced one that lies on it."""
    points = np.array(known.points) * [traced.plane.value("scale along"), traced.plane.value("scale up")]
    piece = next((p for p in traced.pieces if _same(p, points)), None)
    if piece is None or len(piece.ring.points) != len(points):
        raise _no_sheet(f"outline {known.name} was not found")
    first = int(np.argmin(np.linalg.norm(piece.ring.points - points[0], axis=1)))
    corners = np.roll(piece.ring.points, -first, axis=0)
    moves = np.roll(piece.ring.sensitivity, -first, axis=0)[:, :, own]
    area, area_moves = _area(corners, moves)
    true, _ = _area(points, moves)
    length, length_moves = _lengths(corners, moves)
    return OutlineCheck(
        known.name,
        area / true - 1,
        float(np.linalg.norm(area_moves)) / true,
        length - _lengths(points, moves)[0],
        np.linalg.norm(length_moves, axis=1),
    )


def _same(piece: TracedPiece, points: FloatArray) -> bool:
    one, other = Polygon(piece.ring.points).buffer(0), Polygon(points)
    return bool(one.intersection(other).area > SAME_OUTLINE * one.union(other).area)


def _area(corners: FloatArray, moves: FloatArray) -> tuple[float, FloatArray]:
    """Area (the shoelace formula) and its sensitivity (k,) from that of the corners (n, 2, k)."""
    across = np.roll(corners, -1, axis=0) - np.roll(corners, 1, axis=0)
    x, y = corners.T
    gradient = np.column_stack([across[:, 1], -across[:, 0]]) / 2
    area = 0.5 * float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))
    return abs(area), np.sign(area) * np.einsum("ni,nik->k", gradient, moves)


def _lengths(corners: FloatArray, moves: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Side lengths (n,) from corner i to i + 1 and their sensitivity (n, k)."""
    along = np.roll(corners, -1, axis=0) - corners
    length = np.linalg.norm(along, axis=1)
    apart = np.roll(moves, -1, axis=0) - moves
    return length, np.einsum("ni,nik->nk", along / length[:, None], apart)


def _paper(bgr: NDArray[np.uint8], plane: Plane) -> PaperCheck | None:
    """The sheet's own edges: the size of paper whose width and height agree best on the scale."""
    found = [_paper_scale(bgr, plane, name, (p.width, p.height)) for name, p in PAPERS.items()]
    fitting = [pair for pair in found if pair is not None]
    return min(fitting, key=lambda pair: pair[1])[0] if fitting else None


def _paper_scale(
    bgr: NDArray[np.uint8], plane: Plane, name: str, size: tuple[float, float]
) -> tuple[PaperCheck, float] | None:
    """The scale by this kind of paper, and how far width and height disagree; None where it is another or none."""
    middle = np.array([CARD.width, CARD.height]) / 2 * [plane.value("scale along"), plane.value("scale up")]
    corners = middle + np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * np.array(size) / 2
    shift = EdgeShift(plane.value(CARD_SHIFT), plane.spread(CARD_SHIFT))
    lines = {line.parcel_side: line for line in board_sides(bgr, plane.camera, corners, WIDE_MM, _nothing, shift)}
    if len(lines) < 4:
        return None
    own = np.array([not source.startswith("scale") for source in plane.sources])
    width, u_width = _apart(lines[3], lines[1], plane, own)
    height, u_height = _apart(lines[0], lines[2], plane, own)
    scales, u = np.array([width, height]) / size, np.array([u_width, u_height]) / size
    apart = float(abs(scales[0] - scales[1]))
    if apart > ONE_SCALE:
        return None
    weight = 1 / u**2
    return PaperCheck(name, float(weight @ scales / weight.sum()), float(1 / np.sqrt(weight.sum()))), apart


def _apart(one: StraightLine, other: StraightLine, plane: Plane, own: NDArray[np.bool_]) -> tuple[float, float]:
    """Distance of two opposite sides of the paper, mm, and its standard uncertainty."""
    (here, here_moves), (there, there_moves) = (plane.locate(line.points, SHEET_HEIGHT) for line in (one, other))
    across = there.mean(axis=0) - here.mean(axis=0)
    normals = [_normal(points, across) for points in (here, there)]
    normal = (normals[0] + normals[1]) / np.linalg.norm(normals[0] + normals[1])
    moved = normal @ (there_moves.mean(axis=0) - here_moves.mean(axis=0))[:, own]
    u = np.sqrt(PAPER_CUT**2 + 2 * PAPER_EDGE**2 + float(moved @ moved))
    return float(normal @ across), float(u)


def _normal(points: FloatArray, towards: FloatArray) -> FloatArray:
    """Unit normal of the line through points (n, 2), on the side that `towards` (2,) points to."""
    normal = np.asarray(np.linalg.svd(points - points.mean(axis=0))[2][1], dtype=np.float64)
    return normal * np.sign(normal @ towards)


def _nothing(bgr: NDArray[np.uint8]) -> NDArray[np.bool_]:
    """No colour counts as tape's beside the paper."""
    return np.zeros(bgr.shape[:-1], dtype=bool)

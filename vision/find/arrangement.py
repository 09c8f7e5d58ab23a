"""The areas that tape visibly closes: the faces of the arrangement of all strips' centrelines, each prolonged as far as
tape goes.

A thing of the tape's own colour may mislead it: a strip prolonged through one feigns a side.
"""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np
import shapely
import shapely.ops
from shapely.geometry import LineString, Polygon
from shapely.ops import polygonize, unary_union

from vision.find.closing import (
    BAND,
    CLOSED,
    LEAST_INSIDE,
    SPARE,
    Candidate,
    beside,
    left_over,
    not_along,
    profile,
    reach,
    shown_share,
    straightened,
    turned_off,
)
from vision.find.strips import UNEVEN, Strip
from vision.find.tape_mask import TapeMask

BURIED, CORNER = 1.5, 1.5
"""Length of a side inside a blob from which the side may be feigned, and what is kept clear of its corners, in widths
of the tape.
"""

LEAST_BANDS, ALL = 3, 0.95
"""How many bands, and how much of the mask's area their strips must cover, for bands to be all that it shows."""


def faces(strips: Sequence[Strip], width: float, tape: TapeMask) -> list[Candidate]:
    """The outlines that tape visibly closes: the whole border is tape, the inside is clear."""
    bands = [s for s in strips if s.paired]
    lines = [LineString(s.at(np.array([s.low - reach(s, -1, tape), s.high + reach(s, 1, tape)]))) for s in bands]
    if len(lines) < 3:
        return []
    every = [Polygon(face.exterior) for face in polygonize(unary_union(lines))]
    tried = [(face, _candidate(face, width, tape)) for face in every]
    closed = [(face, candidate) for face, candidate in tried if candidate is not None]
    split = [face for face, candidate in tried if candidate is None]
    left = left_over(bands, [c.corners for _, c in closed], width)
    others = not_along(strips, [c.corners for _, c in closed], width)
    closed = [
        (face, c)
        for face, c in closed
        if not _feigned(c, left, width, tape) and not turned_off(c.corners, others, tape, width)
    ]
    open_faces = [face for face in split if _roomy(face, width)]
    taken = unary_union([face.exterior.buffer(0.8 * width) for face, _ in closed])
    whole = [_with_cut_off(face, candidate, open_faces, taken, width, tape) for face, candidate in closed]
    return _rejoined(whole, width, tape)


def are_all(strips: Sequence[Strip], width: float, tape: TapeMask) -> bool:
    """Whether strips of one width (mm) are all that a mask shows: then it shows bands and no paper of their colour."""
    bands = [s for s in strips if s.paired]
    if len(bands) < LEAST_BANDS:
        return False
    besides = tape.mask.copy()
    for band in bands:
        aside = (width / 2 + UNEVEN) * np.array([band.normal, -band.normal])
        low, high = band.at(np.array([band.low - width / 2, band.high + width / 2]))
        corners = tape.picture.to_px(np.concatenate([low + aside, high - aside]))
        cv2.fillPoly(besides, [np.rint(corners).astype(np.int32)], 0)
    return bool(besides.sum() < (1 - ALL) * tape.mask.sum())


def _feigned(candidate: Candidate, left: Sequence[Strip], width: float, tape: TapeMask) -> bool:
    """Whether a side runs through a blob of the tape's colour, and tape that closes nothing goes on beyond that side.

    Then the side may be no tape at all, and the outline a larger one.
    """
    ends = [shapely.Point(s.at(at)) for s in left for at in (s.low, s.high)]
    for start, end in zip(candidate.corners, np.roll(candidate.corners, -1, axis=0), strict=True):
        side = LineString([start, end])
        if any(side.distance(e) < width + SPARE for e in ends) and _buried(side, width, tape) > BURIED * width:
            return True
    return False


def _buried(side: LineString, width: float, tape: TapeMask) -> float:
    """Length of a side clear of its corners, mm, along which tape's colour goes on beyond both of its edges."""
    clear = CORNER * width
    if side.length <= 2 * clear:
        return 0.0
    middle = shapely.ops.substring(side, clear, side.length - clear)
    along = np.arange(0.5, max(1.0, middle.length), 1.0)
    points = shapely.get_coordinates(shapely.line_interpolate_point(middle, along))
    start, end = shapely.get_coordinates(side)
    normal = np.array([start[1] - end[1], end[0] - start[0]]) / side.length
    beyond = width * beside(width) * normal
    return float((tape.read(points - beyond) & tape.read(points + beyond)).sum())


def _roomy(face: Polygon, width: float) -> bool:
    return not face.buffer(-width / 2 - LEAST_INSIDE / 2).is_empty


def _rejoined(candidates: list[Candidate], width: float, tape: TapeMask) -> list[Candidate]:
    """Join outlines whose common side is no band of tape but something of its colour that lies across both."""
    borders = [Polygon(c.corners).exterior for c in candidates]
    for i, one in enumerate(candidates):
        beside_it = borders[i].buffer(0.5)
        for border, other in zip(borders[i + 1 :], candidates[i + 1 :], strict=True):
            shared = beside_it.intersection(border)
            if shared.length < width or _band_along(shared, width, tape) >= BAND:
                continue
            joined = _candidate(
                Polygon(one.corners).buffer(0.01).union(Polygon(other.corners)).simplify(0.05), width, tape
            )
            if joined is not None:
                rest = [c for c in candidates if c is not one and c is not other]
                return _rejoined([joined, *rest], width, tape)
    return candidates


def _band_along(line: shapely.Geometry, width: float, tape: TapeMask) -> float:
    """Share of a line's length along which tape ends at a tape's width on both sides."""
    merged = shapely.line_merge(line)
    parts = [g for g in getattr(merged, "geoms", [merged]) if g.geom_type == "LineString" and g.length > 1.0]
    clear = [profile(g, width, tape)[1] for g in parts]
    return float(np.concatenate(clear).mean()) if clear else 1.0


def _candidate(face: shapely.Geometry, width: float, tape: TapeMask) -> Candidate | None:
    """The outline of a face that its tape closes; of two faces that do not even meet there is none."""
    if not isinstance(face, Polygon) or not _roomy(face, width):
        return None
    corners = straightened(np.asarray(face.exterior.coords)[:-1])
    shown, band = shown_share(corners, width, tape)
    return Candidate(corners, shown) if len(corners) >= 3 and shown >= CLOSED and band >= BAND else None


def _with_cut_off(
    face: Polygon,
    candidate: Candidate,
    open_faces: Sequence[Polygon],
    taken: shapely.Geometry,
    width: float,
    tape: TapeMask,
) -> Candidate:
    """Give back a corner that something of the tape's colour, lying like a strip, has cut off an outline.

    The corner's own tape then belongs to no closed outline, where between two real pieces all tape is theirs.
    """
    for corner in open_faces:
        if corner.intersection(face).length < width:
            continue
        border = np.arange(0.5, corner.exterior.length, 1.0)
        points = shapely.line_interpolate_point(corner.exterior, border)
        lost = tape.read(shapely.get_coordinates(points)) & ~shapely.contains(taken, points)
        if lost.sum() >= max(20.0, 0.25 * corner.exterior.length):
            whole = _candidate(face.union(corner.buffer(1e-6)).simplify(0.01), width, tape)
            candidate = whole or candidate
    return candidate

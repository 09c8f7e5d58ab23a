"""What makes an outline doubtful, and what of a tape shows that no outline explains.

An outline that closes may still be the wrong one: strips of its own tape that go on elsewhere say so, and a side that
runs over bare board.  And where strips or patches of a tape are left over, a piece may be there that is not found: then
nobody may say that it is not.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, Point, Polygon
from shapely.ops import unary_union

from calib.edges import FloatArray
from vision.find.borrowed_sides import OpenTape
from vision.find.closing import LARGEST_GAP, LEAST_TURN, SPARE, beside, not_along, profile
from vision.find.laid_twice import ALONGSIDE, LEAST_LEFT, WITHIN, is_laid_twice, longest
from vision.find.own_paper import Patch, edges_on_ground, patches_of
from vision.find.rough_outlines import Found
from vision.find.strips import Strip
from vision.find.tape_mask import TapeMask, commonest
from vision.picture.remarks import RemarkCode

MOSTLY_SHOWN, BARE_SHARE, BARE_RUN = 0.65, 0.1, 60.0
"""Share of an outline from which its tape shows for the most part; else the share, and the mm in a row, that may run
over the board that shows beside it (a block may have the board's colour).
"""
SIDED = 0.5
"""Share of a patch's border that must be straight edges on bare ground, for the patch to be a zone full of paper."""
ON_ONE_LINE, DETOUR = 0.75, 2.0
"""How far off one line two sides may lie, in widths, to be one, and by how many times the straight way between them two
are prolonged to meet.
"""
MOST_INSIDE, MOST_LAND, RING = 2, 1.75, 120.0
"""Other tapes with outlines in one that may still be a zone's; by how many times what is large it cannot be one, as it
would be larger than the parcel; length of strips that may be a hole's tape, mm."""

LONG_CORNER, CLEAR = 22.0, 1.5
"""Bare places in a row around a corner, mm, more than hands leave between two strips; and how far off its sides' tape,
mm, what lies across before it tells of it.
"""
TURNING, ASIDE, BRANCH = 2.0, 0.85, 0.6
"""How far around where an outline goes over to bare board another way is looked for, how far off the outline it is
clear of its tape, in widths, and how much of it must show, in squares of a width.
"""
CLAIMED = 0.6
"""Share of an outline that lies on another one's strips, from which both claim the same ones."""


@dataclass(frozen=True)
class Doubt:
    """Something of one tape, by its swatch, that makes it doubtful what is there; side: on which it stays open."""

    swatch: int
    why: RemarkCode
    side: str = ""


def doubtful_outlines(found: Sequence[Found], tapes: Sequence[OpenTape], largest: float) -> list[tuple[Found, Doubt]]:
    """Outlines that may be wrong, each with the reason; what covers more than `largest` mm2, with others' zones in it,
    may be the board.
    """
    by_swatch = {t.swatch: t for t in tapes}
    said = [
        (f, _doubt_about(f, found, by_swatch[f.swatch]) or _doubt_about_turning(f, found, [t.tape for t in tapes]))
        for f in found
    ]
    said = [(f, doubt or _doubt_about_parting(f, found, by_swatch[f.swatch])) for f, doubt in said]
    said = [(f, Doubt(f.swatch, "over-bare-board") if _is_board(f, found, largest) else doubt) for f, doubt in said]
    wrong = [f for f, doubt in said if doubt is not None]
    said = [(f, doubt or _doubt_about_claim(f, wrong)) for f, doubt in said]
    return [(f, doubt) for f, doubt in said if doubt is not None]


def unexplained(found: Sequence[Found], tapes: Sequence[OpenTape], *, all_read: bool) -> list[Doubt]:
    """What shows of each tape besides its outlines, where a piece of it may be.

    all_read: no tape is unknown, in whose zones patches of others' colours may lie.
    """
    with_outline = {f.swatch for f in found}
    said = []
    for tape in tapes:
        settled = all_read and all(t.swatch in with_outline for t in tapes if t is not tape)
        said.append(_left_of(tape, found, patches=settled or tape.swatch not in with_outline))
    return [doubt for doubt in said if doubt is not None]


def _is_board(outline: Found, found: Sequence[Found], largest: float) -> bool:
    """Whether an outline is so large, with so many others in it, that it may be the rim of a board of its colour."""
    land = Polygon(outline.corners).buffer(0)
    inside = {f.swatch for f in found if f.swatch != outline.swatch and land.contains(Polygon(f.corners).centroid)}
    return bool(land.area > largest and (len(inside) > MOST_INSIDE or land.area > MOST_LAND * largest))


def _doubt_about(outline: Found, found: Sequence[Found], own: OpenTape) -> Doubt | None:
    ring = shapely.LinearRing(outline.corners)
    left = [s for s in _left_strips(own, found) if s.length >= own.width]
    touching = [
        s for s in left if any(ring.distance(Point(s.at(at))) < own.width / 2 + SPARE for at in (s.low, s.high))
    ]
    if (
        sum(s.length for s in touching) >= LEAST_LEFT
        or _goes_on(outline, found, own)
        or _holds_ring(outline, found, own)
    ):
        return Doubt(own.swatch, "tape-goes-on")
    if is_laid_twice(outline, found, own):
        return Doubt(own.swatch, "laid-twice")
    if outline.tape.paper is not None and _closes_otherwise(outline.corners, ~outline.proven(), outline.width):
        return Doubt(own.swatch, "paper-of-its-colour")
    if not outline.borrowed and not outline.curved and _runs_over_board(ring, outline):
        return Doubt(own.swatch, "over-bare-board")
    if not outline.curved and _closes_before(ring, outline):
        return Doubt(own.swatch, "closes-in-two-ways")
    return None


def _doubt_about_claim(outline: Found, wrong: Sequence[Found]) -> Doubt | None:
    """A doubt where a doubtful outline of another tape claims the same strips: they may be that one's."""
    ring = shapely.LinearRing(outline.corners)
    others = (shapely.LinearRing(f.corners).buffer(f.width) for f in wrong if f.swatch != outline.swatch)
    claimed = any(ring.intersection(other).length > CLAIMED * ring.length for other in others)
    return Doubt(outline.swatch, "like-unread-tape") if claimed else None


def _doubt_about_parting(outline: Found, found: Sequence[Found], own: OpenTape) -> Doubt | None:
    """A doubt where a side parts an outline from another of its tape, and for a while no strip but a blob makes it.

    Where a zone tile lies on either side, two zones are meant.
    """
    bands = [LineString(s.at(np.array([s.low, s.high]))) for s in own.strips if s.paired]
    covered = unary_union([band.buffer(ALONGSIDE * own.width) for band in bands])
    spare = max(own.width / 2, SPARE)
    others = [f for f in found if f is not outline and f.swatch == outline.swatch and not f.curved]
    for other in (f for f in others if not (_holds_tile(outline, own) and _holds_tile(f, own))):
        border = shapely.LinearRing(other.corners).buffer(ALONGSIDE * own.width)
        for ends in zip(outline.corners, np.roll(outline.corners, -1, axis=0), strict=True):
            shared = LineString(ends).intersection(border)
            bare = shapely.get_parts(shared.difference(covered))
            if max((p.length for p in bare), default=0.0) > spare:
                return Doubt(own.swatch, "closes-in-two-ways")
    return None


def _holds_tile(outline: Found, own: OpenTape) -> bool:
    return any(Polygon(outline.corners).contains(Point(tile)) for tile in own.tiles)


def _holds_ring(outline: Found, found: Sequence[Found], own: OpenTape) -> bool:
    """Whether strips that meet lie in an outline and close nothing: something may hide a part of a hole's tape."""
    land = Polygon(outline.corners).buffer(-own.width / 2)
    bands = not_along(
        [s for s in own.strips if s.paired and s.length >= 2 * own.width], [f.corners for f in found], own.width
    )
    inside = [s for s in bands if land.contains(LineString(s.at(np.array([s.low, s.high]))))]
    ends = [shapely.MultiPoint(s.at(np.array([s.low, s.high]))) for s in inside]
    met = sum(one.distance(other) < own.width + SPARE for i, one in enumerate(ends) for other in ends[:i])
    return len(inside) >= 3 and met >= 2 and sum(s.length for s in inside) >= RING


def _goes_on(outline: Found, found: Sequence[Found], own: OpenTape) -> bool:
    """Whether a strip that lies along an outline for a while runs on beyond it, or one from it across its land."""
    rings = unary_union([shapely.LinearRing(f.corners).buffer(0.8 * own.width) for f in found])
    ring = shapely.LinearRing(outline.corners)
    for strip in (s for s in own.strips if s.paired and s.length >= LEAST_LEFT):
        line = LineString(strip.at(np.array([strip.low, strip.high])))
        for rest in shapely.get_parts(line.difference(rings)):
            near = rest.length >= LEAST_LEFT and ring.distance(rest) < own.width + SPARE
            if near and not _apart(ring, rest, own.tape):
                return True
    return False


def _apart(ring: shapely.LinearRing, rest: LineString, tape: TapeMask) -> bool:
    """Whether more bare ground parts a strip from an outline than hands leave: a thing of the tape's colour."""
    between = LineString(shapely.get_coordinates(shapely.shortest_line(ring, rest)))
    places = shapely.line_interpolate_point(between, np.linspace(0, 1, 24), normalized=True)
    return bool(tape.read_ground(shapely.get_coordinates(places)).mean() * between.length > LARGEST_GAP)


def _closes_otherwise(corners: FloatArray, unproven: NDArray[np.bool_], width: float) -> bool:
    """Whether an outline (n, 2) closes as well without a row of its sides that are not proven to be tape's.

    A thing of the tape's colour that lies across the tape looks like paper inside it, and makes a detour of the border.
    """
    if unproven.all() or not unproven.any():
        return False
    first = int(np.flatnonzero(unproven & ~np.roll(unproven, 1))[0])
    flags, ring = np.roll(unproven, -first), np.roll(corners, -first, axis=0)
    starts = np.flatnonzero(flags & ~np.roll(flags, 1))
    stops = np.flatnonzero(~flags & np.roll(flags, 1))
    around = np.concatenate([ring[-1:], ring, ring])
    return any(
        _meet_ahead(around[start : start + 2], around[stop + 1 : stop + 3], width)
        for start, stop in zip(starts, stops, strict=True)
    )


def _meet_ahead(before: FloatArray, after: FloatArray, width: float) -> bool:
    """Whether two sides (2, 2), prolonged, meet beyond the end of one and ahead of the other, or lie on one line."""
    way, other = (s[1] - s[0] for s in (before, after))
    way, other = way / np.linalg.norm(way), other / np.linalg.norm(other)
    between = after[0] - before[1]
    turn = float(way[0] * other[1] - way[1] * other[0])
    if abs(turn) < LEAST_TURN:
        off = abs(float(way[0] * between[1] - way[1] * between[0]))
        return bool(way @ other > 0 and off < ON_ONE_LINE * width and between @ way > 0)
    beyond = float(between[0] * other[1] - between[1] * other[0]) / turn
    ahead = float(between[0] * way[1] - between[1] * way[0]) / turn
    farthest = DETOUR * float(np.linalg.norm(between)) + width
    return beyond > 0 and ahead < 0 and beyond - ahead < farthest


def _left_strips(own: OpenTape, found: Sequence[Found]) -> list[Strip]:
    """Strips with both edges that are no side of any outline and lie in none: in one, things of its colour stand."""
    bands = [s for s in own.strips if s.paired]
    if not found:
        return bands
    land = unary_union([Polygon(f.corners).buffer(0) for f in found])
    left = not_along(bands, [f.corners for f in found], own.width)
    lines = [LineString(s.at(np.array([s.low, s.high]))) for s in left]
    return [s for s, line in zip(left, lines, strict=True) if line.intersection(land).length < WITHIN * s.length]


def _runs_over_board(ring: shapely.LinearRing, outline: Found) -> bool:
    """Whether the outline runs over the board that shows outside it; what hides tape has another colour."""
    shown, _ = profile(ring, outline.width, outline.tape)
    along = np.arange(0.5, max(1.0, ring.length), 1.0)
    points = shapely.get_coordinates(shapely.line_interpolate_point(ring, along))
    outside = shapely.get_coordinates(ring.parallel_offset(beside(outline.width) * outline.width, "left"))
    board = commonest(outline.tape.ground_at(outside)) if len(outside) else 0
    bare = ~shown & (outline.tape.ground_at(points) == board) if board else np.zeros(len(points), dtype=bool)
    return bool(shown.mean() < MOSTLY_SHOWN and bare.mean() > BARE_SHARE and longest(bare) > BARE_RUN)


def _doubt_about_turning(outline: Found, found: Sequence[Found], tapes: Sequence[TapeMask]) -> Doubt | None:
    """A doubt where beside a place at which an outline goes over to bare board for a while some tape's colour goes on.

    It may be the rest of its own tape, taken for another's in this light, of which no strip is known.
    """
    if outline.borrowed or outline.curved:
        return None
    ring = shapely.LinearRing(outline.corners)
    shown, _ = profile(ring, outline.width, outline.tape)
    along = np.arange(0.5, max(1.0, ring.length), 1.0)
    points = shapely.get_coordinates(shapely.line_interpolate_point(ring, along))
    bare = ~shown & outline.tape.read_ground(points)
    if bare.all() or not bare.any():
        return None
    others = shapely.union_all([shapely.LinearRing(f.corners).buffer(f.width) for f in found if f is not outline])
    turned = int(np.argmin(bare))
    bare, points = np.roll(bare, -turned), np.roll(points, -turned, axis=0)
    runs = np.flatnonzero(np.diff(bare.astype(np.int8), prepend=0, append=0)).reshape(-1, 2)
    reach = np.arange(-TURNING, TURNING + 0.1, 0.1)
    x, y = (width.ravel() * outline.width for width in np.meshgrid(reach, reach))
    disc = np.column_stack([x, y])[np.hypot(x, y) < TURNING * outline.width]
    for start, stop in (run for run in runs if run[1] - run[0] > LONG_CORNER):
        for end in (points[start], points[stop - 1]):
            places = end + disc
            places = places[shapely.distance(shapely.points(places), ring) > ASIDE * outline.width]
            places = places[~shapely.contains_xy(others, *places.T)]
            taped = np.any([tape.read(places) for tape in tapes], axis=0)
            if taped.sum() * (0.1 * outline.width) ** 2 > BRANCH * outline.width**2:
                return Doubt(outline.swatch, "closes-in-two-ways")
    return None


def _closes_before(ring: shapely.LinearRing, outline: Found) -> bool:
    """Whether an outline goes on to a corner on bare board from where something lies across, from side to side.

    What lies there may hide the tape that closes it, of which too little shows in a row for a strip.
    """
    shown, _ = profile(ring, outline.width, outline.tape)
    along = np.arange(0.5, max(1.0, ring.length), 1.0)
    points = shapely.get_coordinates(shapely.line_interpolate_point(ring, along))
    bare = ~shown & outline.tape.read_ground(points)
    if bare.all() or not shown.any():
        return False
    taped = shapely.MultiPoint(points[shown])
    turned = int(np.argmin(bare))
    bare, points = np.roll(bare, -turned), np.roll(points, -turned, axis=0)
    ends = np.flatnonzero(np.diff(bare.astype(np.int8), prepend=0, append=0))
    return any(
        _tape_lies_across(points[start:stop], taped, outline)
        for start, stop in ends.reshape(-1, 2)
        if stop - start > LONG_CORNER
    )


def _tape_lies_across(corner: FloatArray, taped: shapely.MultiPoint, outline: Found) -> bool:
    """Whether tape and what lies on it part an outline's inside from a row (n, 2) of its places on bare ground."""
    across = corner[-1] - corner[0]
    length = float(np.linalg.norm(across))
    out = corner.mean(axis=0) - corner[0]
    beyond = float(across[0] * out[1] - across[1] * out[0]) / max(length, 1e-9)
    if length < SPARE or abs(beyond) < SPARE:
        return False
    inwards = -np.sign(beyond) * np.array([-across[1], across[0]]) / length
    rows = corner[0] + np.linspace(0, 1, max(2, int(2 * length)))[:, None] * across
    for step in np.linspace(0.25, 1.0, 4) * outline.width:
        places = rows + step * inwards
        places = places[shapely.distance(shapely.points(places), taped) > outline.width / 2 + CLEAR]
        if len(places) / 2 > SPARE and not outline.tape.read_ground(places).any():
            return True
    return False


def _left_of(tape: OpenTape, found: Sequence[Found], *, patches: bool) -> Doubt | None:
    """What is left over of one tape: strips, or `patches` that may be zones full of paper."""
    left = _left_strips(tape, found)
    if sum(s.length for s in left) >= LEAST_LEFT:
        closed = any(f.swatch == tape.swatch for f in found)
        return Doubt(tape.swatch, "loose-tape") if closed else Doubt(tape.swatch, "outline-open", _open_side(left))
    land = unary_union([Polygon(f.corners).buffer(f.width / 2) for f in found])
    for patch in patches_of(tape.tape) if patches else ():
        middle = _middle(patch)
        if not land.contains(Point(middle)) and _is_sided(patch, tape.tape):
            return Doubt(tape.swatch, "paper-of-its-colour")
    return None


def _open_side(left: Sequence[Strip]) -> str:
    """Of strips that close no outline: the side of the picture on which they stay open."""
    ends = np.concatenate([s.at(np.array([s.low, s.high])) for s in left])
    weight = np.array([s.length for s in left])
    middle = weight @ np.stack([s.at((s.low + s.high) / 2) for s in left]) / weight.sum()
    away = (ends.min(axis=0) + ends.max(axis=0)) / 2 - middle
    if abs(away[0]) > abs(away[1]):
        return "left" if away[0] < 0 else "right"
    return "top" if away[1] < 0 else "bottom"


def _middle(patch: Patch) -> tuple[float, float]:
    rows, columns = np.nonzero(patch.filled.mask)
    place = patch.filled.picture.to_mm(np.array([[columns.mean(), rows.mean()]]))[0]
    return float(place[0]), float(place[1])


def _is_sided(patch: Patch, tape: TapeMask) -> bool:
    """Whether straight edges on bare ground make up most of a patch's border, as a zone's full of paper do."""
    edges, border = edges_on_ground(patch, tape.ground[patch.rows, patch.columns])
    return sum(e.length for e in edges) >= SIDED * border and len(edges) >= 3

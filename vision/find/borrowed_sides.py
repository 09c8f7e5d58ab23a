"""Outlines whose own tape leaves a side open, because a neighbour's strip or the parcel's edge is there already.

Children lay one strip between two zones, and none along the board's rim.  All that can bound a zone is laid together:
the strips that are left over, the sides of outlines already closed, the parcel's edges.  Of the areas that these lines
enclose, one is a zone where its own tape turns around it and really reaches what it leans on, and where what it leans
on shows on its side.  A piece of which something hides a side does not close so: there the ground does not show.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from calib.edges import FloatArray
from vision.find.closing import BAND, CLOSED, LEAST_INSIDE, LEAST_TURN, LONGEST_BRIDGE, SPARE, left_over, profile, reach
from vision.find.enclosed_areas import ON_LINE, Line, Side, enclosed
from vision.find.rough_outlines import Borrowed, Found
from vision.find.strips import Strip, merge_collinear
from vision.find.tape_mask import TapeMask

OWN_SHOWN, BARE = 0.7, 0.3
"""Share of the own tape that shows where the rest is hidden, and share of bare ground in what counts as hidden."""
HIDDEN = 150.0
"""How far behind what hides it a strip is prolonged to another one, mm."""
LEAST_OWN = 0.35
"""Share of such an outline that is its own tape."""
TURNED = np.deg2rad(60)
"""Its own corners turn by as much towards the zone; else its tape has land on both sides, and only a tile can tell."""
BESIDE, CLEAR, TAPED = 0.5, 0.5, 0.4
"""Shares of a borrowed side on which its tape shows; of that, on which bare ground, at most tape, is beside it: a strip
of the outline's own would be there along all of it, a pond of a tape's colour touches it somewhere.
"""
LOOKED_AT = (2.0, 3.5, 5.0)
"""Distances from the tape's edge, or from the parcel's, at which the ground must show, mm."""
OVERSHOT = 14.0
"""How far beyond the neighbour's middle a strip may go on, besides half a width, mm."""
SHORTEST_OPEN = 60.0
"""Length of left-over tape from which it is tried at all, mm."""


@dataclass(frozen=True, eq=False)
class OpenTape:
    """One roll's tape: its mask, strips, width and height in mm, its swatch, the places (k, 2) of its zones' tiles."""

    tape: TapeMask
    strips: Sequence[Strip]
    width: float
    height: float
    swatch: int
    tiles: FloatArray


def leaning_outlines(own: OpenTape, found: Sequence[Found], parcel: FloatArray | None) -> list[Found]:
    """Outlines that left-over tape closes together with the outlines found so far and the parcel's edges.

    parcel: its corners (4, 2) mm from the origin's clockwise, or None where its place is unknown.
    """
    strips = _open_strips(own, found)
    if sum(s.length for s in strips) < SHORTEST_OPEN:
        return []
    supports = _supports(own, found, parcel)
    bare = [Line(s.at(s.low - HIDDEN), s.at(s.high + HIDDEN), strip=i) for i, s in enumerate(strips)]
    lines = [*(_prolonged(i, s, supports, bare, own) for i, s in enumerate(strips)), *supports]
    return _chosen(enclosed(lines), strips, own, found)


def _open_strips(own: OpenTape, found: Sequence[Found]) -> list[Strip]:
    closed = [f.corners for f in found if f.swatch == own.swatch]
    bands = [s for s in own.strips if s.paired and s.length >= max(8.0, 0.5 * own.width)]
    return merge_collinear(left_over(bands, closed, own.width), own.width, own.tape, LONGEST_BRIDGE)


def _supports(own: OpenTape, found: Sequence[Found], parcel: FloatArray | None) -> list[Line]:
    """Sides of straight outlines, prolonged a little as a strip may pass just beyond a corner; the parcel's edges."""
    lines = []
    for f in (f for f in found if not f.curved):
        lent = {b.side for b in f.borrowed}
        for i, (start, end) in enumerate(_sides(f.corners)):
            along = (end - start) / np.linalg.norm(end - start)
            spare = (own.width / 2 + SPARE) * along
            if i not in lent:
                lines.append(Line(start - spare, end + spare, lender=f))
    if parcel is not None:
        lines += [Line(start, end, edge=i) for i, (start, end) in enumerate(_sides(parcel))]
    return lines


def _sides(corners: FloatArray) -> list[tuple[FloatArray, FloatArray]]:
    return list(zip(corners, np.roll(corners, -1, axis=0), strict=True))


def _prolonged(number: int, strip: Strip, supports: Sequence[Line], own_lines: Sequence[Line], own: OpenTape) -> Line:
    """A strip as far as its tape goes, on to what it nearly reaches, and behind what hides it to its own neighbours."""
    ends = []
    for way in (-1, 1):
        end = strip.low if way < 0 else strip.high
        near = (_missing(strip, way, s) for s in supports)
        hidden = (_hidden(strip, way, s, own) for s in own_lines)
        farthest = max(reach(strip, way, own.tape), *(m + 0.5 for m in (*near, *hidden) if m is not None), 0.0)
        ends.append(end + way * farthest)
    return Line(strip.at(ends[0]), strip.at(ends[1]), strip=number)


def _missing(strip: Strip, way: int, support: Line) -> float | None:
    """How far before a neighbour's middle a strip ends (negative: beyond it); None where it does not reach it."""
    met = _met(strip, way, support)
    if met is None:
        return None
    missing, slant = met
    return missing if missing <= support.half / slant + SPARE else None


def _hidden(strip: Strip, way: int, other: Line, own: OpenTape) -> float | None:
    """How far before the line of another own strip it ends, where something but bare ground hides the way there."""
    met = _met(strip, way, other)
    if met is None or not SPARE < met[0] < HIDDEN:
        return None
    end = strip.low if way < 0 else strip.high
    between = strip.at(end + way * np.linspace(0, met[0], 24))
    return met[0] if own.tape.read_ground(between).mean() < BARE else None


def _met(strip: Strip, way: int, line: Line) -> tuple[float, float] | None:
    """How far beyond an end a strip meets a line, and the sine of their angle; None where it passes by."""
    along = line.end - line.start
    length = float(np.linalg.norm(along))
    turn = float(strip.direction[0] * along[1] - strip.direction[1] * along[0]) / length
    if abs(turn) < LEAST_TURN:
        return None
    between = line.start - strip.origin
    at = float(between[0] * along[1] - between[1] * along[0]) / (turn * length)
    on = float(between[0] * strip.direction[1] - between[1] * strip.direction[0]) / (turn * length)
    if not -ON_LINE <= on <= 1 + ON_LINE:
        return None
    return at - strip.high if way > 0 else strip.low - at, abs(turn)


def _chosen(rings: Sequence[list[Side]], strips: Sequence[Strip], own: OpenTape, found: Sequence[Found]) -> list[Found]:
    """The areas that are zones, the smallest first; a strip bounds one of them, or two where a tile says so."""
    chosen: list[Found] = []
    used: set[int] = set()
    for sides in rings:
        strip_numbers = {s.line.strip for s in sides if s.line.strip >= 0}
        polygon = Polygon([s.start for s in sides])
        if not strip_numbers or len(strip_numbers) == len(sides) or not polygon.is_valid:
            continue
        named = _holds_tile(polygon, own.tiles, [*found, *chosen], own.swatch)
        if not named and (strip_numbers & used or _turned(sides) < TURNED):
            continue
        if _is_zone(sides, polygon, strips, own) and not _crossed(polygon, [*found, *chosen], own):
            chosen.append(_outline(sides, own))
            used |= strip_numbers
    return chosen


def _holds_tile(polygon: Polygon, tiles: FloatArray, found: Sequence[Found], swatch: int) -> bool:
    """Whether a tile of this tape lies in the area and in no smaller outline of this tape."""
    others = [Polygon(f.corners) for f in found if f.swatch == swatch]
    inside = [shapely.Point(t) for t in tiles if polygon.contains(shapely.Point(t))]
    return any(not any(o.contains(t) and o.area < polygon.area for o in others) for t in inside)


def _turned(sides: Sequence[Side]) -> float:
    """By how much the own tape turns towards the area at its own corners, radians."""
    total = 0.0
    for before, after in zip([sides[-1], *sides[:-1]], sides, strict=True):
        if before.line.strip >= 0 and after.line.strip >= 0:
            a, b = before.direction, after.direction
            total += float(np.arctan2(a[0] * b[1] - a[1] * b[0], a @ b))
    return total


def _is_zone(sides: Sequence[Side], polygon: Polygon, strips: Sequence[Strip], own: OpenTape) -> bool:
    own_sides = [s for s in sides if s.line.strip >= 0]
    enough = sum(s.length for s in own_sides) >= LEAST_OWN * polygon.length
    roomy = not polygon.buffer(-own.width / 2 - LEAST_INSIDE / 2).is_empty
    return (
        enough and roomy and _own_tape_shows(sides, own)
        and all(_meets(a, b, strips, own) for a, b in zip([sides[-1], *sides[:-1]], sides, strict=True))
        and all(_shows(s, own) for s in sides if s.line.strip < 0)
    )  # fmt: skip


def _own_tape_shows(sides: Sequence[Side], own: OpenTape) -> bool:
    """Whether enough of the own sides shows as a band, and the rest is hidden and no bare ground.

    Below a neighbour's strip, and in the gap that is allowed before it, no own tape need be.
    """
    lines = [_free(sides[i - 1], s, sides[(i + 1) % len(sides)]) for i, s in enumerate(sides) if s.line.strip >= 0]
    profiles = [profile(line, own.width, own.tape) for line in lines]
    shown, clear = (np.concatenate([p[i] for p in profiles]) for i in (0, 1))
    if shown.mean() >= CLOSED:
        return bool(clear[shown].mean() >= BAND)
    places = [line.interpolate(d) for line in lines for d in np.arange(0.5, max(1.0, line.length), 1.0)]
    bare = own.tape.read_ground(shapely.get_coordinates(places)[~shown])
    return bool(shown.mean() >= OWN_SHOWN and clear[shown].mean() >= BAND and bare.mean() < BARE)


def _free(before: Side, side: Side, after: Side) -> LineString:
    """An own side without what lies below its neighbours where these are others' strips or the parcel's edge."""
    spare = [n.line.half + SPARE if n.line.strip < 0 else 0.0 for n in (before, after)]
    by = min(1.0, 0.8 * side.length / max(sum(spare), 1e-9)) * np.array(spare)
    return LineString([side.start + by[0] * side.direction, side.end - by[1] * side.direction])


def _meets(before: Side, after: Side, strips: Sequence[Strip], own: OpenTape) -> bool:
    """Whether two neighbouring sides make a corner; a strip that leans on something ends there."""
    a, b = before.direction, after.direction
    if abs(a[0] * b[1] - a[1] * b[0]) < LEAST_TURN:
        return False
    leaning = [(s, o) for s, o in ((before, after), (after, before)) if s.line.strip >= 0 > o.line.strip]
    for side, other in leaning:
        strip = strips[side.line.strip]
        corner = float((before.end - strip.origin) @ strip.direction)
        beyond = strip.high - corner if corner > (strip.low + strip.high) / 2 else corner - strip.low
        if beyond > max(other.line.half, own.width / 2) + OVERSHOT:
            return False
    return True


def _shows(side: Side, own: OpenTape) -> bool:
    """Whether what a side leans on shows there, and where it does, bare ground beside it on the area's side.

    What hides a strip of the outline's own beside a neighbour's would hide the neighbour's there, too.
    """
    t = np.linspace(0.1, 0.9, 41)[:, None]
    middle = side.start + t * (side.end - side.start)
    inwards = np.array([-side.direction[1], side.direction[0]])
    lender = side.line.lender
    shown = np.ones(len(middle), dtype=bool) if lender is None else lender.tape.read(middle)
    if shown.mean() < BESIDE:
        return False
    beside = middle[shown, None] + (side.line.half + np.array(LOOKED_AT))[None, :, None] * inwards
    taped = max(mask.read(beside).mean() for mask in (own.tape, lender.tape if lender else own.tape))
    return bool(own.tape.read_ground(beside).mean() >= CLEAR and taped < TAPED)


def _crossed(polygon: Polygon, others: Sequence[Found], own: OpenTape) -> bool:
    """Whether an area shares a part of its land with another outline, neither lying wholly in the other."""
    inside = polygon.buffer(-own.width / 2)
    for other in others:
        land = Polygon(other.corners).buffer(0)
        shared = float(inside.intersection(land).area)
        if (
            shared > 0.1 * inside.area
            and shared < 0.9 * land.area
            and (other.swatch == own.swatch or shared < 0.9 * inside.area)
        ):
            return True
    return False


def _outline(sides: Sequence[Side], own: OpenTape) -> Found:
    corners = np.array([s.start for s in sides])
    borrowed = tuple(Borrowed(i, s.line.lender, s.line.edge) for i, s in enumerate(sides) if s.line.strip < 0)
    return Found(own.swatch, corners, own.width, own.height, False, own.tape, None, borrowed)

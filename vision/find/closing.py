"""From strips that close no area of themselves to outlines whose tape is partly hidden.

Strips are prolonged to the corners where they meet, never cut short by a diagonal.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import product

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, Polygon
from shapely.ops import unary_union

from calib.edges import FloatArray
from vision.find.strips import Strip, merge_collinear
from vision.find.tape_mask import TapeMask

SPARE = 6.0
"""How far without tape a strip is prolonged to meet another, mm."""
CLOSED = 0.90
"""Share of a closed outline on which tape shows."""
BAND = 0.4
"""Share of the shown tape that must end at a tape's width on both sides: a band, not the border of a blob."""
RING_BAND = 0.7
"""As BAND, for a ring inside an outline, where things of the tape's colour stand."""
LEAST_SHOWN = 0.45
"""An outline of which less shows is not tried."""
LONGEST_BRIDGE = 260.0
LARGEST_GAP = 8.0
"""Bare ground between strips that hands have not quite brought together, mm."""
TURNED_OFF = 5
"""Bare ground in a row on an outline from which a strip that starts there goes on in its place, mm."""
LEAST_INSIDE = 4.0
"""Clear width inside an outline between the tape's inner edges, mm."""
LEAST_TURN = np.sin(np.deg2rad(12))


@dataclass(frozen=True, eq=False)
class Candidate:
    """A rough closed outline: corners (n, 2) along the tape's middle, mm, and the share on which tape shows."""

    corners: FloatArray
    shown: float


def complete_outlines(
    strips: Sequence[Strip], closed: Sequence[Candidate], width: float, tape: TapeMask
) -> list[Candidate]:
    """The closed outlines, those that left-over strips close when prolonged, and the rings inside them."""
    left = left_over(strips, [c.corners for c in closed], width)
    closed = [*closed, *_completed(left, closed, width, tape)]
    return closed + _rings_within(strips, closed, width, tape)


def reach(strip: Strip, way: int, tape: TapeMask) -> float:
    """How far beyond its end a strip may be prolonged: as long as tape goes on, and SPARE mm of anything else."""
    steps = np.arange(0.5, 120.0, 0.5)
    end = strip.low if way < 0 else strip.high
    bare = np.cumsum(~tape.read(strip.at(end + way * steps))) * 0.5
    stop = int(np.searchsorted(bare, SPARE))
    return float(steps[min(stop, len(steps) - 1)])


def straightened(corners: FloatArray) -> FloatArray:
    """Drop corners at which the line does not turn."""
    before, after = corners - np.roll(corners, 1, axis=0), np.roll(corners, -1, axis=0) - corners
    before /= np.maximum(np.linalg.norm(before, axis=1, keepdims=True), 1e-9)
    after /= np.maximum(np.linalg.norm(after, axis=1, keepdims=True), 1e-9)
    turn = np.abs(before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0])
    keep = (turn > np.sin(np.deg2rad(4))) | (np.sum(before * after, axis=1) < 0)
    return np.asarray(corners[keep], dtype=np.float64)


def clockwise(corners: FloatArray) -> FloatArray:
    """Corners (n, 2) in the order that runs clockwise in the picture (y down)."""
    x, y = corners.T
    area = float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))
    return corners if area > 0 else corners[::-1].copy()


def shown_share(corners: FloatArray, width: float, tape: TapeMask) -> tuple[float, float]:
    """Share of an outline's length on which tape shows across its width, and how much of that is a clear band."""
    if len(corners) < 3:
        return 0.0, 0.0
    ring = shapely.LinearRing(corners)
    shown, clear = profile(ring, width, tape)
    free = shown & off_corners(corners, ring.length, width)
    free = free if free.any() else shown
    return float(shown.mean()), float(clear[free].mean()) if free.any() else 0.0


def off_corners(corners: FloatArray, around: float, width: float) -> NDArray[np.bool_]:
    """Where along an outline, at every mm as in `profile`, the tape of the neighbouring side does not lie beside it."""
    along = np.roll(corners, -1, axis=0) - corners
    length = np.linalg.norm(along, axis=1)
    way = along / length[:, None]
    cosine = np.abs(np.sum(way * np.roll(way, 1, axis=0), axis=1))
    sine = np.sqrt(np.maximum(1 - cosine**2, LEAST_TURN**2))
    covered = width * (0.5 + beside(width) * cosine) / sine
    at = np.arange(0.5, max(1.0, around), 1.0)
    side = np.minimum(np.searchsorted(np.cumsum(length), at, side="right"), len(corners) - 1)
    from_start = at - (np.cumsum(length) - length)[side]
    near = np.minimum(covered, 0.4 * length)[side], np.minimum(np.roll(covered, -1), 0.4 * length)[side]
    return np.asarray((from_start > near[0]) & (length[side] - from_start > near[1]), dtype=np.bool_)


def profile(line: shapely.Geometry, width: float, tape: TapeMask) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """At every mm of a line: whether tape shows across most of its width, and whether it ends there on both sides."""
    along = np.arange(0.5, max(1.0, line.length), 1.0)
    points = shapely.get_coordinates(shapely.line_interpolate_point(line, along))
    ahead = shapely.get_coordinates(shapely.line_interpolate_point(line, np.minimum(along + 0.2, line.length)))
    direction = ahead - points
    direction /= np.maximum(np.linalg.norm(direction, axis=1, keepdims=True), 1e-9)
    normal = np.column_stack([-direction[:, 1], direction[:, 0]])
    beyond = beside(width)
    across = points[:, None] + np.array([-beyond, -0.25, 0.0, 0.25, beyond])[None, :, None] * width * normal[:, None]
    taped = tape.read(across)
    return taped[:, 1:4].sum(axis=1) >= 2, ~taped[:, 0] & ~taped[:, 4]


def beside(width: float) -> float:
    """How far from its middle a band of tape must have ended, in widths."""
    return 0.5 + max(0.25, 1.5 / width)


def left_over(strips: Sequence[Strip], closed: Sequence[FloatArray], width: float) -> list[Strip]:
    """Strips that do not run along a closed outline (n, 2) nor lie inside its tape or area."""
    if not closed:
        return list(strips)
    taken = unary_union([Polygon(c).buffer(0.8 * width) for c in closed])
    lines = [LineString(s.at(np.array([s.low, s.high]))) for s in strips]
    return [s for s, line in zip(strips, lines, strict=True) if taken.intersection(line).length < 0.6 * s.length]


def _completed(strips: Sequence[Strip], closed: Sequence[Candidate], width: float, tape: TapeMask) -> list[Candidate]:
    """Outlines that left-over strips close when prolonged: ends are joined two by two, nearest corners first."""
    found: list[Candidate] = []
    # First only what needs no side over bare ground, then the rest; strips of one edge only where nothing else closes.
    for over_ground, paired in product((False, True), (True, False)):
        if found and not paired:
            continue
        left = left_over(strips, [c.corners for c in found], width)
        pool = [s for s in left if s.length >= max(8.0, 0.5 * width) and (s.paired or not paired)]
        merged = merge_collinear(pool, width, tape, LONGEST_BRIDGE, over_ground)
        for corners in _cycles(merged, width, None if over_ground else tape):
            candidate = _bridged(corners, width, tape)
            if candidate is None or _crowded(Polygon(corners), [*closed, *found], width):
                continue
            if not turned_off(corners, not_along(strips, [corners], width), tape, width):
                found.append(candidate)
    return found


def turned_off(corners: FloatArray, others: Sequence[Strip], tape: TapeMask, width: float) -> bool:
    """Whether another strip starts from where an outline (n, 2) runs over bare ground: the tape goes on there."""
    ring = shapely.LinearRing(corners)
    places = shapely.line_interpolate_point(ring, np.arange(0.5, ring.length, 1.0))
    bare = tape.read_ground(shapely.get_coordinates(places))
    run = (
        np.convolve(np.concatenate([bare, bare[:TURNED_OFF]]), np.ones(TURNED_OFF), "valid")[: len(bare)] == TURNED_OFF
    )
    gaps = shapely.MultiPoint(places[run | np.roll(run, TURNED_OFF - 1)])
    ends = [shapely.Point(s.at(at)) for s in others for at in (s.low, s.high)]
    return not gaps.is_empty and any(gaps.distance(end) < width + SPARE for end in ends)


def not_along(strips: Sequence[Strip], outlines: Sequence[FloatArray], width: float) -> list[Strip]:
    """Strips that are no side of any of the outlines (n, 2)."""
    if not strips:
        return []
    taken = unary_union([shapely.LinearRing(c).buffer(0.8 * width) for c in outlines])
    lines = shapely.linestrings([s.at(np.array([s.low, s.high])) for s in strips])
    along = shapely.length(shapely.intersection(taken, lines))
    return [s for s, shared in zip(strips, along, strict=True) if shared < 0.6 * s.length]


def _rings_within(
    strips: Sequence[Strip], closed: Sequence[Candidate], width: float, tape: TapeMask
) -> list[Candidate]:
    """Whole rings inside closed outlines, of strips that lie clear of those outlines' own tape."""
    if not closed:
        return []
    own = unary_union([Polygon(c.corners).exterior.buffer(0.8 * width) for c in closed])
    lines = [LineString(s.at(np.array([s.low, s.high]))) for s in strips]
    left = [s for s, line in zip(strips, lines, strict=True) if own.intersection(line).length < 0.4 * s.length]
    found: list[Candidate] = []
    for corners in _cycles(merge_collinear(left, width, tape), width):
        candidate = _bridged(corners, width, tape)
        if candidate is None or candidate.shown < CLOSED or shown_share(corners, width, tape)[1] < RING_BAND:
            continue
        around = [c for c in closed if Polygon(c.corners).contains(Polygon(corners))]
        if around and not _crowded(Polygon(corners), found, width):
            found.append(candidate)
    return found


def _bridged(corners: FloatArray, width: float, tape: TapeMask) -> Candidate | None:
    """An outline of which enough shows, most of it as a band."""
    shown, band = shown_share(corners, width, tape)
    if shown < LEAST_SHOWN or band < BAND or not Polygon(corners).is_valid:
        return None
    return Candidate(corners, shown)


def _crowded(polygon: Polygon, others: Sequence[Candidate], width: float) -> bool:
    """Whether an outline has no room inside, or shares its inside with another that is no ring within it."""
    inside = polygon.buffer(-width / 2 - LEAST_INSIDE / 2)
    if inside.is_empty:
        return True
    rings = (Polygon(o.corners) for o in others)
    return any(inside.intersection(r).area > 0.1 * inside.area and not inside.contains(r) for r in rings)


def _cycles(strips: Sequence[Strip], width: float, tape: TapeMask | None = None) -> list[FloatArray]:
    """Closed chains of strips joined end to end, each as its corners; with `tape`, none over bare ground."""
    joins = sorted(_without_loose_ends(_joins(strips, width, tape)), key=lambda j: j.cost)
    partner: dict[tuple[int, int], tuple[tuple[int, int], FloatArray]] = {}
    for join in joins:
        if join.one not in partner and join.other not in partner:
            partner[join.one] = (join.other, join.corner)
            partner[join.other] = (join.one, join.corner)
    cycles, seen = [], set[int]()
    for first in range(len(strips)):
        if first in seen:
            continue
        corners, at = [], (first, 1)
        while at in partner and at[0] not in seen:
            seen.add(at[0])
            (i, end), corner = partner[at]
            corners.append(corner)
            at = (i, 1 - end)
        if at == (first, 1) and len(corners) >= 3:
            cycles.append(np.array(corners))
    return cycles


@dataclass(frozen=True, eq=False)
class _Join:
    one: tuple[int, int]
    other: tuple[int, int]
    corner: FloatArray
    cost: float


def _joins(strips: Sequence[Strip], width: float, tape: TapeMask | None) -> list[_Join]:
    """Every pair of strip ends that could meet in a corner, with how far both must be prolonged."""
    found = []
    for i, one in enumerate(strips):
        for j in range(i + 1, len(strips)):
            other = strips[j]
            turn = one.direction[0] * other.direction[1] - one.direction[1] * other.direction[0]
            if abs(turn) < LEAST_TURN:
                continue
            between = other.origin - one.origin
            s = float(between[0] * other.direction[1] - between[1] * other.direction[0]) / turn
            t = float(between[0] * one.direction[1] - between[1] * one.direction[0]) / turn
            ends = ((i, *_end(one, s)), (j, *_end(other, t)))
            if any(missing < -(width + 14.0) or missing > LONGEST_BRIDGE for _, _, missing in ends):
                continue
            if tape and any(over_bare(strips[k], end, missing, tape) for k, end, missing in ends):
                continue
            cost = sum(max(0.0, m) + 0.3 * max(0.0, -m - width) for _, _, m in ends)
            found.append(_Join((i, ends[0][1]), (j, ends[1][1]), one.at(s), cost))
    return found


def _without_loose_ends(joins: Sequence[_Join]) -> list[_Join]:
    """Only joins of strips both of whose ends are joined: what leads nowhere bounds nothing."""
    joined = {end for j in joins for end in (j.one, j.other)}
    kept = [j for j in joins if all((i, 1 - end) in joined for i, end in (j.one, j.other))]
    return kept if len(kept) == len(joins) else _without_loose_ends(kept)


def _end(strip: Strip, at: float) -> tuple[int, float]:
    """The end (0 low, 1 high) nearer to `at`, and how far beyond it `at` lies (negative: before it)."""
    return (1, at - strip.high) if at > (strip.low + strip.high) / 2 else (0, strip.low - at)


def over_bare(strip: Strip, end: int, missing: float, tape: TapeMask) -> bool:
    """Whether a strip that is prolonged by `missing` mm would run over bare ground."""
    if missing <= LARGEST_GAP:
        return False
    at = strip.high + np.linspace(0, missing, 24) if end else strip.low - np.linspace(0, missing, 24)
    return bool(tape.read_ground(strip.at(at)).sum() / 24 * missing > LARGEST_GAP)


def shortened(strip: Strip, by: float) -> Strip:
    """A strip without `by` mm at either end."""
    return replace(strip, low=strip.low + by, high=strip.high - by)

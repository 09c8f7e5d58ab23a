"""From strips to closed outlines: which strips bound an area together.

First the areas that tape visibly closes: the faces of the arrangement of all strips' centrelines, each prolonged as far
as tape goes.  Then, from strips that are left over, outlines whose tape is partly hidden: strips prolonged to the
corners where they meet, never cut short by a diagonal.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import product

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, Polygon
from shapely.ops import polygonize, unary_union

from calib.edges import FloatArray
from vision.strips import Strip, TapeMask, merge_collinear

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
LEAST_INSIDE = 4.0
"""Clear width inside an outline between the tape's inner edges, mm."""
LEAST_TURN = np.sin(np.deg2rad(12))


@dataclass(frozen=True, eq=False)
class Candidate:
    """A rough closed outline: corners (n, 2) along the tape's middle, mm, and the share on which tape shows."""

    corners: FloatArray
    shown: float


def faces(strips: Sequence[Strip], width: float, tape: TapeMask) -> list[Candidate]:
    """The outlines that tape visibly closes."""
    return _faces([s for s in strips if s.paired], width, tape)


def complete_outlines(
    strips: Sequence[Strip], closed: Sequence[Candidate], width: float, tape: TapeMask
) -> list[Candidate]:
    """The closed outlines, those that left-over strips close when prolonged, and the rings inside them."""
    left = left_over(strips, [c.corners for c in closed], width)
    closed = [*closed, *_completed(left, closed, width, tape)]
    return closed + _rings_within(strips, closed, width, tape)


def _faces(strips: Sequence[Strip], width: float, tape: TapeMask) -> list[Candidate]:
    """Faces of the arrangement whose whole border is tape and whose inside is clear."""
    lines = [LineString(s.at(np.array([s.low - reach(s, -1, tape), s.high + reach(s, 1, tape)]))) for s in strips]
    if len(lines) < 3:
        return []
    faces = [Polygon(face.exterior) for face in polygonize(unary_union(lines))]
    roomy = [face for face in faces if not face.buffer(-width / 2 - LEAST_INSIDE / 2).is_empty]
    tried = [(face, _candidate(face, width, tape)) for face in roomy]
    closed = [(face, candidate) for face, candidate in tried if candidate is not None]
    open_faces = [face for face, candidate in tried if candidate is None]
    whole = [_with_cut_off(face, candidate, open_faces, closed, width, tape) for face, candidate in closed]
    return _rejoined(whole, width, tape)


def _rejoined(candidates: list[Candidate], width: float, tape: TapeMask) -> list[Candidate]:
    """Join outlines whose common side is no band of tape but something of its colour that lies across both."""
    for i, one in enumerate(candidates):
        for other in candidates[i + 1 :]:
            shared = Polygon(one.corners).exterior.buffer(0.5).intersection(Polygon(other.corners).exterior)
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


def _candidate(face: Polygon, width: float, tape: TapeMask) -> Candidate | None:
    corners = straightened(np.asarray(face.exterior.coords)[:-1])
    shown, band = shown_share(corners, width, tape)
    return Candidate(corners, shown) if len(corners) >= 3 and shown >= CLOSED and band >= BAND else None


def _with_cut_off(
    face: Polygon,
    candidate: Candidate,
    open_faces: Sequence[Polygon],
    closed: Sequence[tuple[Polygon, Candidate]],
    width: float,
    tape: TapeMask,
) -> Candidate:
    """Give back a corner that something of the tape's colour, lying like a strip, has cut off an outline.

    The corner's own tape then belongs to no closed outline, where between two real pieces all tape is theirs.
    """
    taken = unary_union([other.exterior.buffer(0.8 * width) for other, _ in closed])
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


def shown_share(corners: FloatArray, width: float, tape: TapeMask) -> tuple[float, float]:
    """Share of an outline's length on which tape shows across its width, and how much of that is a clear band."""
    if len(corners) < 3:
        return 0.0, 0.0
    shown, clear = profile(shapely.LinearRing(corners), width, tape)
    return float(shown.mean()), float(clear[shown].mean()) if shown.any() else 0.0


def profile(line: shapely.Geometry, width: float, tape: TapeMask) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """At every mm of a line: whether tape shows across most of its width, and whether it ends there on both sides."""
    along = np.arange(0.5, max(1.0, line.length), 1.0)
    points = shapely.get_coordinates(shapely.line_interpolate_point(line, along))
    ahead = shapely.get_coordinates(shapely.line_interpolate_point(line, np.minimum(along + 0.2, line.length)))
    direction = ahead - points
    direction /= np.maximum(np.linalg.norm(direction, axis=1, keepdims=True), 1e-9)
    normal = np.column_stack([-direction[:, 1], direction[:, 0]])
    beyond = 0.5 + max(0.25, 1.5 / width)
    across = points[:, None] + np.array([-beyond, -0.25, 0.0, 0.25, beyond])[None, :, None] * width * normal[:, None]
    taped = tape.read(across)
    return taped[:, 1:4].sum(axis=1) >= 2, ~taped[:, 0] & ~taped[:, 4]


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
        for corners in _cycles(merge_collinear(pool, width, tape, LONGEST_BRIDGE, over_ground), width):
            candidate = _bridged(corners, width, tape)
            if candidate is not None and not _crowded(Polygon(corners), [*closed, *found], width):
                found.append(candidate)
    return found


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


def _cycles(strips: Sequence[Strip], width: float) -> list[FloatArray]:
    """Closed chains of strips joined end to end, each as its corners."""
    joins = sorted(_joins(strips, width), key=lambda j: j.cost)
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


def _joins(strips: Sequence[Strip], width: float) -> list[_Join]:
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
            cost = sum(max(0.0, m) + 0.3 * max(0.0, -m - width) for _, _, m in ends)
            found.append(_Join((i, ends[0][1]), (j, ends[1][1]), one.at(s), cost))
    return found


def _end(strip: Strip, at: float) -> tuple[int, float]:
    """The end (0 low, 1 high) nearer to `at`, and how far beyond it `at` lies (negative: before it)."""
    return (1, at - strip.high) if at > (strip.low + strip.high) / 2 else (0, strip.low - at)


def shortened(strip: Strip, by: float) -> Strip:
    """A strip without `by` mm at either end."""
    return replace(strip, low=strip.low + by, high=strip.high - by)

"""Straight strips of tape in one tape's mask: two parallel edges a tape's width apart, with tape between them.

A red roof or a blue paper lake of a tape's own colour has no such pair of edges at the tape's width along its border,
so it yields no strips, or few and short ones.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.edges import FloatArray
from vision.find.tape_mask import TapeMask

NARROWEST, WIDEST = 2.4, 56.0
"""Widths of yarn and tape that are looked for, mm, with some room."""
SHORTEST_EDGE = 6.0
STRAIGHT = 1.2
"""How far a contour may leave a straight edge, mm."""
PARALLEL = np.deg2rad(7)
"""Two edges of one strip turn less than this against one another, besides what a short one's direction is uncertain."""
BY_CHANCE = 15.0
"""Edges of a blob that are shorter than this, mm, often face one another by chance."""
SAME_LINE_TURN, STUMP_TURN = np.deg2rad(2.0), np.cos(np.deg2rad(10))
UNEVEN = 1.0
"""How far a mask's border may stray at the end of a strip, mm."""
STUMP = 0.5
"""A strip of less than this share of another's length that runs on from it is that one's end, bent by a neighbour."""
DOUBLED, ALONG = 0.6, 0.35
"""Share of a strip that runs along a longer one, and how far off its middle at most, in widths, for the two to be one.
"""
BARE_GAP, COVERED_GAP = 4.0, 15.0
"""Gaps in one line of tape that are bridged: bare ones, as hands leave them, and covered ones, mm."""
SMALLEST_CONTOUR = 40.0
"""Perimeter, mm, below which a contour is a speck."""
_ROUNDING = 1e-6


@dataclass(frozen=True, eq=False)
class Edge:
    """A straight run of a mask's border: ends in mm, unit normal towards the tape."""

    start: FloatArray
    end: FloatArray
    inwards: FloatArray

    @cached_property
    def length(self) -> float:
        """Length, mm."""
        return float(np.linalg.norm(self.end - self.start))


@dataclass(frozen=True, eq=False)
class Strip:
    """A straight strip by its centreline: a point on it, its unit direction, and from where to where it runs, mm."""

    origin: FloatArray
    direction: FloatArray
    low: float
    high: float
    paired: bool = True

    @property
    def normal(self) -> FloatArray:
        """Unit normal of the centreline."""
        return np.array([-self.direction[1], self.direction[0]])

    @property
    def length(self) -> float:
        """Length, mm."""
        return self.high - self.low

    def at(self, along: float | FloatArray) -> FloatArray:
        """Points of the centreline."""
        return np.asarray(self.origin + np.multiply.outer(along, self.direction))


def find_strips(tape: TapeMask) -> tuple[list[Strip], float]:
    """All strips of one tape and the tape's width in mm; an empty list and 0 where there are none."""
    edges = straight_edges(tape)
    pairs = _pairs(edges, tape)
    if not pairs:
        return [], 0.0
    width = _common_width(pairs)
    fitting = [p for p in pairs if abs(p.width - width) < 0.04 * width + 0.5]
    used = {id(e) for p in fitting for e in (p.one, p.other)}
    strips = [_centre_strip(p) for p in fitting]
    alone = (_edge_strip(e, width, tape) for e in edges if id(e) not in used and e.length >= max(12.0, 0.6 * width))
    merged = merge_collinear([*strips, *(s for s in alone if s is not None)], width, tape)
    return _without_doubles(_without_stumps(merged, width), width), width


def straight_edges(tape: TapeMask) -> list[Edge]:
    """Straight runs of the mask's borders, by Douglas and Peucker's subdivision and a least-squares line each."""
    contours, _ = cv2.findContours(tape.mask, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_NONE)
    scale = tape.picture.mm_per_px
    edges: list[Edge] = []
    for contour in contours:
        if len(contour) * scale < SMALLEST_CONTOUR:
            continue
        corners = np.asarray(cv2.approxPolyDP(contour, STRAIGHT / scale, closed=True), dtype=np.int32)[:, 0]
        border = np.asarray(contour, dtype=np.int32)[:, 0]
        places = tape.picture.to_mm(border.astype(np.float64))
        at = _positions(border, corners)
        for first, last in zip(at, [*at[1:], at[0] + len(contour)], strict=True):
            run = places[np.arange(first, last + 1) % len(places)]
            if np.linalg.norm(run[-1] - run[0]) >= SHORTEST_EDGE:
                edges.append(_edge(run, tape))
    return edges


def _positions(contour: NDArray[np.int32], corners: NDArray[np.int32]) -> list[int]:
    """Where the corners stand in the contour, ascending."""
    keys, wanted = (p[:, 0].astype(np.int64) << 32 | p[:, 1] for p in (contour, corners))
    order = np.argsort(keys, kind="stable")
    return sorted(order[np.searchsorted(keys[order], wanted)].tolist())


def _edge(run: FloatArray, tape: TapeMask) -> Edge:
    trim = max(1, len(run) // 10)
    kept = run[trim:-trim] if len(run) > 4 * trim else run
    centre = kept.mean(axis=0)
    direction = np.linalg.svd(kept - centre, full_matrices=False)[2][0]
    direction = direction if direction @ (run[-1] - run[0]) > 0 else -direction
    start, end = (centre + ((p - centre) @ direction) * direction for p in (run[0], run[-1]))
    normal = np.array([-direction[1], direction[0]])
    probes = np.linspace(start, end, 9)[1:-1]
    depth = 2.0 * tape.picture.mm_per_px
    towards = tape.read(probes + depth * normal).sum() >= tape.read(probes - depth * normal).sum()
    # The border pixels themselves belong to the tape: the true edge lies half a pixel outside.
    normal = normal if towards else -normal
    outside = -0.5 * tape.picture.mm_per_px * normal
    return Edge(start + outside, end + outside, normal)


@dataclass(frozen=True, eq=False)
class _Pair:
    one: Edge
    other: Edge
    width: float
    overlap: float


def _pairs(edges: Sequence[Edge], tape: TapeMask) -> list[_Pair]:
    """Edges that face each other across tape."""
    if not edges:
        return []
    normals, lengths = np.array([e.inwards for e in edges]), np.array([e.length for e in edges])
    shorter = np.minimum.outer(lengths, lengths)
    slack = PARALLEL + np.where(shorter > BY_CHANCE, np.arctan(UNEVEN / shorter), 0.0)
    facing = np.argwhere(np.triu(normals @ normals.T < -np.cos(slack), 1))
    found = (_pair(edges[i], edges[j], tape) for i, j in facing[_may_pair(edges, facing)])
    return [p for p in found if p is not None]


def _may_pair(edges: Sequence[Edge], facing: NDArray[np.int64]) -> NDArray[np.bool_]:
    """Which rows of facing edges (n, 2) overlap, a tape's width apart: all at once, as a cloth's pattern has a million.

    What `_pair` asks of two edges, with room for what rounding makes of it.
    """
    starts, ends = np.array([e.start for e in edges]), np.array([e.end for e in edges])
    lengths, inwards = np.array([e.length for e in edges]), np.array([e.inwards for e in edges])
    one, other = facing.T
    direction, turned = ((ends[e] - starts[e]) / lengths[e, None] for e in (one, other))
    along = np.stack([((p[other] - starts[one]) * direction).sum(axis=1) for p in (starts, ends)])
    low, high = np.maximum(along.min(axis=0), 0.0), np.minimum(along.max(axis=0), lengths[one])
    overlaps = high - low > np.minimum(8.0, 0.4 * np.minimum(lengths[one], lengths[other])) - _ROUNDING
    middle = starts[one] + ((low + high) / 2)[:, None] * direction
    across = starts[other] + ((middle - starts[other]) * turned).sum(axis=1)[:, None] * turned
    width = ((across - middle) * inwards[one]).sum(axis=1)
    return np.asarray(overlaps & (width > NARROWEST - _ROUNDING) & (width < WIDEST + _ROUNDING))


def _pair(one: Edge, other: Edge, tape: TapeMask) -> _Pair | None:
    direction = (one.end - one.start) / one.length
    spans = [sorted(float((p - one.start) @ direction) for p in (e.start, e.end)) for e in (one, other)]
    low, high = max(spans[0][0], spans[1][0]), min(spans[0][1], spans[1][1])
    shorter = min(one.length, other.length)
    if high - low < min(8.0, 0.4 * shorter) or high <= low:
        return None
    middle = one.start + (low + high) / 2 * direction
    facing = (other.end - other.start) / other.length
    across = other.start + ((middle - other.start) @ facing) * facing
    width = float((across - middle) @ one.inwards)
    if not NARROWEST <= width <= WIDEST:
        return None
    # A string or roof may lie across the tape, bare ground may not.
    along = np.linspace(low, high, 17)[1:-1, None, None] * direction
    band = one.start + along + np.linspace(0.1, 0.9, 5)[None, :, None] * width * one.inwards
    filled = tape.read(band).mean() >= 0.5 and tape.read_ground(band).mean() <= 0.3
    return _Pair(one, other, width, high - low) if filled else None


def _common_width(pairs: Sequence[_Pair]) -> float:
    """The width at which most length of facing edges agrees: one roll has one width."""
    widths = np.array([p.width for p in pairs])
    lengths = np.array([p.overlap for p in pairs])
    near = np.abs(widths[:, None] - widths[None, :]) < np.maximum(0.6, 0.06 * widths)[:, None]
    best = near[(near @ lengths).argmax()]
    return float(np.average(widths[best], weights=lengths[best]))


def _centre_strip(pair: _Pair) -> Strip:
    """The middle between both edges, as long as the longer of them."""
    one = (pair.one.end - pair.one.start) / pair.one.length
    other = (pair.other.end - pair.other.start) / pair.other.length
    other = other if one @ other > 0 else -other
    direction = one * pair.one.length + other * pair.other.length
    direction /= np.linalg.norm(direction)
    centre_one, centre_other = (pair.one.start + pair.one.end) / 2, (pair.other.start + pair.other.end) / 2
    normal = np.array([-direction[1], direction[0]])
    across = ((centre_one + centre_other) / 2) @ normal
    origin = centre_one + (across - centre_one @ normal) * normal
    ends = [float((p - origin) @ direction) for e in (pair.one, pair.other) for p in (e.start, e.end)]
    return Strip(origin, direction, min(ends), max(ends))


def _edge_strip(edge: Edge, width: float, tape: TapeMask) -> Strip | None:
    """A strip of which only one edge shows, the other being lost in something of the same colour."""
    probes = (
        np.linspace(edge.start, edge.end, 15)[:, None] + np.linspace(0.1, 0.9, 5)[None, :, None] * width * edge.inwards
    )
    beside = (edge.start + np.linspace(0.1, 0.9, 15)[:, None] * (edge.end - edge.start))[:, None] - np.array(
        [1.0, 2.0, 3.0]
    )[None, :, None] * edge.inwards
    # The border of a thing that hides tape is no edge of it.
    if tape.read(probes).mean() < 0.85 or tape.read_ground(beside).mean() < 0.5:
        return None
    direction = (edge.end - edge.start) / edge.length
    return Strip(edge.start + width / 2 * edge.inwards, direction, 0.0, edge.length, paired=False)


def _without_stumps(strips: Sequence[Strip], width: float) -> list[Strip]:
    """Leave out short strips that lie in a longer one's band: its own end, seen across a neighbour's."""

    def within(short: Strip, long: Strip) -> bool:
        ends = short.at(np.array([short.low, short.high])) - long.origin
        along = ends @ long.direction
        beside = np.abs(ends @ long.normal) < 0.75 * width
        return bool(beside.all() and (along > long.low - width).all() and (along < long.high + width).all())

    return [
        s
        for s in strips
        if not any(s.length < STUMP * o.length and s.length < 1.5 * width and within(s, o) for o in strips)
    ]


def _without_doubles(strips: Sequence[Strip], width: float) -> list[Strip]:
    """Leave out strips that lie along a longer one's band for most of their length, by a border bent at their end."""

    def doubles(short: Strip, long: Strip) -> bool:
        ends = short.at(np.array([short.low, short.high])) - long.origin
        along = ends @ long.direction
        shared = min(float(along.max()), long.high) - max(float(along.min()), long.low)
        beside = float(np.abs(ends @ long.normal).max())
        return shared > DOUBLED * short.length and beside < ALONG * width and short.paired <= long.paired

    kept: list[Strip] = []
    places = np.zeros((len(strips), 6))
    for strip in sorted(strips, key=lambda s: -s.length):
        near = np.flatnonzero(_on_lines(places[: len(kept)], strip)[1].max(axis=0) < ALONG * width + _ROUNDING)
        if not any(doubles(strip, kept[i]) for i in near.tolist()):
            places[len(kept)] = _place(strip)
            kept.append(strip)
    return kept


def merge_collinear(
    strips: Sequence[Strip], width: float, tape: TapeMask, largest_gap: float = COVERED_GAP, over_ground: bool = False
) -> list[Strip]:
    """Join strips on one line whose gap along it is at most `largest_gap` mm, or BARE_GAP where bare ground shows in
    it, unless it may run over bare ground.
    """
    todo = sorted(strips, key=lambda s: -s.length)
    merged: list[Strip] = []
    places = np.zeros((len(todo), 6))
    for strip in todo:
        for i in _near_line(places[: len(merged)], strip, width, largest_gap):
            joined = _joined(merged[i], strip, width, tape, largest_gap, over_ground)
            if joined is not None:
                merged[i], places[i] = joined, _place(joined)
                break
        else:
            places[len(merged)] = _place(strip)
            merged.append(strip)
    return merged if len(merged) == len(todo) else merge_collinear(merged, width, tape, largest_gap, over_ground)


def _place(strip: Strip) -> FloatArray:
    return np.array([*strip.origin, *strip.direction, strip.low, strip.high])


def _near_line(places: FloatArray, strip: Strip, width: float, largest_gap: float) -> list[int]:
    """Which of the strips at these places (n, 6) `_joined` need be asked about: a cloth's pattern has thousands."""
    turn = np.abs(places[:, 2:4] @ strip.direction) > min(STUMP_TURN, _same_line(strip)) - _ROUNDING
    rows = np.flatnonzero(turn)
    along, off = _on_lines(places[rows], strip)
    gap = np.maximum(along.min(axis=0) - places[rows, 5], places[rows, 4] - along.max(axis=0))
    near = (gap <= largest_gap + _ROUNDING) & (off.min(axis=0) <= 0.2 * width + 0.8 + _ROUNDING)
    return [int(row) for row in rows[near]]


def _on_lines(places: FloatArray, strip: Strip) -> tuple[FloatArray, FloatArray]:
    """Where both ends of a strip are along the lines at these places (n, 6), and how far off them: (2, n) each, mm."""
    ends = strip.at(np.array([strip.low, strip.high]))
    x, y = (ends[:, None] - places[:, 0:2]).transpose(2, 0, 1)
    return x * places[:, 2] + y * places[:, 3], np.abs(y * places[:, 2] - x * places[:, 3])


def _joined(
    one: Strip, other: Strip, width: float, tape: TapeMask, largest_gap: float, over_ground: bool
) -> Strip | None:
    """One strip in place of two on one line; `one` is the longer."""
    stump = other.length < STUMP * one.length
    if abs(one.direction @ other.direction) < (STUMP_TURN if stump else _same_line(other)):
        return None
    ends = other.at(np.array([other.low, other.high]))
    span = (ends - one.origin) @ one.direction
    off = np.abs((ends - one.origin) @ one.normal)
    gap = max(float(span.min()) - one.high, one.low - float(span.max()))
    if gap > largest_gap:
        return None
    if gap > BARE_GAP and not over_ground:
        low, high = (one.high, float(span.min())) if float(span.min()) > one.high else (float(span.max()), one.low)
        if tape.read_ground(one.at(np.linspace(low, high, 12))).mean() > 0.3:
            return None
    if off.max() > 0.2 * width + 0.8 and not (stump and off.min() < 0.2 * width + 0.8):
        return None
    if stump or (one.paired and not other.paired):
        return Strip(
            one.origin, one.direction, min(one.low, float(span.min())), max(one.high, float(span.max())), one.paired
        )
    points = np.vstack([one.at(np.array([one.low, one.high])), ends])
    weights = np.array([one.length, one.length, other.length, other.length])
    centre = weights @ points / weights.sum()
    direction = np.linalg.svd((points - centre) * np.sqrt(weights)[:, None], full_matrices=False)[2][0]
    along = (points - centre) @ direction
    return Strip(centre, direction, float(along.min()), float(along.max()), one.paired or other.paired)


def _same_line(strip: Strip) -> float:
    """Cosine of the turn at which a strip may lie in line with a longer one: a short one's direction is less sure."""
    return float(np.cos(SAME_LINE_TURN + np.arctan(UNEVEN / strip.length)))

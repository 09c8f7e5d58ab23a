"""Strands joined to lines: straight on where lines cross, and across what hides them.

Where a line's ends could be joined in several ways that are about as smooth, none is chosen: nobody sees which.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.camera import Camera
from calib.edges import FloatArray, sample_profiles
from vision.lines.shown.polylines import between, normals
from vision.lines.shown.strands import NOWHERE, TRIM, Strand, alike
from vision.picture.rectified import Rectified

BEND = 50.0
"""By how much a line bends where it crosses another at most, degrees."""
FARTHEST = 120.0
"""Across how many mm a line is carried on where something hides it."""
SLANT, FAR_SLANT, FAR = 40.0, 15.0, 60.0
"""By how much an end may point past the other, degrees; and from `FAR` mm on."""
SPECK, SHORT_SLANT = 3.0, 50.0
"""A gap of fewer mm, or of one width, is bridged whatever shows in it; how far its ends may point past each other."""
CROSSING, OVER = 45.0, 0.3
"""The same holds for gaps of fewer mm of which another line covers such a share: a line bends under a broad one."""
BARE = 0.35
"""Share of a gap that may show bare ground at most, if something hides a line there."""
SAME_GROUND, AROUND_PX, AVERAGED = (0.12, 0.3), 2.0, 7
"""Log colour ratio and log lightness by which bare ground in a gap differs from that beside the line at most, where
colours are averaged over so many px across the gap and so many places along it.
"""
CLEARER = 1.6
"""By what factor the smoothest way must be smoother than the next."""
ALONE = 60.0
"""What an end that is joined to nothing costs, mm."""
WIDTHS, SAME_WIDTH = 1.6, 1.3
"""By what factor the widths of strands of one line differ at most, and where one of them may be something else."""
MOST_ENDS = 8
"""With more ends than these that could be joined, only the best pairs are."""

End = tuple[int, int]
"""A strand's number and 0 for its first, 1 for its last point."""
Pair = tuple[End, End]


@dataclass(frozen=True, eq=False)
class LookAt:
    """The photo, its camera, the strands' height above the plane, mm; in the corrected picture, where (h, w) other
    lines show.
    """

    photo: NDArray[np.uint8]
    camera: Camera
    height: float
    picture: Rectified
    others: NDArray[np.bool_]


@dataclass(frozen=True)
class Joins:
    """Pairs of ends that are one line at a meeting place (crossed) or across what hides it (bridged); and ends that
    could be joined in several ways.
    """

    crossed: tuple[Pair, ...]
    bridged: tuple[Pair, ...]
    unclear: tuple[tuple[tuple[End, ...], tuple[tuple[Pair, ...], ...]], ...]


NO_JOINS = Joins((), (), ())


def joins_of(look: LookAt, strands: Sequence[Strand]) -> Joins:
    """How strands go on."""
    crossed = _crossed(strands)
    taken = {end for pair in crossed for end in pair}
    through = {meet for pair in crossed for strand, side in pair if (meet := strands[strand].meets[side]) != NOWHERE}
    free = [
        (i, side)
        for i, s in enumerate(strands) if not s.closed
        for side in (0, 1) if (i, side) not in taken and s.meets[side] not in through
    ]  # fmt: skip
    costs = {
        (a, b): cost
        for n, a in enumerate(free) for b in free[n + 1 :]
        if (cost := _cost(look, strands, (a, b))) is not None
    }  # fmt: skip
    bridged: list[Pair] = []
    unclear = []
    for group in _groups(costs):
        ways = _ways(group, costs)
        if len(ways) == 1:
            bridged += ways[0]
        else:
            unclear.append((tuple(group), tuple(ways)))
    return Joins(tuple(crossed), tuple(bridged), tuple(unclear))


def outwards(strand: Strand, side: int) -> tuple[FloatArray, FloatArray]:
    """The end (2,) and the direction (2,) in which the strand leaves there."""
    points = strand.points if side else strand.points[::-1]
    back = points[max(0, len(points) - 1 - max(4, round(2.5 * strand.width))) :]
    if len(back) < 3:
        back = points
    away = back - back.mean(axis=0)
    _, _, axes = np.linalg.svd(away, full_matrices=False)
    way = axes[0] * np.sign(axes[0] @ (back[-1] - back[0]) or 1.0)
    return points[-1], way


def _crossed(strands: Sequence[Strand]) -> list[Pair]:
    """At every meeting place the ends that go straight on; two ends alone belong together, of three the straightest."""
    at: dict[int, list[End]] = {}
    for i, strand in enumerate(strands):
        for side in (0, 1):
            if strand.meets[side] != NOWHERE:
                at.setdefault(strand.meets[side], []).append((i, side))
    pairs: list[Pair] = []
    for ends in at.values():
        ways = {end: outwards(strands[end[0]], end[1])[1] for end in ends}
        bends = sorted(
            (float(np.rad2deg(np.arccos(np.clip(-ways[a] @ ways[b], -1, 1)))), a, b)
            for n, a in enumerate(ends) for b in ends[n + 1 :]
        )  # fmt: skip
        most, used = (BEND if len(ends) > 3 else 180.0), set()
        for bend, a, b in bends:
            alike = _one_width(strands[a[0]], strands[b[0]])
            if bend <= most and alike and a not in used and b not in used:
                pairs.append((a, b))
                used |= {a, b}
    return pairs


def _cost(look: LookAt, strands: Sequence[Strand], pair: Pair) -> float | None:
    """How far, mm, and how little straight the way between two ends is; None where no line goes it."""
    (one, side), (other, there) = pair
    a, b = strands[one], strands[other]
    if not _one_width(a, b):
        return None
    (start, way), (end, back) = outwards(a, side), outwards(b, there)
    chord = end - start
    far = float(np.linalg.norm(chord))
    width = max(a.width, b.width)
    if far > FARTHEST or far < 1e-6 or (one == other and far < 3 * width):
        return None
    slants = [float(np.rad2deg(np.arccos(np.clip(d @ chord / far * s, -1, 1)))) for d, s in ((way, 1), (back, -1))]
    # Loose ends were trimmed by a share of the width.
    short = far < max(SPECK, width) + 2 * TRIM * width
    if max(slants) > (FAR_SLANT if far > FAR else SHORT_SLANT):
        return None
    path = between(start, way, end, -back, 0.5)
    if not short and max(slants) > SLANT and not (far < CROSSING and _over_share(look, path) > OVER):
        return None
    grounds = np.concatenate([a.grounds[side], b.grounds[there]])
    if not short and _bare_share(look, path, grounds) > BARE:
        return None
    return far * (1 + sum(slants) / 20.0)


def _one_width(one: Strand, other: Strand) -> bool:
    """Whether two strands are as broad as parts of one line."""
    most = WIDTHS if one.sure and other.sure else SAME_WIDTH
    return max(one.width, other.width) <= most * min(one.width, other.width)


def _bare_share(look: LookAt, path: FloatArray, grounds: NDArray[np.float32]) -> float:
    """The share of a way (n, 2) along which the photo shows one of the grounds (k, 3) and no other line."""
    pixels = look.camera.project(path, look.height)
    seen = sample_profiles(look.photo, pixels, normals(pixels), AROUND_PX).mean(axis=1)
    if len(seen) >= AVERAGED:
        seen = np.asarray(cv2.blur(seen, (1, AVERAGED), borderType=cv2.BORDER_REPLICATE), dtype=np.float64)
    bare = np.stack([alike(seen, np.broadcast_to(g, seen.shape), SAME_GROUND) for g in grounds]).any(axis=0)
    return float((bare & ~_over(look, path)).mean())


def _over_share(look: LookAt, path: FloatArray) -> float:
    """The share of a way (n, 2) on which another line shows."""
    return float(_over(look, path).mean())


def _over(look: LookAt, path: FloatArray) -> NDArray[np.bool_]:
    """Where on a way (n, 2) another line shows (n,)."""
    pixels = look.camera.project(path, look.height)
    x, y = np.rint(look.picture.to_px(look.camera.locate(pixels, 0.0))).astype(np.int64).T
    height, width = look.others.shape
    return np.asarray(look.others[np.clip(y, 0, height - 1), np.clip(x, 0, width - 1)])


def _groups(costs: dict[Pair, float]) -> Iterator[list[End]]:
    """Ends that hang together by pairs that could be joined."""
    left = {end for pair in costs for end in pair}
    while left:
        group = {min(left)}
        grown = True
        while grown:
            more = {end for pair in costs if group & set(pair) for end in pair} - group
            group |= more
            grown = bool(more)
        left -= group
        yield sorted(group)


def _ways(group: Sequence[End], costs: dict[Pair, float]) -> list[tuple[Pair, ...]]:
    """The smoothest ways to join a group's ends: one, or all that are about as smooth."""
    own = sorted((cost, pair) for pair, cost in costs.items() if pair[0] in group)
    if len(group) > MOST_ENDS:
        chosen: list[Pair] = []
        used: set[End] = set()
        for _, pair in own:
            if not used & set(pair):
                chosen.append(pair)
                used |= set(pair)
        return [tuple(chosen)]
    ways = sorted((_total(way, group, costs), way) for way in _matchings([p for _, p in own]))
    least = ways[0][0]
    return [way for total, way in ways if total <= CLEARER * least]


def _total(way: tuple[Pair, ...], group: Sequence[End], costs: dict[Pair, float]) -> float:
    return sum(costs[pair] for pair in way) + ALONE * (len(group) - 2 * len(way))


def _matchings(pairs: Sequence[Pair]) -> list[tuple[Pair, ...]]:
    """Every choice of pairs that share no end and to which none can be added."""
    found: list[tuple[Pair, ...]] = []

    def grow(chosen: tuple[Pair, ...], used: frozenset[End], first: int) -> None:
        whole = True
        for i, pair in enumerate(pairs):
            if used & set(pair):
                continue
            whole = False
            if i >= first:
                grow((*chosen, pair), used | set(pair), i + 1)
        if whole:
            found.append(chosen)

    grow((), frozenset(), 0)
    return sorted(set(found))

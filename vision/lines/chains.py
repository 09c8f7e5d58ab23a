"""Joined strands in order: one polyline for every piece of a line, with what of it is seen, crossed and bridged."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from calib.edges import FloatArray
from vision.lines.joins import End, Joins, outwards
from vision.lines.shown.polylines import between, length_of
from vision.lines.shown.strands import STEP_MM, Strand

SEEN, CROSSED, BRIDGED = 0, 1, 2


@dataclass(frozen=True, eq=False)
class Chain:
    """A piece of a line: points (n, 2) mm, what each shows (n,): SEEN, CROSSED or BRIDGED; its width; the strands' ends
    that are its own.
    """

    points: FloatArray
    shown: NDArray[np.int64]
    width: float
    px: float
    ends: tuple[End, End]
    sure: float
    """Length of what is a line for sure, mm."""
    strands: tuple[int, ...]
    """The numbers of its strands."""
    closed: bool = False


def chains_of(strands: Sequence[Strand], joins: Joins) -> list[Chain]:
    """All pieces of a line."""
    onwards: dict[End, tuple[End, int]] = {}
    for pairs, kind in ((joins.crossed, CROSSED), (joins.bridged, BRIDGED)):
        for a, b in pairs:
            onwards[a], onwards[b] = (b, kind), (a, kind)
    left, chains = set(range(len(strands))), []
    for start in _starts(strands, onwards):
        if start[0] in left:
            chains.append(_chain(strands, onwards, start, left))
    while left:
        chains.append(_chain(strands, onwards, (min(left), 0), left))
    return chains


def _starts(strands: Sequence[Strand], onwards: dict[End, tuple[End, int]]) -> list[End]:
    """Ends from which a piece can be gone along to its other end."""
    return [(i, s) for i, strand in enumerate(strands) if not strand.closed for s in (0, 1) if (i, s) not in onwards]


def _chain(
    strands: Sequence[Strand], onwards: dict[End, tuple[End, int]], start: End, left: set[int]
) -> Chain:  # fmt: skip
    parts: list[FloatArray] = []
    shown: list[NDArray[np.int64]] = []
    at, numbers, closed = start, [], strands[start[0]].closed
    while True:
        number, side = at
        left.discard(number)
        numbers.append(number)
        points = strands[number].points[:: 1 if side == 0 else -1]
        parts.append(points)
        shown.append(np.full(len(points), SEEN))
        far = (number, 1 - side)
        after = onwards.get(far)
        if after is None:
            break
        at, kind = after
        way = _way(strands, far, at)
        parts.append(way)
        shown.append(np.full(len(way), kind))
        if at[0] not in left:
            closed = at == start
            break
    if closed:
        parts.append(parts[0][:1])
        shown.append(shown[0][:1])
    used = [strands[number] for number in numbers]
    lengths = np.array([len(s.points) for s in used])
    width = float(np.average([s.width for s in used], weights=lengths))
    px = float(np.average([s.px for s in used], weights=lengths))
    sure = sum(length_of(s.points) for s in used if s.sure)
    return Chain(np.vstack(parts), np.concatenate(shown), width, px, (start, far), sure, tuple(numbers), closed)


def _way(strands: Sequence[Strand], one: End, other: End) -> FloatArray:
    (start, way), (end, back) = outwards(strands[one[0]], one[1]), outwards(strands[other[0]], other[1])
    return between(start, way, end, -back, STEP_MM)

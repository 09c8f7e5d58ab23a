"""Parts of outlines and lines: which stretches a photo shows and which were inferred, and dashes along a line."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from measure.plat.plat import Piece, Ring
from measure.quantity import FloatArray

_FEWEST_CORNERS = 3


@dataclass(frozen=True, eq=False)
class OutlinePart:
    """A line along part of a ring: points (n, 2) in mm; a stretch that is the whole ring ends where it starts."""

    points: FloatArray
    inferred: bool


def has_outline(piece: Piece) -> bool:
    """Whether there is a line to draw: a piece that stands for a zone whose tape could not be read has none."""
    return len(piece.ring.points) >= _FEWEST_CORNERS


def seen_and_inferred(ring: Ring) -> list[OutlinePart]:
    """The ring cut into seen and inferred stretches that follow one another and together close it."""
    runs = _merged(_cut_sides(np.vstack([ring.points, ring.points[:1]]), ring.inferred))
    if len(runs) > 1 and runs[0].inferred == runs[-1].inferred:
        joined = OutlinePart(np.vstack([runs[-1].points, runs[0].points[1:]]), runs[0].inferred)
        runs = [joined, *runs[1:-1]]
    return runs


def line_parts(points: FloatArray, inferred: tuple[tuple[int, float, float], ...]) -> list[OutlinePart]:
    """An open line (n, 2) cut into seen and inferred stretches (segment from 0, from, to) that follow one another."""
    return _merged(_cut_sides(points, inferred))


def dashes(points: FloatArray, on: float, off: float) -> list[FloatArray]:
    """Cut a line (n, 2) into dashes of about length `on`, about `off` apart, with a dash at each end and a gap between.

    Both lengths are stretched or shrunk alike to fit; so even a short inferred stretch shows its gap.
    """
    steps = np.hypot(*np.diff(points, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    total = float(along[-1])
    gaps = max(1, round((total - on) / (on + off)))
    fit = total / ((gaps + 1) * on + gaps * off)
    starts = [i * fit * (on + off) for i in range(gaps + 1)]
    return [_between(points, along, start, start + fit * on) for start in starts]


def _between(points: FloatArray, along: FloatArray, start: float, end: float) -> FloatArray:
    inner = along[(along > start) & (along < end)]
    where = np.concatenate([[start], inner, [end]])
    return np.column_stack([np.interp(where, along, points[:, axis]) for axis in (0, 1)])


def _cut_sides(points: FloatArray, inferred: tuple[tuple[int, float, float], ...]) -> Iterator[OutlinePart]:
    for side, (start, end) in enumerate(pairwise(points)):
        hidden = [(a, b) for s, a, b in inferred if s == side]
        cuts = sorted({0.0, 1.0, *(min(1.0, max(0.0, f)) for pair in hidden for f in pair)})
        for a, b in pairwise(cuts):
            middle = (a + b) / 2
            part = np.array([start + a * (end - start), start + b * (end - start)])
            yield OutlinePart(part, any(lo <= middle <= hi for lo, hi in hidden))


def _merged(parts: Iterator[OutlinePart]) -> list[OutlinePart]:
    runs: list[list[FloatArray]] = []
    kinds: list[bool] = []
    for part in parts:
        if kinds and kinds[-1] == part.inferred:
            runs[-1].append(part.points[1:])
        else:
            runs.append([part.points])
            kinds.append(part.inferred)
    return [OutlinePart(np.vstack(run), kind) for run, kind in zip(runs, kinds, strict=True)]

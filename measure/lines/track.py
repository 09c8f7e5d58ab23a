"""A piece of a line as a track: points close together along its middle, and the band that it covers."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely

from measure.plat.outline import norms, widened
from measure.plat.plat import LineEndKind, LinePiece
from measure.quantity import FloatArray, Quantity

_STEP = 2.0
"""mm between points at most: how deep a line lies in an outline is looked for at the points."""
_AT_END = 1e-6
"""mm."""


@dataclass(frozen=True, eq=False)
class Spot:
    """A place on a track: so far (mm) from its start, its point (2,), movement (2, k) and unit direction (2,)."""

    along: float
    point: FloatArray
    moves: FloatArray
    direction: FloatArray


@dataclass(frozen=True, eq=False)
class Track:
    """Points (n, 2) in mm, their movements (n, 2, k) and how far each lies from the start (n,); half is half the width.

    given says how far from the start the points lie that the line was given by; the others lie between two of them.

    The band that a line covers ends flat, at right angles to its middle.
    """

    points: FloatArray
    moves: FloatArray
    arc: FloatArray
    given: FloatArray
    half: Quantity
    closed: bool
    ends: tuple[LineEndKind, LineEndKind]

    @cached_property
    def shape(self) -> shapely.LineString:
        """The middle."""
        return shapely.linestrings(self.points)

    @property
    def length(self) -> float:
        """mm, from point to point."""
        return float(self.arc[-1])

    def spot(self, along: float) -> Spot:
        """The place so far from the start."""
        at = int(np.clip(np.searchsorted(self.arc, along, side="right") - 1, 0, len(self.arc) - 2))
        step = max(float(self.arc[at + 1] - self.arc[at]), 1e-12)
        share = float(np.clip((along - self.arc[at]) / step, 0.0, 1.0))
        point, moves = ((1 - share) * of[at] + share * of[at + 1] for of in (self.points, self.moves))
        return Spot(along, point, moves, (self.points[at + 1] - self.points[at]) / step)

    def nearest(self, point: FloatArray) -> float:
        """How far from the start the place nearest to a point lies."""
        return float(shapely.line_locate_point(self.shape, shapely.points(point)))

    def at_end(self, along: float) -> int | None:
        """0 at the start and 1 at the end, else None; a closed track has no ends."""
        if self.closed:
            return None
        return 0 if along <= _AT_END else 1 if along >= self.length - _AT_END else None

    def end(self, which: int) -> Spot:
        """The start (0) or the end (1)."""
        return self.spot(0.0 if which == 0 else self.length)

    def less_for_band(self, along: float, away: FloatArray) -> tuple[float, float]:
        """How much nearer the band comes than its middle to a place that lies by `away` (2,) from a place on it.

        In mm, and how much of that a wider half width would add for each mm of it.
        """
        which, half = self.at_end(along), self.half.value
        if which is None:
            inner = 1.0 if self.closed else min(1.0, min(along, self.length - along) / max(half, 1e-9))
            return half * inner, inner
        outward = self.spot(along).direction * (1.0 if which else -1.0)
        ahead, size = abs(float(away @ outward)), float(np.hypot(*away))
        beside = max(float(np.sqrt(max(size**2 - ahead**2, 0.0))) - half, 0.0)
        left = float(np.hypot(ahead, beside))
        return size - left, beside / left if left > 0 else 0.0


def track_of(piece: LinePiece, sources: int) -> Track:
    """The track of a piece, its movements widened to so many sources."""
    points, moves = piece.points, widened(piece.sensitivity, sources)
    lengths = norms(np.diff(points, axis=0))
    counts = np.maximum(1, np.ceil(lengths / _STEP)).astype(int)
    segment = np.repeat(np.arange(len(counts)), counts)
    share = np.concatenate([np.arange(count) / count for count in counts])
    made = [
        np.concatenate([of[segment] + (of[segment + 1] - of[segment]) * share.reshape(shape), of[-1:]])
        for of, shape in ((points, (-1, 1)), (moves, (-1, 1, 1)))
    ]
    arc = np.concatenate([[0.0], np.cumsum(norms(np.diff(made[0], axis=0)))])
    given = arc[np.concatenate([[0], np.cumsum(counts)])]
    return Track(made[0], made[1], arc, given, piece.width * 0.5, piece.closed, piece.ends)

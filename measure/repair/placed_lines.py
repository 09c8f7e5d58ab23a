"""Lines whose points were, all or some of them, placed by hand, with the uncertainty of each point and of the length.

| cause | standard uncertainty | source |
| --- | --- | --- |
| a point placed by itself | as a corner's (measure.repair.pointing), across and down alike | there |
| points close together, which moved with one that was placed | the same, all of them across the line alike | there |
| between points set far apart the line may bend on | the length that an arc with their turns would add, over sqrt 3 | common practice, no source |
"""  # noqa: E501  (a table's row is one line)

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from measure.plat.outline import norms
from measure.plat.plat import LinePiece, Source
from measure.quantity import FloatArray, Quantity
from measure.repair.placed_rings import SAME_PLACE, IntArray, RingMaker
from measure.repair.pointing import HAND, pointing_u

_SET_APART = 5.0
"""mm: points nearer to each other moved together, those further apart were placed each by itself."""
_CORNER = np.radians(60.0)
"""A sharper turn is a corner of the line, no arc."""


@dataclass(frozen=True, eq=False)
class PlacedLine:
    """Points (n, 2) in mm, their sensitivity (n, 2, k), and the length.

    origin tells of every point which of the pieces it is from, and which of its points, (n, 2); -1 where it is new.
    """

    points: FloatArray
    sensitivity: FloatArray
    length: Quantity
    origin: IntArray


def placed_line(maker: RingMaker, points: FloatArray, before: Sequence[LinePiece], width: float) -> PlacedLine:
    """A middle (n, 2) in mm, of a line of that width; points that one of the pieces had keep their uncertainty."""
    origin, points = _origins(points, before)
    new = np.flatnonzero(origin[:, 0] < 0)
    moves = _by_hand(maker, points, new, width)
    for at in np.flatnonzero(origin[:, 0] >= 0):
        old = before[origin[at, 0]].sensitivity[origin[at, 1]]
        moves[at, :, : old.shape[1]] = old
    if (points[0] == points[-1]).all():
        moves[-1] = moves[0]
    return PlacedLine(points, moves, _length(maker, points, moves, origin, before), origin)


def inferred_stretches(origin: IntArray, before: Sequence[LinePiece]) -> tuple[tuple[int, float, float], ...]:
    """What no photo shows: of every stretch that stayed what was inferred, and what lies between two pieces' points."""
    known = [{side: (start, end) for side, start, end in piece.inferred} for piece in before]
    found = []
    for side, ((one, a), (other, b)) in enumerate(pairwise(origin)):
        if min(one, other) < 0:
            continue
        if one != other:
            found.append((side, 0.0, 1.0))
        elif b == a + 1 and a in known[one]:
            found.append((side, *known[one][a]))
        elif b == a - 1 and b in known[one]:
            start, end = known[one][b]
            found.append((side, 1.0 - end, 1.0 - start))
    return tuple(found)


def _origins(points: FloatArray, before: Sequence[LinePiece]) -> tuple[IntArray, FloatArray]:
    """Of every point the piece and the point of it that it was, -1 where it is new; and the points, at those places."""
    origin, places = np.full((len(points), 2), -1), points.copy()
    for number, piece in enumerate(before):
        apart = np.hypot(*(points[:, None] - piece.points[None]).transpose(2, 0, 1))
        near = apart.argmin(axis=1)
        there = (apart.min(axis=1) <= SAME_PLACE) & (origin[:, 0] < 0)
        origin[there] = np.column_stack([np.full(int(there.sum()), number), near[there]])
        places[there] = piece.points[near[there]]
    return origin, places


def _by_hand(maker: RingMaker, points: FloatArray, new: IntArray, width: float) -> FloatArray:
    """Sensitivities (n, 2, k) of which those of the new points are filled in."""
    shared = maker.shared(points[new])  # may bring a source, so it comes first
    u, causes = pointing_u(maker.shown.mm_per_px, width), []
    for run in _runs(new, points):
        causes += _causes(run, points)
    first = [maker.new_source(Source(f"point {int(run[0]) + 1} of a line by hand", HAND)) for run, _ in causes]
    moves = np.zeros((len(points), 2, len(maker.plat.sources) + len(maker.sources)))
    moves[new, :, : shared.shape[2]] = shared
    for source, (run, direction) in zip(first, causes, strict=True):
        moves[run, :, source] += u * direction
    return moves


def _runs(new: IntArray, points: FloatArray) -> list[IntArray]:
    """The new points as runs of neighbours that lie close together."""
    if not len(new):
        return []
    far = norms(points[new[1:]] - points[new[:-1]]) > _SET_APART
    return np.split(new, np.flatnonzero((np.diff(new) > 1) | far) + 1)


def _causes(run: IntArray, points: FloatArray) -> list[tuple[IntArray, FloatArray]]:
    """What moves a run: (its points, their unit directions (m, 2)); a point alone moves across and down."""
    if len(run) == 1:
        return [(run, np.array([axis])) for axis in np.eye(2)]
    along = _tangents(points)
    causes = [(run, np.column_stack([along[run, 1], -along[run, 0]]))]
    ends = [at for at in (0, len(points) - 1) if at in run]
    return causes + [(np.array([at]), along[at : at + 1]) for at in ends]


def _tangents(points: FloatArray) -> FloatArray:
    """Unit vectors (n, 2) along the line at its points."""
    along = np.gradient(points, axis=0)
    return np.asarray(along / np.maximum(norms(along), 1e-12)[:, None])


def _length(
    maker: RingMaker, points: FloatArray, moves: FloatArray, origin: IntArray, before: Sequence[LinePiece]
) -> Quantity:
    """The length of the middle, with what only the lengths of the pieces before had, by the share that stayed."""
    along = np.diff(points, axis=0)
    lengths = norms(along)
    by_points = np.einsum("nd,ndk->k", along / lengths[:, None], np.diff(moves, axis=0))
    found = Quantity(float(lengths.sum()), by_points)
    for number, piece in enumerate(before):
        alone = piece.length.sensitivity.copy()
        count = min(len(alone), piece.sensitivity.shape[2])
        alone[:count][np.abs(piece.sensitivity).max(axis=(0, 1))[:count] > 0] = 0.0
        found += Quantity(0.0, alone * float((origin[:, 0] == number).sum() / len(piece.points)))
    bend = _bend(points, lengths, origin)
    if bend > 0:
        at = maker.new_source(Source("bends between points of a line by hand", HAND))
        found += Quantity(0.0, bend * np.eye(1, at + 1, at)[0])
    return found


def _bend(points: FloatArray, lengths: FloatArray, origin: IntArray) -> float:
    """How much longer the line may be that bends on between points set far apart, as a standard uncertainty in mm.

    An arc that turns by a on its chord is longer by a^2 / 24 of it.
    """
    along = np.diff(points, axis=0)
    turn = np.abs(np.arctan2(along[:-1, 0] * along[1:, 1] - along[:-1, 1] * along[1:, 0],
                             (along[:-1] * along[1:]).sum(axis=1)))  # fmt: skip
    apart = np.where(lengths > _SET_APART, lengths, 0.0)
    placed = origin[1:-1, 0] < 0
    more = (apart[:-1] + apart[1:]) / 2 * np.minimum(turn, _CORNER) ** 2 / 24
    return float(more[placed].sum() / np.sqrt(3.0))

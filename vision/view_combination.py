"""One outline from several photos' views of it: every side from the photos that show it best.

Sides that two photos show whole are averaged; a side that one of them hides is the other's.  The corners lie where the
sides so chosen meet, and what remains inferred is what no photo shows.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from calib.edges import FloatArray
from vision.picture.traced import TracedPiece, TracedRing

WHOLE = 0.03
"""Share of a side that may be hidden in a side that counts as shown whole."""
Stretch = tuple[int, float, float]


def combined(views: Sequence[TracedPiece]) -> TracedPiece:
    """One piece from two or more views of it in one frame, their sensitivities over the same sources."""
    best = min(views, key=_merit)
    alike = [_started_like(v, best) for v in views if _comparable(v, best)]
    if best.ring.curved or len(alike) < 2:
        return best
    chosen = [_showing(i, alike) for i in range(len(best.ring.points))]
    lines = [_line(i, [alike[p].ring for p in chosen[i]]) for i in range(len(chosen))]
    points, sensitivity = _corners(lines)
    inferred = _never_shown([v.ring for v in alike])
    lengths = np.linalg.norm(np.roll(points, -1, axis=0) - points, axis=1)
    bridged = float(sum((high - low) * lengths[i] for i, low, high in inferred) / lengths.sum())
    ring = replace(best.ring, points=points, sensitivity=sensitivity, inferred=inferred)
    return replace(best, ring=ring, bridged=bridged, measurable=bridged <= 0.5)


def _merit(view: TracedPiece) -> tuple[float, float]:
    return round(view.bridged, 2), float((view.ring.sensitivity**2).sum())


def _comparable(view: TracedPiece, best: TracedPiece) -> bool:
    return not view.ring.curved and len(view.ring.points) == len(best.ring.points)


def _started_like(view: TracedPiece, best: TracedPiece) -> TracedPiece:
    """The same piece with its corners numbered like the best view's."""
    ring, count = view.ring, len(view.ring.points)
    apart = [float(np.abs(np.roll(ring.points, -k, axis=0) - best.ring.points).sum()) for k in range(count)]
    k = int(np.argmin(apart))
    inferred = tuple(sorted(((i - k) % count, low, high) for i, low, high in ring.inferred))
    turned = replace(
        ring,
        points=np.roll(ring.points, -k, axis=0),
        sensitivity=np.roll(ring.sensitivity, -k, axis=0),
        inferred=inferred,
    )
    return replace(view, ring=turned)


def _showing(side: int, views: Sequence[TracedPiece]) -> list[int]:
    """The views whose side counts: all that show it whole, else the one that shows most of it."""
    hidden = [sum(high - low for i, low, high in v.ring.inferred if i == side) for v in views]
    whole = [p for p, h in enumerate(hidden) if h <= WHOLE]
    return whole or [int(np.argmin(hidden))]


def _line(side: int, rings: Sequence[TracedRing]) -> tuple[FloatArray, FloatArray]:
    """Both ends (2, 2) of a side and their sensitivity (2, 2, k), the mean over the rings."""
    ends = [side, (side + 1) % len(rings[0].points)]
    points = np.mean([r.points[ends] for r in rings], axis=0)
    return points, np.mean([r.sensitivity[ends] for r in rings], axis=0)


def _corners(lines: Sequence[tuple[FloatArray, FloatArray]]) -> tuple[FloatArray, FloatArray]:
    """Where each side meets the one before it, and the sensitivity, by the derivative of the meeting point."""
    count = len(lines)
    points = np.empty((count, 2))
    sensitivity = np.empty((count, 2, lines[0][1].shape[2]))
    for i in range(count):
        ends = np.concatenate([lines[i - 1][0], lines[i][0]])
        points[i] = _meet(ends)
        slopes = np.empty((2, 8))
        for j in range(8):
            moved = ends.copy()
            moved.flat[j] += 1e-4
            slopes[:, j] = (_meet(moved) - points[i]) / 1e-4
        causes = np.concatenate([lines[i - 1][1], lines[i][1]]).reshape(8, -1)
        sensitivity[i] = slopes @ causes
    return points, sensitivity


def _meet(ends: FloatArray) -> FloatArray:
    """Where the line through ends 0 and 1 meets that through 2 and 3; near-parallel ones half-way between 1 and 2."""
    one, other = ends[1] - ends[0], ends[3] - ends[2]
    turn = one[0] * other[1] - one[1] * other[0]
    if abs(turn) < 0.05 * np.linalg.norm(one) * np.linalg.norm(other):
        return np.asarray((ends[1] + ends[2]) / 2)
    between = ends[2] - ends[0]
    return np.asarray(ends[0] + (between[0] * other[1] - between[1] * other[0]) / turn * one)


def _never_shown(rings: Sequence[TracedRing]) -> tuple[Stretch, ...]:
    """Stretches that every ring infers."""
    left = list(rings[0].inferred)
    for ring in rings[1:]:
        left = [
            (i, max(low, a), min(high, b))
            for i, low, high in left
            for j, a, b in ring.inferred
            if i == j and min(high, b) > max(low, a)
        ]
    return tuple(left)

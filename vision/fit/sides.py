"""The sides of an outline at sub-pixel precision: straight lines along the tape's middle, from both edges of the band.

Each side is fitted in the plane's millimetres with one width for the whole outline: where only one edge of the tape
shows, that edge and the width give the middle.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from calib.camera import Camera
from calib.edges import FloatArray, straight
from vision.find.rough_outlines import EdgePoints, SideTapes
from vision.fit.tape_edges import LEAST_POINTS

BIN = 8.0
"""Stretch over which a tape edge's own unevenness is taken as one error, mm."""
UNEVEN = 0.02
"""Least unevenness of a tape's edge over a BIN, mm: what a short visible stretch says of a side's direction."""
STUB = 0.2
"""Slant, mm over a whole side, of a side of which a third shows, more the less shows: what hides the rest may touch
it.
"""
ARCH_GROUPS = 8
"""Stretches of a side that its bow is read from."""
END_OF_BOW = 4 / 3
"""Slant, in bows, that puts the ends of a straight side where those of a bowed strip are that it fits best: a parabola
of height b lies 2/3 b off its best straight line at both ends.
"""
WIDTH_SPREAD = 0.03
"""How much the apparent width of one roll varies between sides, relative."""
LONE = 0.3
"""Say of an edge point without its partner across the tape, against one with it."""


@dataclass(frozen=True, eq=False)
class Side:
    """One fitted side in mm: offset and slope against the rough side, their covariance (2, 2), and the photo points.

    The line runs from rough start to end; at fraction t of its length it lies offset + slope * (t - 1/2) to the left of
    the direction of travel turned outwards (clockwise outlines: outwards is to the left in the picture).  seen (s,) are
    the fractions at which an edge was used, used (s,) those edge points' numbers.
    """

    start: FloatArray
    end: FloatArray
    fit: FloatArray
    covariance: FloatArray
    seen: FloatArray
    used: NDArray[np.intp]

    @property
    def normal(self) -> FloatArray:
        """Unit normal, outwards for an outline that runs clockwise in the picture."""
        along = (self.end - self.start) / np.linalg.norm(self.end - self.start)
        return np.array([along[1], -along[0]])


@dataclass(frozen=True)
class Unevenness:
    """What a photo's other straight edges show of how far to trust one.

    edge: standard uncertainty of one edge that averaging along it does not remove, px; bow: standard deviation of how
    far the middle of hand-laid tape lies off its ends' connection, mm.
    """

    edge: float
    bow: float


def fit_sides(
    points: EdgePoints, camera: Camera, corners: FloatArray, tapes: SideTapes, usual: Unevenness
) -> tuple[list[Side], FloatArray, float]:
    """Fit every side of a rough outline (n, 2) mm to its edge points.

    Returns the sides, the tape's width along each (n,) as seen and the own tape's standard uncertainty.  A side without
    enough edge points keeps its rough place with a covariance to match.
    """
    samples = _sampled(points, camera, corners, tapes)
    seen, u_width = tapes.width.copy(), 0.0
    for roll in np.unique(tapes.roll):
        width, u = _width(samples, float(tapes.width[tapes.roll == roll][0]), tapes.roll[samples.side] == roll)
        seen[tapes.roll == roll] = width
        u_width = u if roll == 0 else u_width
    sides = [_fit(i, samples, corners, float(seen[i]), camera, points.agreed, usual) for i in range(len(corners))]
    return sides, seen, u_width


def agreed(points: EdgePoints, sides: Sequence[Side]) -> EdgePoints:
    """Only the edge points that the fitted sides used."""
    found = np.zeros(len(points.found), dtype=bool)
    found[np.concatenate([s.used for s in sides])] = True
    return replace(points, found=found, agreed=True)


def middle_points(
    points: EdgePoints, side: Side, camera: Camera, width: float, height: float
) -> tuple[FloatArray, FloatArray]:
    """Averaged points (m, 2) px of the tape's middle along a fitted side, with their standard uncertainty (m,) px."""
    if len(side.used) < LEAST_POINTS:
        return np.zeros((0, 2)), np.zeros(0)
    along = (side.end - side.start) / np.linalg.norm(side.end - side.start)
    away = camera.locate(points.pixels[side.used], height) - side.start
    t, offset = away @ along, away @ side.normal - points.edge[side.used] * width / 2
    order = np.argsort(t)
    t, offset = t[order], offset[order]
    groups = int(np.clip(len(t) // 8, 2, 10))
    first = np.arange(groups) * len(t) // groups
    count = np.diff(np.append(first, len(t)))
    mean_t, mean = np.add.reduceat(t, first) / count, np.add.reduceat(offset, first) / count
    scatter = np.sqrt(np.maximum(np.add.reduceat(offset**2, first) / count - mean**2, 0.0))
    places = side.start + mean_t[:, None] * along + mean[:, None] * side.normal
    spread = np.maximum(scatter / np.sqrt(np.maximum(1.0, count / 4)), 0.02)
    return camera.project(places, height), spread / camera.mm_per_px((side.start + side.end) / 2)


def meet(sides: Sequence[Side]) -> tuple[FloatArray, FloatArray]:
    """Corners (n, 2) mm where neighbouring sides meet, and their sensitivity (n, 2, 2 n) to unit sources.

    Side i's two sources stand at 2 i and 2 i + 1 (its covariance's Cholesky factor).
    """
    count = len(sides)
    fits = np.stack([s.fit for s in sides])
    factors = np.stack([np.linalg.cholesky(s.covariance + 1e-12 * np.eye(2)) for s in sides])
    lines = _Lines(*(np.stack(p) for p in zip(*((s.start, s.end, s.normal) for s in sides), strict=True)))
    corners = _corners(lines, fits)
    sensitivity = np.zeros((count, 2, 2 * count))
    at = np.arange(count)
    for k in range(2):
        for parity in _apart(count):
            step = np.where(parity[:, None], factors[:, :, k], 0.0)
            moved = _corners(lines, fits + step) - corners
            # Corner i lies between sides i - 1 and i; neighbouring sides are never moved together.
            mover = np.where(parity, at, (at - 1) % count)
            touched = parity | np.roll(parity, 1)
            sensitivity[at[touched], :, 2 * mover[touched] + k] = moved[touched]
    return corners, sensitivity


def _apart(count: int) -> list[NDArray[np.bool_]]:
    """Groups of sides of which no two are neighbours on a ring of `count`."""
    at = np.arange(count)
    groups = [
        (at % 2 == 0) & (at < count - count % 2),
        (at % 2 == 1) & (at < count - count % 2),
        at >= count - count % 2,
    ]
    return [g for g in groups if g.any()]


@dataclass(frozen=True, eq=False)
class _Lines:
    """Start, end and normal of every side, each (n, 2)."""

    start: FloatArray
    end: FloatArray
    normal: FloatArray


def _corners(lines: _Lines, fits: FloatArray) -> FloatArray:
    """Where each side meets the one before it; parallel neighbours meet half-way between their ends."""
    low = lines.start + (fits[:, 0] - fits[:, 1] / 2)[:, None] * lines.normal
    high = lines.end + (fits[:, 0] + fits[:, 1] / 2)[:, None] * lines.normal
    way = high - low
    before_low, before_high, before_way = (np.roll(p, 1, axis=0) for p in (low, high, way))
    turn = before_way[:, 0] * way[:, 1] - before_way[:, 1] * way[:, 0]
    size = np.linalg.norm(way, axis=1) * np.linalg.norm(before_way, axis=1)
    parallel = np.abs(turn) < 1e-6 * size
    between = low - before_low
    step = (between[:, 0] * way[:, 1] - between[:, 1] * way[:, 0]) / np.where(parallel, 1.0, turn)
    met = before_low + step[:, None] * before_way
    return np.asarray(np.where(parallel[:, None], (before_high + low) / 2, met), dtype=np.float64)


@dataclass(frozen=True, eq=False)
class _Samples:
    """Edge points against the rough outline: side, fraction along it, edge, and how far outwards from the side, mm."""

    side: NDArray[np.intp]
    along: FloatArray
    edge: FloatArray
    offset: FloatArray
    found: NDArray[np.bool_]

    def trust(self, width: float) -> FloatArray:
        """1 where both edges stand the tape's width apart, LONE where one stands alone: it may be anything's."""
        half = len(self.side) // 2
        across = self.offset[:half] - self.offset[half:]
        both = self.found[:half] & self.found[half:] & (np.abs(across - width) < 0.25 + 0.03 * width)
        return np.where(np.concatenate([both, both]), 1.0, LONE)


def _sampled(points: EdgePoints, camera: Camera, corners: FloatArray, tapes: SideTapes) -> _Samples:
    places = camera.locate(points.pixels, tapes.height[points.side])
    start, end = corners[points.side], np.roll(corners, -1, axis=0)[points.side]
    length = np.linalg.norm(end - start, axis=1)
    direction = (end - start) / length[:, None]
    along = np.sum((places - start) * direction, axis=1) / length
    offset = np.sum((places - start) * np.column_stack([direction[:, 1], -direction[:, 0]]), axis=1)
    return _Samples(points.side, along, points.edge, offset, points.found)


def _width(samples: _Samples, width: float, of: NDArray[np.bool_]) -> tuple[float, float]:
    """One roll's width as both edges show it, mm, and its standard uncertainty; `of` says which samples are its."""
    half = len(samples.side) // 2
    outer, inner = slice(0, half), slice(half, None)
    both = samples.found[outer] & samples.found[inner] & of[outer]
    across = samples.offset[outer][both] - samples.offset[inner][both]
    close = across[np.abs(across - width) < 0.25 * width + 0.8]
    if len(close) < LEAST_POINTS:
        return width, 0.05 * width
    middle = float(np.median(close))
    spread = 1.4826 * float(np.median(np.abs(close - middle)))
    return middle, max(spread / np.sqrt(len(close) / 6), 0.02)


def _fit(
    i: int, samples: _Samples, corners: FloatArray, width: float, camera: Camera, settled: bool, usual: Unevenness
) -> Side:
    """Robust weighted least squares for one side's offset and slope, both edges together."""
    start, end = corners[i], corners[(i + 1) % len(corners)]
    length = float(np.linalg.norm(end - start))
    own = (samples.side == i) & samples.found
    t, edge = samples.along[own] - 0.5, samples.edge[own]
    middle = samples.offset[own] - edge * width / 2
    keep = np.ones(len(t), dtype=bool) if settled else _consistent(t, middle, samples.trust(width)[own], width)
    # Both edges tell the middle, each with an error of its own.
    floor = usual.edge / np.sqrt(2) * camera.mm_per_px((start + end) / 2)
    if keep.sum() < LEAST_POINTS:
        rough = np.diag([(0.25 * width) ** 2, (0.5 * width) ** 2])
        return Side(start, end, np.zeros(2), rough, np.zeros(0), np.zeros(0, dtype=np.intp))
    fit, covariance = _line(t[keep], middle[keep], edge[keep], length, width)
    unequal = _disagreement(t[keep], samples.offset[own][keep], edge[keep], width)
    span = float(np.ptp(t[keep]))
    stub = STUB * max(0.0, 1 / max(span, 0.02) - 2)
    centre = float(t[keep].mean())
    # A stub's slant turns the side about the stub, not about the side's middle.
    slant = stub**2 * np.array([[centre**2, -centre], [-centre, 1.0]])
    bowed = (END_OF_BOW * _bow(t[keep], middle[keep], usual.bow)) ** 2
    covariance = covariance + np.diag([floor**2 + unequal**2, 12 * floor**2 + bowed]) + slant
    return Side(start, end, fit, covariance, np.sort(t[keep] + 0.5), np.flatnonzero(own)[keep])


def _consistent(t: FloatArray, middle: FloatArray, trust: FloatArray, width: float) -> NDArray[np.bool_]:
    """Points on the line that most trust agrees with: the best of many lines through two points, then its inliers."""
    if len(t) < LEAST_POINTS:
        return np.zeros(len(t), dtype=bool)
    tolerance = 0.25 + 0.01 * width
    a, b = np.random.default_rng(7).integers(0, len(t), (2, 80))
    apart = t[b] - t[a]
    a, b, apart = a[np.abs(apart) > 0.15], b[np.abs(apart) > 0.15], apart[np.abs(apart) > 0.15]
    if not len(a):
        return np.zeros(len(t), dtype=bool)
    slope = (middle[b] - middle[a]) / apart
    close = np.abs(middle[None] - middle[a, None] - slope[:, None] * (t[None] - t[a, None])) < tolerance
    # Where equally many agree, the line nearer to the rough one.
    score = close @ trust - 0.02 * len(t) * np.abs(middle[a] - slope * t[a])
    best = close[score.argmax()]
    for _ in range(3):
        if best.sum() < LEAST_POINTS:
            break
        base, slant = straight(t[best], middle[best])
        rest = np.abs(middle - base - slant * t)
        best = rest < max(3 * 1.4826 * float(np.median(rest[best])), 0.08)
    return np.asarray(best, dtype=np.bool_)


def _line(
    t: FloatArray, middle: FloatArray, edge: FloatArray, length: float, width: float
) -> tuple[FloatArray, FloatArray]:
    """Offset and slope with their covariance; unevenness of the edge counts once per BIN mm and edge.

    Both edges get equal say on every stretch that shows both, so an error of the width cancels there; where one shows
    alone, the width's own spread is added.
    """
    bins = np.floor((t + 0.5) * length / BIN).astype(np.int64) * 2 + (edge > 0)
    keys, group = np.unique(bins, return_inverse=True)
    count = np.bincount(group)
    mean_t = np.bincount(group, t) / count
    mean = np.bincount(group, middle) / count
    design = np.column_stack([np.ones(len(keys)), mean_t])
    weight = np.minimum(1.0, count / np.median(count))
    normal = design.T @ (design * weight[:, None])
    if len(keys) < 3 or np.linalg.cond(normal) > 1e8:
        design, weight, mean = np.column_stack([np.ones(len(t)), t]), np.ones(len(t)), middle
        normal = design.T @ design + 1e-9 * np.eye(2)
    inverse = np.linalg.inv(normal)
    fit = inverse @ (design.T @ (weight * mean))
    rest = mean - design @ fit
    free = max(1, len(mean) - 2)
    scatter = max(float(np.sqrt((weight * rest**2).sum() / free)), UNEVEN)
    balance = abs(float((np.sign(edge)).mean()))
    alone = (balance * WIDTH_SPREAD * width / 2) ** 2
    return fit, inverse * scatter**2 + np.diag([alone, 0.0])


def _bow(t: FloatArray, middle: FloatArray, usual: float) -> float:
    """How far a side may be bowed, mm: root mean square of what its points and other tape's usual bow leave open.

    t (n,) are fractions of the side, middle (n,) the tape's middle there, mm.
    """
    order = np.argsort(t)
    size = np.full(ARCH_GROUPS, len(t) // ARCH_GROUPS) + (np.arange(ARCH_GROUPS) < len(t) % ARCH_GROUPS)
    if size.min() == 0:
        return usual
    at, mean = (np.add.reduceat(of[order], np.cumsum(size) - size) / size for of in (t, middle))
    if np.ptp(at) < 0.05:
        return usual
    fit = np.polynomial.polynomial.polyfit(at, mean, 2)
    rest = mean - np.polynomial.polynomial.polyval(at, fit)
    scatter2 = max(float(rest @ rest) / (ARCH_GROUPS - 3), UNEVEN**2 / 4)
    design = np.vander(at, 3, increasing=True)
    # A bow b over the whole side, t from -1/2 to 1/2, is -4 b t^2.
    seen, variance = float(fit[2]) / 4, scatter2 * float(np.linalg.inv(design.T @ design)[2, 2]) / 16
    trust = usual**2 / (usual**2 + variance)
    return float(np.sqrt((trust * seen) ** 2 + trust * variance))


def _disagreement(t: FloatArray, offset: FloatArray, edge: FloatArray, width: float) -> float:
    """Half of what the two edges' distance differs from the tape's width, mm: one of them is something else's, too.

    So it is where a neighbour's tape lies a fraction of a pixel behind the edge.
    """
    outer, inner = offset[edge > 0], offset[edge < 0]
    if len(outer) < LEAST_POINTS or len(inner) < LEAST_POINTS:
        return 0.0
    _, slope = straight(t, offset - edge * width / 2)
    apart = np.median(outer - slope * t[edge > 0]) - np.median(inner - slope * t[edge < 0])
    return abs(float(apart) - width) / 2

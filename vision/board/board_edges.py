"""Finding the board's own edges where no corner tiles tell where the parcel lies.

A rectangle of the parcel's stated size is laid over the corrected picture where most of its four sides fall on edges;
then each side is followed at full resolution.  Where a thick board shows its side face, the top's edge is the inner
one.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.camera import Camera
from calib.edges import STEP, FloatArray, positions, sample_profiles
from calib.estimate.adjustment import StraightLine
from calib.prints.edge_shift import EdgeShift, shift_between
from vision.board.edge_pixels import EDGE_STEP, beside_calm, edge_pixels
from vision.picture.rectified import Rectified

Recogniser = Callable[[NDArray[np.uint8]], NDArray[np.bool_]]
"""Tells for colours (..., 3) which are tape's."""
LARGEST_TURN = np.deg2rad(45)
ALONG = np.deg2rad(14)
SQUARE = 0.02
"""Relative difference of a board's sides up to which it counts as a square."""
COARSE_TURN, FINE_TURN = np.deg2rad(1.0), np.deg2rad(0.2)
LEAST_SIDE = 0.35
"""Share of every side that must fall on an edge."""
LEAST_SIDES = 3.0
"""Sum of the four shares from which a rectangle is taken for the board."""
LEAST_DASHED = 1.2
"""The same where only edges beside a calm board count: in some cells of a cloth's pattern the side does not show."""
MOST_EDGE_PIXELS = 30000
"""More edge pixels than this are thinned out: the shares of the sides hold as well on a part of them."""
SAMPLES, BINS = 160, 16
WIDE_MM, NARROW_MM = 7.0, 2.5
"""How far from where it is expected a side is looked for, first and then."""
THINNEST_TAPE_MM, TAPE_EDGE_MM = 2.0, 1.2
"""This near to tape a step is the tape's, not the board's."""
CARD_RIM_MM = 1.5
"""This near to where the card is expected a step is that of its paper."""
LARGEST_STEP = 25.0
"""Levels per sample beyond which a step counts no more, so that a few strong edges do not outvote a whole side."""
BESIDE_PX = 3.5
"""Where a side's own two tones are read, from the edge."""
BOARD_FLOOR_MM = 0.12
"""Standard uncertainty of a cut board's edge against a straight line, mm (common practice, no source)."""
THICKNESS, THICKEST, WALL_SHARE = 5.0, 10.0, 0.5
"""A board's thickness and the most of it, mm (foam board and cardboard: 3 to 6; common practice, no source), where a
far tilted camera sees its side wall, and how uncertain it is, of that wall's width in the picture, that an edge is the
top's where the wall's foot is not told apart from it.
"""


@dataclass(frozen=True, eq=False)
class Rectangle:
    """A rectangle in the picture's frame: its top-left corner (2,) mm, its turn in radians, and its size."""

    corner: FloatArray
    turn: float
    size: tuple[float, float]
    score: float

    @property
    def corners(self) -> FloatArray:
        """(4, 2) mm, clockwise from the top left."""
        c, s = np.cos(self.turn), np.sin(self.turn)
        width, depth = self.size
        local = np.array([[0, 0], [width, 0], [width, depth], [0, depth]])
        return np.asarray(self.corner + local @ np.array([[c, s], [-s, c]]))


def find_board(
    picture: Rectified,
    size: tuple[float, float],
    tape: FloatArray,
    slack: float,
    step: float = EDGE_STEP,
    *,
    patterned: bool = False,
) -> Rectangle | None:
    """The board, or None where no rectangle of about this size (mm) shows on enough of its sides.

    tape (n, 2): places in mm that must lie on the board; slack: how far the stated size may be off, mm; step: in log
    colour, what counts as an edge; patterned: whether the table may be full of edges, and the board is not.
    """
    places, normals = edge_pixels(picture, step)
    if patterned:
        places, normals = beside_calm(places, normals, picture)
    if len(places) < 200 or len(tape) < 12:
        return None
    every = max(1, -(-len(places) // MOST_EDGE_PIXELS))
    places, normals = places[::every], normals[::every]
    spacing = every * picture.mm_per_px
    # Sorted by direction, and twice in a row, so that the edges along any turn stand together.
    quarter = np.mod(np.arctan2(normals[:, 1], normals[:, 0]), np.pi / 2)
    order = np.argsort(quarter)
    order = np.concatenate([order, order])
    places, normals = places[order], normals[order]
    quarter = np.sort(quarter)
    quarter = np.concatenate([quarter, quarter + np.pi / 2])
    tape = np.asarray(cv2.convexHull(tape.astype(np.float32))[:, 0], dtype=np.float64)

    def best_of(turns: FloatArray) -> Rectangle:
        tried = []
        for turn in turns:
            near = _within(quarter, turn)
            tried.append(_best_at(turn, places[near], normals[near], size, tape, slack, spacing))
        return max(tried, key=lambda r: r.score)

    # A board lies as the card does, or across it.
    for turns in (np.arange(-LARGEST_TURN, LARGEST_TURN, COARSE_TURN), _across(size)):
        if len(turns):
            rough = best_of(turns)
            best = best_of(rough.turn + np.arange(-5, 6) * FINE_TURN)
            if best.score >= (LEAST_DASHED if patterned else LEAST_SIDES):
                return best
    return None


def _across(size: tuple[float, float]) -> FloatArray:
    """Turns by which a board of this size may lie across the card; a square one looks the same when it does."""
    turns = np.arange(LARGEST_TURN, np.pi / 2, COARSE_TURN)
    alike = abs(size[0] - size[1]) < SQUARE * max(size)
    return np.zeros(0) if alike else np.concatenate([-turns[::-1], turns])


def _within(quarter: FloatArray, turn: float) -> slice:
    """Where the sorted directions (modulo a quarter turn, twice in a row) lie within ALONG of `turn`."""
    at = float(np.mod(turn, np.pi / 2))
    at += np.pi / 2 if at < ALONG else 0.0
    first, last = np.searchsorted(quarter, (at - ALONG, at + ALONG))
    return slice(int(first), int(last))


def _best_at(
    turn: float,
    places: FloatArray,
    normals: FloatArray,
    size: tuple[float, float],
    tape: FloatArray,
    slack: float,
    spacing: float,
) -> Rectangle:
    """The best rectangle of this turn: the position whose opposite sides both fall on many edge pixels."""
    c, s = np.cos(turn), np.sin(turn)
    axes = np.array([[c, -s], [s, c]])
    local, facing, inside = places @ axes, np.abs(normals @ axes), tape @ axes
    low, high = inside.min(axis=0), inside.max(axis=0)
    corner, score = np.zeros(2), 0.0
    for axis in (0, 1):
        along = 1 - axis
        first, last = high[axis] - size[axis] - 3, low[axis] + 3
        beside = (local[:, along] > high[along] - size[along]) & (local[:, along] < low[along] + size[along])
        chosen = (facing[:, axis] > np.cos(ALONG)) & beside
        at, shares = _pair(local[chosen][:, axis], first, last, size[axis], size[along] / spacing, slack)
        corner[axis] = at
        score += sum(shares) if min(shares) >= LEAST_SIDE * 0.5 else 0.5 * sum(shares)
    return Rectangle(corner @ axes.T, turn, size, score)


def _pair(
    at: FloatArray, first: float, last: float, apart: float, length: float, slack: float
) -> tuple[float, tuple[float, float]]:
    """Where two parallel sides `apart` mm apart both show best between first and last, and the share of each."""
    if last <= first:
        return (first + last) / 2, (0.0, 0.0)
    start = first - 5
    count = int(np.ceil(last - first + apart + 10))
    pixels = np.bincount(np.clip(at - start, 0, count).astype(np.int64), minlength=count + 1)[:count].astype(np.float64)
    density = np.convolve(pixels, np.ones(3), "same") / length
    share = np.minimum(1.0, density / 2)
    share += 0.1 * np.minimum(density, 6.0) / 6.0  # between equally complete sides the sharper one
    offsets = np.arange(5, 5 + int(last - first) + 1)
    reach = max(1, round(slack))
    far = np.max([np.interp(offsets + apart + d, np.arange(count), share) for d in range(-reach, reach + 1)], axis=0)
    near = share[np.minimum(offsets, count - 1)]
    best = int(np.argmax(near + far + np.minimum(near, far)))
    return float(start + offsets[best] + 0.5), (float(near[best]), float(far[best]))


def board_sides(
    bgr: NDArray[np.uint8],
    camera: Camera,
    corners: FloatArray,
    reach_mm: float,
    like_tape: Recogniser,
    shift: EdgeShift,
    card: FloatArray | None = None,
    *,
    innermost: bool | None = None,
) -> list[StraightLine]:
    """The board's sides at full resolution, as lines of the parcel's sides 0 to 3; unclear sides are left out.

    corners (4, 2): where they are expected, mm.  innermost: whether the innermost edge is taken, else the strongest;
    where it is not said, the innermost with a reach of up to NARROW_MM.  Edges of what like_tape takes for tape do not
    count, nor do those of the card (4, 2) mm: it may lie along a side, nearer to it than the reach.
    """
    inner = reach_mm <= NARROW_MM if innermost is None else innermost
    lines = (_side(bgr, camera, corners, side, reach_mm, like_tape, shift, card, inner) for side in range(4))
    return [line for line in lines if line is not None]


def _side(
    bgr: NDArray[np.uint8],
    camera: Camera,
    corners: FloatArray,
    side: int,
    reach_mm: float,
    like_tape: Recogniser,
    shift: EdgeShift,
    card: FloatArray | None,
    innermost: bool,
) -> StraightLine | None:
    """Follow one side: find the common edge of all profiles, then each stretch's own crossing near it."""
    start, end = corners[side], corners[(side + 1) % 4]
    along = ((np.arange(SAMPLES) + 0.5) / SAMPLES * 0.9 + 0.05)[:, None]
    outwards = np.array([end[1] - start[1], start[0] - end[0]]) / np.linalg.norm(end - start)
    base = camera.project(start + along * (end - start))
    ahead = camera.project(start + along * (end - start) + outwards)
    per_mm = np.linalg.norm(ahead - base, axis=1)
    normals = (ahead - base) / per_mm[:, None]
    height, width = bgr.shape[:2]
    visible = np.asarray((base > 2).all(axis=1) & (base < (width - 3, height - 3)).all(axis=1), dtype=np.bool_)
    if visible.mean() < 0.3:
        return None
    reach = reach_mm * float(per_mm.mean())
    profiles = sample_profiles(bgr, base, normals, reach)
    taped = like_tape(profiles.astype(np.uint8)).astype(np.uint8)
    samples_per_mm = float(per_mm.mean()) / STEP
    # Colours on an edge are mixed and may look like anything; tape is wider than that.
    wide = cv2.morphologyEx(taped, cv2.MORPH_OPEN, np.ones((1, round(THINNEST_TAPE_MM * samples_per_mm)), np.uint8))
    beside = cv2.dilate(wide, np.ones((1, 2 * round(TAPE_EDGE_MM * samples_per_mm) + 1), np.uint8)) > 0
    if card is not None:
        places = (start + along * (end - start))[:, None] + positions(reach)[:, None] / per_mm.mean() * outwards
        beside |= _within_rim(places, card)
    steps = np.where(beside, 0.0, np.minimum(_steps(profiles), LARGEST_STEP))
    offset, seen, outer = _follow(steps, positions(reach), visible, innermost=innermost)
    if offset is None:
        return None
    offset = offset - _outwards_shift(profiles[seen], positions(reach), offset[seen], shift)
    wall = WALL_SHARE * _wall(camera, (start + end) / 2, outwards)
    if (outer < 2 * THICKEST / THICKNESS * wall * per_mm.mean()).any():
        wall = 0.0
    points, spread = _bins(base, normals, offset, seen, float(np.hypot(BOARD_FLOOR_MM, wall) * per_mm.mean()))
    return StraightLine(points, spread, 0.0, side) if len(points) >= 4 else None


def _within_rim(places: FloatArray, card: FloatArray) -> NDArray[np.bool_]:
    """Which places (n, m, 2) mm lie on the card (4, 2), clockwise in the picture, or where its edge shows."""
    sides = np.roll(card, -1, axis=0) - card
    inwards = np.column_stack([-sides[:, 1], sides[:, 0]]) / np.linalg.norm(sides, axis=1)[:, None]
    return np.asarray(((places[:, :, None] - card) * inwards).sum(axis=3).min(axis=2) > -CARD_RIM_MM)


def _wall(camera: Camera, at: FloatArray, outwards: FloatArray) -> float:
    """How wide a strip of the board's side wall a camera shows that stands beyond that side, mm in the top's plane."""
    beyond = float((camera.position[:2] - at) @ outwards)
    return THICKNESS * max(0.0, beyond) / (THICKNESS - float(camera.position[2]))


def _outwards_shift(profiles: FloatArray, u: FloatArray, offset: FloatArray, shift: EdgeShift) -> float:
    """How far the lens's blur has moved a side outwards, px: towards the darker of board and table."""
    grey, away = profiles.mean(axis=2), u[None, :] - offset[:, None]
    within, beyond = (
        float(np.median(grey[(np.abs(away - beside) <= 1.0)])) if (np.abs(away - beside) <= 1.0).any() else 0.0
        for beside in (-BESIDE_PX, BESIDE_PX)
    )
    return shift_between(shift, within, beyond) * (1 if beyond < within else -1)


def _steps(profiles: FloatArray) -> FloatArray:
    """Size of the colour's derivative along each profile (n, m)."""
    shape = (profiles.shape[0], profiles.shape[1], 3)
    smooth = np.asarray(cv2.GaussianBlur(profiles.astype(np.float32), (13, 1), 1.5), dtype=np.float64).reshape(shape)
    return np.asarray(np.linalg.norm(np.gradient(smooth, axis=1), axis=2))


def _follow(
    steps: FloatArray, u: FloatArray, visible: NDArray[np.bool_], *, innermost: bool
) -> tuple[FloatArray | None, NDArray[np.bool_], FloatArray]:
    """Offset of the edge on every profile: the strongest or innermost common edge, by a line through the profiles'
    own peaks.  Also how far outside it other edges show, px: one may be the foot of the board's side wall.

    A board not quite where it was expected is met at a slant: the slant that stacks the steps best is tried first.
    """
    n, m = steps.shape
    slants = np.linspace(-1, 1, 21) * min(12.0, u[-1] / 2)
    centred = np.linspace(-0.5, 0.5, n)
    best, peak = None, 0.0
    image = steps.astype(np.float32)
    for slant in slants:
        columns = np.arange(m)[None, :] + (slant * centred / (u[1] - u[0]))[:, None]
        rows = np.broadcast_to(np.arange(n)[:, None], (n, m))
        shifted = cv2.remap(image, columns.astype(np.float32), rows.astype(np.float32), cv2.INTER_LINEAR)
        stack = shifted[visible].mean(axis=0)
        if stack.max() > peak:
            best, peak = (slant, stack), float(stack.max())
    if best is None or peak < 1.0:
        return None, visible, np.zeros(0)
    slant, stack = best
    # Above what the grain of board and table does anyway.
    grain = float(np.median(stack))
    least = grain + 0.35 * (peak - grain)
    summits = [i for i in range(1, m - 1) if stack[i] >= stack[i - 1] and stack[i] >= stack[i + 1] and stack[i] > least]
    if not summits:
        return None, visible, np.zeros(0)
    summit = summits[0] if innermost else max(summits, key=lambda i: stack[i])
    expected = u[summit] + slant * centred
    near = np.abs(u[None, :] - expected[:, None]) <= 3.0
    weight = np.where(near, steps, 0.0) ** 2
    total = weight.sum(axis=1)
    offset = np.where(total > 0, weight @ u / np.maximum(total, 1e-9), expected)
    strong = np.where(near, steps, 0.0).max(axis=1) > 0.4 * peak
    seen = visible & strong
    for _ in range(3):
        if seen.sum() < n // 5:
            return None, visible, np.zeros(0)
        line = np.polyfit(centred[seen], offset[seen], 1)
        rest = np.abs(offset - np.polyval(line, centred))
        seen = visible & strong & (rest < 3 * 1.4826 * np.median(rest[seen]) + 0.2)
    return offset, seen, u[[i for i in summits if i > summit]] - u[summit]


def _bins(
    base: FloatArray, normals: FloatArray, offset: FloatArray, seen: NDArray[np.bool_], floor: float
) -> tuple[FloatArray, FloatArray]:
    """Averages over stretches; the floor is common to a side, so each stretch carries it as if it were its own."""
    points, spread = [], []
    edge = base + offset[:, None] * normals
    for chosen in np.array_split(np.arange(len(base)), BINS):
        own = chosen[seen[chosen]]
        if len(own) < 3:
            continue
        points.append(edge[own].mean(axis=0))
        spread.append(np.hypot(offset[own].std() / np.sqrt(len(own)), floor * 2))
    return np.array(points), np.array(spread)

"""Damage that a JPEG's decoder does not see, told by the picture: from a wrong byte on, all that follows is off.

Every block's mean is stored as the difference from the block before, row by row to the end of the scan or to the next
restart marker.  Where damaged data still decode, the rest of the scan is therefore too bright, too dark or tinted: a
step, sharp to the pixel, along the upper border of the blocks concerned and back along the lower one.  No lens draws an
edge like this along one row of blocks from end to end.  A program does where it adds a bar, a border or a page to a
picture; one side of such an edge is plain right across, and it is left out.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.edges import FloatArray
from vision.picture.plain_bands import THINNED

STEP, COLOUR_STEP = 1.0, 3.0
"""Levels from which a step between two blocks counts, of grey and of colours: coarsely saved colours step by 2."""
AGREE = 0.8
"""Share of units along the borders that step the same way, less those that step the other way: good photos and their
copies stay below 0.75, and most damage that shifts what follows by 2 levels is above 0.85.
"""
SOFT, SOFT_COLOUR, SOFT_STEP = 0.2, 0.05, 1.5
"""An edge that a lens drew goes on beyond the border: by more than this share of its step, and this many levels; of
colours that are kept for two lines together less is seen of it.
"""
FLANK = 1.5
"""By how many times its step a picture is steeper the other way beside a border, where a line's flank ends there."""
DRAWN = 0.3
"""Share of units along a border in whose light a lens drew an edge, less those with the contrary one, from which on the
colours step with it: texture has both.
"""
WIDE = 16
"""Pixels along a border whose median is told from noise: a narrower unit is taken together with the next one."""
LONG = 60
"""Units along a border from which on a step of STEP is told from texture."""
CLEAR_STEP, SHORTEST = 4.0, 24
"""The same of what lies between two restarts: the step, and units along the border."""
BAND = 32
"""Borders that are looked at together: all at once would take ten times the picture's own memory."""
PLAIN, NEARLY_PLAIN = 2, 32
"""Grey levels that a row of blocks differs by, right across, in a bar; and its lines where the bar ends in the row."""


@dataclass(frozen=True)
class Scan:
    """The size of a unit of the scan (MCU), px, and how many units follow each other up to a restart; 0 for all."""

    width: int
    height: int
    restart: int = 0


def scan_is_damaged(bgr: NDArray[np.uint8], scan: Scan) -> bool:
    """Whether a stored picture (h, w, 3) steps along its blocks' borders as it does behind damage only."""
    if bgr.shape[1] // scan.width < SHORTEST or bgr.shape[0] < 3 * scan.height:
        return False
    steps = _steps(bgr, scan)
    counted = ~_beside_bars(bgr, scan.height)[: len(steps)]
    looks = [(STEP, min(LONG, steps.shape[1]))]
    if scan.restart:
        looks.append((CLEAR_STEP, SHORTEST))
    return any((_agreement(steps, counted, scan.restart, *look) > AGREE).any() for look in looks)


def _agreement(steps: FloatArray, counted: NDArray[np.bool_], restart: int, least: float, shortest: int) -> FloatArray:
    """Share (n, 3) of units that step one way less those that step the other, were the scan damaged from each unit on.

    Along the upper and, the other way, the lower border of all that follows, in the rows (rows,) that are counted; left
    out where fewer than `shortest` units of the upper border are.
    """
    columns, count = steps.shape[1], steps.shape[0] * steps.shape[1]
    enough = np.abs(steps) >= np.maximum(least, (STEP, COLOUR_STEP, COLOUR_STEP))
    signs = np.sign(steps) * enough * counted[:, None, None]
    total = np.concatenate([np.zeros((1, 3)), np.cumsum(signs.reshape(-1, 3), axis=0)])
    units = np.concatenate([[0], np.cumsum(np.repeat(counted, columns))])
    start = np.arange(columns, count - shortest)
    interval = restart or count
    end = np.minimum((start // interval + 1) * interval, count)
    upper = np.minimum(start + columns, end)
    below, last = np.minimum(np.maximum(start + columns, end), count), np.minimum(end + columns, count)
    along = units[upper] - units[start]
    stepped = np.abs(total[upper] - total[start] - total[last] + total[below])
    back = units[last] - units[below]
    compared = along + back
    # In the last row a board's edge steps like damage, and nothing steps back below it.
    long = (along >= shortest) & ((upper - start == columns) | (2 * back >= along))
    return np.asarray(stepped[long] / compared[long, None])


def _beside_bars(bgr: NDArray[np.uint8], height: int) -> NDArray[np.bool_]:
    """Whether the upper border of each row of units (rows,) is one of a row that a plain bar fills or ends in.

    Where a bar ends within a row, its sharp edge is coarsely stored and shifts the row's colours right across.
    """
    spread = _spread(np.ascontiguousarray(bgr[:, ::THINNED]))
    # What a few of their pixels show to be no bar is not looked at in full.
    even = spread <= NEARLY_PLAIN
    spread[even] = _spread(bgr[even])
    first = np.arange(0, len(bgr), height)
    last = np.minimum(first + height, len(bgr)) - 1
    plain = np.maximum.reduceat(spread, first) <= PLAIN
    outside = np.concatenate([[True], plain, [True]])
    ends_above = outside[:-2] & (spread[first] <= NEARLY_PLAIN)
    ends_below = outside[2:] & (spread[last] <= NEARLY_PLAIN)
    barred = plain | ends_above | ends_below
    return np.asarray(barred | np.concatenate([[False], barred[:-1]]))


def _spread(bgr: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """By how many levels of one colour the rows (h, w, 3) differ at most (h,)."""
    if not len(bgr):
        return np.zeros(0, dtype=np.uint8)
    lines = cv2.reduce(bgr, 1, cv2.REDUCE_MAX) - cv2.reduce(bgr, 1, cv2.REDUCE_MIN)
    return np.asarray(lines.reshape(len(bgr), 3).max(axis=1), dtype=np.uint8)


def _steps(bgr: NDArray[np.uint8], scan: Scan) -> FloatArray:
    """Step (rows, columns, 3) in grey levels and both colours down onto each unit, 0 where the picture is as steep
    beside the border; row 0 has nothing above it.  The scan has whole units, so the last may reach beyond the picture.
    """
    rows, columns = (bgr.shape[0] - 2) // scan.height, -(-bgr.shape[1] // scan.width)
    at = np.arange(1, rows) * scan.height
    bands = [_steps_at(bgr, at[first : first + BAND], columns, scan) for first in range(0, len(at), BAND)]
    return np.concatenate([np.zeros((1, columns, 3)), *bands])


def _steps_at(bgr: NDArray[np.uint8], at: NDArray[np.int64], columns: int, scan: Scan) -> FloatArray:
    """Of the borders at these lines (n,): n rows of steps."""
    beyond = ((0, 0), (0, columns * scan.width - bgr.shape[1]), (0, 0))
    coarse = scan.height // 8

    def line(k: int) -> NDArray[np.int16]:
        padded = np.pad(bgr[at + k], beyond, mode="edge")
        return np.stack(cv2.split(cv2.cvtColor(padded, cv2.COLOR_BGR2YCrCb))).astype(np.int16)

    near = range(-2, 2)
    # A decoder blends colours that are kept for two lines together with the next two: what lies further apart is sharp.
    apart = near if coarse == 1 else (-2 * coarse, -coarse, coarse - 1, 2 * coarse - 1)
    lines = {k: line(k) for k in {*near, *apart}}
    light, drawn = _sharp([lines[k][:1] for k in near], scan, SOFT)
    colour, _ = _sharp([lines[k][1:] for k in apart], scan, SOFT if coarse == 1 else SOFT_COLOUR)
    along = np.abs(drawn.mean(axis=2, keepdims=True)) > DRAWN
    colour = np.where(along & (drawn != 0), 0.0, colour)
    return np.concatenate([light, colour]).transpose(1, 2, 0)


def _sharp(lines: list[NDArray[np.int16]], scan: Scan, most: float) -> tuple[FloatArray, FloatArray]:
    """Steps (c, n, columns) between the second and the third of four lines (c, n, w) across each border, 0 where a lens
    drew them; and the sign of those that it did.
    """
    above, across, below = (b - a for a, b in itertools.pairwise(lines))
    beside = above + below
    step = _medians(2 * across - beside, scan) / 2
    soft = np.sign(step) * _medians(beside, scan) / 2 > np.maximum(SOFT_STEP, most * np.abs(step))
    # At the foot of a dark line's flank the picture bends, and is far steeper, the other way, than it steps.
    contrary = np.maximum(*(-np.sign(step) * _medians(side, scan) for side in (above, below)))
    flank = contrary > FLANK * np.abs(step)
    return np.where(soft | flank, 0.0, step), np.where(soft, np.sign(step), 0.0)


def _medians(line: NDArray[np.int16], scan: Scan) -> FloatArray:
    """Of values (c, n, w) along borders, the median over each unit's width (c, n, columns)."""
    units = line.reshape(*line.shape[:2], -1, scan.width)
    if scan.width < WIDE:
        units = np.concatenate([units, np.roll(units, -1, axis=2)], axis=3)
    # Whole numbers beside each other are sorted many times faster than numpy's median picks its two.
    ordered = np.sort(units, axis=3)
    half = ordered.shape[3] // 2
    return np.asarray((ordered[..., half - 1] + ordered[..., half]) / 2)

"""Damage that a JPEG's decoder does not see, told by the picture: from a wrong byte on, all that follows is off.

Every block's mean is stored as the difference from the block before, row by row to the end of the scan or to the next
restart marker.  Where damaged data still decode, the rest of the scan is therefore too bright, too dark or tinted: a
step, sharp to the pixel, along the upper border of the blocks concerned and back along the lower one.  No lens draws an
edge like this along one row of blocks from end to end.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.edges import FloatArray

STEP = 1.0
"""Grey levels from which a step between two blocks counts."""
AGREE = 0.85
"""Share of units along the borders that step the same way, less those that step the other way: good photos and their
copies stay below 0.75, and damage that shifts what follows by 2 levels is above 0.9.
"""
SOFT, SOFT_STEP = 0.2, 1.5
"""An edge that a lens drew goes on beyond the border: by more than this share of its step, and this many levels."""
WIDE = 16
"""Pixels along a border whose median is told from noise: a narrower unit is taken together with the next one."""
LONG = 60
"""Units along a border from which on a step of STEP is told from texture."""
CLEAR_STEP, SHORTEST = 4.0, 24
"""The same of what lies between two restarts: the step, and units along the border."""


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
    looks = [(STEP, min(LONG, steps.shape[1]))]
    if scan.restart:
        looks.append((CLEAR_STEP, SHORTEST))
    return any((_agreement(steps, scan.restart, *look) > AGREE).any() for look in looks)


def _agreement(steps: FloatArray, restart: int, least: float, shortest: int) -> FloatArray:
    """Share (n, 3) of units that step one way less those that step the other, were the scan damaged from each unit on.

    Counted along the upper and, the other way, the lower border of all that follows; left out where fewer than
    `shortest` units would be above or it.
    """
    columns, count = steps.shape[1], steps.shape[0] * steps.shape[1]
    signs = np.sign(steps) * (np.abs(steps) >= least)
    total = np.concatenate([np.zeros((1, 3)), np.cumsum(signs.reshape(-1, 3), axis=0)])
    start = np.arange(columns, count - shortest)
    interval = restart or count
    end = np.minimum((start // interval + 1) * interval, count)
    upper = np.minimum(start + columns, end)
    below, last = np.minimum(np.maximum(start + columns, end), count), np.minimum(end + columns, count)
    along = upper - start
    agree = (total[upper] - total[start] - total[last] + total[below]) / (along + last - below)[:, None]
    return np.asarray(np.abs(agree[along >= shortest]))


def _steps(bgr: NDArray[np.uint8], scan: Scan) -> FloatArray:
    """Step (rows, columns, 3) in grey levels and both colours down onto each unit, 0 where the picture is as steep
    beside the border; row 0 has nothing above it.
    """
    rows, columns = (bgr.shape[0] - 2) // scan.height, bgr.shape[1] // scan.width
    at = np.arange(1, rows) * scan.height
    used = bgr[:, : columns * scan.width]
    lines = [cv2.cvtColor(used[at + k], cv2.COLOR_BGR2YCrCb).astype(np.int16) for k in range(-2, 2)]
    above, across, below = (b - a for a, b in itertools.pairwise(lines))
    beside = (above + below) / 2
    step = _medians(across - beside, scan)
    soft = np.sign(step) * _medians(beside, scan) > np.maximum(SOFT_STEP, SOFT * np.abs(step))
    return np.concatenate([np.zeros((1, columns, 3)), np.where(soft, 0.0, step)])


def _medians(line: FloatArray, scan: Scan) -> FloatArray:
    """Of values (n, w, 3) along borders, the median over each unit's width (n, columns, 3)."""
    units = line.reshape(len(line), -1, scan.width, 3)
    if scan.width < WIDE:
        units = np.concatenate([units, np.roll(units, -1, axis=1)], axis=2)
    return np.asarray(np.median(units, axis=2))

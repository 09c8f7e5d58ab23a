"""Rows or columns of a picture in one plain colour: what a program fills in where data were missing, or a bar.

A lens draws no line of a picture, from edge to edge, in one colour to a level or two.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

PLAIN = 2
"""Levels that a plain line differs by."""
LEAST = 16
"""Lines that make a band: a unit of a JPEG has as many."""
THINNED = 16
"""Of lines every so many pixels are looked at first: most lines are not plain, and so many pixels tell it."""


@dataclass(frozen=True)
class Band:
    """Lines from first up to, not including, last, rows or (axis 0) columns; the three values of its colour."""

    axis: int
    first: int
    last: int
    colour: tuple[int, int, int]


def plain_bands(bgr: NDArray[np.uint8]) -> list[Band]:
    """The bands of a picture (h, w, 3)."""
    return [*_along(bgr, 1), *_along(bgr, 0)]


def _along(bgr: NDArray[np.uint8], axis: int) -> list[Band]:
    """Bands of rows (axis 1) or columns (axis 0)."""
    if not _may_be_plain(bgr, axis):
        return []
    high = cv2.reduce(bgr, axis, cv2.REDUCE_MAX).reshape(-1, 3).astype(np.int16)
    low = cv2.reduce(bgr, axis, cv2.REDUCE_MIN).reshape(-1, 3).astype(np.int16)
    plain = np.asarray((high - low <= PLAIN).all(axis=1))
    same = np.concatenate([[False], (np.abs(np.diff(low, axis=0)) <= PLAIN).all(axis=1) & plain[1:] & plain[:-1]])
    starts = np.flatnonzero(plain & ~same)
    ends = [int(np.argmin(np.append(same[start + 1 :], False))) + int(start) + 1 for start in starts]
    return [
        Band(axis, int(start), end, (int(low[start][0]), int(low[start][1]), int(low[start][2])))
        for start, end in zip(starts, ends, strict=True)
        if end - start >= LEAST
    ]


def _may_be_plain(bgr: NDArray[np.uint8], axis: int) -> bool:
    """Whether a few of their pixels leave it open that LEAST rows (axis 1) or columns (axis 0) are plain."""
    few = np.ascontiguousarray(bgr[:, ::THINNED] if axis else bgr[::THINNED])
    spread = cv2.reduce(few, axis, cv2.REDUCE_MAX) - cv2.reduce(few, axis, cv2.REDUCE_MIN)
    return bool((spread.reshape(-1, 3) <= PLAIN).all(axis=1).any())

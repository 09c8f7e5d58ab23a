"""Exact area coverage of polygons: how much of every pixel each covers, with no sampling error.

Each edge is cut where it crosses a pixel border; every piece then adds its height to its row from its pixel on (the
signed-area accumulation of font rasterisers).  Pixel i covers i - 0.5 to i + 0.5.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Cover:
    """Coverage (h, w) of the picture's part that starts at row `top` and column `left`."""

    share: NDArray[np.float32]
    top: int
    left: int

    @property
    def window(self) -> tuple[slice, slice]:
        return slice(self.top, self.top + self.share.shape[0]), slice(self.left, self.left + self.share.shape[1])


def coverage(rings: Sequence[FloatArray], size: tuple[int, int]) -> Cover | None:
    """Coverage by rings (n, 2) px that do not overlap (holes run the other way), None where none is in the picture."""
    points = np.concatenate(rings) + 0.5
    width, height = size
    left, top = np.maximum(np.floor(points.min(axis=0)).astype(int), 0)
    right, bottom = np.minimum(np.ceil(points.max(axis=0)).astype(int), (width, height))
    if right <= left or bottom <= top:
        return None
    start = np.concatenate(list(rings)) + 0.5 - (left, top)
    end = np.concatenate([np.roll(r, -1, axis=0) for r in rings]) + 0.5 - (left, top)
    share = np.abs(_accumulated(start, end, right - left, bottom - top))
    return Cover(np.clip(share, 0, 1).astype(np.float32), int(top), int(left))


def _accumulated(start: FloatArray, end: FloatArray, width: int, height: int) -> FloatArray:
    low, high = _cut(start, end)
    middle = (low + high) / 2
    column, row = np.floor(middle).astype(np.int64).T
    rise = high[:, 1] - low[:, 1]
    inside = (row >= 0) & (row < height) & (column < width) & (rise != 0)
    column, row, rise, x = column[inside], row[inside], rise[inside], middle[inside, 0]
    left_of = column < 0
    column = np.maximum(column, 0)
    beyond = np.where(left_of, 0.0, x - column)
    at = row * (width + 1) + column
    total = np.bincount(at, rise * (1 - beyond), minlength=height * (width + 1))
    total += np.bincount(at + 1, rise * beyond, minlength=height * (width + 1))[: height * (width + 1)]
    return np.cumsum(total.reshape(height, width + 1), axis=1)[:, :width]


def _cut(start: FloatArray, end: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Every edge in pieces that each lie in one pixel."""
    way = end - start
    owners, fractions = [np.arange(len(start))] * 2, [np.zeros(len(start)), np.ones(len(start))]
    for axis in (0, 1):
        first, last = (
            f(np.minimum(start[:, axis], end[:, axis]), np.maximum(start[:, axis], end[:, axis]))
            for f in (lambda a, b: np.floor(a) + 1, lambda a, b: np.ceil(b) - 1)
        )
        count = np.maximum(last - first + 1, 0).astype(np.int64)
        owner = np.repeat(np.arange(len(start)), count)
        step = np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)
        owners.append(owner)
        fractions.append((first[owner] + step - start[owner, axis]) / way[owner, axis])
    owner, t = np.concatenate(owners), np.concatenate(fractions)
    order = np.lexsort((t, owner))
    owner, t = owner[order], t[order]
    same = owner[1:] == owner[:-1]
    owner, t0, t1 = owner[1:][same], t[:-1][same], t[1:][same]
    return start[owner] + t0[:, None] * way[owner], start[owner] + t1[:, None] * way[owner]

"""Finding places for labels: inside the picture, off one another, and off the drawn lines where there is room."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from measure.quantity import FloatArray
from tapeplat.annotate.picture_canvas import Point

_SCALE = 4
"""The map of drawn lines is kept at a quarter of the picture's size."""
_LINE_COST = 6.0
"""Covering lines over a label's whole area is as bad as moving it this many label heights away."""


@dataclass(frozen=True)
class Spot:
    """An upright rectangle, in px."""

    left: float
    top: float
    width: float
    height: float

    @property
    def centre(self) -> Point:
        """Its middle."""
        return self.left + self.width / 2, self.top + self.height / 2

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Left, top, right, bottom."""
        return self.left, self.top, self.left + self.width, self.top + self.height

    def overlaps(self, other: Spot) -> bool:
        """Whether the two share any area."""
        return (
            self.left < other.left + other.width
            and other.left < self.left + self.width
            and self.top < other.top + other.height
            and other.top < self.top + self.height
        )


class LabelBoard:
    """Keeps the places that are taken. Labels are placed one by one, the most important first."""

    def __init__(self, width: int, height: int, lines: Iterable[FloatArray], line_width: int) -> None:
        self._size = np.array([width, height], dtype=np.float64)
        self._taken: list[Spot] = []
        drawn = np.zeros((height // _SCALE + 1, width // _SCALE + 1), np.uint8)
        for line in lines:
            points = np.rint(np.asarray(line) / _SCALE).astype(np.int32).reshape(-1, 1, 2)
            cv2.polylines(drawn, [points], False, 1, line_width // _SCALE + 2)
        self._drawn: NDArray[np.int32] = np.asarray(cv2.integral(drawn), dtype=np.int32)

    @property
    def taken(self) -> tuple[Spot, ...]:
        """Every label's place so far."""
        return tuple(self._taken)

    def place(self, size: tuple[float, float], near: Point, *, reach: float | None = None) -> Spot | None:
        """Take the best free place for a label of that size whose centre should be near a point.

        reach is how far the centre may lie from the point, in px (anywhere where None). None where nothing is free:
        a label that would hide another is left out.
        """
        step = max(3.0, min(size) / 2)
        close = self._best(size, near, _around(near, 7 * step if reach is None else reach, step))
        if close is None and reach is None:
            close = self._best(size, near, self._everywhere(step))
        if close is not None:
            self._taken.append(close)
        return close

    def _best(self, size: tuple[float, float], near: Point, centres: FloatArray) -> Spot | None:
        extent = np.array(size)
        corners = centres - extent / 2
        free = ((corners >= 1) & (corners + extent <= self._size - 1)).all(axis=1)
        for spot in self._taken:
            start, end = np.array(spot.bounds[:2]), np.array(spot.bounds[2:])
            free &= ~((corners < end) & (corners + extent > start)).all(axis=1)
        corners, centres = corners[free], centres[free]
        if not len(corners):
            return None
        away = np.hypot(*(centres - near).T) / min(size)
        best = int(np.argmin(away + _LINE_COST * self._covered(corners, extent)))
        return Spot(float(corners[best, 0]), float(corners[best, 1]), *size)

    def _covered(self, corners: FloatArray, extent: FloatArray) -> FloatArray:
        """The share of each rectangle that lines run through."""
        limit = np.array(self._drawn.shape[::-1]) - 1
        x0, y0 = np.clip(np.floor(corners / _SCALE), 0, limit).astype(int).T
        x1, y1 = np.clip(np.ceil((corners + extent) / _SCALE), 0, limit).astype(int).T
        total = self._drawn
        count = total[y1, x1] - total[y0, x1] - total[y1, x0] + total[y0, x0]
        return np.asarray(count / np.maximum(1, (x1 - x0) * (y1 - y0)), dtype=float)

    def _everywhere(self, step: float) -> FloatArray:
        x, y = np.meshgrid(*(np.arange(step, size, step) for size in self._size))
        return np.column_stack([x.ravel(), y.ravel()])


def _around(near: Point, reach: float, step: float) -> FloatArray:
    """A grid of points around a point, up to reach away, the point itself first."""
    ticks = np.arange(0.0, reach + 1e-9, step)
    ticks = np.concatenate([-ticks[:0:-1], ticks])
    x, y = np.meshgrid(ticks, ticks)
    offsets = np.column_stack([x.ravel(), y.ravel()])
    away = np.hypot(*offsets.T)
    order = np.argsort(away, kind="stable")
    return np.array(offsets[order[away[order] <= reach + 1e-9]] + np.asarray(near), dtype=np.float64)

"""Where something may stand, how wide and how high: upright columns tried all over the plane.

A column of diameter d and height h at x is shown as a strip from x away from each camera's foot.  Where it stands, the
photos disagree along each strip, and agree around them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.edges import FloatArray
from vision.solids.disagreement import Disagreement

WIDTHS = (14.0, 24.0, 40.0, 66.0)
HEIGHTS = (14.0, 24.0, 38.0, 60.0, 95.0)
APART = 6.0
"""Between places that are tried, mm."""
LEAST_SCORE = 0.2
MOST_SLENDER = 6.0
ALONG, ACROSS, AROUND = 6, 3, 4
"""Points along and across a strip, and along each of its sides."""
_Array = NDArray[np.float32]


@dataclass(frozen=True)
class Column:
    """A column that may stand at x, y, of a width and height in mm; score: 1 where all speaks for it."""

    x: float
    y: float
    width: float
    height: float
    score: float


def first_places(apart: Disagreement, most: int) -> list[Column]:
    """The best columns, none of which says the same as a better one."""
    tried = _tried(apart)
    found: list[Column] = []
    for row in tried[np.argsort(-tried[:, 0])]:
        score, x, y, width, height = map(float, row)
        if score < LEAST_SCORE or len(found) == most:
            break
        column = Column(x, y, width, height, score)
        if not any(_alike(column, better) for better in found):
            found.append(column)
    return found


def _alike(one: Column, other: Column) -> bool:
    near = np.hypot(one.x - other.x, one.y - other.y) <= 0.4 * max(10.0, min(one.width, other.width))
    return bool(near and abs(np.log(one.width * one.height / (other.width * other.height))) <= 1.6)


def _tried(apart: Disagreement) -> FloatArray:
    """Every column tried that the photos do not rule out at once: score, place, width, height (n, 5)."""
    maps = _Maps(apart)
    places = _places(apart, maps)
    if not len(places):
        return np.zeros((0, 5))
    rows = [
        maps.scored(places, width, height)
        for height in HEIGHTS for width in WIDTHS
        if width / MOST_SLENDER <= height <= width * MOST_SLENDER
    ]  # fmt: skip
    return np.concatenate([np.zeros((0, 5)), *rows])


def _places(apart: Disagreement, maps: _Maps) -> _Array:
    step = max(1, round(APART / apart.mm_per_px))
    rows, columns = np.mgrid[2 : apart.compared.shape[0] - 2 : step, 2 : apart.compared.shape[1] - 2 : step]
    near = cv2.dilate(maps.any, np.ones((7, 7), np.uint8))
    kept = apart.compared[rows, columns] & (near[rows, columns] > 0.5)
    return (np.column_stack([columns[kept], rows[kept]]) * apart.mm_per_px + apart.origin).astype(np.float32)


@dataclass(frozen=True, eq=False)
class _Strip:
    """How columns at n places look in one photo: the way off (n, 2), how far their tops move (n,), by how much they
    grow.
    """

    way: _Array
    length: _Array
    growth: float

    @property
    def across(self) -> _Array:
        return np.column_stack([-self.way[:, 1], self.way[:, 0]])


class _Maps:
    """What the photos disagree about, to be looked up."""

    def __init__(self, apart: Disagreement) -> None:
        self.apart = apart
        self.own = [apart.of(photo) for photo in range(len(apart.eyes))]
        self.any = apart.any
        self.compared = apart.compared.astype(np.float32)

    def at(self, picture: _Array, places: _Array) -> _Array:
        pixels = ((places - self.apart.origin) / self.apart.mm_per_px).astype(np.float32)
        x, y = np.ascontiguousarray(pixels[..., 0]), np.ascontiguousarray(pixels[..., 1])
        found = cv2.remap(picture, x, y, cv2.INTER_NEAREST, borderMode=cv2.BORDER_CONSTANT, borderValue=0)
        return np.asarray(found, dtype=np.float32)

    def scored(self, places: _Array, width: float, height: float) -> FloatArray:
        """Columns of a width and height at places (n, 2): score, place, width, height (m, 5) of those not ruled out."""
        strips = self.strips(places, height)
        least = np.ones(len(places), np.float32)
        for photo, (own, strip) in enumerate(zip(self.own, strips, strict=True)):
            end = strip.length + 0.4 * width * strip.growth
            start = np.minimum(0.5 * width, 0.5 * end)
            along = start[:, None] + (end - start)[:, None] * np.linspace(0, 1, 4, dtype=np.float32)
            middle = places[:, None] + strip.way[:, None] * along[..., None]
            alone = _beside(middle, places, strips, photo, width / 2)
            shown = (self.at(own, middle) * alone).sum(axis=1) / np.maximum(alone.sum(axis=1), 1)
            least = np.where(alone.any(axis=1), np.minimum(least, shown), least)
        kept = places[least > 0.4]
        if not len(kept):
            return np.zeros((0, 5))
        score = self._score(kept, width, self.strips(kept, height)) + 0.002 * np.sqrt(width * height)
        sizes = np.broadcast_to([width, height], (len(kept), 2))
        return np.column_stack([score, kept, sizes])

    def strips(self, places: _Array, height: float) -> list[_Strip]:
        strips = []
        for eye in self.apart.eyes:
            way = places - eye[:2].astype(np.float32)
            far = np.linalg.norm(way, axis=1) + 1e-6
            above = max(float(-eye[2]) - height, 1.0)
            strips.append(_Strip(way / far[:, None], far * np.float32(height / above), float(-eye[2]) / above))
        return strips

    def _score(self, places: _Array, width: float, strips: Sequence[_Strip]) -> FloatArray:
        inside, shown, around, near = np.zeros((4, len(places)))
        worst = np.ones(len(places))
        for photo, strip in enumerate(strips):
            on = _on_strip(places, strip, width)
            weight = self.at(self.compared, on) * _beside(on, places, strips, photo, width / 2)
            found, total = (self.at(self.own[photo], on) * weight).sum(axis=1), weight.sum(axis=1)
            inside, shown = inside + found, shown + total
            worst = np.minimum(worst, (found + 0.5) / (total + 1))
            off = _around_strip(places, strip, width)
            weight = self.at(self.compared, off) * _beside(off, places, strips, photo, width / 2 + 4)
            around, near = around + (self.at(self.any, off) * weight).sum(axis=1), near + weight.sum(axis=1)
        mean = np.where(shown > 3, inside / np.maximum(shown, 1), 0)
        rim = np.where(near > 3, around / np.maximum(near, 1), 1)
        return np.asarray(0.6 * mean + 0.4 * worst - 0.6 * rim)


def _on_strip(places: _Array, strip: _Strip, width: float) -> _Array:
    """Points (n, m, 2) all over each column's strip."""
    along = (strip.length + 0.33 * width * strip.growth)[:, None] * np.linspace(0, 1, ALONG, dtype=np.float32)
    across = np.linspace(-0.33 * width, 0.33 * width, ACROSS, dtype=np.float32)
    points = (
        places[:, None, None]
        + strip.way[:, None, None] * along[:, :, None, None]
        + strip.across[:, None, None] * across[None, None, :, None]
    )
    return points.reshape(len(places), -1, 2)


def _around_strip(places: _Array, strip: _Strip, width: float) -> _Array:
    """Points (n, m, 2) beside each column's strip and beyond its end."""
    off = np.float32(width / 2 + max(6.0, 0.15 * width))
    along = strip.length[:, None] * np.linspace(0, 1, AROUND, dtype=np.float32)
    middle = places[:, None] + strip.way[:, None] * along[..., None]
    sides = [middle + strip.across[:, None] * off * sign for sign in (1, -1)]
    end = places + strip.way * (strip.length + off * np.float32(strip.growth))[:, None]
    across = np.linspace(-0.4 * width, 0.4 * width, ACROSS, dtype=np.float32)
    return np.concatenate([*sides, end[:, None] + strip.across[:, None] * across[None, :, None]], axis=1)


def _beside(points: _Array, places: _Array, strips: Sequence[_Strip], photo: int, reach: float) -> NDArray[np.bool_]:
    """Which points (n, m) are off the column's strips in the other photos: there both show it and may agree."""
    off = points - places[:, None]
    beside = np.ones(points.shape[:2], dtype=bool)
    for number, strip in enumerate(strips):
        if number != photo:
            along = (off * strip.way[:, None]).sum(axis=-1)
            across = off[..., 1] * strip.way[:, None, 0] - off[..., 0] * strip.way[:, None, 1]
            beside &= np.hypot(along - along.clip(0, strip.length[:, None]), across) > reach
    return beside

"""The lens sheet as a phone sees it: exact coverage of its squares and tags, linear light, blur, noise."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.printed import LENS_COLUMNS, LENS_MARKER, LENS_ROWS, LENS_SQUARE, LENS_TAGS, TAG_CELLS, Box
from tests.helpers.scenes.draw import to_encoded
from tests.helpers.scenes.raster import FloatArray, coverage
from tests.helpers.scenes.view import View, looking

WIDTH, HEIGHT = LENS_COLUMNS * LENS_SQUARE, LENS_ROWS * LENS_SQUARE
_LIGHT, _INK, _TABLE = 0.75, 0.02, 0.2


def ten_views(size: tuple[int, int], count: int = 10, **lens: object) -> list[View]:
    """As the sheet itself asks: from all sides, slanted, filling the picture."""
    corners = Box(0, 0, WIDTH, HEIGHT).corners
    views = []
    for i in range(count):
        tilt = 4.0 if i == 0 else 24.0 + 4 * (i % 3)
        roll = 90.0 * (i % 4) + 3 * i
        views.append(looking(size, corners, tilt=tilt, azimuth=40.0 * i, roll=roll, fill=0.99, **lens))  # type: ignore[arg-type]
    return views


def photographed(
    view: View, *, blur: float = 0.8, noise: float = 0.004, seed: int = 1, aspect: float = 1.0, sag: float = 0.0
) -> NDArray[np.uint8]:
    """The photo, (h, w, 3).  aspect: the print's height over its nominal one; sag: how high its middle bulges, mm."""
    picture = np.full((view.size[1], view.size[0]), _TABLE, np.float32)
    paper = Box(-12, -15, WIDTH + 24, HEIGHT + 30).corners
    for rings, tone in (([paper], _LIGHT), (_black(), _INK)):
        shown = [_shown(view, ring * (1.0, aspect), sag) for ring in rings]
        for ring in shown:
            cover = coverage([ring], view.size)
            if cover is not None:
                part = picture[cover.window]
                part += cover.share * (tone - part)
    picture = cv2.GaussianBlur(picture, (0, 0), blur)
    picture = picture + noise * np.random.default_rng(seed).standard_normal(picture.shape, dtype=np.float32)
    grey = (np.clip(to_encoded(np.clip(picture, 0, 1)), 0, 1) * 255 + 0.5).astype(np.uint8)
    return np.repeat(grey[..., None], 3, axis=2)


def _shown(view: View, ring: FloatArray, sag: float) -> FloatArray:
    ends = np.roll(ring, -1, axis=0)
    t = np.arange(6)[None, :, None] / 6
    places = (ring[:, None] + t * (ends - ring)[:, None]).reshape(-1, 2)
    height = sag * (1 - (2 * places[:, 0] / WIDTH - 1) ** 2)
    return view.project(places, height)


def _black() -> list[FloatArray]:
    """The black squares, and the tags' black cells joined along each row."""
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    rings, tags = [], iter(LENS_TAGS)
    gap, cell = (LENS_SQUARE - LENS_MARKER) / 2, LENS_MARKER / TAG_CELLS
    for row in range(LENS_ROWS):
        for column in range(LENS_COLUMNS):
            x, y = column * LENS_SQUARE, row * LENS_SQUARE
            if (row + column) % 2 == 0:
                rings.append(Box(x, y, LENS_SQUARE, LENS_SQUARE).corners)
                continue
            black = cv2.aruco.generateImageMarker(dictionary, next(tags), TAG_CELLS) == 0
            for line, cells in enumerate(black):
                change = np.flatnonzero(np.diff(np.concatenate([[0], cells.astype(int), [0]]))).reshape(-1, 2)
                for a, b in change:
                    rings.append(Box(x + gap + a * cell, y + gap + line * cell, (b - a) * cell, cell).corners)
    return rings

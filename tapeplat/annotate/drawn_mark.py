"""The tags that tell an annotated picture from a photo, also in a screenshot, which lacks the mark in the file."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.printed import CARD_TAG, COVERING_TAG, DRAWN_TAG, TAG_CELLS
from calib.prints.tags import detect
from tapeplat.annotate.palette import PAPER, TEXT
from tapeplat.annotate.picture_canvas import Canvas, Picture, Point
from tapeplat.annotate.style import Style

_FINE = 20
"""Pixels of a cell as it is drawn before it is laid over the card's."""
_LOOKED_AT = 5e5
"""In so many pixels of a corrected photo the card's tag is looked for: it is a quarter of a parcel's side."""


def mark_side(style: Style) -> int:
    """Side of the tag, px: large enough to be read in a copy of a third of the size."""
    return TAG_CELLS * (style.text // 2)


def draw_mark(canvas: Canvas, at: Point) -> None:
    """Draw the tag with its top left at a place on white paper."""
    cell = mark_side(canvas.style) // TAG_CELLS
    cells = _cells(DRAWN_TAG)
    left, top = round(at[0]), round(at[1])
    canvas.box(left, top, TAG_CELLS * cell - 1, TAG_CELLS * cell - 1, TEXT, None)
    for row, column in np.argwhere(cells > 0):
        canvas.box(left + column * cell, top + row * cell, cell - 1, cell - 1, PAPER, None)


def card_covered(bgr: Picture) -> Picture:
    """A copy of a corrected photo (h, w, 3) with another tag where the card's is: no part of it measures as a photo."""
    covered = bgr.copy()
    grey = np.asarray(cv2.cvtColor(bgr, cv2.COLOR_BGR2GRAY), dtype=np.uint8)
    tag = cv2.cvtColor(np.kron(_cells(COVERING_TAG), np.ones((_FINE, _FINE), dtype=np.uint8)), cv2.COLOR_GRAY2BGR)
    end = TAG_CELLS * _FINE - 0.5
    corners = np.array([[-0.5, -0.5], [end, -0.5], [end, end], [-0.5, end]], dtype=np.float32)
    for place in [corner for number, corner in detect(grey, most=_LOOKED_AT) if number == CARD_TAG]:
        low = np.maximum(np.floor(place.min(axis=0)).astype(int) - 1, 0)
        part = covered[low[1] : int(place[:, 1].max()) + 2, low[0] : int(place[:, 0].max()) + 2]
        onto = cv2.getPerspectiveTransform(corners, (place - low).astype(np.float32))
        size = (part.shape[1], part.shape[0])
        inside = cv2.warpPerspective(np.full(tag.shape[:2], 255, dtype=np.uint8), onto, size) > 127
        part[inside] = cv2.warpPerspective(tag, onto, size)[inside]
    return covered


def _cells(tag: int) -> NDArray[np.uint8]:
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    return np.asarray(cv2.aruco.generateImageMarker(dictionary, tag, TAG_CELLS, borderBits=1), dtype=np.uint8)

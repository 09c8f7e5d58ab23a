"""The tag that tells an annotated picture from a photo, also in a screenshot, which lacks the mark in the file."""

from __future__ import annotations

import cv2
import numpy as np

from calib.printed import DRAWN_TAG, TAG_CELLS
from tapeplat.annotate.palette import PAPER, TEXT
from tapeplat.annotate.picture_canvas import Canvas, Point
from tapeplat.annotate.style import Style


def mark_side(style: Style) -> int:
    """Side of the tag, px: large enough to be read in a copy of a third of the size."""
    return TAG_CELLS * (style.text // 2)


def draw_mark(canvas: Canvas, at: Point) -> None:
    """Draw the tag with its top left at a place on white paper."""
    cell = mark_side(canvas.style) // TAG_CELLS
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    cells = cv2.aruco.generateImageMarker(dictionary, DRAWN_TAG, TAG_CELLS, borderBits=1)
    left, top = round(at[0]), round(at[1])
    canvas.box(left, top, TAG_CELLS * cell - 1, TAG_CELLS * cell - 1, TEXT, None)
    for row, column in np.argwhere(cells > 0):
        canvas.box(left + column * cell, top + row * cell, cell - 1, cell - 1, PAPER, None)

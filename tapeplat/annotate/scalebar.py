"""The scale bar: a length of the challenge's unit, in a corner of the photo where little is drawn."""

from __future__ import annotations

import numpy as np

from tapeplat.annotate.labels import LabelBoard
from tapeplat.annotate.palette import PAPER, TEXT
from tapeplat.annotate.picture_canvas import Canvas, Point
from tapeplat.annotate.style import text_width
from tapeplat.wording.notes import ScaleNote


def draw_scale_bar(canvas: Canvas, board: LabelBoard, note: ScaleNote) -> None:
    """Draw the bar in the lower left corner, or the corner that is free."""
    length = note.length / canvas.frame.mm_per_px
    size, pad = canvas.style.small, canvas.style.pad
    width, height = max(length, text_width(note.text, size)) + 4 * pad, 2.1 * size + 2 * pad
    for corner in _corners(canvas, width, height):
        spot = board.place((width, height), corner, reach=size)
        if spot is None:
            continue
        canvas.box(spot.left, spot.top, spot.width, spot.height, PAPER, TEXT)
        left, y = spot.centre[0] - length / 2, spot.top + spot.height - 2 * pad
        bar = np.array([[0, -pad], [0, pad], [0, 0], [length, 0], [length, -pad], [length, pad]])
        canvas.line(bar + np.array([left, y]), TEXT, canvas.style.line)
        canvas.text((spot.centre[0], spot.top + pad + 0.6 * size), note.text, size=size, anchor="mm")
        return


def _corners(canvas: Canvas, width: float, height: float) -> list[Point]:
    x, y = width / 2 + 3, height / 2 + 3
    right, bottom = canvas.width - x, canvas.height - y
    return [(x, bottom), (right, bottom), (right, y), (x, y)]

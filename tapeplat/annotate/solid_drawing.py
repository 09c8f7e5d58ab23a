"""Structures that photos show: what each stands on, dashed, with what it is and how tall."""

from __future__ import annotations

import numpy as np

from tapeplat.annotate.labels import LabelBoard
from tapeplat.annotate.outline_parts import dashes
from tapeplat.annotate.palette import INK, PAPER, TEXT
from tapeplat.annotate.picture_canvas import Canvas
from tapeplat.annotate.style import text_width
from tapeplat.wording.notes import SolidNote


def draw_footprint(canvas: Canvas, note: SolidNote) -> None:
    """Draw what a structure stands on."""
    points = canvas.frame.to_px(note.footprint)
    canvas.line(points, PAPER, canvas.style.casing, closed=True)
    for line in dashes(np.vstack([points, points[:1]]), canvas.style.dash, canvas.style.gap):
        canvas.line(line, INK, canvas.style.line)


def draw_solid_label(canvas: Canvas, board: LabelBoard, note: SolidNote) -> None:
    """Write what a structure is beside its footprint, where there is room."""
    size, pad = canvas.style.small, canvas.style.pad
    x, y = canvas.frame.to_px(note.footprint).mean(axis=0)
    spot = board.place((text_width(note.text, size) + 2 * pad, 1.3 * size + pad), (float(x), float(y)))
    if spot is not None:
        canvas.box(spot.left, spot.top, spot.width, spot.height, PAPER, TEXT)
        canvas.text(spot.centre, note.text, size=size, anchor="mm")

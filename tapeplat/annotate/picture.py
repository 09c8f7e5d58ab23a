"""The annotated picture: the corrected photo with outlines, names, areas, and every verdict in its place."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np

from measure.plat.plat import Piece, Plat
from tapeplat.annotate.drawn_mark import card_covered
from tapeplat.annotate.labels import LabelBoard
from tapeplat.annotate.outline_drawing import (
    draw_corner_numbers,
    draw_keep_clear,
    draw_line,
    draw_line_label,
    draw_outline,
    rings_of,
)
from tapeplat.annotate.outline_parts import has_outline
from tapeplat.annotate.picture_canvas import Canvas, Picture
from tapeplat.annotate.piecelabels import draw_piece_label, place_piece_label
from tapeplat.annotate.rulelist import draw_rule_list, lay_out
from tapeplat.annotate.rulemarks import (
    draw_gap_lines,
    draw_halos,
    draw_leader,
    draw_overlaps,
    draw_tag,
    lines_of,
    place_tags,
)
from tapeplat.annotate.scalebar import draw_scale_bar
from tapeplat.annotate.solid_drawing import draw_footprint, draw_solid_label
from tapeplat.annotate.style import Style
from tapeplat.wording.notes import Notes, PieceNote
from vision.picture.our_mark import marked_png
from vision.picture.rectified import Rectified


def annotated(picture: Rectified, plat: Plat, notes: Notes) -> Picture:
    """A new picture, shape (height, width, 3), blue-green-red: the photo at its top left, pixel for pixel but for the
    card's tag, which another stands for, so that nobody measures a part of the picture as a photo.

    notes.pieces are in the order of plat.pieces. The given picture is not changed.
    """
    height, width = picture.bgr.shape[:2]
    style = Style.for_picture(width, height)
    listing = lay_out(notes, style, (width, height))
    canvas = Canvas(replace(picture, bgr=card_covered(picture.bgr)), style, listing.page)
    _draw_marks(canvas, plat, notes)
    _draw_labels(canvas, plat, notes)
    draw_rule_list(canvas, listing)
    return canvas.finished()


def png(picture: Picture) -> bytes:
    """The picture as PNG; lightly compressed, as the time goes into that and the size changes little."""
    strategy, from_above = cv2.IMWRITE_PNG_STRATEGY_RLE, cv2.IMWRITE_PNG_FILTER_UP
    options = [cv2.IMWRITE_PNG_COMPRESSION, 1, cv2.IMWRITE_PNG_STRATEGY, strategy, cv2.IMWRITE_PNG_FILTER, from_above]
    done, data = cv2.imencode(".png", picture, options)
    if not done:
        raise ValueError("the picture cannot be written as PNG")
    return marked_png(data.tobytes())


def _draw_marks(canvas: Canvas, plat: Plat, notes: Notes) -> None:
    for piece, note in _outlined(plat, notes):
        if note.keep_clear:
            draw_keep_clear(canvas, piece)
    draw_overlaps(canvas, notes.rules)
    draw_halos(canvas, plat.pieces, notes.rules)
    for piece, _ in _outlined(plat, notes):
        draw_outline(canvas, piece)
    for solid in notes.solids:
        draw_footprint(canvas, solid)
    for line in notes.lines:
        draw_line(canvas, line)
    draw_gap_lines(canvas, notes.rules)


def _draw_labels(canvas: Canvas, plat: Plat, notes: Notes) -> None:
    """Scale bar first, as it only has four places; corner numbers last, as there are many and they are small."""
    outlined = _outlined(plat, notes)
    rings = [canvas.frame.to_px(ring.points) for piece, _ in outlined for ring in rings_of(piece)]
    drawn = [np.vstack([ring, ring[:1]]) for ring in rings] + [canvas.frame.to_px(line.points) for line in notes.lines]
    board = LabelBoard(canvas.width, canvas.height, [*drawn, *lines_of(canvas, notes.rules)], canvas.style.casing)
    draw_scale_bar(canvas, board, notes.scale)
    labels = [place_piece_label(canvas, board, piece, note) for piece, note in outlined]
    tags = place_tags(canvas, board, plat.pieces, notes.rules)
    for tag in tags:
        draw_leader(canvas, tag)
    for label in filter(None, labels):
        draw_piece_label(canvas, label)
    for tag in tags:
        draw_tag(canvas, tag)
    for solid in notes.solids:
        draw_solid_label(canvas, board, solid)
    for line in notes.lines:
        draw_line_label(canvas, board, line)
    for piece, _ in outlined:
        draw_corner_numbers(canvas, board, piece)


def _outlined(plat: Plat, notes: Notes) -> list[tuple[Piece, PieceNote]]:
    """The pieces that have an outline to draw: a zone whose tape could not be told from others has none."""
    return [(piece, note) for piece, note in zip(plat.pieces, notes.pieces, strict=True) if has_outline(piece)]

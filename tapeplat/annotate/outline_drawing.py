"""Outlines and lines: dark in a white casing, to show on any ground; what no photo shows is dashed."""

from __future__ import annotations

import numpy as np

from measure.plat.plat import Piece, Ring
from measure.quantity import FloatArray
from measure.rules.verdict import Verdict
from tapeplat.annotate.labels import LabelBoard
from tapeplat.annotate.outline_parts import dashes, line_parts, seen_and_inferred
from tapeplat.annotate.palette import INK, LINE, PAPER, TEXT, VERDICT_COLOURS, Colour
from tapeplat.annotate.picture_canvas import Canvas, Point
from tapeplat.annotate.style import text_width
from tapeplat.wording.notes import LineNote

_FEWEST_POINTS_OF_A_CURVE = 24
"""An outline of so many points is drawn with its first corner's number only."""


def rings_of(piece: Piece) -> tuple[Ring, ...]:
    """The outline and its holes."""
    return (piece.ring, *piece.holes)


def draw_outline(canvas: Canvas, piece: Piece) -> None:
    """Draw one piece's outline and holes, and stripes over it where it is keep-clear."""
    for ring in rings_of(piece):
        canvas.line(canvas.frame.to_px(ring.points), PAPER, canvas.style.casing, closed=True)
    for ring in rings_of(piece):
        for part in seen_and_inferred(ring):
            points = canvas.frame.to_px(part.points)
            lines = dashes(points, canvas.style.dash, canvas.style.gap) if part.inferred else [points]
            for line in lines:
                canvas.line(line, INK, canvas.style.line)


def draw_line(canvas: Canvas, note: LineNote) -> None:
    """Draw one piece of a line, with a disc at each end, which no outline has."""
    points = canvas.frame.to_px(note.points)
    canvas.line(points, PAPER, canvas.style.casing)
    for part in line_parts(points, note.inferred):
        shown = dashes(part.points, canvas.style.dash, canvas.style.gap) if part.inferred else [part.points]
        for line in shown:
            canvas.line(line, LINE, canvas.style.line)
    for x, y in points[[0, -1]].tolist():
        canvas.disc((x, y), 2.0 * canvas.style.line, PAPER)
        canvas.disc((x, y), 1.4 * canvas.style.line, LINE)


def draw_line_label(canvas: Canvas, board: LabelBoard, note: LineNote) -> None:
    """Write a line's name and length beside its middle, where there is room."""
    size, pad = canvas.style.small, canvas.style.pad
    points = canvas.frame.to_px(note.points)
    x, y = points[len(points) // 2] if len(points) > 2 else points.mean(axis=0)
    spot = board.place((text_width(note.text, size) + 2 * pad, 1.3 * size + pad), (float(x), float(y)))
    if spot is not None:
        canvas.box(spot.left, spot.top, spot.width, spot.height, PAPER, LINE)
        canvas.text(spot.centre, note.text, size=size, anchor="mm")


def draw_line_halo(canvas: Canvas, points: FloatArray, verdict: Verdict) -> None:
    """A band along a line that a rule is about: whole where the rule is broken, broken up where it is in doubt."""
    drawn = canvas.frame.to_px(points)
    whole = verdict == "not met"
    for part in [drawn] if whole else dashes(drawn, 3 * canvas.style.halo, 2 * canvas.style.halo):
        canvas.line(part, VERDICT_COLOURS[verdict], canvas.style.halo)


def draw_keep_clear(canvas: Canvas, piece: Piece) -> None:
    """Sparse stripes over a zone that the team may not build on."""
    rings = [canvas.frame.to_px(ring.points) for ring in rings_of(piece)]
    canvas.hatch(rings, TEXT, period=4 * canvas.style.hatch, share=0.08, rising=True)


def draw_halo(canvas: Canvas, piece: Piece, verdict: Verdict) -> None:
    """A band around a piece that a rule is about: closed where the rule is broken, broken up where it is in doubt."""
    colour: Colour = VERDICT_COLOURS[verdict]
    points = canvas.frame.to_px(piece.ring.points)
    if verdict == "not met":
        canvas.line(points, colour, canvas.style.halo, closed=True)
        return
    around = np.vstack([points, points[:1]])
    for part in dashes(around, 3 * canvas.style.halo, 2 * canvas.style.halo):
        canvas.line(part, colour, canvas.style.halo)


def draw_corner_numbers(canvas: Canvas, board: LabelBoard, piece: Piece) -> None:
    """Number the corners from 1, each number beside its corner, outside the outline where there is room."""
    points = canvas.frame.to_px(piece.ring.points)
    size = canvas.style.small
    count = 1 if piece.ring.curved or len(points) >= _FEWEST_POINTS_OF_A_CURVE else len(points)
    for index in range(count):
        width = size * (1.3 if index < 9 else 1.9)
        near = _beside(points, index, 0.9 * size + canvas.style.casing)
        spot = board.place((width, 1.3 * size), near, reach=2.5 * size)
        if spot is None:
            continue
        canvas.box(spot.left, spot.top, spot.width, spot.height, PAPER, TEXT)
        canvas.text(spot.centre, str(index + 1), size=size, anchor="mm")


def _beside(points: FloatArray, index: int, distance: float) -> Point:
    """A point off a corner, away from its two neighbours' middle, outside the outline."""
    before, here, after = points[index - 1], points[index], points[(index + 1) % len(points)]
    u, v = (here - before), (after - here)
    normals = [np.array([d[1], -d[0]]) / max(1e-9, float(np.hypot(*d))) for d in (u, v)]
    out = normals[0] + normals[1]
    out = out / max(1e-9, float(np.hypot(*out)))
    x, y = here + distance * out
    return float(x), float(y)

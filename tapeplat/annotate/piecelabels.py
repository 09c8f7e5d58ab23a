"""The words on the pieces: the zone's name, the piece's number where there are several, the area."""

from __future__ import annotations

from dataclasses import dataclass

import shapely
from shapely.geometry import Polygon

from measure.plat.plat import Piece
from tapeplat.annotate.labels import LabelBoard, Spot
from tapeplat.annotate.palette import PAPER, TEXT
from tapeplat.annotate.picture_canvas import Canvas, Point
from tapeplat.annotate.style import text_width
from tapeplat.wording.notes import PieceNote


@dataclass(frozen=True)
class PieceLabel:
    """A placed label."""

    spot: Spot
    name: str
    area: str


def place_piece_label(canvas: Canvas, board: LabelBoard, piece: Piece, note: PieceNote) -> PieceLabel | None:
    """Find a place for a piece's label where the piece has most room; None where there is none on the picture."""
    size, small, pad = canvas.style.text, canvas.style.small, canvas.style.pad
    name = f"{note.name} (keep clear)" if note.keep_clear else note.name
    width = max(text_width(name, size, bold=True), text_width(note.area, small)) + 2 * pad
    height = 1.3 * size + (1.3 * small if note.area else 0) + pad
    spot = board.place((width, height), roomiest_point(canvas, piece))
    return None if spot is None else PieceLabel(spot, name, note.area)


def draw_piece_label(canvas: Canvas, label: PieceLabel) -> None:
    """Write a piece's name and area."""
    size, small, pad = canvas.style.text, canvas.style.small, canvas.style.pad
    spot = label.spot
    canvas.box(spot.left, spot.top, spot.width, spot.height, PAPER, TEXT)
    middle = spot.centre[0]
    canvas.text((middle, spot.top + pad / 2 + 0.65 * size), label.name, bold=True, anchor="mm")
    canvas.text((middle, spot.top + pad / 2 + 1.3 * size + 0.6 * small), label.area, size=small, anchor="mm")


def roomiest_point(canvas: Canvas, piece: Piece) -> Point:
    """The centre (px) of about the largest circle inside a piece: the middle of an L's thicker arm, say."""
    holes = [canvas.frame.to_px(hole.points) for hole in piece.holes]
    polygon = shapely.make_valid(Polygon(canvas.frame.to_px(piece.ring.points), holes))
    centre = shapely.maximum_inscribed_circle(polygon, tolerance=canvas.style.text / 2).coords[0]
    return float(centre[0]), float(centre[1])

"""A team's own outline as a picture, with its corners' numbers and its sides' lengths."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from PIL import Image, ImageDraw, ImageFont

from measure.numbers import NumberStyle
from measure.plat.plat import Piece
from measure.quantity import FloatArray
from measure.units import MM_PER, Unit
from measure.voice import Known, value_said
from tapeplat.kit.kit_blocks import Drawing

_DOTS = 8
"""Pixels a mm."""
_WIDE, _HIGH = 88.0, 58.0
_RIM = 13.0
_TEXT = 4.0


@dataclass(frozen=True, eq=False)
class Shape:
    """One piece with straight sides: its zone, its corners in mm (n, 2), clockwise."""

    zone: str
    corners: FloatArray

    @property
    def sides(self) -> FloatArray:
        """The sides' lengths, mm: side 1 starts at corner 1."""
        along = np.roll(self.corners, -1, axis=0) - self.corners
        return np.hypot(along[:, 0], along[:, 1])


def shapes_with(pieces: Sequence[Piece], corners: int) -> list[Shape]:
    """The measured pieces of so many corners and without holes, the largest first."""
    found = [
        Shape(piece.zone, piece.ring.points)
        for piece in pieces
        if piece.status == "measured" and not piece.holes and len(piece.ring.points) == corners
    ]
    return sorted(found, key=lambda shape: -shapely.Polygon(shape.corners).area)


def drawing_of(shape: Shape, unit: Unit, style: NumberStyle, alt: str) -> Drawing:
    """The outline to fit the picture, black on white; lengths in the class's numbers, as its ruler reads them."""
    image = Image.new("L", (round(_WIDE * _DOTS), round(_HIGH * _DOTS)), 255)
    pen = ImageDraw.Draw(image)
    low, high = shape.corners.min(axis=0), shape.corners.max(axis=0)
    scale = min((_WIDE - 2 * _RIM) / max(high[0] - low[0], 1e-9), (_HIGH - 2 * _RIM) / max(high[1] - low[1], 1e-9))
    shift = np.array([_WIDE, _HIGH]) / 2 - scale * (low + high) / 2
    places = (shape.corners * scale + shift) * _DOTS
    pen.polygon([(float(x), float(y)) for x, y in places], outline=0, width=round(0.6 * _DOTS))
    middle = places.mean(axis=0)
    font = ImageFont.load_default(size=round(_TEXT * _DOTS))
    for n, (start, end) in enumerate(zip(places, np.roll(places, -1, axis=0), strict=True)):
        words = length_said(float(shape.sides[n]), unit, style)
        _write(pen, _beside(start, end, middle, pen.textlength(words, font=font)), words, font)
        _write(pen, _outside(start, middle, 4.0), str(n + 1), font)
    out = io.BytesIO()
    image.save(out, "PNG", optimize=True)
    return Drawing(out.getvalue(), _WIDE, _HIGH, alt)


def length_said(mm: float, unit: Unit, style: NumberStyle, sides: int = 1) -> str:
    """A side, or so many added, in the class's numbers; a child lays a ruler on tape to about a millimetre."""
    return value_said(Known(mm / MM_PER[unit], sides / MM_PER[unit]), unit, style)


def _beside(start: FloatArray, end: FloatArray, middle: FloatArray, width: float) -> FloatArray:
    """Outside the middle of a side, so far that words of this width (pixels) do not touch it; beyond short sides."""
    along = (end - start) / max(float(np.hypot(*(end - start))), 1e-9)
    normal: FloatArray = np.array([along[1], -along[0]])
    place: FloatArray = (start + end) / 2
    outward = normal if normal @ (place - middle) > 0 else -normal
    short = float(np.hypot(*(end - start))) < width + 6 * _DOTS and abs(normal[1]) > 0.7
    far = 1.6 * _DOTS + abs(outward[0]) * width / 2 + abs(outward[1]) * _TEXT * _DOTS / 2
    place = place + outward * (far + (4.0 * _DOTS if short else 0.0))
    return place


def _outside(place: FloatArray, middle: FloatArray, by: float) -> FloatArray:
    """The place moved away from the middle by so many mm."""
    away = place - middle
    moved: FloatArray = place + away / max(float(np.linalg.norm(away)), 1e-9) * by * _DOTS
    return moved


def _write(pen: ImageDraw.ImageDraw, place: FloatArray, words: str, font: object) -> None:
    half = pen.textlength(words, font=font) / 2 + _DOTS  # type: ignore[arg-type]
    x = min(max(float(place[0]), half), _WIDE * _DOTS - half)
    y = min(max(float(place[1]), 2.5 * _DOTS), (_HIGH - 2.5) * _DOTS)
    pen.text((x, y), words, fill=0, font=font, anchor="mm")  # type: ignore[arg-type]

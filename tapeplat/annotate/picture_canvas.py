"""The picture being drawn: lines at sub-pixel positions, filled shapes, hatching, text.

Pixel coordinates are floats counted from the centre of the top-left pixel.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from measure.quantity import FloatArray
from tapeplat.annotate.palette import PAPER, TEXT, Colour
from tapeplat.annotate.style import Style, font
from vision.picture.rectified import Rectified

Point = tuple[float, float]
Picture = NDArray[np.uint8]
Anchor = Literal["lm", "mm", "la"]
"""Pillow's names: left-middle, middle-middle, left-ascender (the top of the letters)."""
_SHIFT = 4
"""Fractional bits of the coordinates that OpenCV draws at: sixteenths of a pixel."""


@dataclass(frozen=True)
class _Text:
    at: Point
    text: str
    size: int
    colour: Colour
    bold: bool
    anchor: Anchor


class Canvas:
    """A white page with the photo at its top left; the caller's photo is copied, never written to."""

    def __init__(self, photo: Rectified, style: Style, page: tuple[int, int]) -> None:
        self.frame, self.style = photo, style
        self.height, self.width = photo.bgr.shape[:2]
        self._image = np.full((page[1], page[0], 3), 255, dtype=np.uint8)
        self._image[: self.height, : self.width] = photo.bgr
        self._texts: list[_Text] = []

    def line(self, points: FloatArray, colour: Colour, width: int, *, closed: bool = False) -> None:
        """A line through points (n, 2), in px."""
        cv2.polylines(self._image, [_fixed(points)], closed, colour, width, cv2.LINE_AA, _SHIFT)

    def polygon(self, points: FloatArray, colour: Colour) -> None:
        """A filled polygon, in px."""
        cv2.fillPoly(self._image, [_fixed(points)], colour, cv2.LINE_AA, _SHIFT)

    def disc(self, centre: Point, radius: float, colour: Colour, width: int = cv2.FILLED) -> None:
        """A filled disc, or a ring of that width."""
        x, y = _fixed(np.array([centre]))[0, 0]
        cv2.circle(self._image, (int(x), int(y)), round(radius * 2**_SHIFT), colour, width, cv2.LINE_AA, _SHIFT)

    def box(self, left: float, top: float, width: float, height: float, colour: Colour, edge: Colour | None) -> None:
        """A filled upright rectangle with a thin edge."""
        corners = np.array([[left, top], [left + width, top], [left + width, top + height], [left, top + height]])
        self.polygon(corners, colour)
        if edge is not None:
            self.line(corners, edge, 1, closed=True)

    def hatch(self, rings: list[FloatArray], colour: Colour, *, period: int, share: float, rising: bool) -> None:
        """Stripe an area (its rings in px, holes by even-odd): coloured stripes with a white one beside each."""
        corners = np.floor(np.vstack(rings))
        left, top = np.maximum(corners.min(axis=0), 0).astype(int)
        right, bottom = np.minimum(corners.max(axis=0) + 2, (self.width, self.height)).astype(int)
        if right <= left or bottom <= top:
            return
        inside = np.zeros((bottom - top, right - left), np.uint8)
        cv2.fillPoly(inside, [_fixed(ring - (left, top)) for ring in rings], 1, cv2.LINE_8, _SHIFT)
        y, x = np.mgrid[top:bottom, left:right]
        phase = ((x + y if rising else x - y) % period) / period
        region = self._image[top:bottom, left:right]
        region[(inside > 0) & (phase < share)] = colour
        region[(inside > 0) & (phase >= share) & (phase < 1.6 * share)] = PAPER

    def text(
        self,
        at: Point,
        text: str,
        *,
        size: int | None = None,
        colour: Colour = TEXT,
        bold: bool = False,
        anchor: Anchor = "lm",
    ) -> None:
        """Write text, in the style's text size unless another is given; it is drawn above everything else."""
        self._texts.append(_Text(at, text, size or self.style.text, colour, bold, anchor))

    def finished(self) -> Picture:
        """The picture with its text, shape (page height, page width, 3), blue-green-red."""
        image = Image.fromarray(self._image)
        draw = ImageDraw.Draw(image)
        for text in self._texts:
            draw.text(text.at, text.text, fill=text.colour, font=font(text.size, text.bold), anchor=text.anchor)
        return np.asarray(image)


def _fixed(points: FloatArray) -> NDArray[np.int32]:
    scaled = np.rint(np.asarray(points) * 2**_SHIFT)
    return np.asarray(scaled, dtype=np.int32).reshape(-1, 1, 2)

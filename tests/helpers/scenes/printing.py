"""The printed references as areas of ink, from the geometry that printing and finding share."""

from __future__ import annotations

import cv2
import numpy as np

from calib.printed import (
    CARD,
    CARD_MARK,
    CARD_SQUARE,
    CHECK_LINE_ALONG,
    CHECK_LINE_UP,
    CHECK_TICK,
    CORNER_TILE,
    CORNER_TILE_SQUARE,
    DOT_DIAMETER,
    SWATCHES,
    TAG_CELLS,
    ZONE_TILE,
    ZONE_TILE_SQUARE,
    Box,
    swatch_dots,
)  # fmt: skip
from tests.helpers.scenes.model import Print
from tests.helpers.scenes.raster import FloatArray

_PAPER = {"card": CARD, "corner": CORNER_TILE, "zone": ZONE_TILE}
_SQUARE = {"card": CARD_SQUARE, "corner": CORNER_TILE_SQUARE, "zone": ZONE_TILE_SQUARE}


def placed(printed: Print, local: FloatArray) -> FloatArray:
    """Points (n, 2) of a print, mm from its own top-left corner, in the parcel's frame."""
    c, s = np.cos(printed.turn), np.sin(printed.turn)
    return np.asarray((local * printed.scale) @ np.array([[c, s], [-s, c]]) + printed.place)


def paper(printed: Print) -> FloatArray:
    return placed(printed, _PAPER[printed.kind].corners)


def square(printed: Print) -> FloatArray:
    """Corners (4, 2) of the black square."""
    return placed(printed, _SQUARE[printed.kind].corners)


def black(printed: Print) -> list[FloatArray]:
    """The tag's black cells, joined along each row."""
    box = _SQUARE[printed.kind]
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    cells = cv2.aruco.generateImageMarker(dictionary, printed.tag, TAG_CELLS) == 0
    side = box.width / TAG_CELLS
    rings = []
    for row, line in enumerate(cells):
        change = np.flatnonzero(np.diff(np.concatenate([[0], line.astype(int), [0]]))).reshape(-1, 2)
        rings += [
            placed(printed, Box(box.x + a * side, box.y + row * side, (b - a) * side, side).corners) for a, b in change
        ]
    return rings


def lines(printed: Print) -> list[FloatArray]:
    """The card's fine grey lines: cutting line, swatch frames, check lines with their ticks."""
    if printed.kind != "card":
        return []
    rings = [b for box in (CARD, *SWATCHES) for b in _frame(box, 0.3)]
    for (x0, y0), (x1, y1) in (CHECK_LINE_ALONG, CHECK_LINE_UP):
        rings.append(Box(x0 - 0.15, y0 - 0.15, x1 - x0 + 0.3, y1 - y0 + 0.3).corners)
        for i in range(round(max(x1 - x0, y1 - y0) / CHECK_TICK) + 1):
            if y0 == y1:
                rings.append(Box(x0 + i * CHECK_TICK - 0.1, y0 - 2.0, 0.2, 1.8).corners)
            else:
                rings.append(Box(x0 - 2.0, y0 + i * CHECK_TICK - 0.1, 1.8, 0.2).corners)
    rings += [Box(14 + 4.2 * i, 9, 3.0, 4.5).corners for i in range(14)]  # a title's worth of ink
    return [placed(printed, ring) for ring in rings]


def dots(printed: Print) -> list[FloatArray]:
    """The dots of a dotted card's boxes and of its mark, as polygons of their area."""
    if not printed.dotted:
        return []
    angle = np.linspace(0, 2 * np.pi, 24, endpoint=False)
    radius = DOT_DIAMETER / 2 * np.sqrt(angle[1] / np.sin(angle[1]))
    ring = radius * np.column_stack([np.cos(angle), np.sin(angle)])
    centres = [*CARD_MARK, *(c for n in range(1, len(SWATCHES) + 1) for c in swatch_dots(n).reshape(-1, 2))]
    return [placed(printed, ring + centre) for centre in centres]


def swatch(printed: Print, number: int, width: float, random: np.random.Generator) -> FloatArray:
    """A piece of tape in box `number`, cut by hand and laid a little askew."""
    box = SWATCHES[number - 1]
    size = np.array([random.uniform(22, 30), min(width, random.uniform(11, 15))])
    centre = np.array([box.x + box.width / 2, box.y + box.height / 2]) + random.uniform(-1, 1, 2)
    turn = np.deg2rad(random.uniform(-4, 4))
    c, s = np.cos(turn), np.sin(turn)
    corners = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * size / 2
    return placed(printed, corners @ np.array([[c, s], [-s, c]]) + centre)


def _frame(box: Box, line: float) -> list[FloatArray]:
    x, y, w, h = box.x, box.y, box.width, box.height
    return [
        Box(x, y, w, line).corners, Box(x, y + h - line, w, line).corners,
        Box(x, y + line, line, h - 2 * line).corners, Box(x + w - line, y + line, line, h - 2 * line).corners,
    ]  # fmt: skip

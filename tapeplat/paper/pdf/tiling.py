"""A drawing that is larger than a page: shared out over pages that overlap, with marks to join them by."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import count

from calib.printed import Box
from tapeplat.paper.pdf.pdf_canvas import Pages, PaperSize, Point

OVERLAP, LEAST_OVERLAP = 8.0, 5.0
"""By which neighbouring pages overlap, mm; by less where that saves a page for a strip."""
SCALES = (1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 60, 80, 100)
_SIDE, _HEAD, _FOOT = 8.0, 12.5, 11.0
"""Free of the drawing: at the sides, above it for the line that says how to join the pages, below it for the footer."""


@dataclass(frozen=True)
class View:
    """Where a drawing's points (mm of the model) come on the page: scale times the point, plus a shift in mm."""

    scale: float
    dx: float
    dy: float

    def place(self, point: Point) -> Point:
        """The page's point for a point of the drawing."""
        return self.scale * point[0] + self.dx, self.scale * point[1] + self.dy

    def box(self, box: Box) -> Box:
        """The page's box for a box of the drawing."""
        x, y = self.place((box.x, box.y))
        return Box(x, y, box.width * self.scale, box.height * self.scale)


@dataclass(frozen=True)
class Part:
    """One page's share of the drawing: its row and column counted from 1, the window and what of it is drawn on.

    overlap is how far it overlaps its neighbours across and down.
    """

    row: int
    column: int
    window: Box
    drawn: Box
    overlap: tuple[float, float]


def window_of(paper: PaperSize) -> Box:
    """The part of a page that shows the drawing."""
    return Box(_SIDE, _HEAD, paper.width - 2 * _SIDE, paper.height - _HEAD - _FOOT)


def fewest(extent: Box, paper: PaperSize) -> PaperSize:
    """The paper upright or on its side, whichever needs fewer pages; upright where both need as many."""
    return min(paper, paper.turned, key=lambda way: len(parts(extent, way)))


def parts(extent: Box, paper: PaperSize) -> tuple[Part, ...]:
    """The pages that a drawing of this extent needs at full size, row by row, overlapping."""
    window = window_of(paper)
    overlap = _overlap(extent.width, window.width), _overlap(extent.height, window.height)
    return tuple(
        _part(row + 1, column + 1, Box(x, y, window.width, window.height), extent, overlap)
        for row, y in enumerate(_starts(extent.y, extent.height, window.height, overlap[1]))
        for column, x in enumerate(_starts(extent.x, extent.width, window.width, overlap[0]))
    )


def draw_tiled(pages: Pages, heading: str, extent: Box, draw: Callable[[Pages, View], object]) -> None:
    """Draw the extent at full size over few pages, each clipped to its window, with crosses where they join."""
    paper = fewest(extent, pages.paper)
    every, window = parts(extent, paper), window_of(paper)
    rows, columns = every[-1].row, every[-1].column
    with pages.on(paper):
        for part in every:
            place = f"row {part.row} of {rows}, column {part.column} of {columns}"
            pages.start(f"{heading}: {place}. Full size. Lay cross on cross, then tape the pages together.", small=True)
            view = View(1.0, window.x - part.window.x, window.y - part.window.y)
            with pages.clipped(window):
                draw(pages, view)
            for cross in _crosses(part, rows, columns):
                _draw_cross(pages, view.place(cross))


def fitting_scale(width: float, height: float, area: Box) -> float:
    """The smallest n of the usual ones so that a drawing of this size (mm) at 1 : n fits the area."""
    least = max(width / area.width, height / area.height)
    return next((n for n in SCALES if n >= least), math.ceil(least))


def readable_step(unit: float, scale: float, least: float) -> float:
    """Once, twice, five, ten, ... times the unit: the first whose squares are at least that wide on the page (mm)."""
    factors = (base * 10.0**power for power in count() for base in (1, 2, 5))
    return next(unit * factor for factor in factors if unit * factor * scale >= least)


def _part(row: int, column: int, window: Box, extent: Box, overlap: tuple[float, float]) -> Part:
    width = min(window.width, extent.x + extent.width - window.x)
    height = min(window.height, extent.y + extent.height - window.y)
    return Part(row, column, window, Box(window.x, window.y, width, height), overlap)


def _overlap(length: float, window: float) -> float:
    return min(OVERLAP, LEAST_OVERLAP, key=lambda overlap: (_number(length, window, overlap), -overlap))


def _number(length: float, window: float, overlap: float) -> int:
    return max(1, math.ceil((length - overlap) / (window - overlap)))


def _starts(first: float, length: float, window: float, overlap: float) -> list[float]:
    return [first + n * (window - overlap) for n in range(_number(length, window, overlap))]


def _crosses(part: Part, rows: int, columns: int) -> Iterator[Point]:
    """Two for every side with a neighbour, in the middle of the overlap: the neighbour has them at the same place."""
    window, drawn = part.window, part.drawn
    across, down = (overlap / 2 for overlap in part.overlap)
    left, right = window.x + across, window.x + window.width - across
    top, bottom = window.y + down, window.y + window.height - down
    xs = [x for x, has in ((left, part.column > 1), (right, part.column < columns)) if has]
    ys = [y for y, has in ((top, part.row > 1), (bottom, part.row < rows)) if has]
    yield from ((x, drawn.y + share * drawn.height) for x in xs for share in (0.25, 0.75))
    yield from ((drawn.x + share * drawn.width, y) for y in ys for share in (0.25, 0.75))


def _draw_cross(pages: Pages, centre: Point) -> None:
    """Black with a white rim, so that it shows on a photo too."""
    x, y = centre
    for width, grey in ((0.9, 1.0), (0.25, 0.0)):
        pages.line((x - 3.5, y), (x + 3.5, y), width=width, grey=grey)
        pages.line((x, y - 3.5), (x, y + 3.5), width=width, grey=grey)
        pages.circle(centre, 2.0, width=width, grey=grey)

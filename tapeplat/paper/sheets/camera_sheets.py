"""Two sheets for trusting a phone: the lens sheet and the self-check sheet."""

from __future__ import annotations

from collections.abc import Iterator

import shapely

from calib.printed import (
    CARD,
    LENS_COLUMNS,
    LENS_MARKER,
    LENS_ROWS,
    LENS_SQUARE,
    LENS_TAGS,
    SELF_CHECK_BAND,
    SELF_CHECK_OUTLINES,
    SELF_CHECK_SWATCH,
    SWATCHES,
    Box,
    KnownOutline,
)
from tapeplat.paper.pdf.check_lines import page_check_lines
from tapeplat.paper.pdf.pdf_canvas import MARGIN, Pages
from tapeplat.paper.pdf.tag_paths import draw_tag
from tapeplat.paper.sheets.card_sheet import draw_card
from tapeplat.paper.sheets.sheet_job import Job

LENS_HEADING = "Lens sheet"
SELF_CHECK_HEADING = "Self-check sheet"
_LENS_TOP = 26.0


def draw_lens_sheet(pages: Pages, job: Job) -> None:
    """A chessboard with a tag in every white square, to find a phone camera's lens error."""
    pages.start(LENS_HEADING)
    width, height = LENS_COLUMNS * LENS_SQUARE, LENS_ROWS * LENS_SQUARE
    left = (pages.paper.width - width) / 2
    tags = iter(LENS_TAGS)
    for square, black in _chessboard(left, _LENS_TOP):
        if black:
            pages.box(square, width=0, fill=0)
        else:
            gap = (LENS_SQUARE - LENS_MARKER) / 2
            draw_tag(pages, next(tags), Box(square.x + gap, square.y + gap, LENS_MARKER, LENS_MARKER))
    middle = _LENS_TOP + height / 2
    size = f"At 100 % the chessboard is {width:g} mm wide and {height:g} mm high: measure it."
    how = "Glue it flat. Take 10 photos from all sides, slanted, filling the picture: they tell the lens."
    pages.text(left - 4, middle, size, size=9, upwards=True, align="centre")
    pages.text(left + width + 6, middle, how, size=9, upwards=True, align="centre")


def draw_self_check_sheet(pages: Pages, job: Job) -> None:
    """A card with outlines of known size around it, to see how far a phone and a printer can be trusted."""
    pages.start(SELF_CHECK_HEADING)
    page_check_lines(pages)
    left, top = (pages.paper.width - CARD.width) / 2, (pages.paper.height - CARD.height) / 2
    how = "Print at 100 %, lay it flat, photograph the whole sheet from above."
    pages.fitted(MARGIN, 24.5, how, pages.paper.width - 2 * MARGIN, size=8.5)
    labels = ["black, as the bands" if n == SELF_CHECK_SWATCH else "" for n in range(1, len(SWATCHES) + 1)]
    draw_card(pages, "Self-check", labels, left, top)
    swatch = SWATCHES[SELF_CHECK_SWATCH - 1]
    pages.box(Box(left + swatch.x, top + swatch.y, swatch.width, swatch.height), width=0, fill=0)
    for outline in SELF_CHECK_OUTLINES:
        _draw_band(pages, outline, left, top)


def _chessboard(left: float, top: float) -> Iterator[tuple[Box, bool]]:
    """The squares row by row, and whether each is black; the one at the top left is (OpenCV 4.6 and later)."""
    for row in range(LENS_ROWS):
        for column in range(LENS_COLUMNS):
            x, y = left + column * LENS_SQUARE, top + row * LENS_SQUARE
            yield Box(x, y, LENS_SQUARE, LENS_SQUARE), (row + column) % 2 == 0


def _draw_band(pages: Pages, outline: KnownOutline, left: float, top: float) -> None:
    middle = shapely.Polygon([(left + x, top + y) for x, y in outline.points])
    outer = middle.buffer(SELF_CHECK_BAND / 2, join_style="mitre")
    inner = middle.buffer(-SELF_CHECK_BAND / 2, join_style="mitre")
    pages.shape([list(ring.exterior.coords[:-1]) for ring in (outer, inner)], fill=0)
    centre = inner.representative_point()
    pages.text(centre.x, centre.y + 2, outline.name, size=14, align="centre", grey=0.6)

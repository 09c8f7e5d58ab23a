"""The scale map as a page of a PDF, and the same page as an SVG drawing."""

from __future__ import annotations

from calib.printed import Box
from tapeplat.paper.pdf.pdf_canvas import FOOTER, HEADER, MARGIN, Pages, PaperSize
from tapeplat.reports.map_canvas import MapCanvas, SvgCanvas
from tapeplat.reports.report_content import TeamContent
from tapeplat.reports.scale_map import draw_legend, draw_map, legend_height, map_height

_LEAST_MAP = 110.0
_GAP = 5.0


def draw_map_page(pages: Pages, content: TeamContent) -> None:
    """The map of one team on a page of its own."""
    pages.start(f"{content.name}: scale map")
    _draw(pages, pages.paper, content)


def map_svg(content: TeamContent, paper: PaperSize) -> str:
    """The same page as an SVG file's text."""
    board = SvgCanvas(paper, f"{content.title}, {content.name}: scale map")
    width = paper.width - 2 * MARGIN
    board.fitted(MARGIN, 18, f"{content.name}: scale map", width, size=16, bold=True)
    board.line((MARGIN, 20.5), (paper.width - MARGIN, 20.5), width=0.4, grey=0.5)
    board.fitted(MARGIN, paper.height - 8, content.title, width, size=8, grey=0.35)
    _draw(board, paper, content)
    return board.finished()


def _draw(board: MapCanvas, paper: PaperSize, content: TeamContent) -> None:
    """The map as large as its scale allows, and the legend right below it."""
    top, width = HEADER + 2, paper.width - 2 * MARGIN
    room = paper.height - top - FOOTER
    legend = min(legend_height(content), room - _GAP - _LEAST_MAP)
    height = map_height(content, width, room - legend - _GAP)
    draw_map(board, Box(MARGIN, top, width, height + 0.1), content)
    draw_legend(board, Box(MARGIN, top + height + _GAP, width, legend), content)

"""Long check lines along and up a page, to see what a printer did to its sizes."""

from __future__ import annotations

from calib.printed import CHECK_TICK
from tapeplat.paper.pdf.pdf_canvas import Pages, Point

ALONG = 150.0
UP = 200.0
LEFT = 9.0
"""Where the upright line stands, in mm from the page's left edge."""
BOTTOM = 19.0
"""Where the other line lies, in mm from the page's bottom edge."""
_TOP = 34.0


def page_check_lines(pages: Pages) -> None:
    """Draw both lines of the page with a tick every 10 mm, and say how long they should be."""
    y = pages.paper.height - BOTTOM
    x = (pages.paper.width - ALONG) / 2
    check_line(pages, (x, y), (x + ALONG, y), tick=(0.0, -1.5))
    pages.text(x + ALONG + 2, y + 1, f"{ALONG:g} mm", size=8)
    check_line(pages, (LEFT, _TOP), (LEFT, _TOP + UP), tick=(1.5, 0.0))
    pages.text(LEFT + 4, _TOP + UP / 2, f"{UP:g} mm", size=8, upwards=True, align="centre")


def check_line(pages: Pages, start: Point, end: Point, *, tick: Point) -> None:
    """A thin straight line with ticks (their vector in mm) every 10 mm from its start."""
    pages.line(start, end)
    length = max(abs(end[0] - start[0]), abs(end[1] - start[1]))
    for n in range(round(length / CHECK_TICK) + 1):
        share = n * CHECK_TICK / length
        x, y = start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])
        pages.line((x, y), (x + tick[0], y + tick[1]))

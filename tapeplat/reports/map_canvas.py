"""What a map is drawn on: a PDF page or an SVG drawing, both in mm from the top-left corner, y down."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Protocol
from xml.sax.saxutils import escape

from calib.printed import Box
from tapeplat.output.maker import MAKER
from tapeplat.paper.pdf import fonts
from tapeplat.paper.pdf.pdf_canvas import Align, PaperSize, Point

_MM_PER_POINT = 25.4 / 72
_FONTS = "Verdana, 'DejaVu Sans', sans-serif"
"""As wide as the sheets' typeface, or nearly."""
_ANCHORS = {"left": "start", "centre": "middle", "right": "end"}


class MapCanvas(Protocol):
    """The part of tapeplat.paper.pdf.pdf_canvas.Pages that a map needs."""

    def line(self, start: Point, end: Point, *, width: float = ..., grey: float = ..., dash: float = ...) -> None:
        """A straight line; width in mm, grey from 0 (black) to 1 (white)."""
        ...

    def shape(
        self, rings: Iterable[Sequence[Point]], *, width: float = ..., grey: float = ..., fill: float | None = ...
    ) -> None:
        """Closed rings as one path, filled by the even-odd rule."""
        ...

    def fitted(
        self,
        x: float,
        y: float,
        text: str,
        room: float,
        *,
        size: float,
        bold: bool = ...,
        align: Align = ...,
        grey: float = ...,
    ) -> None:
        """One line of text, smaller where it would be wider than room (mm)."""
        ...


class SvgCanvas:
    """An SVG drawing of a sheet of paper, at true size."""

    def __init__(self, paper: PaperSize, title: str) -> None:
        self.paper, self.title = paper, title
        self._marks: list[str] = []

    def line(self, start: Point, end: Point, *, width: float = 0.2, grey: float = 0.0, dash: float = 0.0) -> None:
        """A straight line."""
        dashes = f' stroke-dasharray="{dash:.2f}"' if dash else ""
        places = f'x1="{start[0]:.3f}" y1="{start[1]:.3f}" x2="{end[0]:.3f}" y2="{end[1]:.3f}"'
        self._marks.append(f'<line {places} stroke="{_grey(grey)}" stroke-width="{width:.2f}"{dashes}/>')

    def box(self, box: Box, *, width: float = 0.2, grey: float = 0.0, fill: float | None = None) -> None:
        """An upright rectangle."""
        self.shape([[(float(x), float(y)) for x, y in box.corners]], width=width, grey=grey, fill=fill)

    def shape(
        self, rings: Iterable[Sequence[Point]], *, width: float = 0.0, grey: float = 0.0, fill: float | None = None
    ) -> None:
        """Closed rings as one path."""
        path = " ".join("M" + " ".join(f"{x:.3f},{y:.3f}" for x, y in ring) + "Z" for ring in rings)
        inside = "none" if fill is None else _grey(fill)
        line = f' stroke="{_grey(grey)}" stroke-width="{width:.2f}" stroke-linejoin="round"' if width > 0 else ""
        self._marks.append(f'<path d="{path}" fill="{inside}" fill-rule="evenodd"{line}/>')

    def fitted(
        self,
        x: float,
        y: float,
        text: str,
        room: float,
        *,
        size: float,
        bold: bool = False,
        align: Align = "left",
        grey: float = 0.0,
    ) -> None:
        """One line of text; scripts that the sheets' typeface lacks are kept, as browsers have them."""
        shown = "".join(sign for sign in text if sign.isprintable())
        width = fonts.text_width(fonts.printable(shown), size, bold=bold)
        # A sign of another script is up to an em wide, the question mark that stands for it in the sum half of one.
        width += sum(fonts.printable(sign) == "?" for sign in shown) * 0.5 * size * _MM_PER_POINT
        points = size * min(1.0, room / max(width, 1e-9))
        weight = ' font-weight="bold"' if bold else ""
        style = f'font-size="{points * _MM_PER_POINT:.3f}" text-anchor="{_ANCHORS[align]}" fill="{_grey(grey)}"{weight}'
        self._marks.append(f'<text x="{x:.3f}" y="{y:.3f}" {style}>{escape(shown)}</text>')

    def finished(self) -> str:
        """The SVG file's text."""
        width, height = self.paper.width, self.paper.height
        size = f'width="{width:g}mm" height="{height:g}mm" viewBox="0 0 {width:g} {height:g}"'
        title = escape("".join(sign for sign in self.title if sign.isprintable()))
        head = f'<svg xmlns="http://www.w3.org/2000/svg" {size} role="img" font-family="{_FONTS}">'
        page = f'<rect width="{width:g}" height="{height:g}" fill="#ffffff"/>'
        return (
            "\n".join(
                [
                    '<?xml version="1.0" encoding="UTF-8"?>',
                    head,
                    f"<title>{title}</title>",
                    f"<metadata>{MAKER}</metadata>",
                    page,
                    *self._marks,
                    "</svg>",
                ]
            )
            + "\n"
        )


def _grey(level: float) -> str:
    part = round(255 * min(1.0, max(0.0, level)))
    return f"#{part:02x}{part:02x}{part:02x}"

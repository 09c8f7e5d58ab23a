"""Pages in mm: reportlab wrapped once.

Every position is in mm from the page's top-left corner, x to the right, y down.  The file asks the reader's program
not to scale it, and the same sheets give the same bytes.
"""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from reportlab import rl_config
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from calib.printed import Box
from tapeplat.output.maker import MAKER
from tapeplat.paper.pdf import fonts

rl_config.useA85 = 0  # binary streams: a page with a photo is a fifth smaller, and made in half the time
POINTS_PER_MM = 72 / 25.4
MARGIN = 12.0
"""Free of print on every side: most printers cannot reach the outer 6 mm."""
HEADER = 24.0
"""Where a page's own content begins, below the sheet's name."""
FOOTER = 14.0
"""Height kept free at the bottom for the footer's line."""

Align = Literal["left", "centre", "right"]
Point = tuple[float, float]


@dataclass(frozen=True)
class PaperSize:
    """A sheet of paper, in mm."""

    name: str
    width: float
    height: float

    @property
    def turned(self) -> PaperSize:
        """The same sheet on its side."""
        return PaperSize(self.name, self.height, self.width)

    @property
    def body(self) -> Box:
        """The part of the page for content: inside the margins, below the heading, above the footer."""
        return Box(MARGIN, HEADER, self.width - 2 * MARGIN, self.height - HEADER - FOOTER)


LETTER = PaperSize("letter", 215.9, 279.4)
"""ANSI/ASME Y14.1 size A, 8.5 x 11 in."""
A4 = PaperSize("a4", 210.0, 297.0)
"""ISO 216."""
PAPERS = {paper.name: paper for paper in (LETTER, A4)}


class Pages:
    """A growing PDF. A page begins with `start`; everything drawn afterwards is on that page."""

    def __init__(self, paper: PaperSize, title: str) -> None:
        fonts.register()
        self.paper = paper
        self.title = fonts.printable(title)
        self.count = 0
        self._file = io.BytesIO()
        size = (paper.width * POINTS_PER_MM, paper.height * POINTS_PER_MM)
        self.canvas = Canvas(self._file, pagesize=size, invariant=1, pageCompression=1)
        self.canvas.setTitle(self.title)
        self.canvas.setCreator(MAKER)
        self.canvas.setViewerPreference("PrintScaling", "None")

    def start(self, heading: str = "", *, small: bool = False) -> None:
        """Begin a page, with a heading where it has one; the footer names the challenge and counts the pages.

        A small heading is one line of small print at the very top: it leaves more room.
        """
        if self.count:
            self.canvas.showPage()
        self.canvas.setPageSize((self.paper.width * POINTS_PER_MM, self.paper.height * POINTS_PER_MM))
        self.count += 1
        width, bottom = self.paper.width - 2 * MARGIN, self.paper.height - 8
        if heading and small:
            self.fitted(MARGIN, 10.5, heading, width, size=9)
        elif heading:
            self.fitted(MARGIN, 18, heading, width, size=16, bold=True)
            self.line((MARGIN, 20.5), (self.paper.width - MARGIN, 20.5), width=0.4, grey=0.5)
        number = f"page {self.count}"
        room = width - fonts.text_width(number, 8) - 6
        self.fitted(MARGIN, bottom, self.title, room, size=8, grey=0.35)
        self.text(self.paper.width - MARGIN, bottom, number, size=8, align="right", grey=0.35)

    @contextmanager
    def on(self, paper: PaperSize) -> Iterator[None]:
        """Pages that begin inside are on that paper; what follows is on the file's own again."""
        own, self.paper = self.paper, paper
        yield
        self.paper = own

    def picture(self, file: Path | bytes, box: Box) -> None:
        """A picture file, or its content, stretched over the box; JPEG data goes into the PDF as it is."""
        x, y = self._place((box.x, box.y + box.height))
        image = ImageReader(io.BytesIO(file)) if isinstance(file, bytes) else str(file)
        self.canvas.drawImage(image, x, y, box.width * POINTS_PER_MM, box.height * POINTS_PER_MM)

    @contextmanager
    def clipped(self, box: Box) -> Iterator[None]:
        """Everything drawn inside is cut off at the box's sides."""
        self.canvas.saveState()
        path = self.canvas.beginPath()
        x, y = self._place((box.x, box.y + box.height))
        path.rect(x, y, box.width * POINTS_PER_MM, box.height * POINTS_PER_MM)
        self.canvas.clipPath(path, stroke=0, fill=0)
        yield
        self.canvas.restoreState()

    def finished(self) -> bytes:
        """The PDF file."""
        self.canvas.showPage()
        self.canvas.save()
        return self._file.getvalue()

    def line(self, start: Point, end: Point, *, width: float = 0.2, grey: float = 0.0, dash: float = 0.0) -> None:
        """A straight line; width and dash in mm, grey from 0 (black) to 1 (white)."""
        self._pen(width, grey, dash)
        self.canvas.line(*self._place(start), *self._place(end))

    def box(
        self, box: Box, *, width: float = 0.2, grey: float = 0.0, fill: float | None = None, dash: float = 0.0
    ) -> None:
        """An upright rectangle, its line's middle on the box's sides; no line where width is 0."""
        self.shape([[(x, y) for x, y in box.corners]], width=width, grey=grey, fill=fill, dash=dash)

    def shape(
        self,
        rings: Iterable[Sequence[Point]],
        *,
        width: float = 0.0,
        grey: float = 0.0,
        fill: float | None = None,
        dash: float = 0.0,
    ) -> None:
        """One or more closed rings as a single path; rings inside rings are holes."""
        path = self.canvas.beginPath()
        for ring in rings:
            path.moveTo(*self._place(ring[0]))
            for point in ring[1:]:
                path.lineTo(*self._place(point))
            path.close()
        if width > 0:
            self._pen(width, grey, dash)
        if fill is not None:
            self.canvas.setFillGray(fill)
        self.canvas.drawPath(path, stroke=int(width > 0), fill=int(fill is not None), fillMode=0)

    def circle(self, centre: Point, radius: float, *, width: float = 0.2, grey: float = 0.0) -> None:
        """A circle's line, centred on its radius."""
        self._pen(width, grey, 0.0)
        self.canvas.circle(*self._place(centre), radius * POINTS_PER_MM, stroke=1, fill=0)

    def dot(self, centre: Point, diameter: float, *, fill: float) -> None:
        """A filled circle without a line."""
        self.canvas.setFillGray(fill)
        self.canvas.circle(*self._place(centre), diameter / 2 * POINTS_PER_MM, stroke=0, fill=1)

    def text(
        self,
        x: float,
        y: float,
        text: str,
        *,
        size: float = 11,
        bold: bool = False,
        align: Align = "left",
        grey: float = 0.0,
        upwards: bool = False,
    ) -> None:
        """One line of text from its baseline; size in points; upwards reads from bottom to top."""
        words = fonts.printable(text)
        shift = {"left": 0.0, "centre": 0.5, "right": 1.0}[align] * fonts.text_width(words, size, bold=bold)
        canvas = self.canvas
        canvas.saveState()
        canvas.setFillGray(grey)
        canvas.setFont(fonts.BOLD if bold else fonts.REGULAR, size)
        canvas.translate(*self._place((x, y)))
        if upwards:
            canvas.rotate(90)
        canvas.drawString(-shift * POINTS_PER_MM, 0, words)
        canvas.restoreState()

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
        """One line of text, made smaller where it would be wider than room (mm)."""
        width = fonts.text_width(fonts.printable(text), size, bold=bold)
        self.text(x, y, text, size=size * min(1.0, room / max(width, 1e-9)), bold=bold, align=align, grey=grey)

    def _place(self, point: Point) -> Point:
        """The point in reportlab's frame: points from the bottom left."""
        return float(point[0]) * POINTS_PER_MM, (self.paper.height - float(point[1])) * POINTS_PER_MM

    def _pen(self, width: float, grey: float, dash: float) -> None:
        self.canvas.setLineWidth(width * POINTS_PER_MM)
        self.canvas.setStrokeGray(grey)
        self.canvas.setDash([dash * POINTS_PER_MM] * 2 if dash else [])

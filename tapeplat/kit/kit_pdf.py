"""The kit as a PDF to print as it is."""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence

from reportlab.platypus import Flowable, Image

from tapeplat.kit.kit_blocks import Block, Bullets, Drawing, Grid, Heading, KitPage, Lines, Text
from tapeplat.paper.pdf.flow import bulleted, flow_fitted, numbered, para, section, space, table, text_size
from tapeplat.paper.pdf.pdf_canvas import MARGIN, POINTS_PER_MM, Pages, PaperSize

_SIZES = {"teacher": 10.0, "children": 13.0}
_LINE = 9.0


def kit_pdf(pages: Sequence[KitPage], title: str, paper: PaperSize) -> bytes:
    """Each page of the kit begins on a sheet of its own."""
    made = Pages(paper, title)
    for page in pages:
        flow_fitted(made, page.title, lambda factor, page=page: list(_story(page, paper, factor)))  # type: ignore[misc]
    return made.finished()


def _story(page: KitPage, paper: PaperSize, factor: float) -> Iterator[Flowable]:
    size, width = text_size(_SIZES[page.reader], factor), paper.width - 2 * MARGIN
    for block, following in zip(page.blocks, [*page.blocks[1:], None], strict=True):
        yield from _set(block, size, width, factor, is_drawn=isinstance(following, Drawing))


def _set(block: Block, size: float, width: float, factor: float, *, is_drawn: bool) -> Iterator[Flowable]:
    match block:
        case Heading(text):
            yield from section(text, 1.1 * size, room=100 if is_drawn else 35)
        case Text(text):
            yield para(text, size, after=2)
        case Bullets(lines, is_numbered):
            yield from (numbered if is_numbered else bulleted)(lines, size)
        case Grid(rows, widths, height):
            whole = sum(widths)
            yield table(rows, [width * share / whole for share in widths], size=size - 1, row_height=height * factor)
            yield space(3 * factor)
        case Lines(count):
            for _ in range(count):
                yield _WritingLine(width, _LINE * factor)
            yield space(2)
        case Drawing(png, wide, high, _):
            picture = Image(io.BytesIO(png), wide * POINTS_PER_MM, high * POINTS_PER_MM)
            picture.hAlign = "LEFT"
            yield picture


class _WritingLine(Flowable):  # type: ignore[misc]  # reportlab ships no types
    """A line to write on, with room above it."""

    def __init__(self, width: float, height: float) -> None:
        super().__init__()
        self.width, self.height = width * POINTS_PER_MM, height * POINTS_PER_MM

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Its width and height in points."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw it at the bottom of its height."""
        self.canv.setLineWidth(0.5)
        self.canv.setStrokeGray(0.45)
        self.canv.line(0, 0.5, self.width, 0.5)

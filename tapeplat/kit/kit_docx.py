"""The kit as a word processor's document (Office Open XML, ISO/IEC 29500), which the teacher edits."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Sequence
from datetime import datetime

from docx import Document
from docx.document import Document as Doc
from docx.enum.table import WD_ROW_HEIGHT_RULE
from docx.shared import Mm, Pt

from tapeplat.kit.kit_blocks import Block, Bullets, Drawing, Grid, Heading, KitPage, Lines, Text
from tapeplat.output.maker import MAKER
from tapeplat.paper.pdf.pdf_canvas import PaperSize

_MARGIN = 18.0
_SIZES = {"teacher": 10.5, "children": 13.0}
_LINE = "_" * 62
_EPOCH = datetime(2000, 1, 1)
"""The date in the file: the same kit gives the same document."""


def kit_docx(pages: Sequence[KitPage], title: str, paper: PaperSize) -> bytes:
    """A document, each page beginning on a sheet of its own."""
    document = Document()
    section = document.sections[0]
    section.page_width, section.page_height = Mm(paper.width), Mm(paper.height)
    section.left_margin = section.right_margin = section.top_margin = section.bottom_margin = Mm(_MARGIN)
    properties = document.core_properties
    properties.title, properties.author = _clean(title), MAKER
    properties.created = properties.modified = _EPOCH
    for n, page in enumerate(pages):
        document.add_heading(_clean(page.title), level=1).paragraph_format.page_break_before = n > 0
        for block in page.blocks:
            _add(document, block, _SIZES[page.reader], paper.width - 2 * _MARGIN)
    out = io.BytesIO()
    document.save(out)
    return _packed_alike(out.getvalue())


def _packed_alike(content: bytes) -> bytes:
    """The same parts with a fixed date: the same kit is the same file.

    The part with the maker's name is not compressed, so that a file that nobody edited since is known as ours; a word
    processor compresses it, and an edited kit is never written over.
    """
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as made, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        for name in made.namelist():
            way = zipfile.ZIP_STORED if name == "docProps/core.xml" else zipfile.ZIP_DEFLATED
            packed.writestr(zipfile.ZipInfo(name, (2000, 1, 1, 0, 0, 0)), made.read(name), way)
    return out.getvalue()


def _add(document: Doc, block: Block, size: float, width: float) -> None:
    match block:
        case Heading(text):
            document.add_heading(_clean(text), level=2)
        case Text(text):
            _sized(document.add_paragraph(_clean(text)), size)
        case Bullets(lines, numbered):
            for n, line in enumerate(lines, start=1):
                # Numbers are written out: a document's own list would count on from one page to the next.
                said = f"{n}.  {_clean(line)}" if numbered else _clean(line)
                _sized(document.add_paragraph(said, style=None if numbered else "List Bullet"), size)
        case Grid():
            _add_grid(document, block, size, width)
        case Lines(count):
            for _ in range(count):
                _sized(document.add_paragraph(_LINE), size)
        case Drawing(png, wide, high, alt):
            document.add_picture(io.BytesIO(png), width=Mm(wide), height=Mm(high))
            shape = document.inline_shapes[-1]._inline.docPr
            shape.set("descr", _clean(alt))


def _add_grid(document: Doc, grid: Grid, size: float, width: float) -> None:
    table = document.add_table(rows=len(grid.rows), cols=len(grid.widths))
    table.style = "Table Grid"
    table.autofit = False
    whole = sum(grid.widths)
    for n, (texts, row) in enumerate(zip(grid.rows, table.rows, strict=True)):
        if n and grid.height:
            row.height, row.height_rule = Mm(grid.height), WD_ROW_HEIGHT_RULE.AT_LEAST
        for text, share, cell in zip(texts, grid.widths, row.cells, strict=True):
            cell.width = Mm(width * share / whole)
            cell.text = _clean(text)
            for run in cell.paragraphs[0].runs:
                run.bold = n == 0
                run.font.size = Pt(size - 1)
    document.add_paragraph()


def _sized(paragraph: object, size: float) -> None:
    for run in paragraph.runs:  # type: ignore[attr-defined]  # python-docx's paragraph
        run.font.size = Pt(size)


def _clean(text: str) -> str:
    """Without the control characters that XML cannot hold."""
    return "".join(sign for sign in text if sign.isprintable() or sign == " ")

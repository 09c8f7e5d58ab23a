"""Text and tables that flow over as many pages as they need."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from html import escape

from reportlab.lib.colors import Color
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import CondPageBreak, Flowable, Frame, KeepInFrame, Paragraph, Spacer, Table, TableStyle

from calib.printed import Box
from tapeplat.paper.pdf import fonts
from tapeplat.paper.pdf.pdf_canvas import FOOTER, MARGIN, POINTS_PER_MM, Align, Pages

PUPIL = 13.0
"""Points; what children of eight read."""
TEACHER = 10.5
_FACTORS = (1.0, 0.94, 0.88, 0.82, 0.76, 0.7, 0.62)
"""By which rows, and text within what can be read, are made smaller where that saves a page."""
_LEAST_TEXT = 0.92
_PADDING = 1.1
_SIDES = ("LEFT", "RIGHT", "TOP", "BOTTOM")
_ALIGNMENT = {"left": 0, "centre": 1, "right": 2}
_RULE_GREY = Color(0.45, 0.45, 0.45)
_HEAD_GREY = Color(0.88, 0.88, 0.88)


def flow(
    pages: Pages,
    heading: str,
    story: Sequence[Flowable],
    *,
    top: float | None = None,
    left: float = MARGIN,
    bottom: float = FOOTER,
) -> None:
    """Set the story on new pages; with top, begin on the current page, at that height and between left and bottom."""
    rest = list(story)
    if top is None:
        pages.start(heading)
        _fill(pages, pages.paper.body, rest)
    else:
        width, height = pages.paper.width - left - MARGIN, pages.paper.height - top - bottom
        _fill(pages, Box(left, top, width, height), rest)
    while rest:
        pages.start(f"{heading}, continued")
        if not _fill(pages, pages.paper.body, rest):
            _fill(pages, pages.paper.body, [_shrunk(rest.pop(0), pages.paper.body)])


def flow_fitted(
    pages: Pages, heading: str, make: Callable[[float], Sequence[Flowable]], *, top: float | None = None
) -> None:
    """Set the story that make gives for a factor of its sizes, so that no few rows spill over to a further page.

    The factor is the largest with which the story needs a page less than in full size, or full size where none does.
    """
    needed = {factor: _pages_for(pages, make(factor), top) for factor in _FACTORS[:1]}
    if needed[1.0] > 1:
        needed |= {factor: _pages_for(pages, make(factor), top) for factor in _FACTORS[1:]}
    fewest = min(needed.values())
    flow(pages, heading, make(next(factor for factor in _FACTORS if needed[factor] == fewest)), top=top)


def _pages_for(pages: Pages, story: Sequence[Flowable], top: float | None) -> int:
    """How many pages a story takes, tried on paper that is thrown away."""
    trial = Pages(pages.paper, "")
    if top is not None:
        trial.start()
    flow(trial, "", story, top=top)
    return trial.count


def set_in_box(pages: Pages, box: Box, story: Sequence[Flowable]) -> None:
    """Set the story inside the box, smaller where it would not fit."""
    content = KeepInFrame(box.width * POINTS_PER_MM, box.height * POINTS_PER_MM, list(story), mode="shrink")
    _fill(pages, box, [content])


def para(
    text: str,
    size: float = TEACHER,
    *,
    bold: bool = False,
    align: Align = "left",
    before: float = 0.0,
    after: float = 1.5,
    indent: float = 0.0,
    bullet: str = "",
    lead: str = "",
) -> Paragraph:
    """A paragraph of plain text; before, after and indent in mm; words that are too long for a line are broken.

    lead is what the paragraph begins with in bold, with a space behind it.
    """
    style = ParagraphStyle(
        "sheet",
        fontName=fonts.BOLD if bold else fonts.REGULAR,
        fontSize=size,
        leading=size * 1.3,
        alignment=_ALIGNMENT[align],
        spaceBefore=before * POINTS_PER_MM,
        spaceAfter=after * POINTS_PER_MM,
        leftIndent=indent * POINTS_PER_MM,
        bulletFontName=fonts.BOLD,
        bulletFontSize=size,
        splitLongWords=1,
    )
    start = f"<b>{escape(fonts.printable(lead))}</b> " if lead else ""
    return Paragraph(start + escape(fonts.printable(text)), style, bulletText=fonts.printable(bullet) or None)


def text_size(size: float, factor: float) -> float:
    """A text's size at a factor of flow_fitted: rows may become much smaller, text a little."""
    return size * max(factor, _LEAST_TEXT)


def numbered(lines: Sequence[str], size: float = TEACHER) -> list[Flowable]:
    """A numbered list."""
    return [para(line, size, indent=8, bullet=f"{n}.") for n, line in enumerate(lines, start=1)]


def bulleted(lines: Sequence[str], size: float = TEACHER) -> list[Flowable]:
    """A list with a dot before each item."""
    return [para(line, size, indent=6, bullet="•") for line in lines]


def section(words: str, size: float = PUPIL, *, room: float = 45.0) -> list[Flowable]:
    """A heading that stays with what follows: it moves to the next page where less than room (mm) is left."""
    return [room_for(room), para(words, size, bold=True, before=3)]


def room_for(height: float) -> Flowable:
    """Where less than this height (mm) is left on a page, what follows begins on the next."""
    return CondPageBreak(height * POINTS_PER_MM)


def together(story: Sequence[Flowable]) -> Flowable:
    """Flowables that stay on one page."""
    bare = TableStyle([(f"{side}PADDING", (0, 0), (-1, -1), 0) for side in _SIDES])
    return Table([[list(story)]], colWidths=["100%"], style=bare, hAlign="LEFT")


def space(height: float) -> Spacer:
    """An empty stretch of that height in mm."""
    return Spacer(1, height * POINTS_PER_MM)


def table(
    rows: Sequence[Sequence[Flowable | str]],
    widths: Sequence[float],
    *,
    size: float = TEACHER,
    head: int = 1,
    row_height: float = 0.0,
) -> Table:
    """A ruled table; text is wrapped in its cell; head rows come again on every page.

    widths are the columns' and row_height is the least height of a row with an empty cell below the head, in mm.
    """
    cells = [[_cell(cell, size, n < head, row_height) for cell in row] for n, row in enumerate(rows)]
    style = [
        ("GRID", (0, 0), (-1, -1), 0.6, _RULE_GREY),
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        *((f"{side}PADDING", (0, 0), (-1, -1), _PADDING * POINTS_PER_MM) for side in _SIDES),
    ]
    if head:
        style.append(("BACKGROUND", (0, 0), (-1, head - 1), _HEAD_GREY))
    return Table(
        cells,
        colWidths=[width * POINTS_PER_MM for width in widths],
        repeatRows=head,
        style=TableStyle(style),
        hAlign="LEFT",
    )


def _cell(cell: Flowable | str, size: float, is_head: bool, row_height: float) -> Flowable:
    """A cell's content; empty ones hold the row open (reportlab cannot split tables with least row heights)."""
    if cell == "" and not is_head:
        return space(max(row_height - 2 * _PADDING, 0.0))
    return para(cell, size, bold=is_head, after=0) if isinstance(cell, str) else cell


def _fill(pages: Pages, area: Box, story: list[Flowable]) -> bool:
    """Set as much of the story as the area holds and take it off the list; whether that was anything."""
    frame = Frame(
        area.x * POINTS_PER_MM,
        (pages.paper.height - area.y - area.height) * POINTS_PER_MM,
        area.width * POINTS_PER_MM,
        area.height * POINTS_PER_MM,
        leftPadding=0,
        rightPadding=0,
        topPadding=0,
        bottomPadding=0,
    )
    before = len(story)
    while story and frame.add(story[0], pages.canvas, trySplit=1):
        del story[0]
    shares = frame.split(story[0], pages.canvas) if story else []
    if shares and frame.add(shares[0], pages.canvas):
        story[:1] = shares[1:]
        return True
    return len(story) < before


def _shrunk(flowable: Flowable, area: Box) -> KeepInFrame:
    """What cannot be split and is higher than a page, made smaller to fit on one."""
    return KeepInFrame(area.width * POINTS_PER_MM, area.height * POINTS_PER_MM, [flowable], mode="shrink")

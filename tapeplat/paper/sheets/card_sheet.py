"""The card: the printed reference that lies in every photo; and how to stick, lay and photograph it."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus import Flowable

from calib.printed import (
    CARD,
    CARD_MARK,
    CARD_SQUARE,
    CARD_TAG,
    CHECK_LINE_ALONG,
    CHECK_LINE_UP,
    DOT_DIAMETER,
    DOT_GREY,
    SWATCHES,
    Box,
    swatch_dots,
)
from measure.challenge import Challenge
from tapeplat.paper.pdf.check_lines import ALONG, UP, check_line, page_check_lines
from tapeplat.paper.pdf.flow import TEACHER, flow, numbered, para, table
from tapeplat.paper.pdf.fonts import printable, text_width
from tapeplat.paper.pdf.pdf_canvas import HEADER, Pages
from tapeplat.paper.pdf.tag_paths import draw_tag
from tapeplat.paper.sheets.sheet_job import Job

HEADING = "The card"
USE_HEADING = "How to use the card"
TOP = HEADER + 3
"""Where the card's top edge lies, in mm from the page's."""
CUT_GREY = 0.55
_LABEL_SIZE, _LABEL_LEAST = 4.6, 3.6
"""Points: what fits between two rows of boxes without touching their insides, and the least that can be read."""


def draw(pages: Pages, job: Job) -> None:
    """The card, and whose tape goes into which box."""
    pages.start(HEADING)
    left = (pages.paper.width - CARD.width) / 2
    draw_card(pages, job.challenge.title, _labels(job.challenge), left, TOP)
    page_check_lines(pages)
    flow(pages, HEADING, [_legend(job.challenge)], top=TOP + CARD.height + 4, left=left, bottom=26)


def draw_use(pages: Pages, job: Job) -> None:
    """How to print the card, stick, lay and photograph it."""
    flow(pages, USE_HEADING, _how_to(job.challenge))


def draw_card(pages: Pages, title: str, labels: Sequence[str], left: float, top: float) -> None:
    """The card with its cutting line, its top-left corner at (left, top); a label below every swatch box."""
    pages.box(_moved(CARD, left, top), width=0.15, grey=CUT_GREY)
    draw_tag(pages, CARD_TAG, _moved(CARD_SQUARE, left, top))
    for label, swatch in zip(labels, SWATCHES, strict=True):
        box = _moved(swatch, left, top)
        pages.box(box, width=0.15, grey=0.4)
        pages.fitted(box.x, box.y + box.height + 1.5, label, box.width, size=_LABEL_SIZE, grey=0.2)
    _draw_dots(pages, left, top)
    _draw_check_lines(pages, left, top)
    pages.fitted(left + CARD_SQUARE.x, top + 11, title, 100, size=11, bold=True)
    pages.text(left + SWATCHES[1].x + SWATCHES[1].width, top + 11, "this side up", size=9, align="right", grey=0.2)
    _draw_up_arrow(pages, left + SWATCHES[1].x + 6, top + 12)


def swatch_label(number: int, names: tuple[str, ...], room: float) -> str:
    """What stands below a swatch box: its number and its zones, or how many where the names do not fit legibly."""
    label = f"{number}  {', '.join(names)}"
    widest = text_width(printable(label), _LABEL_LEAST)
    return label if widest <= room else f"{number}  see list ({len(names)})"


def _draw_dots(pages: Pages, left: float, top: float) -> None:
    """In every box, which tape hides whatever its colour, and in a row that says that this card has them."""
    dots = [CARD_MARK, *(swatch_dots(n).reshape(-1, 2).tolist() for n in range(1, len(SWATCHES) + 1))]
    for x, y in (dot for group in dots for dot in group):
        pages.dot((left + x, top + y), DOT_DIAMETER, fill=DOT_GREY / 255)


def _draw_check_lines(pages: Pages, left: float, top: float) -> None:
    for (start, end), tick in ((CHECK_LINE_ALONG, (0.0, 1.5)), (CHECK_LINE_UP, (-1.5, 0.0))):
        check_line(pages, (left + start[0], top + start[1]), (left + end[0], top + end[1]), tick=tick)
    end = CHECK_LINE_ALONG[1]
    pages.text(left + end[0] + 2, top + end[1] + 1, "100 mm", size=6)
    pages.text(left + 3.4, top + CARD_SQUARE.y + CARD_SQUARE.height / 2, "80 mm", size=6, upwards=True, align="centre")


def _draw_up_arrow(pages: Pages, x: float, y: float) -> None:
    pages.shape([[(x, y - 6), (x + 2.5, y - 3), (x - 2.5, y - 3)]], fill=0.2)
    pages.shape([[(x - 0.8, y - 3), (x + 0.8, y - 3), (x + 0.8, y), (x - 0.8, y)]], fill=0.2)


def _labels(challenge: Challenge) -> list[str]:
    return [
        swatch_label(number, _names(challenge, number), swatch.width) for number, swatch in enumerate(SWATCHES, start=1)
    ]


def _names(challenge: Challenge, swatch: int) -> tuple[str, ...]:
    zones = (zone.name for zone in challenge.zones if zone.swatch == swatch)
    return (*zones, *(line.name for line in challenge.lines if line.swatch == swatch))


def _legend(challenge: Challenge) -> Flowable:
    used = [number for number in range(1, len(SWATCHES) + 1) if _names(challenge, number)]
    lines = {line.swatch: " (of what it is made of, or a stroke of its marker)" for line in challenge.lines}
    rows = [("box", "stick in a piece of the tape of")]
    rows += [(str(number), ", ".join(_names(challenge, number)) + lines.get(number, "")) for number in used]
    return table(rows, (16, 160), size=9)


def _how_to(challenge: Challenge) -> list[Flowable]:
    return [
        para("Print and check", 13, bold=True),
        *numbered(_printing()),
        para("Stick the tapes", 13, bold=True, before=3),
        *numbered(_sticking()),
        para("Lay the card", 13, bold=True, before=3),
        *numbered(_laying(challenge)),
        para("Take the photo", 13, bold=True, before=3),
        *numbered(_photographing(), TEACHER),
    ]


def _printing() -> list[str]:
    return [
        "Print at 100 % (“actual size”), not “fit to page”, on plain white paper that does not shine.",
        "Measure the card's two check lines with a good ruler: the one along should be 100 mm, the one up 80 mm. "
        f"More exact: measure the page's long lines and divide ({ALONG:g} mm along by {ALONG / 100:g}, {UP:g} mm up by "
        f"{UP / 80:g}).",
        "Write what you read, along and up, into the challenge file: printed_line = [100.0, 80.0].",
        "Cut along the grey line and glue the card to something stiff and flat. A bent card is refused.",
    ]


def _sticking() -> list[str]:
    return [
        "Take each tape from the same roll that the teams use.",
        "Stick a piece into its box so that it covers the dots, flat and in one layer, and cut it off at the edges. "
        "Covered dots say that the box holds tape, be it white; a narrow tape may leave rows of them bare.",
        "Of see-through tape stick as many layers as the teams do. Does its colour hardly show, take another one.",
        "Leave the boxes that are not in the list empty, and keep the black square, the white around it and the row of "
        "five dots below the boxes clean.",
    ]


def _laying(challenge: Challenge) -> list[str]:
    where = "Lay the card flat on the parcel where it hides no tape, or beside the parcel at the same height."
    if challenge.surface == "table":
        where = "Lay the card flat on the table close beside the board, as this challenge says."
    return [
        where,
        "Turn the card so that its top points the same way as the parcel's top.",
        "Nothing may lie on the card, lean over it or throw a shadow on it.",
    ]


def _photographing() -> list[str]:
    return [
        "Put the model low (on the floor or a low table) and stand beside it, both feet on the floor. Never stand on "
        "a chair, a table or a box: hold the phone out at arm's length or use a phone stand.",
        "Hold the phone above the middle and point it straight down. A little slant does no harm.",
        "Get the whole parcel and the whole card into the picture, close enough to fill it, without digital zoom.",
        "Use even daylight or ceiling light, no flash. Tap the screen on the card so that it is sharp, and hold still.",
        "No faces, hands or names in the picture.",
    ]


def _moved(box: Box, dx: float, dy: float) -> Box:
    return Box(box.x + dx, box.y + dy, box.width, box.height)

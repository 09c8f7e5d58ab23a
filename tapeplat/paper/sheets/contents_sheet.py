"""The first page of a whole set: what is in the file, how often to print it, and where."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from reportlab.platypus import Flowable

from tapeplat.paper.pdf.flow import flow, para, space, table
from tapeplat.paper.pdf.pdf_canvas import MARGIN, Pages

HEADING = "What is in this file"


@dataclass(frozen=True)
class Entry:
    """A sheet's name on the command line, its title, how often to print it, and its first and last page."""

    name: str
    title: str
    copies: str
    first: int
    last: int

    @property
    def pages(self) -> str:
        """`7` or `7-9`."""
        return str(self.first) if self.first == self.last else f"{self.first}–{self.last}"


def draw(pages: Pages, entries: Sequence[Entry]) -> None:
    """The list of sheets."""
    width = pages.paper.width - 2 * MARGIN
    rows: list[Sequence[Flowable | str]] = [("pages", "sheet", "print", "name")]
    rows += [(entry.pages, entry.title, entry.copies, entry.name) for entry in entries]
    advice = (
        "Print at 100 % (“actual size”), never “fit to page”, and only the pages that you need: pick them in the print "
        "window by their numbers, or make a smaller file of the sheets that you name."
    )
    story = [para(advice), space(2), table(rows, (20, width - 20 - 68 - 30, 68, 30), size=9.5)]
    flow(pages, HEADING, story)

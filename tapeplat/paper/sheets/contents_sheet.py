"""The first page of a whole set: what is in the file, how often to print it, and where."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from reportlab.platypus import Flowable

from tapeplat.paper.pdf.flow import flow_fitted, para, space, table
from tapeplat.paper.pdf.pdf_canvas import MARGIN, Pages
from tapeplat.paper.sheets.copies import Copies

HEADING = "What is in this file"


@dataclass(frozen=True)
class Entry:
    """A sheet's name on the command line, its title, how often to print it, and its first and last page."""

    name: str
    title: str
    copies: Copies
    first: int
    last: int

    @property
    def pages(self) -> str:
        """`7` or `7-9`."""
        return str(self.first) if self.first == self.last else f"{self.first}–{self.last}"

    def printed(self, teams: int) -> int:
        """How many pages come out of the printer for so many teams."""
        return (self.last - self.first + 1) * self.copies.number(teams)


def draw(pages: Pages, entries: Sequence[Entry], teams: int) -> None:
    """The list of sheets, how often each is printed for so many teams, and the pages in all."""
    width = pages.paper.width - 2 * MARGIN
    rows: list[Sequence[Flowable | str]] = [("pages", "sheet", "print", "how often", "name")]
    for entry in entries:
        rows.append((entry.pages, entry.title, str(entry.copies.number(teams)), entry.copies.words, entry.name))
    in_all = 1 + sum(entry.printed(teams) for entry in entries)
    advice = (
        "Print at 100 % (“actual size”), never “fit to page”. In the print window pick pages by their numbers, and "
        f"how many copies. For {teams} {'team' if teams == 1 else 'teams'} that is {in_all} pages in all, this one "
        "among them."
    )
    widths = (18, width - 18 - 15 - 58 - 28, 15, 58, 28)
    flow_fitted(pages, HEADING, lambda factor: [para(advice), space(2), table(rows, widths, size=9.5 * factor)])

"""Pages and ink of a print, counted before anything is printed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import pypdfium2 as pdfium

from tapeplat.paper.book import Sheet, make_book
from tapeplat.paper.sheets.sheet_job import Job

PAGE_OF_TEXT = 0.05
"""The share of its paper that a page of text blackens, as printers' yields are stated (common practice, no source)."""
_SCALE = 2.0
"""Pixels a point: 144 to the inch; at fewer, thin lines are drawn wider than they are."""


@dataclass(frozen=True)
class Counted:
    """A sheet: its pages, how often it is printed, and the share of its paper that is black, summed over its pages."""

    sheet: Sheet
    pages: int
    copies: int
    ink: float

    @property
    def printed(self) -> int:
        """Pages that come out of the printer."""
        return self.pages * self.copies

    @property
    def share(self) -> float:
        """The part of its paper that is black."""
        return self.ink / self.pages


@dataclass(frozen=True)
class Total:
    """All sheets of a print."""

    sheets: tuple[Counted, ...]

    @property
    def printed(self) -> int:
        """Pages in all."""
        return sum(sheet.printed for sheet in self.sheets)

    @property
    def text_pages(self) -> float:
        """How many pages of text would take as much ink."""
        return sum(sheet.ink * sheet.copies for sheet in self.sheets) / PAGE_OF_TEXT

    @property
    def for_a_team(self) -> int:
        """Pages that each team gets."""
        return sum(sheet.pages for sheet in self.sheets if sheet.sheet.slim == "team")


def counted(sheets: Sequence[Sheet], job: Job) -> Total:
    """Make every sheet by itself and look at its pages as a printer would."""
    return Total(tuple(_counted(sheet, job) for sheet in sheets))


def _counted(sheet: Sheet, job: Job) -> Counted:
    inks = ink_of(make_book(job, [sheet]))
    return Counted(sheet, len(inks), sheet.copies.number(len(job.teams)), sum(inks))


def ink_of(content: bytes) -> list[float]:
    """The share of each page of a PDF that is black; a grey or a colour counts by its darkness."""
    document = pdfium.PdfDocument(content)
    try:
        pictures = (page.render(scale=_SCALE, grayscale=True).to_numpy() for page in document)
        return [1 - float(picture.mean()) / 255 for picture in pictures]
    finally:
        document.close()

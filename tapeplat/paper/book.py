"""Puts sheets together into one PDF."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from tapeplat.paper import card, tiles
from tapeplat.paper.canvas import Pages, PaperSize
from tapeplat.paper.job import Job


@dataclass(frozen=True)
class Sheet:
    """One kind of sheet: its name on the command line, what it is for, how it is drawn, whether a job has use for it.

    idle says why a job has no use for it; empty where it has.
    """

    name: str
    title: str
    purpose: str
    draw: Callable[[Pages, Job], None]
    idle: Callable[[Job], str] = lambda job: ""


SHEETS = (
    Sheet("card", card.HEADING, "one for every model photographed", card.draw),
    Sheet("tiles", tiles.CORNERS_HEADING, "one set for every model", tiles.draw_corner_tiles),
)
NAMES = tuple(sheet.name for sheet in SHEETS)


def make_book(job: Job, paper: PaperSize, sheets: Sequence[Sheet] = SHEETS) -> bytes:
    """The PDF with these sheets in their order; the same job gives the same bytes."""
    pages = Pages(paper, job.challenge.title)
    for sheet in sheets:
        sheet.draw(pages, job)
    return pages.finished()

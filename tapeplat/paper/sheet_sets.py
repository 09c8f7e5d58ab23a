"""Which sheets a class prints: a slim set, at most so many pages for each team, or all that are of use."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal, get_args

from tapeplat.paper.book import SHEETS, Sheet
from tapeplat.paper.exercises.needed_measures import needed_measures
from tapeplat.paper.pdf.pdf_canvas import Pages
from tapeplat.paper.sheets.sheet_job import Job

MOST_FOR_A_TEAM = 8
SetName = Literal["slim", "team", "class", "all"]
SET_NAMES: tuple[SetName, ...] = get_args(SetName)
_NEED = ("card", "rules", "measuring", "structures", "drawing", "grid", "questions")
"""The team's sheets in the order in which a team needs them."""


@dataclass(frozen=True)
class Chosen:
    """The sheets of a set in the book's order, and those that would make it more pages than a team gets."""

    sheets: tuple[Sheet, ...]
    left_out: tuple[Sheet, ...] = ()


def chosen(name: SetName, job: Job, pages: Callable[[Sheet], int] | None = None) -> Chosen:
    """The sheets of a set that are of use: `slim` is what the class needs once and what each team needs.

    pages says how many a sheet takes, where that is known; else it is tried.
    """
    useful = [sheet for sheet in SHEETS if not sheet.idle(job)]
    if name == "all":
        return Chosen(tuple(useful))
    for_class = [sheet for sheet in useful if sheet.slim == "class"]
    if name == "class":
        return Chosen(tuple(for_class))
    needless = "" if any(one.quantity == "area" for one in needed_measures(job.challenge)) else "grid"
    of_team = sorted((s for s in useful if s.slim == "team" and s.name != needless), key=lambda s: _NEED.index(s.name))
    kept, left_out = _within(of_team, pages or (lambda sheet: pages_of(sheet, job)))
    if "questions" not in [sheet.name for sheet in kept]:
        for_class = [sheet for sheet in for_class if sheet.name != "answers"]
    wanted = kept if name == "team" else [*for_class, *kept]
    return Chosen(tuple(sorted(wanted, key=_order)), tuple(left_out))


def pages_of(sheet: Sheet, job: Job) -> int:
    """How many pages a sheet takes."""
    pages = Pages(job.paper, "")
    sheet.draw(pages, job)
    return pages.count


def _within(sheets: Sequence[Sheet], pages_for: Callable[[Sheet], int]) -> tuple[list[Sheet], list[Sheet]]:
    """Those that a team needs most and that fit its pages, and the others."""
    kept, left_out, taken = list[Sheet](), list[Sheet](), 0
    for sheet in sheets:
        pages = pages_for(sheet)
        fits = taken + pages <= MOST_FOR_A_TEAM
        (kept if fits else left_out).append(sheet)
        taken += pages if fits else 0
    return kept, left_out


def _order(sheet: Sheet) -> tuple[bool, int]:
    """What the class needs once comes first, then what each team needs."""
    return sheet.slim == "team", SHEETS.index(sheet)

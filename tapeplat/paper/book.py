"""Puts sheets together into one PDF."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

from tapeplat.paper.exercises.needed_measures import needed_measures
from tapeplat.paper.exercises.rule_facts import speaks_of_structures
from tapeplat.paper.pdf.pdf_canvas import Pages
from tapeplat.paper.sheets import (
    camera_sheets,
    card_sheet,
    contents_sheet,
    grid_sheet,
    hand_sheets,
    measuring_sheet,
    photo_sheet,
    planning_sheet,
    question_sheet,
    rules_sheet,
    teacher_sheet,
    tile_sheets,
    zone_key_sheet,
)
from tapeplat.paper.sheets.contents_sheet import Entry
from tapeplat.paper.sheets.copies import Copies
from tapeplat.paper.sheets.sheet_job import Job
from tapeplat.paper.solids import structures_sheet

MOST_PAGES = 60
"""A drawing at full size that takes more pages than this helps nobody."""


def _always(job: Job) -> str:
    return ""


@dataclass(frozen=True)
class Sheet:
    """One kind of sheet.

    name is the command line's, copies says how often to print it, draw puts it on new pages, and idle says in one
    sentence why a job has no use for it (empty where it has). slim is the part of the slim set that it belongs to.
    """

    name: str
    title: str
    copies: Copies
    draw: Callable[[Pages, Job], None]
    idle: Callable[[Job], str] = _always
    slim: Literal["", "team", "class"] = ""


def make_book(job: Job, sheets: Sequence[Sheet], *, with_contents: bool = False) -> bytes:
    """The PDF with these sheets in their order; the same job gives the same bytes."""
    entries = [Entry(sheet.name, sheet.title, sheet.copies, 1, 1) for sheet in sheets] if with_contents else []
    content, entries = _made(job, sheets, entries)
    return _made(job, sheets, entries)[0] if with_contents else content


def _made(job: Job, sheets: Sequence[Sheet], entries: Sequence[Entry]) -> tuple[bytes, list[Entry]]:
    """The PDF, beginning with a list of the entries where there are any, and where each sheet came to lie in it."""
    pages = Pages(job.paper, job.challenge.title)
    if entries:
        contents_sheet.draw(pages, entries, len(job.teams))
    found = []
    for sheet in sheets:
        first = pages.count + 1
        sheet.draw(pages, job)
        found.append(Entry(sheet.name, sheet.title, sheet.copies, first, pages.count))
    return pages.finished(), found


def _no_rules(job: Job) -> str:
    return "" if job.challenge.rules else "the challenge has no rules to list"


def _no_zone_tiles(job: Job) -> str:
    return "" if any(zone.tile is not None for zone in job.challenge.zones) else "no zone of this challenge has a tile"


def _no_structures(job: Job) -> str:
    return "" if speaks_of_structures(job.challenge) else "no rule of this challenge speaks of structures"


def _too_large(job: Job) -> str:
    pages = planning_sheet.full_size_pages(job.challenge, job.paper)
    return f"the parcel at full size takes {pages} pages; plan on the scale drawing" if pages > MOST_PAGES else ""


def _no_photo(job: Job) -> str:
    return "" if job.photo else "the photo under a grid needs a measured model: name its result.json with --result"


def _no_full_photo(job: Job) -> str:
    if job.photo is None:
        return _no_photo(job)
    pages = photo_sheet.full_size_pages(job.photo, job.paper)
    return f"the photo at full size takes {pages} pages; print it on one" if pages > MOST_PAGES else ""


def _draw_photo(pages: Pages, job: Job) -> None:
    assert job.photo is not None
    photo_sheet.draw_on_one_page(pages, job.photo, job.challenge.unit)


def _draw_full_photo(pages: Pages, job: Job) -> None:
    assert job.photo is not None
    photo_sheet.draw_full_size(pages, job.photo, job.challenge.unit)


def _nothing_measured(job: Job) -> str:
    return "" if needed_measures(job.challenge) else "no rule of this challenge needs a number that is measured by hand"


_TEAM, _TEACHER = Copies("1 for each team", 1), Copies("1 for the teacher")
_PUPIL, _CLASS = Copies("1 for each team, or each pupil", 1), Copies("1 for the class")
_CLEAR = Copies("on transparency, 1 for each team", 1)
SHEETS = (
    Sheet("teacher", teacher_sheet.HEADING, _TEACHER, teacher_sheet.draw, slim="class"),
    Sheet("card", card_sheet.HEADING, Copies("1 for each team, 1 spare", 1, spare=1), card_sheet.draw, slim="team"),
    Sheet("use", card_sheet.USE_HEADING, _TEACHER, card_sheet.draw_use, slim="class"),
    Sheet(
        "tiles",
        tile_sheets.CORNERS_HEADING,
        Copies("1 for three teams", 3),
        tile_sheets.draw_corner_tiles,
        slim="class",
    ),
    Sheet(
        "zonetiles",
        tile_sheets.ZONES_HEADING,
        Copies("1 for two teams", 2),
        tile_sheets.draw_zone_tiles,
        _no_zone_tiles,
        slim="class",
    ),
    Sheet("labels", tile_sheets.TEAMS_HEADING, _CLASS, tile_sheets.draw_team_labels, slim="class"),
    Sheet(
        "selfcheck",
        camera_sheets.SELF_CHECK_HEADING,
        Copies("1, to test phone and printer"),
        camera_sheets.draw_self_check_sheet,
    ),
    Sheet("lens", camera_sheets.LENS_HEADING, Copies("1, to learn a phone's lens"), camera_sheets.draw_lens_sheet),
    Sheet("rules", rules_sheet.TEAM_HEADING, _TEAM, rules_sheet.draw_team_rules, _no_rules, slim="team"),
    Sheet("master", rules_sheet.MASTER_HEADING, _TEACHER, rules_sheet.draw_master_list, _no_rules, slim="class"),
    Sheet("measuring", measuring_sheet.HEADING, _TEAM, measuring_sheet.draw, _nothing_measured, slim="team"),
    Sheet("squares", hand_sheets.SQUARES_HEADING, _PUPIL, hand_sheets.draw_squares),
    Sheet("ruler", hand_sheets.RULER_HEADING, _PUPIL, hand_sheets.draw_ruler),
    Sheet("structures", structures_sheet.HEADING, _TEAM, structures_sheet.draw, _no_structures, slim="team"),
    Sheet("cubes", hand_sheets.CUBES_HEADING, _PUPIL, hand_sheets.draw_cubes, _no_structures),
    Sheet("grid", grid_sheet.HEADING, _CLEAR, grid_sheet.draw_clear_grid, slim="team"),
    Sheet("finegrid", grid_sheet.FINE_HEADING, _CLEAR, grid_sheet.draw_fine_grid),
    Sheet("drawing", planning_sheet.DRAWING_HEADING, _PUPIL, planning_sheet.draw_scale_drawing, slim="team"),
    Sheet("planning", planning_sheet.FULL_HEADING, _TEAM, planning_sheet.draw_full_size, _too_large),
    Sheet("photo", photo_sheet.PAGE_HEADING, _TEAM, _draw_photo, _no_photo),
    Sheet("photofull", photo_sheet.FULL_HEADING, _TEAM, _draw_full_photo, _no_full_photo),
    Sheet("key", zone_key_sheet.HEADING, _TEAM, zone_key_sheet.draw),
    Sheet("questions", question_sheet.HEADING, _PUPIL, question_sheet.draw_questions, _no_rules, slim="team"),
    Sheet("answers", question_sheet.ANSWERS_HEADING, _TEACHER, question_sheet.draw_answers, _no_rules, slim="class"),
)
NAMES = tuple(sheet.name for sheet in SHEETS)

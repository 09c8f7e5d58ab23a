"""PDFs made for the page: a challenge's sheets, a team's and a class's report."""

from __future__ import annotations

import threading
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from measure.challenge import Challenge
from measure.teams import team_key
from tapeplat.archive import Entry
from tapeplat.paper.book import SHEETS, Sheet, make_book
from tapeplat.paper.pdf.pdf_canvas import PAPERS
from tapeplat.paper.sheets.sheet_job import Job
from tapeplat.reports.class_page import ClassContent
from tapeplat.reports.report_content import TeamContent
from tapeplat.reports.report_files import read_content, report_pdf

_ONE_AT_A_TIME = threading.Lock()
"""The PDF library keeps its typefaces in one place for the whole process."""


@dataclass(frozen=True)
class Offered:
    """A sheet that may be printed, and why this challenge has no use for it (empty where it has)."""

    name: str
    title: str
    copies: str
    idle: str


def offered(challenge: Challenge, paper: str, teams: int) -> list[Offered]:
    """Every sheet, in the book's order; those for a measured model's photo are made from that model."""
    job = _job(challenge, paper, teams)
    return [Offered(sheet.name, sheet.title, sheet.copies, sheet.idle(job)) for sheet in SHEETS if _for_all(sheet)]


def printed(challenge: Challenge, paper: str, teams: int, names: Sequence[str]) -> bytes:
    """The PDF with the named sheets that are of use, all of them where none is named.

    Raises ValueError where none of them is of use.
    """
    job = _job(challenge, paper, teams)
    chosen = [sheet for sheet in SHEETS if (sheet.name in names or not names) and _for_all(sheet)]
    useful = [sheet for sheet in chosen if not sheet.idle(job)]
    if not useful:
        raise ValueError("; ".join(dict.fromkeys(sheet.idle(job) for sheet in chosen)) or "there is no such sheet")
    with _ONE_AT_A_TIME:
        return make_book(job, useful, with_contents=not names)


def team_report(entry: Entry, paper: str, names: Mapping[int, str]) -> bytes:
    """One model's page for the wall, its map behind it; names are those that teams gave themselves, by number.

    Raises InputMistakes where its files are damaged.
    """
    with _ONE_AT_A_TIME:
        return report_pdf([_named(read_content(entry.folder), names)], PAPERS[paper], maps=True)


def class_report(title: str, entries: Sequence[Entry], paper: str, names: Mapping[int, str]) -> bytes:
    """The class's pages, then every team's. Raises InputMistakes where files are damaged."""
    contents = [_named(read_content(entry.folder), names) for entry in entries]
    results = (replace(content.result, team=content.team.removeprefix("Team ")) for content in contents)
    overview = ClassContent(title, tuple(results))
    with _ONE_AT_A_TIME:
        return report_pdf(contents, PAPERS[paper], overview=overview)


def _named(content: TeamContent, names: Mapping[int, str]) -> TeamContent:
    """With the name that the team gave itself; it is printed, and not filed."""
    number = team_key(content.team)
    own = names.get(int(number), "") if number.isdigit() else ""
    return replace(content, team=f"Team {number}: {own}") if own else content


def _job(challenge: Challenge, paper: str, teams: int) -> Job:
    return Job(challenge, PAPERS[paper], tuple(range(1, teams + 1)))


def _for_all(sheet: Sheet) -> bool:
    return sheet.name not in ("photo", "photofull")

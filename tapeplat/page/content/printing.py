"""PDFs made for the page: a challenge's sheets, a team's and a class's report."""

from __future__ import annotations

import threading
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from measure.challenge import Challenge
from measure.teams import team_key
from tapeplat.archive import Entry
from tapeplat.archive.class_progress import class_progress_pdf, steps_from
from tapeplat.archive.team_progress import attempts_from, team_progress_pdf
from tapeplat.kit.kit_contents import MODEL_PAGES, kit_file
from tapeplat.kit.kit_job import KitJob
from tapeplat.paper.book import SHEETS, Sheet, make_book
from tapeplat.paper.page_count import Counted, Total, counted
from tapeplat.paper.pdf.pdf_canvas import PAPERS
from tapeplat.paper.sheet_sets import SET_NAMES, SetName, chosen
from tapeplat.paper.sheets.sheet_job import Job
from tapeplat.reports.class_page import ClassContent, Unmeasured
from tapeplat.reports.report_content import TeamContent
from tapeplat.reports.report_files import posters_pdf, read_content, report_pdf

_ONE_AT_A_TIME = threading.Lock()
"""The PDF library keeps its typefaces in one place for the whole process."""


@dataclass(frozen=True)
class Offered:
    """A sheet that may be printed, its pages and black share, and why it is of no use (empty where it is of use)."""

    name: str
    title: str
    copies: str
    idle: str
    pages: int
    black: float


@dataclass(frozen=True)
class Print:
    """What a choice of sheets comes to: pages in all and for each team, and pages of text that take as much ink."""

    name: SetName
    pages: int
    for_a_team: int
    text_pages: int
    left_out: tuple[str, ...]


@dataclass(frozen=True)
class Offer:
    """Every sheet in the book's order, and the sets by name."""

    sheets: tuple[Offered, ...]
    prints: tuple[Print, ...]


def offered(challenge: Challenge, paper: str, teams: int) -> Offer:
    """What can be printed, counted; sheets of a measured model's photo are made from that model."""
    job = _job(challenge, paper, teams)
    with _ONE_AT_A_TIME:
        return _counted_offer(job)


def _counted_offer(job: Job) -> Offer:
    """Every sheet is made once, and the sets are added up from that."""
    sheets = [sheet for sheet in SHEETS if _for_all(sheet)]
    each = {one.sheet.name: one for one in counted([s for s in sheets if not s.idle(job)], job).sheets}
    prints = []
    for name in SET_NAMES:
        found = chosen(name, job, lambda sheet: each[sheet.name].pages)
        total = Total(tuple(each[sheet.name] for sheet in found.sheets))
        contents = int(name != "team")
        titles = tuple(sheet.title for sheet in found.left_out)
        prints.append(Print(name, total.printed + contents, total.for_a_team, round(total.text_pages), titles))
    listed = [_listed(sheet, each.get(sheet.name), sheet.idle(job)) for sheet in sheets]
    return Offer(tuple(listed), tuple(prints))


def _listed(sheet: Sheet, found: Counted | None, idle: str) -> Offered:
    pages, black = (found.pages, found.share) if found else (0, 0.0)
    return Offered(sheet.name, sheet.title, sheet.copies.words, idle, pages, black)


def printed(challenge: Challenge, paper: str, teams: int, names: Sequence[str], of: SetName = "slim") -> bytes:
    """The PDF with the named sheets that are of use; where none is named, with those of the set.

    Raises ValueError where none of them is of use.
    """
    job = _job(challenge, paper, teams)
    named = [sheet for sheet in SHEETS if sheet.name in names and _for_all(sheet)]
    useful = [sheet for sheet in named if not sheet.idle(job)]
    with _ONE_AT_A_TIME:
        if not names:
            useful = list(chosen(of, job).sheets)
        if not useful:
            raise ValueError("; ".join(dict.fromkeys(sheet.idle(job) for sheet in named)) or "there is no such sheet")
        return make_book(job, useful, with_contents=not names and of != "team")


def unit_kit(challenge: Challenge, suffix: str, paper: str, teams: int, entry: Entry | None = None) -> bytes:
    """The kit as .docx or .pdf; of a measured model the pages about its own results alone. Raises InputMistakes."""
    models = () if entry is None else (read_content(entry.folder),)
    names = MODEL_PAGES if models else ()
    with _ONE_AT_A_TIME:
        return kit_file(KitJob(challenge, teams, models=models), suffix, PAPERS[paper], names)


def team_report(entry: Entry, paper: str, names: Mapping[int, str]) -> bytes:
    """One model's page for the wall, its map behind it; names are those that teams gave themselves, by number.

    Raises InputMistakes where its files are damaged.
    """
    with _ONE_AT_A_TIME:
        return report_pdf([_named(read_content(entry.folder), names)], PAPERS[paper], maps=True)


def posters(entries: Sequence[Entry], paper: str, names: Mapping[int, str], own_words: str = "") -> bytes:
    """A poster for each model, with the words of its team where they were typed. Raises InputMistakes."""
    contents = [_named(read_content(entry.folder), names) for entry in entries]
    with _ONE_AT_A_TIME:
        return posters_pdf(contents, PAPERS[paper], own_words)


def team_attempts(entries: Sequence[Entry], paper: str, names: Mapping[int, str]) -> bytes:
    """All attempts of one team, in their order. Raises InputMistakes where files are damaged."""
    attempts = [replace(one, content=_named(one.content, names)) for one in attempts_from(entries)]
    with _ONE_AT_A_TIME:
        return team_progress_pdf(attempts, PAPERS[paper])


def class_progress(title: str, entries: Sequence[Entry], paper: str, names: Mapping[int, str]) -> bytes:
    """The chart of all teams' attempts."""
    teams = steps_from(entries, {str(number): name for number, name in names.items()})
    with _ONE_AT_A_TIME:
        return class_progress_pdf(title, teams, PAPERS[paper])


def class_report(
    title: str, entries: Sequence[Entry], paper: str, names: Mapping[int, str], refused: Sequence[Unmeasured] = ()
) -> bytes:
    """The class's pages with refused photos, then every team's. Raises InputMistakes where files are damaged."""
    contents = [_named(read_content(entry.folder), names) for entry in entries]
    results = (replace(content.result, team=content.team.removeprefix("Team ")) for content in contents)
    overview = ClassContent(title, tuple(results), tuple(refused))
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

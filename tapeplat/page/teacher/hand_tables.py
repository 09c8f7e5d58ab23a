"""All that a class measured by hand: for the teacher's page, as a table for a spreadsheet, and for the archive."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from measure.challenge import Challenge
from measure.errors import InputMistakes
from measure.hand.hand_comparison import Checked
from measure.hand.hand_verdicts import HandVerdict, hand_verdicts
from measure.hand.values.hand_table import COLUMNS
from tapeplat.archive import Entry
from tapeplat.archive.cleaning.clean_hand_table import filed_hand
from tapeplat.output.result_folder import FolderNotWritable
from tapeplat.output.spreadsheet import csv_text
from tapeplat.page.base.page_errors import PageError
from tapeplat.page.base.page_words import without_commands
from tapeplat.page.session.services import services
from tapeplat.page.store.hand_numbers import HandEntries, HandEntry
from tapeplat.page.store.team_words import TeamWords
from tapeplat.page.student.answers import Answer
from tapeplat.page.student.hand_views import current_answers
from tapeplat.page.student.student_context import Attempt, Team, attempts_of, team_numbered
from tapeplat.verify.hand_words import as_written, en_text, mistakes_text, what, with_uncertainty

FILE = "hand.csv"


@dataclass(frozen=True)
class NumberLine:
    """One number in words: what the team was told, and what the photo says."""

    what: str
    who: str
    written: str
    told: str
    photo: str = ""
    apart: str = ""
    error: str = ""
    likely: str = ""


@dataclass(frozen=True, eq=False)
class TeamNumbers:
    """A team's newest attempt with its numbers; word is the team's own, empty where nobody joined.

    spent names what has no try left and does not agree: the subject, and the same in words.
    """

    team: Team
    word: str
    attempt: Attempt | None
    lines: tuple[NumberLine, ...]
    verdicts: tuple[HandVerdict, ...]
    spent: tuple[tuple[str, str], ...]


def class_numbers(slug: str, challenge: Challenge) -> list[TeamNumbers]:
    """Every team's numbers, in the teams' order."""
    teams = range(1, services().classes.of(slug).teams + 1)
    words = TeamWords(services().database).of(slug)
    return [_team_numbers(team_numbered(slug, challenge, number), words.get(number, "")) for number in teams]


def class_csv(slug: str, challenge: Challenge) -> str:
    """All numbers of all teams' attempts, as `tapeplat verify` reads them."""
    entries = HandEntries(services().database)
    teams = range(1, services().classes.of(slug).teams + 1)
    return _csv([(str(team), entry) for team in teams for entry in entries.of(slug, team)])


def file_numbers(slug: str, challenge: Challenge) -> int:
    """File every attempt's numbers beside its result, where they are not there yet; returns how many were filed.

    Raises InputMistakes or ArchiveNotWritable as Archive.replace_result does.
    """
    filed = 0
    for number in range(1, services().classes.of(slug).teams + 1):
        team = team_numbered(slug, challenge, number)
        filed += sum(_file(team, entry) for entry in attempts_of(team))
    return filed


def file_or_say(slug: str, challenge: Challenge) -> None:
    """File the numbers for a page. Raises PageError where the archive takes none."""
    try:
        file_numbers(slug, challenge)
    except (InputMistakes, FolderNotWritable) as error:
        do = "Put that right, and file them from the page of numbers. They are kept there."
        raise PageError(409, "The numbers are not filed", str(error), do) from error


def _file(team: Team, entry: Entry) -> bool:
    numbers = HandEntries(services().database).of(team.slug, team.number, entry.id)
    if not numbers:
        return False
    table = _csv([(str(team.number), number) for number in numbers]).encode("utf-8-sig")
    there = entry.folder / FILE
    if there.is_file() and there.read_bytes() == filed_hand(table, entry.team):
        return False
    services().archive.replace_result(entry, {FILE: table}, "the team's hand measurements")
    return True


def _csv(numbers: Sequence[tuple[str, HandEntry]]) -> str:
    cells = ({"team": team, **vars(entry.cells)} for team, entry in numbers)
    return csv_text([COLUMNS, *([row[column] for column in COLUMNS] for row in cells)])


def _team_numbers(team: Team, word: str) -> TeamNumbers:
    attempt, given = current_answers(team)
    checked = [(answer, _checked(answer, attempt)) for answer in given]
    lines = tuple(_line(answer, found) for answer, found in checked)
    compared = [found for _, found in checked if found is not None]
    verdicts = hand_verdicts(attempt.result, compared) if attempt and compared else ()
    return TeamNumbers(team, word, attempt, lines, verdicts, tuple(_spent(given)))


def _checked(answer: Answer, attempt: Attempt | None) -> Checked | None:
    """The comparison with the photo, also of what the team was not told."""
    return attempt.model.checked(answer.sent.row) if attempt else None


def _line(answer: Answer, checked: Checked | None) -> NumberLine:
    row = answer.sent.row
    start = (what(row), answer.sent.who, as_written(row), answer.word)
    if checked is None or checked.photo is None:
        return NumberLine(*start, likely=without_commands(checked.note) if checked else "")
    error = "" if checked.percent_error is None else f"{checked.percent_error:.1f} %"
    photo = with_uncertainty(row, checked.photo, checked.u95_photo)
    return NumberLine(*start, photo, en_text(checked.en), error, mistakes_text(checked))


def _spent(given: Sequence[Answer]) -> Iterator[tuple[str, str]]:
    last = {answer.subject: answer for answer in given}
    agreed = {answer.subject for answer in given if answer.word == "agrees"}
    for name, answer in last.items():
        if name not in agreed and answer.left <= 0 and answer.word not in ("waiting", "nothing there"):
            yield name, what(answer.sent.row)

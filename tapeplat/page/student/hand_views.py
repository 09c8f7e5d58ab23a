"""Hand measurements: a team enters what it measured, and is told whether it agrees."""

from __future__ import annotations

import statistics
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from flask import render_template, request, url_for
from werkzeug.wrappers import Response

from measure.hand.values.hand_table import HandRow
from measure.numbers import mixed
from tapeplat.page.base.page_errors import PageError
from tapeplat.page.base.redirects import redirect_to
from tapeplat.page.session.roles import students_only
from tapeplat.page.session.services import services
from tapeplat.page.store.hand_numbers import HandEntries, HandEntry
from tapeplat.page.student.answers import Answer, Sent, answers, subject
from tapeplat.page.student.hand_form import HandForm, choices, from_browser, next_form, read_form, row_of
from tapeplat.page.student.kept_answers import kept_answers
from tapeplat.page.student.student_blueprint import blueprint
from tapeplat.page.student.student_context import Attempt, Team, asking_team, latest_attempt, need_open
from tapeplat.verify.hand_words import FEWEST_FOR_MEDIAN, as_written, of_table, what, with_unit

SIGNS = {"agrees": "good", "look again": "again"}
"""Words that have a look of their own; all others are plain."""
_EXACT = 1e-6
_SHOWN = 12
"""Numbers of one thing on a team's page, the newest; all of them stand on the teacher's."""


@dataclass(frozen=True)
class Line:
    """One number for the page."""

    answer: Answer

    @property
    def who(self) -> str:
        """The initials beside it."""
        return self.answer.sent.who

    @property
    def what(self) -> str:
        """What was measured, in words."""
        return what(self.answer.sent.row)

    @property
    def written(self) -> str:
        """The number as it was written."""
        return as_written(self.answer.sent.row)

    @property
    def of_table(self) -> bool:
        """Whether it is compared with the structures that the teacher wrote down, which no photo shows."""
        return of_table(self.answer.sent.row)

    @property
    def hint(self) -> str:
        """The one thing to do after `look again`."""
        return next(iter(self.answer.hints), "")

    @property
    def look(self) -> str:
        """Its look: good, again or plain."""
        return SIGNS.get(self.answer.word, "plain")


@dataclass(frozen=True)
class Measured:
    """All numbers of one measured thing, and their median and range where there are several."""

    what: str
    lines: tuple[Line, ...]
    median: str = ""
    range: str = ""

    @property
    def now(self) -> Line:
        """The line that says how it stands: the one that agrees, else the last."""
        return next((line for line in self.lines if line.answer.word == "agrees"), self.lines[-1])

    @property
    def left(self) -> int:
        """Tries that are left."""
        return self.lines[-1].answer.left

    @property
    def shown(self) -> tuple[Line, ...]:
        """The newest lines."""
        return self.lines[-_SHOWN:]

    @property
    def before(self) -> int:
        """How many lines came before those that are shown."""
        return len(self.lines) - len(self.shown)


@blueprint.get("/measure")
@students_only
def measure() -> str:
    """The form for a measurement, the answer to the last one, and all of the team's numbers."""
    team = asking_team()
    need_open(team, "entry")
    number = request.args.get("just", type=int)
    just = HandEntries(services().database).one(team.slug, team.number, number) if number is not None else None
    return _page(team, next_form(just.cells if just else None), {}, just)


@blueprint.post("/measure")
@students_only
def enter() -> str | Response | tuple[str, int]:
    """Keep a measurement, and answer it."""
    team = asking_team()
    need_open(team, "entry")
    form = from_browser(request.form)
    cells, wrong = read_form(form, team.challenge)
    if cells is None:
        return _page(team, form, wrong, None), 400
    attempt, given = current_answers(team)
    row = row_of(cells, team.challenge)
    assert row is not None  # read_form has read it
    name = subject(row, attempt.model if attempt else None)
    earlier = [answer for answer in given if answer.subject == name]
    asked = not earlier or earlier[-1].left > 0 or _agreed(earlier)
    store, of = HandEntries(services().database), attempt.id if attempt else ""
    number = store.add(team.slug, team.number, of, cells, asked=asked)
    if number is None:
        too_many = "Your team has sent more numbers than this page can keep."
        raise PageError(409, "Too many numbers", too_many, "Ask your teacher.")
    return redirect_to(url_for("student.measure", just=number, _anchor="answer"))


def current_answers(team: Team) -> tuple[Attempt | None, list[Answer]]:
    """The team's newest attempt, and the answers to the numbers that are compared with it."""
    attempt, store = latest_attempt(team), HandEntries(services().database)
    if attempt is not None:
        store.adopt(team.slug, team.number, attempt.id)
    of = attempt.id if attempt else ""
    more, model = store.more_tries(team.slug, team.number, of), attempt.model if attempt else None
    stamp = (store.stamp(team.slug, team.number, of), team.state.tries, tuple(sorted(more.items())))

    def work_out() -> list[Answer]:
        numbers = list(_sent(store.of(team.slug, team.number, of), team))
        return answers(numbers, model, team.state.tries, more)

    whose = (team.slug, team.number, of)
    return attempt, kept_answers(services().database, whose, stamp, (team.challenge, model), work_out)


def _sent(entries: Sequence[HandEntry], team: Team) -> Iterator[Sent]:
    for entry in entries:
        row = row_of(entry.cells, team.challenge)
        if row is not None:
            yield Sent(entry.id, row, entry.asked, entry.cells.who)


def _agreed(given: Sequence[Answer]) -> bool:
    return any(answer.word == "agrees" for answer in given)


def _page(team: Team, form: HandForm, wrong: dict[str, tuple[str, ...]], just: HandEntry | None) -> str:
    attempt, given = current_answers(team)
    lines = [Line(answer) for answer in given]
    offered = choices(team.challenge)
    return render_template(
        "student/measure.html",
        team=team,
        attempt=attempt,
        form=form,
        wrong=wrong,
        offered=offered,
        zone_choices=[("", "Choose …"), *_pairs(offered.zones)],
        line_choices=[("", "Choose …"), *_pairs(offered.lines)],
        unit_choices=_pairs(offered.units),
        area_choices=[(unit, f"sq {unit}") for unit in offered.units],
        volume_choices=[(unit, f"cubic {unit}") for unit in offered.units],
        mark_choices=_pairs(offered.marks),
        square_choices=_pairs(offered.squares),
        cube_choices=_pairs(offered.cubes),
        just=next((line for line in lines if just is not None and line.answer.sent.id == just.id), None),
        measured=list(_grouped(lines)),
    )


def _pairs(words: Sequence[str]) -> list[tuple[str, str]]:
    """Words as a list to choose from."""
    return [(word, word) for word in words]


def _grouped(lines: Sequence[Line]) -> Iterator[Measured]:
    """Numbers of one thing together, the thing measured last first."""
    groups: dict[tuple[str, int], list[Line]] = {}
    for line in lines:
        groups.setdefault((line.answer.subject, line.answer.sent.row.power), []).append(line)
    for group in sorted(groups.values(), key=lambda group: -group[-1].answer.sent.id):
        rows = [line.answer.sent.row for at, line in enumerate(group) if not _measured_anew(line, group[at + 1 :])]
        median, spread = _median_and_range(rows) if len(rows) >= FEWEST_FOR_MEDIAN else ("", "")
        yield Measured(group[0].what, tuple(group), median, spread)


def _measured_anew(line: Line, later: Sequence[Line]) -> bool:
    """Whether a try that was told `look again` gave way to another of the same child: it is no measurement any more."""
    return line.answer.word == "look again" and any(other.who == line.who for other in later)


def _median_and_range(rows: Sequence[HandRow]) -> tuple[str, str]:
    """In the first one's unit; nothing of the photo's is in them, not even how finely they are rounded."""
    first = rows[0]
    values = [(row.value or 0.0) * row.scale / first.scale for row in rows]
    return _said(first, statistics.median(values)), _said(first, max(values) - min(values))


def _said(row: HandRow, value: float) -> str:
    """A value in the row's unit, in fractions where the row is."""
    number = value * (100.0 if row.percent else 1.0)
    fraction = Fraction(number).limit_denominator(64)
    in_parts = "/" in row.text and abs(float(fraction) - number) < _EXACT
    return with_unit(row, mixed(fraction) if in_parts else f"{number:.4g}")

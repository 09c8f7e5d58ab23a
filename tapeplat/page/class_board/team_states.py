"""How far every team is: its photos, its verdicts, its numbers. The verdicts are those of the results' table."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from measure.rules.verdict import VERDICTS, Verdict
from measure.teams import team_key
from tapeplat.archive.archive_pages import PAGE
from tapeplat.classroom.team_names import in_order
from tapeplat.measuring.measured_model import RESULT_FILE
from tapeplat.page.content.class_results import TeamRow, class_table
from tapeplat.page.jobs.job_queue import Job
from tapeplat.page.session.services import services
from tapeplat.page.store.hand_numbers import HandEntries

State = Literal["no photo", "waiting", "being measured", "refused", "not measured", "measured"]
STATES: tuple[State, ...] = ("measured", "being measured", "waiting", "refused", "not measured", "no photo")
ANEW = 30.0
"""Seconds after which all is looked up again, whatever the stamp says: somebody may change files by hand."""


@dataclass(frozen=True, eq=False)
class TeamState:
    """One team: its row of the results' table (None: nothing measured yet), what of it waits or is being measured (and
    how many models before it), all that waits, its refused photos, how many numbers it sent for this model, its
    picture's version.
    """

    team: str
    name: str
    row: TeamRow | None
    coming: Job | None
    ahead: int
    waiting: tuple[Job, ...]
    refused: tuple[Job, ...]
    numbers: int
    version: str

    @property
    def state(self) -> State:
        """The one word for it: what is to come, else what there is, else what went wrong."""
        if self.coming is not None:
            return "waiting" if self.coming.state == "waiting" else "being measured"
        if self.row is not None:
            return "measured"
        if not self.refused:
            return "no photo"
        return "refused" if self.refused[0].state == "refused" else "not measured"  # a full disk is no photo's fault

    @property
    def counts(self) -> list[tuple[Verdict, int]]:
        """How many rules have each verdict."""
        said = self.row.verdicts if self.row else ()
        return [(word, count) for word in VERDICTS if (count := said.count(word))]


@dataclass(frozen=True, eq=False)
class ClassBoard:
    """Every team, the photos of which nobody said whose they are, and attempts whose files are damaged."""

    teams: tuple[TeamState, ...]
    ownerless: tuple[Job, ...]
    damaged: tuple[str, ...]
    stale: int
    same_photo: tuple[str, ...] = ()

    @property
    def tally(self) -> list[tuple[State, int]]:
        """How many teams are how far."""
        found = [team.state for team in self.teams]
        return [(state, count) for state in STATES if (count := found.count(state))]

    @property
    def busy(self) -> bool:
        """Whether something is about to change by itself."""
        return any(team.coming for team in self.teams)


def what_the_board_depends_on(slug: str) -> tuple[object, ...]:
    """Another one whenever the board may say something else; much cheaper to find than the board."""
    house, page = services(), services().archive.root / PAGE
    state, file = house.classes.of(slug), house.challenges.file(slug)
    times = [path.stat().st_mtime_ns if path and path.exists() else 0 for path in (page, file)]
    numbers = sorted(HandEntries(house.database).counts(slug).items())
    jobs, names = house.jobs.stamp(slug), house.classes.team_names(slug)
    waiting = house.teams_taken.waiting()
    return (times, jobs, numbers, state.teams, names, waiting, int(time.time() / ANEW))


def class_board(slug: str) -> ClassBoard:
    """How far the class of a challenge is now."""
    house, table = services(), class_table(slug)
    rows = {team_key(row.team): row for row in table.rows}
    jobs = house.jobs.open_of(slug)
    names, numbers = house.classes.team_names(slug), HandEntries(house.database).counts(slug)
    keys = {str(number) for number in range(1, house.classes.of(slug).teams + 1)}
    keys |= rows.keys() | {team_key(job.team) for job in jobs if job.team}
    teams = []
    for key in sorted(keys, key=in_order):
        own = [job for job in jobs if job.team and team_key(job.team) == key]
        number = int(key) if key.isdigit() else 0
        teams.append(_team_state(key, names.get(number, ""), rows.get(key), own, numbers.get(number, {})))
    ownerless = tuple(job for job in jobs if not job.team)
    return ClassBoard(tuple(teams), ownerless, table.damaged, table.stale, table.same_photo)


def _team_state(key: str, name: str, row: TeamRow | None, jobs: Sequence[Job], numbers: dict[str, int]) -> TeamState:
    """numbers says how many were sent, by the attempt that they are compared with, empty before the first photo."""
    coming = next(iter(sorted((job for job in jobs if job.unfinished), key=lambda job: job.state)), None)
    return TeamState(
        team=row.team if row else key,
        name=name,
        row=row,
        coming=coming,
        ahead=services().jobs.ahead_of(coming) if coming and coming.state == "waiting" else 0,
        waiting=tuple(job for job in jobs if job.state == "waiting"),
        refused=tuple(job for job in jobs if not job.unfinished),
        numbers=numbers.get("", 0) + (numbers.get(row.last.id, 0) if row else 0),
        version=f"{(row.last.folder / RESULT_FILE).stat().st_mtime_ns:x}" if row else "",
    )

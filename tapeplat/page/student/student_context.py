"""What every student's page asks first: which team, which challenge, what is open, what was measured of the model."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from measure.challenge import Challenge
from measure.errors import InputMistakes
from measure.hand.values.true_values import ModelTruth
from measure.result.result import Result, read_result
from tapeplat.archive import Archive, Entry
from tapeplat.archive.storage.folder_names import team_folder
from tapeplat.page.base.page_errors import PageError
from tapeplat.page.session.roles import current_student
from tapeplat.page.session.services import services
from tapeplat.page.store.classes import ClassState, Opened
from tapeplat.page.student.answers import Model

_CLOSED = {
    "plan": "The page for plans",
    "entry": "The page for your numbers",
    "picture": "The picture of your model",
    "verdicts": "The page about the rules",
}


@dataclass(frozen=True, eq=False)
class Team:
    """The team that asks: its number and name, its class, its challenge."""

    slug: str
    number: int
    name: str
    state: ClassState
    challenge: Challenge

    @property
    def title(self) -> str:
        """`Team 3` or `Team 3: Foxes`."""
        return f"Team {self.number}: {self.name}" if self.name else f"Team {self.number}"


@dataclass(frozen=True, eq=False)
class Attempt:
    """A measured model of the team: its entry in the archive, and what numbers are compared with."""

    entry: Entry
    model: Model

    @property
    def id(self) -> str:
        """The entry's name in the archive."""
        return self.entry.id

    @property
    def number(self) -> int:
        """Which of the team's attempts it is, from 1."""
        return self.entry.attempt

    @property
    def folder(self) -> Path:
        """Where its files are."""
        return self.entry.folder

    @property
    def result(self) -> Result:
        """What was measured."""
        return self.model.truth.result


def asking_team() -> Team:
    """The team of the browser that asks. Raises PageError where the challenge cannot be used now."""
    found = current_student()
    stored = services().challenges.get(found.challenge)
    if stored is None or stored.challenge is None or found.team is None:
        what = "Your teacher is changing the task. It cannot be used at the moment."
        raise PageError(409, "One moment", what, "Wait a little, then open the page again.")
    return team_numbered(found.challenge, stored.challenge, found.team)


def team_numbered(slug: str, challenge: Challenge, number: int) -> Team:
    """A team of the class that works on a challenge."""
    classes = services().classes
    return Team(slug, number, classes.team_names(slug).get(number, ""), classes.of(slug), challenge)


def need_open(team: Team, what: Opened) -> None:
    """Raises PageError where the teacher has not opened this to the students."""
    if what not in team.state.opened:
        closed = f"{_CLOSED[what]} is not open now. Your teacher opens it."
        raise PageError(403, "Not open yet", closed, "Ask your teacher, or go on with something else.")


def attempts_of(team: Team) -> tuple[Entry, ...]:
    """The team's own attempts, the first one first."""
    root, number = services().archive.root, str(team.number)
    folders = sorted(root.glob(f"*/{team_folder(number)}"))
    return _attempts(root, team.state.id, number, tuple((str(folder), _changed(folder)) for folder in folders))


@lru_cache(maxsize=256)
def _attempts(root: Path, class_id: str, team: str, changed: tuple[tuple[str, int], ...]) -> tuple[Entry, ...]:
    """Listed once for all requests: whatever is filed, replaced or removed gives the team's folder another time."""
    return Archive(root).of_class(class_id, team)


def _changed(folder: Path) -> int:
    try:
        return folder.stat().st_mtime_ns
    except OSError:
        return 0


def latest_attempt(team: Team) -> Attempt | None:
    """The team's newest attempt; None where none was measured, or it cannot be read."""
    entries = attempts_of(team)
    return attempt_of(entries[-1]) if entries else None


def attempt_of(entry: Entry) -> Attempt | None:
    """What was measured in an attempt; None where it cannot be read any more."""
    file = entry.folder / "result.json"
    try:
        facts = file.stat()
        model = _model(file, facts.st_mtime_ns, facts.st_size)
    except (OSError, InputMistakes):
        return None
    return Attempt(entry, model)


@lru_cache(maxsize=64)
def _model(file: Path, changed: int, size: int) -> Model:
    """Read once for all requests; a repaired result has another time, and is read again."""
    return Model(ModelTruth(read_result(file)))

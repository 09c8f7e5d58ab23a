"""Many schools' archives side by side in one folder, each in a folder of its school's name; answered from the files.

What is asked of them is asked of their index in the same words (`school_index`), which answers the same.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import Protocol

from measure.errors import InputMistakes, Mistake
from tapeplat.archive.attempt_names import named_as
from tapeplat.archive.storage.entry import DamagedRecord, Entry, Unreadable
from tapeplat.archive.storage.entry_index import INDEX, folders_in, stamps_in, unreadable_at
from tapeplat.archive.storage.number_counters import NUMBERS
from tapeplat.district.figures import ChallengeFigures, RuleFigures, challenge_figures, rule_figures
from tapeplat.district.filed_attempt import Choice, FiledAttempt, can_be_shown, read_filed, shown


@dataclass(frozen=True)
class Listing:
    """Attempts in the order of lists, the first of `count`."""

    entries: tuple[Entry, ...]
    count: int


class SchoolsAnswers(Protocol):
    """What is answered of many schools' archives, which lie in the folder root."""

    root: Path

    @property
    def where(self) -> str:
        """What answers, in words."""

    @property
    def as_of(self) -> date:
        """The day whose state is answered."""

    def listed(self, choice: Choice, most: int) -> Listing:
        """The first `most` attempts of a choice, 0 for all."""

    def entry(self, name: str) -> Entry:
        """The entry of an id, or of an id's end where only one has it. Raises InputMistakes."""

    def damaged(self) -> int:
        """How many attempts cannot be read."""

    def challenges(self, choice: Choice) -> tuple[ChallengeFigures, ...]:
        """Figures by school, year and challenge; teams are not chosen among."""

    def rules(self, choice: Choice) -> tuple[RuleFigures, ...]:
        """Figures by school, year, challenge and rule; teams are not chosen among."""


class Schools:
    """The archives in a folder. Raises InputMistakes where it is none, or is one school's.

    none: there may be no archive in it, as where all were taken away.
    """

    def __init__(self, root: Path, *, none: bool = False) -> None:
        if not root.is_dir():
            raise InputMistakes([Mistake("--schools", f"there is no folder {root}", "name the one with all schools")])
        self.root = root
        if not self.names and folders_in(root):
            do = "name the folder that it lies in: every school's archive has a folder of the school's name there"
            raise InputMistakes([Mistake("--schools", f"{root} is one archive", do)])
        if not self.names and not none and not self._emptied():
            do = "put every school's archive there, in a folder of the school's name"
            none_left = "; where nothing is filed any more, archive index --anew empties the index"
            raise InputMistakes([Mistake("--schools", f"{root} holds no archive", do + none_left)])

    @cached_property
    def names(self) -> tuple[str, ...]:
        """The schools' names: of the folders that hold an archive; a link to one of them is no second school."""
        folders = (path for path in sorted(self.root.iterdir()) if path.is_dir() and not path.name.startswith("."))
        schools = [path for path in folders if any(path.glob("*/*/attempt-*"))]
        own = {path.resolve() for path in schools if not path.is_symlink()}
        return tuple(path.name for path in schools if not path.is_symlink() or path.resolve() not in own)

    def _emptied(self) -> bool:
        """Whether archives lie here of which the last attempt was erased: what is known of them elsewhere goes, too."""
        return any((path / name).is_file() for path in self.root.iterdir() for name in (INDEX, NUMBERS))

    @property
    def where(self) -> str:
        """The folder."""
        return str(self.root)

    @property
    def as_of(self) -> date:
        """Today."""
        return date.today()

    def stamps(self) -> dict[str, str]:
        """What tells that an attempt's files changed, by its folder relative to root.

        Where that has signs in its name that cannot be shown, the attempt cannot be read.
        """
        return {
            f"{name}/{folder}": stamp
            for name in self.names
            for folder, stamp in stamps_in(self.root / name).items()
            if can_be_shown(f"{name}/{folder}")
        }

    @cached_property
    def attempts(self) -> tuple[FiledAttempt, ...]:
        """Every attempt that can be read, from its files, in the order of lists."""
        found = []
        for folder in self.stamps():
            with suppress(DamagedRecord):
                found.append(read_filed(self.root, folder))
        return tuple(sorted(found, key=lambda one: one.place))

    def listed(self, choice: Choice, most: int) -> Listing:
        """As SchoolsAnswers has it."""
        found = self._chosen(choice)
        return Listing(tuple(one.entry for one in (found[:most] if most else found)), len(found))

    def entry(self, name: str) -> Entry:
        """As SchoolsAnswers has it."""
        return named_as(name, [one.entry for one in self.attempts], self.unreadable())

    def damaged(self) -> int:
        """As SchoolsAnswers has it."""
        return len(self.unreadable())

    def unreadable(self) -> tuple[Unreadable, ...]:
        """What cannot be read, by what its folder's name tells."""
        known = {one.folder for one in self.attempts}
        return tuple(unread(self.root, shown(folder)) for folder in self.folders() if folder not in known)

    def folders(self) -> list[str]:
        """Every attempt's folder relative to root, damaged or not."""
        return [path.relative_to(self.root).as_posix() for name in self.names for path in folders_in(self.root / name)]

    def challenges(self, choice: Choice) -> tuple[ChallengeFigures, ...]:
        """As SchoolsAnswers has it."""
        return challenge_figures(self._chosen(replace(choice, team=None)))

    def rules(self, choice: Choice) -> tuple[RuleFigures, ...]:
        """As SchoolsAnswers has it."""
        return rule_figures(self._chosen(replace(choice, team=None)))

    def _chosen(self, choice: Choice) -> list[FiledAttempt]:
        meant = replace(choice, exactly=choice.school in self.names)
        return [one for one in self.attempts if one.is_of(meant)]


def unread(root: Path, folder: str) -> Unreadable:
    """An attempt that cannot be read, in a folder relative to the folder of all schools."""
    school, _, rest = folder.partition("/")
    damaged = unreadable_at(root / school, rest)
    return Unreadable(f"{school}/{damaged.id}", damaged.folder, damaged.taken)

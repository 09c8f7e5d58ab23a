"""The schools' archives answered from their index in PostgreSQL: the same answers as from the files, at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path

from tapeplat.archive.attempt_names import ends, named_as
from tapeplat.archive.storage.entry import Entry, Unreadable
from tapeplat.archive.storage.entry_index import entry_of
from tapeplat.archive.storage.folder_names import challenge_folder, same_key, team_folder
from tapeplat.district.figures import ChallengeFigures, RuleFigures
from tapeplat.district.filed_attempt import Choice, writable
from tapeplat.district.index_connection import Connection, not_indexed
from tapeplat.district.index_filling import form_of
from tapeplat.district.index_tables import FORM
from tapeplat.district.schools import Listing, unread

_NEAR = 20
"""Attempts of one name that are looked at; more than one is refused anyway, and a message names fewer."""
_LAST = "\U0010ffff"
"""Sorts behind all letters."""


class SchoolIndex:
    """An index that is filled. root is where the archives lie on this computer, where not as when it was filled.

    Raises InputMistakes where there is no index, or one of another version.
    """

    def __init__(self, connection: Connection, root: Path | None = None) -> None:
        if form_of(connection) != FORM:
            raise not_indexed("there is no index in this database, or one of another version")
        self._connection = connection
        self.root = root or Path(str(self._one("SELECT root FROM tapeplat.about")))

    @property
    def where(self) -> str:
        """The database and when it was filled."""
        when = self._one("SELECT to_char(filled, 'YYYY-MM-DD HH24:MI') FROM tapeplat.about")
        return f"the index {self._connection.info.dbname} of {self.root}, as it was on {when}"

    @property
    def as_of(self) -> date:
        """The day on which it was filled."""
        return date.fromisoformat(str(self._one("SELECT to_char(filled, 'YYYY-MM-DD') FROM tapeplat.about")))

    def listed(self, choice: Choice, most: int) -> Listing:
        """As SchoolsAnswers has it."""
        where, values = self._chosen(choice)
        count = int(str(self._one(f"SELECT count(*) FROM tapeplat.attempts{where}", values)))
        limit = "LIMIT %s" if most else ""
        asked = f"SELECT folder, entry FROM tapeplat.attempts{where} ORDER BY place {limit}"
        return Listing(self._entries(asked, [*values, *([most] if most else [])]), count)

    def entry(self, name: str) -> Entry:
        """As SchoolsAnswers has it; names that are only near are not told."""
        team, _, number = name.rpartition(".")
        counted = int(number) if number.isdecimal() and len(number) < 9 else -1
        prefixes = [end[::-1] for end in ends(name)]
        ranges = [value for prefix in prefixes for value in (prefix, f"{prefix}{_LAST}")]
        found = (
            self._few("id = %s", [name])
            or self._few(" OR ".join(["reverse(id) >= %s AND reverse(id) < %s"] * len(prefixes)), ranges)
            or self._few("team_key = %s AND attempt = %s", [team_folder(team), counted])
        )
        return named_as(name, found, self._unreadable())

    def damaged(self) -> int:
        """As SchoolsAnswers has it."""
        return int(str(self._one("SELECT count(*) FROM tapeplat.unreadable")))

    def challenges(self, choice: Choice) -> tuple[ChallengeFigures, ...]:
        """As SchoolsAnswers has it."""
        where, values = self._chosen(replace(choice, team=None))
        asked = (
            "SELECT school, year, title, teams, attempts, first_met, first_rules, last_met, last_rules"
            f" FROM tapeplat.challenges{where} ORDER BY school, year, title"
        )
        rows = self._connection.execute(asked.encode(), values).fetchall()
        return tuple(
            ChallengeFigures(school, year, title, teams, attempts, (met, of), (met_last, of_last))
            for school, year, title, teams, attempts, met, of, met_last, of_last in rows
        )

    def rules(self, choice: Choice) -> tuple[RuleFigures, ...]:
        """As SchoolsAnswers has it."""
        where, values = self._chosen(replace(choice, team=None))
        asked = (
            f"SELECT school, year, title, rule, teams, met, not_met FROM tapeplat.rule_counts{where}"
            " ORDER BY school, year, title, rule"
        )
        return tuple(RuleFigures(*row) for row in self._connection.execute(asked.encode(), values).fetchall())

    def _chosen(self, choice: Choice) -> tuple[str, list[object]]:
        """The condition of a choice, and its values."""
        named = "SELECT EXISTS (SELECT FROM tapeplat.attempts WHERE school_key = %s AND school = %s)"
        name = choice.school
        exactly = name is not None and bool(self._one(named, [same_key(name), writable(name)]))
        return _condition(replace(choice, exactly=exactly))

    def _few(self, where: str, values: Sequence[object]) -> tuple[Entry, ...]:
        """The first of those that a condition holds for, which is looked up before they are sorted."""
        found = f"WITH found AS MATERIALIZED (SELECT folder, place FROM tapeplat.attempts WHERE {where})"
        first = "SELECT folder FROM found ORDER BY place LIMIT %s"
        asked = f"{found} SELECT folder, entry FROM tapeplat.attempts WHERE folder IN ({first}) ORDER BY place"
        return self._entries(asked, [*values, _NEAR])

    def _entries(self, asked: str, values: list[object]) -> tuple[Entry, ...]:
        rows = self._connection.execute(asked.encode(), values).fetchall()
        return tuple(entry_of(self.root, folder, text) for folder, text in rows)

    def _unreadable(self) -> tuple[Unreadable, ...]:
        rows = self._connection.execute("SELECT folder FROM tapeplat.unreadable ORDER BY folder").fetchall()
        return tuple(unread(self.root, folder) for (folder,) in rows)

    def _one(self, asked: str, values: list[object] | None = None) -> object:
        found = self._connection.execute(asked.encode(), values).fetchone()
        if found is None:
            raise not_indexed("the index was never filled")
        return found[0]


def _condition(choice: Choice) -> tuple[str, list[object]]:
    given: list[tuple[str, object]] = []
    if choice.school is not None:
        given.append(("school_key", same_key(choice.school)))
        given += [("school", choice.school)] * choice.exactly
    if choice.year is not None:
        given.append(("year", choice.year))
    if choice.title is not None:
        given.append(("title_key", challenge_folder(choice.title)))
    if choice.team is not None:
        given.append(("team_key", team_folder(choice.team)))
    where = " AND ".join(f"{column} = %s" for column, _ in given)
    return f" WHERE {where}" if where else "", [value for _, value in given]

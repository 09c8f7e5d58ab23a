"""The class that works on a challenge: its code, its teams, and what is open to its students."""

from __future__ import annotations

import secrets
import sqlite3
from dataclasses import dataclass
from typing import Literal, get_args

from tapeplat.page.store.database import Database

Opened = Literal["plan", "entry", "picture", "verdicts"]
"""What a teacher opens: drawing plans, entering measurements, the annotated picture, the verdicts."""
OPENED: tuple[Opened, ...] = get_args(Opened)
MOST_TEAMS = 29
"""Team labels have 30 tags; teams are counted from 1."""
_LETTERS = "ABCDEFGHJKMNPQRTUVWXY346789"
"""Without letters and digits that look alike on a projector."""
CODE_LENGTH = 6
_LONGEST_NAME = 40


@dataclass(frozen=True)
class ClassState:
    """One challenge's class. opened holds what students may do and see; tries is how often each value may be tried.

    id is what the archive knows it by, and never changes; name is the teacher's word for it, often empty.
    """

    id: str
    name: str
    challenge: str
    code: str
    teams: int
    tries: int
    opened: frozenset[Opened]


class Classes:
    """Every challenge's class, made when it is first asked for."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def of(self, challenge: str) -> ClassState:
        """The class of a challenge."""
        return self._found(challenge) or self._made(challenge)

    def with_code(self, code: str) -> ClassState | None:
        """The class that has this code, however it is typed."""
        plain = code.strip().upper().replace(" ", "").replace("-", "")
        row = self._database.read().execute("SELECT * FROM class WHERE code = ?", (plain,)).fetchone()
        return None if row is None else _state(row)

    def open_only(self, challenge: str, opened: frozenset[Opened]) -> None:
        """Open these to the students, and close the rest."""
        self.of(challenge)
        columns = ", ".join(f"{name}_open = {int(name in opened)}" for name in OPENED)
        with self._database.write() as connection:
            connection.execute(f"UPDATE class SET {columns} WHERE challenge = ?", (challenge,))

    def set_teams(self, challenge: str, teams: int, tries: int) -> None:
        """How many teams there are, and how often each value may be tried."""
        self.of(challenge)
        with self._database.write() as connection:
            connection.execute("UPDATE class SET teams = ?, tries = ? WHERE challenge = ?", (teams, tries, challenge))

    def set_name(self, challenge: str, name: str) -> None:
        """What the teacher calls this class, to tell it from others that work on the same task."""
        self.of(challenge)
        with self._database.write() as connection:
            connection.execute("UPDATE class SET name = ? WHERE challenge = ?", (name, challenge))

    def with_id(self, class_id: str) -> ClassState | None:
        """The class that the archive knows by this id."""
        row = self._database.read().execute("SELECT * FROM class WHERE id = ? AND id <> ''", (class_id,)).fetchone()
        return None if row is None else _state(row)

    def names(self) -> dict[str, str]:
        """The names that classes were given, by challenge."""
        query = "SELECT challenge, name FROM class WHERE name <> ''"
        return {row["challenge"]: row["name"] for row in self._database.read().execute(query)}

    def new_code(self, challenge: str) -> None:
        """Another code; whoever came in by the old one has to enter the new one."""
        self.of(challenge)
        with self._database.write() as connection:
            connection.execute("UPDATE class SET code = ? WHERE challenge = ?", (_code(), challenge))

    def team_names(self, challenge: str) -> dict[int, str]:
        """The names that teams were given, by number."""
        query = "SELECT number, name FROM team WHERE challenge = ? AND name <> '' ORDER BY number"
        return {row["number"]: row["name"] for row in self._database.read().execute(query, (challenge,))}

    def name_teams(self, challenge: str, names: dict[int, str]) -> None:
        """Give teams names, by number; an empty one takes the name away."""
        self.of(challenge)
        with self._database.write() as connection:
            for number, name in names.items():
                connection.execute(
                    "INSERT INTO team (challenge, number, name) VALUES (?, ?, ?) "
                    "ON CONFLICT (challenge, number) DO UPDATE SET name = excluded.name",
                    (challenge, number, name),
                )

    def _found(self, challenge: str) -> ClassState | None:
        row = self._database.read().execute("SELECT * FROM class WHERE challenge = ?", (challenge,)).fetchone()
        return None if row is None else _state(row)

    def _made(self, challenge: str) -> ClassState:
        row = (challenge, _code(), secrets.token_hex(8))
        with self._database.write() as connection:
            connection.execute("INSERT OR IGNORE INTO class (challenge, code, id) VALUES (?, ?, ?)", row)
        found = self._found(challenge)
        assert found is not None
        return found


def class_name_in(typed: str) -> str:
    """A class's or a team's name as it was typed, short enough for lists."""
    return " ".join(typed.split())[:_LONGEST_NAME]


def _code() -> str:
    """27^6 are 387 million: with the limit on guesses nobody finds one by trying."""
    return "".join(secrets.choice(_LETTERS) for _ in range(CODE_LENGTH))


def _state(row: sqlite3.Row) -> ClassState:
    opened = frozenset(name for name in OPENED if row[f"{name}_open"])
    return ClassState(row["id"], row["name"], row["challenge"], row["code"], row["teams"], row["tries"], opened)

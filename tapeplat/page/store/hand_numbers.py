"""What teams measured by hand: every number as it was written, with the attempt that it is compared with."""

from __future__ import annotations

import sqlite3
import time
from dataclasses import dataclass, fields

from tapeplat.page.store.database import Database

MOST_ENTRIES = 1000
"""Of one team: far more than one measures, and a bound on what a browser can fill disk and pages with."""


@dataclass(frozen=True)
class HandCells:
    """One measurement as written, under the names of the hand table's columns (hand_table.COLUMNS)."""

    who: str
    zone: str
    piece: str
    quantity: str
    other: str
    value: str
    unit: str
    method: str
    division: str


_CELLS = tuple(field.name for field in fields(HandCells))


@dataclass(frozen=True)
class HandEntry:
    """A measurement that was sent; attempt is the archive's id, empty before the team's first photo.

    asked says that it was sent to be compared; False where no try was left.
    """

    id: int
    cells: HandCells
    attempt: str
    asked: bool
    made: float


class HandEntries:
    """Every team's measurements. Whatever is asked is asked for one team of one challenge."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def of(self, challenge: str, team: int, attempt: str | None = None) -> list[HandEntry]:
        """A team's measurements in the order they were sent; of one attempt, or all."""
        query = "SELECT * FROM hand_entry WHERE challenge = ? AND team = ? AND (? IS NULL OR attempt = ?) ORDER BY id"
        rows = self._database.read().execute(query, (challenge, team, attempt, attempt)).fetchall()
        return [_entry(row) for row in rows]

    def stamp(self, challenge: str, team: int, attempt: str) -> tuple[object, ...]:
        """Another one whenever a number of a team's attempt came or went."""
        query = "SELECT COUNT(*), MAX(id), MAX(made) FROM hand_entry WHERE challenge = ? AND team = ? AND attempt = ?"
        return tuple(self._database.read().execute(query, (challenge, team, attempt)).fetchone())

    def one(self, challenge: str, team: int, number: int) -> HandEntry | None:
        """One of a team's measurements; None where it has none of that number."""
        query = "SELECT * FROM hand_entry WHERE challenge = ? AND team = ? AND id = ?"
        row = self._database.read().execute(query, (challenge, team, number)).fetchone()
        return None if row is None else _entry(row)

    def counts(self, challenge: str) -> dict[int, dict[str, int]]:
        """How many measurements a challenge's teams sent, by team and attempt."""
        query = "SELECT team, attempt, COUNT(*) AS sent FROM hand_entry WHERE challenge = ? GROUP BY team, attempt"
        found: dict[int, dict[str, int]] = {}
        for row in self._database.read().execute(query, (challenge,)):
            found.setdefault(row["team"], {})[row["attempt"]] = row["sent"]
        return found

    def add(self, challenge: str, team: int, attempt: str, cells: HandCells, *, asked: bool) -> int | None:
        """Keep a measurement; returns its number, None where the team has far too many."""
        with self._database.write() as connection:
            count = "SELECT COUNT(*) FROM hand_entry WHERE challenge = ? AND team = ?"
            if connection.execute(count, (challenge, team)).fetchone()[0] >= MOST_ENTRIES:
                return None
            names = ("challenge", "team", "attempt", "asked", "made", *_CELLS)
            values = (challenge, team, attempt, int(asked), time.time(), *(getattr(cells, name) for name in _CELLS))
            marks = ", ".join("?" * len(names))
            row = connection.execute(f"INSERT INTO hand_entry ({', '.join(names)}) VALUES ({marks})", values)
            return row.lastrowid

    def adopt(self, challenge: str, team: int, attempt: str) -> None:
        """What was measured before the first photo is compared with this attempt."""
        known = self._database.read().execute(
            "SELECT 1 FROM hand_entry WHERE challenge = ? AND team = ? AND attempt = ''", (challenge, team)
        )
        if known.fetchone() is None:
            return
        with self._database.write() as connection:
            change = "UPDATE hand_entry SET attempt = ? WHERE challenge = ? AND team = ? AND attempt = ''"
            connection.execute(change, (attempt, challenge, team))

    def let_go(self, attempt: str) -> None:
        """An attempt is not the team's any more: what was compared with it waits for the team's next one."""
        with self._database.write() as connection:
            connection.execute("UPDATE hand_entry SET attempt = '' WHERE attempt = ?", (attempt,))
            connection.execute("DELETE FROM more_tries WHERE attempt = ?", (attempt,))

    def more_tries(self, challenge: str, team: int, attempt: str) -> dict[str, int]:
        """The further tries that the teacher gave for an attempt, by subject."""
        query = "SELECT subject, tries FROM more_tries WHERE challenge = ? AND team = ? AND attempt = ?"
        rows = self._database.read().execute(query, (challenge, team, attempt))
        return {row["subject"]: row["tries"] for row in rows}

    def give_tries(self, challenge: str, team: int, attempt: str, subject: str, tries: int) -> None:
        """For the teacher: so many more tries of one quantity."""
        with self._database.write() as connection:
            connection.execute(
                "INSERT INTO more_tries VALUES (?, ?, ?, ?, ?) ON CONFLICT (challenge, team, attempt, subject) "
                "DO UPDATE SET tries = tries + excluded.tries",
                (challenge, team, attempt, subject, tries),
            )


def _entry(row: sqlite3.Row) -> HandEntry:
    cells = HandCells(*(row[name] for name in _CELLS))
    return HandEntry(row["id"], cells, row["attempt"], bool(row["asked"]), row["made"])

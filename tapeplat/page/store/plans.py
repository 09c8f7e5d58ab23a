"""The plans that teams drew: every saved state is kept, so that two children who draw at once lose nothing."""

from __future__ import annotations

import sqlite3
import time
from dataclasses import dataclass

from tapeplat.page.store.database import Database

MOST_PLANS = 40
"""Of one team; the oldest ones go."""


@dataclass(frozen=True)
class SavedPlan:
    """One saved plan, numbered from 1 in its team; pieces is the JSON text that was saved."""

    number: int
    pieces: str
    made: float


class Plans:
    """Every team's plans. Whatever is asked is asked for one team of one challenge."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def of(self, challenge: str, team: int) -> list[SavedPlan]:
        """A team's plans, the newest first."""
        query = "SELECT * FROM plan WHERE challenge = ? AND team = ? ORDER BY number DESC"
        return [_plan(row) for row in self._database.read().execute(query, (challenge, team)).fetchall()]

    def get(self, challenge: str, team: int, number: int) -> SavedPlan | None:
        """One of a team's plans; None where the team has none of that number."""
        query = "SELECT * FROM plan WHERE challenge = ? AND team = ? AND number = ?"
        row = self._database.read().execute(query, (challenge, team, number)).fetchone()
        return None if row is None else _plan(row)

    def save(self, challenge: str, team: int, pieces: str) -> int:
        """Keep a plan, unless it is the newest one already; returns its number."""
        with self._database.write() as connection:
            query = "SELECT * FROM plan WHERE challenge = ? AND team = ? ORDER BY number DESC LIMIT 1"
            newest = connection.execute(query, (challenge, team)).fetchone()
            if newest is not None and newest["pieces"] == pieces:
                return int(newest["number"])
            number = 1 if newest is None else newest["number"] + 1
            insert = "INSERT INTO plan (challenge, team, number, pieces, made) VALUES (?, ?, ?, ?, ?)"
            connection.execute(insert, (challenge, team, number, pieces, time.time()))
            old = "DELETE FROM plan WHERE challenge = ? AND team = ? AND number <= ?"
            connection.execute(old, (challenge, team, number - MOST_PLANS))
        return number


def _plan(row: sqlite3.Row) -> SavedPlan:
    return SavedPlan(row["number"], row["pieces"], row["made"])

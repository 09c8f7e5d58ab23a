"""Tables that belong to a team: the structures that it built, as the CSV text that the rest of the program reads."""

from __future__ import annotations

import time

from tapeplat.page.store.database import Database


class StructureTables:
    """Every team's table of structures."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def structures(self, challenge: str, team: str) -> str:
        """The team's structures as CSV text; empty where none were entered."""
        query = "SELECT csv FROM structures WHERE challenge = ? AND team = ?"
        row = self._database.read().execute(query, (challenge, team)).fetchone()
        return "" if row is None else str(row["csv"])

    def put_structures(self, challenge: str, team: str, csv: str) -> None:
        """Keep a team's structures; an empty text takes them away."""
        with self._database.write() as connection:
            connection.execute("DELETE FROM structures WHERE challenge = ? AND team = ?", (challenge, team))
            if csv:
                row = (challenge, team, csv, time.time())
                connection.execute("INSERT INTO structures VALUES (?, ?, ?, ?)", row)

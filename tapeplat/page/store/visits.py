"""Who is connected: a row for each browser that came in, so that signing out ends it, and the teacher can, too.

A browser's cookie carries a token; only its digest is kept here.
"""

from __future__ import annotations

import hashlib
import secrets
import time
from dataclasses import dataclass
from typing import Literal

from tapeplat.page.store.database import Database

Role = Literal["teacher", "student", "phone"]
HOURS = 12
"""A visit ends so long after it was seen last."""
_SEEN_EVERY = 60.0
"""Seconds; a visit that was seen this short ago is not written down again."""
_MOST = 1000
"""Visits of one role and class that are remembered; the longest unseen ones end."""


@dataclass(frozen=True)
class Visit:
    """One browser: what it may do, for which challenge's class and team (empty and 0 for none), and since when."""

    number: int
    role: Role
    challenge: str
    team: int
    device: str
    address: str
    began: float
    seen: float


class Visits:
    """Every browser that came in and did not leave."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def begin(self, role: Role, challenge: str, device: str, address: str) -> str:
        """A new visit's token."""
        token, now = secrets.token_urlsafe(24), time.time()
        row = (_digest(token), role, challenge, device[:60], address[:60], now, now)
        with self._database.write() as connection:
            connection.execute("DELETE FROM visit WHERE seen < ?", (now - HOURS * 3600,))
            connection.execute(
                "INSERT INTO visit (digest, role, challenge, device, address, began, seen) "
                "VALUES (?, ?, ?, ?, ?, ?, ?)",
                row,
            )
            connection.execute(
                "DELETE FROM visit WHERE id IN (SELECT id FROM visit WHERE role = ? AND challenge = ? "
                "ORDER BY seen DESC, id DESC LIMIT -1 OFFSET ?)",
                (role, challenge, _MOST),
            )
        return token

    def holds(self, token: object, role: Role, team: int = 0) -> bool:
        """Whether a token is that of a visit in this role that goes on; team is where the browser is now."""
        if not isinstance(token, str):
            return False
        query, now = "SELECT * FROM visit WHERE digest = ? AND role = ?", time.time()
        row = self._database.read().execute(query, (_digest(token), role)).fetchone()
        if row is None or row["seen"] < now - HOURS * 3600:
            return False
        if row["seen"] < now - _SEEN_EVERY or row["team"] != team:
            with self._database.write() as connection:
                connection.execute("UPDATE visit SET seen = ?, team = ? WHERE id = ?", (now, team, row["id"]))
        return True

    def number_of(self, token: object) -> int:
        """A visit's number; 0 where there is none."""
        query = "SELECT id FROM visit WHERE digest = ?"
        row = self._database.read().execute(query, (_digest(str(token)),)).fetchone()
        return 0 if row is None else int(row["id"])

    def all(self) -> list[Visit]:
        """Every visit that goes on, the teacher's first, then by class and team."""
        query = "SELECT * FROM visit WHERE seen >= ? ORDER BY role <> 'teacher', role, challenge, team, began"
        rows = self._database.read().execute(query, (time.time() - HOURS * 3600,)).fetchall()
        names = tuple(Visit.__dataclass_fields__)
        return [Visit(row["id"], *(row[name] for name in names[1:])) for row in rows]

    def end(self, token: object) -> None:
        """The browser leaves."""
        self.end_numbered(self.number_of(token))

    def end_numbered(self, number: int) -> None:
        """End one visit."""
        with self._database.write() as connection:
            connection.execute("DELETE FROM visit WHERE id = ?", (number,))

    def end_role(self, role: Role) -> None:
        """End every visit of a role."""
        with self._database.write() as connection:
            connection.execute("DELETE FROM visit WHERE role = ?", (role,))

    def end_all_but(self, token: object) -> None:
        """End every visit but one."""
        with self._database.write() as connection:
            connection.execute("DELETE FROM visit WHERE digest <> ?", (_digest(str(token)),))


def _digest(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()

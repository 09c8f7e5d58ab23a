"""Keys in the addresses that a phone opens to send photos: each works once, and only for some minutes."""

from __future__ import annotations

import hashlib
import secrets
import time

from tapeplat.page.store.database import Database

KEY_MINUTES = 15


class UploadKeys:
    """Kept as digests, so that the file gives no key away."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def make(self, challenge: str) -> str:
        """A new key for a challenge's photos."""
        key, now = secrets.token_urlsafe(18), time.time()
        with self._database.write() as connection:
            connection.execute("DELETE FROM upload_key WHERE expires < ?", (now,))
            row = (_digest(key), challenge, now + 60 * KEY_MINUTES)
            connection.execute("INSERT INTO upload_key VALUES (?, ?, ?)", row)
        return key

    def holds(self, key: str) -> bool:
        """Whether a key would work now."""
        query = "SELECT 1 FROM upload_key WHERE digest = ? AND expires >= ?"
        return self._database.read().execute(query, (_digest(key), time.time())).fetchone() is not None

    def use(self, key: str) -> str:
        """The challenge that a key is for, empty where it is none; it works no second time."""
        with self._database.write() as connection:
            query = "DELETE FROM upload_key WHERE digest = ? AND expires >= ? RETURNING challenge"
            row = connection.execute(query, (_digest(key), time.time())).fetchone()
        return "" if row is None else str(row["challenge"])


def _digest(key: str) -> str:
    return hashlib.sha256(key.encode()).hexdigest()

"""What arrived already: a browser that did not see the answer sends the same once more, and it is done only once."""

from __future__ import annotations

import hashlib
import threading
import time

from tapeplat.page.store.database import Database

_HOURS = 12
"""As long as a browser keeps what it could not send."""
_MOST = 20_000
"""Rows of some hundred bytes; the oldest ones go."""


class Received:
    """The names under which changes were sent, each with the address to go on to. Names are kept as digests."""

    def __init__(self, database: Database) -> None:
        self._database = database
        self._lock = threading.Lock()
        self._under_way: set[str] = set()

    def begin(self, key: str) -> bool:
        """Take a change on; False while the same one is being worked on."""
        with self._lock:
            free = key not in self._under_way
            self._under_way.add(key)
        return free

    def end(self, key: str) -> None:
        """It is not being worked on any more."""
        with self._lock:
            self._under_way.discard(key)

    def answer(self, key: str) -> str:
        """Where a change that is done goes on to; empty for one that is not known."""
        row = self._database.read().execute("SELECT go FROM received WHERE digest = ?", (key,)).fetchone()
        return "" if row is None else str(row["go"])

    def remember(self, key: str, go: str) -> None:
        """A change is done, and goes on there."""
        now = time.time()
        with self._database.write() as connection:
            connection.execute("INSERT OR REPLACE INTO received VALUES (?, ?, ?)", (key, go[:500], now))
            old = "DELETE FROM received WHERE made < ? OR rowid <= (SELECT MAX(rowid) FROM received) - ?"
            connection.execute(old, (now - _HOURS * 3600, _MOST))


def key_of(path: str, sent_as: str) -> str:
    """What a change is remembered by: where it was sent, and the name that its browser gave it."""
    return hashlib.sha256(f"{path}\n{sent_as}".encode()).hexdigest()

"""The page's SQLite file: readers as many as there are threads, one writer at a time.

Every change goes through `Database.write`, which is one transaction under one lock; so a change is either whole or not
there, also after a killed program.  WAL lets pages be read while something is written.  Changes have a connection of
their own: one that still reads an older state could not begin to write, and would say "locked" without waiting.
"""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tapeplat.page.store.schema import MIGRATIONS

_WAIT = 10.0
"""Seconds to wait for another program that writes to the file."""


class Database:
    """One open file; safe to share between threads."""

    def __init__(self, file: Path) -> None:
        file.parent.mkdir(parents=True, exist_ok=True)
        self._file = file
        self._lock = threading.Lock()
        self._own = threading.local()
        self._open: list[sqlite3.Connection] = []
        self._writer = self._connect()
        self._migrate()

    def read(self) -> sqlite3.Connection:
        """This thread's connection, for SELECT only."""
        if not hasattr(self._own, "connection"):
            self._own.connection = self._connect()
        connection: sqlite3.Connection = self._own.connection
        return connection

    @contextmanager
    def write(self) -> Iterator[sqlite3.Connection]:
        """A connection within one transaction: committed at the end, taken back where something is raised.

        What is to be read in it is read from this connection; `read` still sees what was there before.
        """
        with self._lock:
            connection = self._writer
            connection.execute("BEGIN IMMEDIATE")
            try:
                yield connection
            except BaseException:
                connection.execute("ROLLBACK")
                raise
            connection.execute("COMMIT")

    def forget_what_was(self) -> None:
        """Leave nothing of deleted rows on the disk: neither in free pages nor in the log of changes."""
        with self._lock:
            self._writer.execute("VACUUM")
            self._writer.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchall()

    def close(self) -> None:
        """Close every thread's connection."""
        with self._lock:
            while self._open:
                self._open.pop().close()

    def _connect(self) -> sqlite3.Connection:
        connection = sqlite3.connect(self._file, timeout=_WAIT, isolation_level=None, check_same_thread=False)
        connection.row_factory = sqlite3.Row
        connection.execute("PRAGMA journal_mode = WAL")
        connection.execute("PRAGMA synchronous = FULL")
        connection.execute("PRAGMA foreign_keys = ON")
        connection.execute("PRAGMA secure_delete = ON")  # what is deleted is written over, not only let go of
        self._open.append(connection)
        return connection

    def _migrate(self) -> None:
        with self.write() as connection:
            done: int = connection.execute("PRAGMA user_version").fetchone()[0]
            for statements in MIGRATIONS[done:]:
                for statement in statements:
                    connection.execute(statement)
            connection.execute(f"PRAGMA user_version = {max(done, len(MIGRATIONS))}")

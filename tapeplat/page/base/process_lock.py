"""Locks between processes: SQLite's own, the same on every system, which end with the process that holds them.

One program for one data folder, as two would take up each other's photos; and one process that files at a time.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from tapeplat.output.result_folder import FolderNotWritable

_FILE = "running.lock"
_FILING_SECONDS = 300.0


@contextmanager
def lock_data_folder(folder: Path) -> Iterator[None]:
    """Hold the data folder. The system lets go of it when the program ends, however it ends.

    Raises FolderNotWritable where another program holds it, or where it cannot be used.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        lock = sqlite3.connect(folder / _FILE, timeout=0, isolation_level=None)
    except (OSError, sqlite3.Error) as error:
        reason = (getattr(error, "strerror", None) or str(error)).lower()
        raise FolderNotWritable(f"{folder} cannot be used: {reason}; choose another folder with --data") from error
    with closing(lock):
        try:
            lock.execute("BEGIN EXCLUSIVE")
        except sqlite3.Error as error:
            busy = "locked" in str(error)
            why = "Tapeplat is running with it already; use that window" if busy else f"{error}"
            raise FolderNotWritable(f"{folder} cannot be used: {why}, or choose another with --data") from error
        yield


@contextmanager
def lock_filing(folder: Path) -> Iterator[None]:
    """Wait until no other process files anything, and keep the others waiting.

    A worker outlives a killed program for a moment: the next program must see whether it still filed its model.
    """
    folder.mkdir(parents=True, exist_ok=True)
    with closing(sqlite3.connect(folder / "filing.lock", timeout=_FILING_SECONDS, isolation_level=None)) as lock:
        lock.execute("BEGIN EXCLUSIVE")
        yield

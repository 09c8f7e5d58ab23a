"""The list of entries: read from the files, and remembered in an SQLite file that may be lost, old or damaged.

A remembered entry counts only while the files that it was read from and its folder's SHA256SUMS have the time and size
that they had, and while its own checksum is right; everything else is read from the files again.  Where the index
cannot be written, the files serve.
"""

from __future__ import annotations

import hashlib
import json
import re
import sqlite3
from contextlib import closing, suppress
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from tapeplat.archive.storage.checksums import SUMS, Damage, check, read_regular, read_sums
from tapeplat.archive.storage.entry import RECORD, RESULT, DamagedRecord, Entry, Unreadable, read_record, verdicts_in
from tapeplat.archive.storage.folder_names import attempt_date, attempt_number
from tapeplat.archive.storage.number_counters import NUMBERS, DamagedNumbers, read_numbers

INDEX = "index.sqlite"
TRASH = "trash"
_FORM = 2
"""Raised whenever what is remembered changes its form; an index of another form is made anew."""
_PATIENCE = 5.0
"""Seconds to wait for another process that writes the index."""
_PASSING = (
    sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED, sqlite3.SQLITE_READONLY, sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR,
    sqlite3.SQLITE_CANTOPEN,
)  # fmt: skip
"""Faults of the moment, not of the index: the next one who lists the archive tries again."""


def entries_in(root: Path) -> tuple[Entry, ...]:
    """All entries, by challenge, team and attempt, remembered where that is safe."""
    stamps = stamps_in(root)
    known: dict[str, Entry] = {}
    with suppress(sqlite3.Error, ValueError, KeyError, TypeError):
        known = _remembered(root, stamps)
    fresh = {folder: entry for folder in stamps if folder not in known for entry in _read(root, folder)}
    with suppress(sqlite3.Error, OSError):
        _remember(root, stamps, fresh)
    return _sorted([*known.values(), *fresh.values()])


def removed_in(root: Path) -> tuple[Entry, ...]:
    """All entries in the trash folder, always from their files."""
    return _sorted([replace(e, removed=True) for f in _in_trash(root) for e in _read(root, f"{TRASH}/{f.name}")])


def folders_in(root: Path) -> list[Path]:
    """Every attempt's folder that is in its place, damaged or not."""
    return [path for path in sorted(root.glob("*/*/attempt-*")) if path.is_dir() and _counts(path.relative_to(root))]


def unreadable_in(root: Path) -> tuple[Unreadable, ...]:
    """Every attempt that cannot be read, in the trash folder, too."""
    known = {e.folder for e in (*entries_in(root), *removed_in(root))}
    trash = [path for path in _in_trash(root) if path.is_dir()]
    paths = [path for path in (*folders_in(root), *trash) if path not in known]
    return tuple(unreadable_at(root, path.relative_to(root).as_posix()) for path in paths)


def unreadable_at(root: Path, folder: str) -> Unreadable:
    """What a folder's name tells of an attempt."""
    *above, name = folder.removeprefix(f"{TRASH}/").split("/")
    removed = folder.startswith(f"{TRASH}/")
    above, name = (name.split(".")[:2], ".".join(name.split(".")[2:])) if removed else (above, name)
    return Unreadable(".".join([*above, str(attempt_number(name) or name)]), root / folder, attempt_date(name), removed)


def entry_at(root: Path, folder: str) -> Entry | None:
    """The entry in a folder; None where its files are damaged."""
    return next(iter(_read(root, folder)), None)


def verified(root: Path) -> tuple[Damage, ...]:
    """Everything that is wrong with the archive's attempts: checksums, files that say nothing, two of one name."""
    found: list[Damage] = []
    seen: dict[str, str] = {}
    for folder in folders_in(root):
        called = folder.relative_to(root).as_posix()
        wrong = check(folder, called)
        found += wrong
        try:
            entry = read_entry(root, folder)
        except DamagedRecord as error:
            if not wrong:
                found.append(Damage(called, str(error), "unreadable"))
            continue
        if entry.id in seen:
            found.append(Damage(called, f"{entry.id}, which is {seen[entry.id]}, too,", "listed twice"))
        seen[entry.id] = called
    try:
        read_numbers(root)
    except DamagedNumbers:
        found.append(Damage("the archive", NUMBERS, "unreadable"))
    return tuple(found)


def forget(root: Path) -> None:
    """Throw the index away, even one that another program made unreadable."""
    for name in (INDEX, f"{INDEX}-journal"):
        (root / name).unlink(missing_ok=True)


def read_entry(root: Path, folder: Path) -> Entry:
    """One entry from its files. Raises DamagedRecord."""
    try:
        record = read_record(read_regular(folder / RECORD))
        verdicts = verdicts_in(read_regular(folder / RESULT))
        files = tuple(read_sums(read_regular(folder / SUMS)))
    except (OSError, ValueError) as error:
        raise DamagedRecord(f"{folder.relative_to(root).as_posix()}: {error}") from error
    return Entry(
        record.id, record.title, record.team, record.attempt, record.taken, folder, verdicts, files, record.remarks,
        class_id=record.class_id, filed=record.filed,
    )  # fmt: skip


def _in_trash(root: Path) -> list[Path]:
    return sorted((root / TRASH).iterdir()) if (root / TRASH).is_dir() else []


def _counts(relative: Path) -> bool:
    return not relative.parts[0].startswith(".") and relative.parts[0] != TRASH


def stamps_in(root: Path) -> dict[str, str]:
    """Time and size of every attempt's checksums and of the files that an entry is read from, by folder."""
    found = {}
    for folder in folders_in(root):
        with suppress(OSError):
            facts = [(folder / name).stat() for name in (SUMS, RECORD, RESULT)]
            found[folder.relative_to(root).as_posix()] = " ".join(f"{f.st_mtime_ns} {f.st_size}" for f in facts)
    return found


def _read(root: Path, folder: str) -> list[Entry]:
    """An entry, or nothing where its files are damaged, which `verify` names."""
    with suppress(DamagedRecord):
        return [read_entry(root, root / folder)]
    return []


def _sorted(entries: list[Entry]) -> tuple[Entry, ...]:
    return tuple(sorted(entries, key=lambda e: (_counting(e.folder.parent), e.attempt, e.taken.isoformat())))


def _counting(folder: Path) -> list[tuple[int, str]]:
    """A folder's place in lists: team 2 stands before team 10."""
    parts = re.split(r"(\d+)", folder.as_posix())
    return [(int(part), "") if part.isdecimal() else (-1, part) for part in parts]


def _remembered(root: Path, stamps: dict[str, str]) -> dict[str, Entry]:
    """The remembered entries that still hold. Raises sqlite3.Error, or ValueError and its like for a damaged one."""
    if not (root / INDEX).is_file():
        return {}
    with closing(_open(root)) as database:
        if _form(database) != _FORM:
            return {}
        rows = database.execute("SELECT folder, stamp, entry, checksum FROM entries").fetchall()
    held = [r for r in rows if stamps.get(r[0]) == r[1] and r[3] == _checksum(r[0], r[1], r[2])]
    return {folder: entry_of(root, folder, text) for folder, _, text, _ in held}


def _remember(root: Path, stamps: dict[str, str], fresh: dict[str, Entry]) -> None:
    """Add fresh entries and drop those whose folder is gone; a damaged index is made anew."""
    rows = [(f, stamps[f], entry_text(e), _checksum(f, stamps[f], entry_text(e))) for f, e in fresh.items()]
    if not rows and not stamps and not (root / INDEX).exists():
        return
    try:
        _write(root, stamps, rows)
    except sqlite3.Error as error:
        if (getattr(error, "sqlite_errorcode", 0) & 0xFF) not in _PASSING:
            forget(root)
            _write(root, stamps, rows)


def _write(root: Path, stamps: dict[str, str], rows: list[tuple[str, str, str, str]]) -> None:
    with closing(_open(root)) as database, database:
        if _form(database) != _FORM:
            database.execute("DROP TABLE IF EXISTS entries")
            database.execute("CREATE TABLE entries (folder TEXT PRIMARY KEY, stamp TEXT, entry TEXT, checksum TEXT)")
            database.execute(f"PRAGMA user_version = {_FORM}")
        gone = [(f,) for (f,) in database.execute("SELECT folder FROM entries") if f not in stamps]
        if gone or rows:
            database.executemany("DELETE FROM entries WHERE folder = ?", gone)
            database.executemany("INSERT OR REPLACE INTO entries VALUES (?, ?, ?, ?)", rows)


def _open(root: Path) -> sqlite3.Connection:
    """Without waiting for the disk: what a power cut spoils is made anew."""
    database = sqlite3.connect(root / INDEX, timeout=_PATIENCE)
    database.execute("PRAGMA synchronous = OFF")
    return database


def _form(database: sqlite3.Connection) -> int:
    return int(database.execute("PRAGMA user_version").fetchone()[0])


def entry_text(entry: Entry) -> str:
    """An entry as an index remembers it; its folder is remembered beside it."""
    kept = {key: value for key, value in vars(entry).items() if key not in ("folder", "removed")}
    filed = entry.filed.isoformat() if entry.filed else ""
    return json.dumps({**kept, "taken": entry.taken.isoformat(), "filed": filed})


def entry_of(root: Path, folder: str, text: str) -> Entry:
    """A remembered entry, whose folder is named relative to root. Raises ValueError, KeyError, TypeError."""
    known = json.loads(text)
    known["taken"] = datetime.fromisoformat(known["taken"])
    known["filed"] = datetime.fromisoformat(known["filed"]) if known["filed"] else None
    return Entry(**{**known, "files": tuple(known["files"]), "remarks": tuple(known["remarks"])}, folder=root / folder)


def _checksum(*parts: str) -> str:
    return hashlib.sha256("\0".join(map(str, parts)).encode("utf-8", "surrogatepass")).hexdigest()

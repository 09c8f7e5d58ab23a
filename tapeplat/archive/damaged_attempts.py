"""What is damaged in an archive taken away: whole attempts that cannot be read, single files of those that can."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from tapeplat.archive.archive_pages import PAGE, day
from tapeplat.archive.attempt_files import complete
from tapeplat.archive.storage.checksums import SUMS, Damage, read_sums
from tapeplat.archive.storage.entry import RECORD, RESULT, Entry, Unreadable, read_record
from tapeplat.archive.storage.entry_index import entry_at, unreadable_at

_WHOLE = (RECORD, RESULT)
"""Without these, as they were filed, an attempt says nothing that could be relied on."""


@dataclass(frozen=True)
class Broken:
    """An attempt that is damaged. files are those that go; none where the whole attempt does."""

    attempt: Entry | Unreadable
    files: tuple[str, ...] = ()

    @property
    def wholly(self) -> bool:
        """Whether the whole attempt is to go."""
        return not self.files


def broken(root: Path, damage: Collection[Damage]) -> tuple[Broken, ...]:
    """The damaged attempts, of all damage that was found."""
    by_folder: dict[str, list[Damage]] = {}
    for found in damage:
        by_folder.setdefault(found.folder, []).append(found)
    return tuple(_broken(root, folder, own) for folder, own in by_folder.items() if (root / folder).is_dir())


def without(folder: Path, files: Collection[str], now: datetime) -> dict[str, bytes]:
    """An attempt's files without those that are damaged; it says which went, and its page is made anew."""
    known = read_sums((folder / SUMS).read_bytes())
    kept = {name: (folder / name).read_bytes() for name in known if name not in files}
    record, gone = read_record(kept[RECORD]), sorted(set(files) - {PAGE})
    said = tuple(f"{name} was damaged and was taken out on {day(now)}" for name in gone)
    return complete(replace(record, remarks=(*record.remarks, *said)), kept)


def _broken(root: Path, folder: str, damage: Collection[Damage]) -> Broken:
    entry = entry_at(root, folder)
    files = tuple(found.file for found in damage)
    if entry is None:
        return Broken(unreadable_at(root, folder))
    whole = any(name in _WHOLE for name in files) or any(found.what == "listed twice" for found in damage)
    return Broken(entry, () if whole else files)


def broken_said(damaged: Broken) -> str:
    """`heron-marsh.team-3.1: plat.svg`, for lists."""
    return damaged.attempt.id if damaged.wholly else f"{damaged.attempt.id}: {', '.join(damaged.files)}"

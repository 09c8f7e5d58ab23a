"""The archive as the rest of the program uses it."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import chain, count
from pathlib import Path

import platformdirs

from measure.errors import InputMistakes, Mistake
from tapeplat.archive.archive_pages import PAGE, README, readme, root_page
from tapeplat.archive.attempt_files import complete, handed_over, owned, prepared, refreshed
from tapeplat.archive.attempt_names import named_as
from tapeplat.archive.damaged_attempts import Broken, broken, without
from tapeplat.archive.storage import disk
from tapeplat.archive.storage.checksums import SUMS, Damage, check, read_sums
from tapeplat.archive.storage.entry import RECORD, Entry, NewAttempt, Record, Unreadable, read_record
from tapeplat.archive.storage.entry_index import (
    TRASH,
    entries_in,
    forget,
    read_entry,
    removed_in,
    unreadable_in,
    verified,
)
from tapeplat.archive.storage.folder_names import (
    attempt_folder,
    attempt_id,
    attempt_number,
    challenge_folder,
    same_key,
    team_folder,
    trash_name,
)
from tapeplat.archive.storage.number_counters import counted, remember

FOLDER_VARIABLE = "TAPEPLAT_ARCHIVE"


def default_root() -> Path:
    """The folder named in TAPEPLAT_ARCHIVE, else one among the user's data."""
    named = os.environ.get(FOLDER_VARIABLE)
    return Path(named) if named else platformdirs.user_data_path("tapeplat", appauthor=False) / "archive"


class Archive:
    """A folder of annotated results. Any number of processes may use it at once.

    Whatever writes raises ArchiveNotWritable (a FolderNotWritable) with words for the teacher; what was filed before
    stays as it was.
    """

    def __init__(self, root: Path) -> None:
        self.root = root

    def save(self, new: NewAttempt, *, keep_originals: bool = False, surroundings: bool = False) -> Entry:
        """File an attempt under the team's next number; when this returns it is on the disk.

        Photos are kept without metadata and black around parcel and card, with `surroundings` as they are;
        keep_originals keeps the photos' own files, too. Raises InputMistakes where the result is none or a photo
        cannot be read, ValueError where a file has no plain name.
        """
        made = prepared(new, keep_originals=keep_originals, surroundings=surroundings)
        now = datetime.now().astimezone()
        taken = (new.taken or now).astimezone()
        with disk.writing(self.root, "the attempt is not filed") as staging:
            home = self._home(new.title, new.class_id) / team_folder(new.team)
            number = self._next_number(home)
            record = Record(
                attempt_id(home.parent.name, home.name, number), new.title, new.team, number, taken, now,
                made.photos, made.blacked_out, made.remarks, new.class_id,
            )  # fmt: skip
            folder = home / attempt_folder(number, taken)
            disk.write_tree(staging / "new", complete(record, made.files))
            disk.move(staging / "new", folder)
            entry = read_entry(self.root, folder)
            with suppress(OSError):  # the folder itself holds the number until it is deleted
                self._remember_numbers(staging, [entry])
            self._renew_lists(staging)
        return entry

    def entries(self, title: str | None = None, team: str | None = None) -> tuple[Entry, ...]:
        """What is filed, by challenge, team and attempt; of one challenge or team, named as people name them.

        What a class owns is asked for by `of_class`, as several classes may work on challenges of one title.
        """
        if disk.unfinished(self.root):
            with suppress(disk.ArchiveNotWritable), disk.writing(self.root, ""):
                pass
        return tuple(e for e in entries_in(self.root) if _is_of(e, title, team))

    def of_class(self, class_id: str, team: str | None = None) -> tuple[Entry, ...]:
        """What a class owns, whatever its challenge was called when it was filed; of one team."""
        return tuple(e for e in self.entries(None, team) if class_id and e.class_id == class_id)

    def give_to_class(self, entries: Iterable[Entry], class_id: str) -> int:
        """Make attempts a class's own, in the trash folder, too; they keep their ids. Returns how many that were.

        Raises InputMistakes where one is damaged; those before it are the class's then.
        """
        given = 0
        with disk.writing(self.root, "the attempts are not given to the class") as staging:
            for entry in entries:
                fresh = owned(self._files_of(entry), class_id)
                disk.write_tree(staging / "new", fresh)
                disk.swap(self.root, staging, staging / "new", entry.folder)
                given += 1
            self._renew_lists(staging)
        return given

    def entry(self, name: str) -> Entry:
        """The entry of an id, or of an id's end where only one has it. Raises InputMistakes with what is near."""
        return named_as(name, self.entries(), self.unreadable())

    def unreadable(self) -> tuple[Unreadable, ...]:
        """The attempts whose folders say too little to be listed, in the trash folder, too."""
        return unreadable_in(self.root)

    def broken(self) -> tuple[Broken, ...]:
        """The damaged attempts: those that cannot be read, and those of which files are missing or changed."""
        return broken(self.root, self.verify())

    def repair(self) -> tuple[Broken, ...]:
        """Take away what is damaged; all else is as it was filed. Returns what was.

        An attempt that cannot be read is moved to the trash folder; of others the damaged files go, and they say so.
        """
        now = datetime.now().astimezone()
        with disk.writing(self.root, "the archive is not repaired") as staging:
            found = self.broken()
            for damaged in found:
                if damaged.wholly:
                    self._to_trash(damaged.attempt)
                else:
                    disk.write_tree(staging / "new", without(damaged.attempt.folder, damaged.files, now))
                    disk.swap(self.root, staging, staging / "new", damaged.attempt.folder)
            self._remember_numbers(staging, (*entries_in(self.root), *self.removed()))
            self._renew_lists(staging)
        return found

    def removed(self) -> tuple[Entry, ...]:
        """What lies in the trash folder."""
        return removed_in(self.root)

    def replace_result(self, entry: Entry, files: Mapping[str, bytes], note: str) -> Entry:
        """Put files in place of an attempt's files of the same names, after a repair or a verdict by hand.

        note says what was done and why. The former files are kept in `revisions`. Also for `hand.csv`,
        `notes.txt` and `challenge.toml`.
        Raises InputMistakes where the attempt is not there or damaged.
        """
        with disk.writing(self.root, f"the change of {entry.name} is not filed") as staging:
            fresh = refreshed(self._files_of(entry), files, note, datetime.now().astimezone())
            disk.write_tree(staging / "new", fresh)
            disk.swap(self.root, staging, staging / "new", entry.folder)
            changed = read_entry(self.root, entry.folder)
            self._renew_lists(staging)
        return changed

    def hand_over(self, entry: Entry, team: str, files: Mapping[str, bytes]) -> Entry:
        """Make an attempt another team's next one; files are what was made anew for that team, its result among them.

        The former team keeps nothing but the number that was used. Raises InputMistakes where it is damaged.
        """
        now = datetime.now().astimezone()
        with disk.writing(self.root, f"{entry.name} stays where it is") as staging:
            before = self._files_of(entry)
            home = entry.folder.parent.parent / team_folder(team)
            number = self._next_number(home)
            name = attempt_id(home.parent.name, home.name, number)
            record = replace(read_record(before[RECORD]), id=name, team=team, attempt=number)
            made = handed_over(before, record, files, f"it was filed as {entry.name}", now)
            disk.write_tree(staging / "new", made)
            disk.move(staging / "new", home / attempt_folder(number, entry.taken))
            given = read_entry(self.root, home / attempt_folder(number, entry.taken))
            self._remember_numbers(staging, [entry, given])
            disk.destroy(staging, entry.folder)
            disk.tidy(entry.folder.parent, self.root)
            self._renew_lists(staging)
        return given

    def remove(self, name: str) -> Path:
        """Move an attempt to the trash folder, one that cannot be read, too; returns where it is now."""
        entry = self.listed(name)
        with disk.writing(self.root, f"{entry.name} is not removed") as staging:
            target = self._to_trash(entry)
            self._renew_lists(staging)
        return target

    def restore(self, entry: Entry) -> Entry:
        """Bring an attempt back from the trash folder to where it was. Raises InputMistakes where it is not there."""
        if not entry.folder.is_dir():
            raise InputMistakes([Mistake(entry.name, "it is not in the trash folder any more", "nothing was changed")])
        challenge, team, attempt = _parts(self.root, entry.folder)
        target = self.root / challenge / team / attempt.split(".")[0]
        with disk.writing(self.root, f"{entry.name} is not brought back") as staging:
            disk.move(entry.folder, target)
            self._renew_lists(staging)
        return read_entry(self.root, target)

    def listed(self, name: str) -> Entry | Unreadable:
        """The attempt of an id or its end, one that cannot be read, too. Raises InputMistakes with what is near."""
        unread = [damaged for damaged in self.unreadable() if not damaged.removed]
        known: list[Entry | Unreadable] = [*self.entries(), *unread]
        return named_as(name, known, ())

    def due(self, older_than: timedelta) -> tuple[Entry | Unreadable, ...]:
        """What was filed longer ago than that, in the trash folder, too; what cannot be read by its folder."""
        limit = datetime.now().astimezone() - older_than
        every: list[Entry | Unreadable] = [*self.entries(), *self.removed(), *self.unreadable()]
        return tuple(e for e in every if e.kept_since < limit)

    def expire(self, older_than: timedelta) -> tuple[Entry | Unreadable, ...]:
        """Delete for good what was filed longer ago than that, from the trash folder, too."""
        return self._destroy(self.due(older_than))

    def empty_trash(self) -> tuple[Entry | Unreadable, ...]:
        """Delete for good what was removed, what cannot be read, too."""
        return self._destroy(self.in_trash())

    def erase(self, entries: Sequence[Entry | Unreadable]) -> tuple[Entry | Unreadable, ...]:
        """Delete these attempts for good, wherever they lie, with all that is remembered of them but their numbers."""
        return self._destroy(entries)

    def in_trash(self) -> tuple[Entry | Unreadable, ...]:
        """Everything in the trash folder."""
        return (*self.removed(), *(damaged for damaged in self.unreadable() if damaged.removed))

    def verify(self) -> tuple[Damage, ...]:
        """Compare every file with its checksum; names every one that is missing, changed or unreadable."""
        return verified(self.root)

    def rebuild(self) -> tuple[Entry, ...]:
        """Make the index and the list of all attempts anew from the files."""
        with disk.writing(self.root, "the list is not made anew") as staging:
            forget(self.root)
            self._renew_lists(staging)
        return self.entries()

    def _home(self, title: str, class_id: str) -> Path:
        """The folder of a class's attempts, whatever the challenge is called now; of a title's where no class is named.

        A folder of this title that holds another's attempts is left to them.
        """
        owner, taken = _owner(title, class_id), set[str]()
        for entry in (*entries_in(self.root), *removed_in(self.root)):
            home = entry.id.split(".")[0]
            if _owner(entry.title, entry.class_id) == owner:
                return self.root / home
            taken.add(home)
        name = challenge_folder(title)
        names = chain([name], (f"{name}-{number}" for number in count(2)))
        return self.root / next(free for free in names if free not in taken)

    def _next_number(self, home: Path) -> int:
        """One more than any attempt of the team has or had, erased ones as well."""
        here = [path.name for path in home.iterdir()] if home.is_dir() else []
        gone = self.root / TRASH
        lost = f"{trash_name(home.parent.name, home.name, '')}"
        there = [p.name.removeprefix(lost) for p in gone.glob(f"{lost}*")] if gone.is_dir() else []
        known = counted(self.root, home.parent.name, home.name)
        return max([known, *(attempt_number(name) or 0 for name in (*here, *there))]) + 1

    def _files_of(self, entry: Entry) -> dict[str, bytes]:
        """All files of an attempt that its checksums name. Raises InputMistakes where one is damaged."""
        wrong = check(entry.folder, entry.id) if entry.folder.is_dir() else (Damage(entry.id, "folder", "missing"),)
        if wrong:
            raise InputMistakes([Mistake("", str(damage), "put it back from a copy first") for damage in wrong])
        return {name: (entry.folder / name).read_bytes() for name in read_sums((entry.folder / SUMS).read_bytes())}

    def _remember_numbers(self, staging: Path, entries: Sequence[Entry | Unreadable]) -> None:
        remember(self.root, staging, [_parts(self.root, entry.folder) for entry in entries])

    def _to_trash(self, entry: Entry | Unreadable) -> Path:
        name = trash_name(*_parts(self.root, entry.folder))
        target, number = self.root / TRASH / name, 2
        while target.exists():
            target, number = target.with_name(f"{name}.{number}"), number + 1
        disk.move(entry.folder, target)
        disk.tidy(entry.folder.parent, self.root)
        return target

    def _destroy(self, entries: Sequence[Entry | Unreadable]) -> tuple[Entry | Unreadable, ...]:
        gone = []
        with disk.writing(self.root, "nothing more is deleted") as staging:
            self._remember_numbers(staging, entries)
            for entry in entries:
                if entry.folder.is_dir():
                    disk.destroy(staging, entry.folder)
                    disk.tidy(entry.folder.parent, self.root)
                    gone.append(entry)
            forget(self.root)  # its free pages would still hold the names
            self._renew_lists(staging)
        return tuple(gone)

    def _renew_lists(self, staging: Path) -> None:
        """The index and the pages at the top follow the files; where the disk is full they follow later."""
        entries = entries_in(self.root)
        with suppress(OSError):
            disk.write_file(staging, self.root / PAGE, root_page(entries, self.root))
            disk.write_file(staging, self.root / README, readme())


def _owner(title: str, class_id: str) -> str:
    """Whose attempts share a folder: a class's, or those of a title where no class is named."""
    return f"class {class_id}" if class_id else f"title {same_key(title)}"


def _parts(root: Path, folder: Path) -> tuple[str, str, str]:
    """The names of the folders of challenge, team and attempt, also of an attempt in the trash folder."""
    parts = folder.relative_to(root).parts
    challenge, team, attempt = parts if len(parts) == 3 else [*parts[-1].split(".", 2), "", ""][:3]
    return challenge, team, attempt


def _is_of(entry: Entry, title: str | None, team: str | None) -> bool:
    right_title = title is None or same_key(entry.title) == same_key(title)
    return right_title and (team is None or team_folder(entry.team) == team_folder(team))

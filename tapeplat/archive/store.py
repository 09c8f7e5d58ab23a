"""The archive as the rest of the program uses it."""

from __future__ import annotations

import difflib
import os
from collections.abc import Iterable, Mapping
from contextlib import suppress
from datetime import datetime, timedelta
from itertools import chain, count
from pathlib import Path

import platformdirs

from measure.errors import InputMistakes, Mistake
from tapeplat.archive.archive_pages import PAGE, README, readme, root_page
from tapeplat.archive.attempt_files import complete, owned, prepared, refreshed
from tapeplat.archive.storage import disk
from tapeplat.archive.storage.checksums import SUMS, Damage, check, read_sums
from tapeplat.archive.storage.entry import Entry, NewAttempt, Record
from tapeplat.archive.storage.entry_index import TRASH, entries_in, folders_in, forget, read_entry, removed_in, verified
from tapeplat.archive.storage.folder_names import (
    attempt_folder,
    attempt_id,
    attempt_number,
    challenge_folder,
    same_key,
    team_folder,
    trash_name,
)

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
        known = self.entries()
        found = [e for e in known if e.id == name] or [e for e in known if e.id.endswith((f".{name}", f"-{name}"))]
        if len(found) == 1:
            return found[0]
        if found:
            what = f"several attempts end in that: {', '.join(e.id for e in found)}"
            raise InputMistakes([Mistake(name, what, "name one of them in full")])
        near = difflib.get_close_matches(name, [e.id for e in known], 3, 0.4)
        do = f"did you mean {' or '.join(near)}?" if near else "tapeplat archive list shows what there is"
        raise InputMistakes([Mistake(name, "there is no such attempt in the archive", do)])

    def unreadable(self) -> int:
        """How many attempts' folders say too little to be listed; `verify` names them."""
        return len(folders_in(self.root)) - len(entries_in(self.root))

    def removed(self) -> tuple[Entry, ...]:
        """What lies in the trash folder."""
        return removed_in(self.root)

    def replace_result(self, entry: Entry, files: Mapping[str, bytes], note: str) -> Entry:
        """Put files in place of an attempt's files of the same names, after a repair or a verdict by hand.

        note says what was done and why. The former files are kept in `revisions`. Also for `hand.csv` and `notes.txt`.
        Raises InputMistakes where the attempt is not there or damaged.
        """
        with disk.writing(self.root, f"the change of {entry.name} is not filed") as staging:
            fresh = refreshed(self._files_of(entry), files, note, datetime.now().astimezone())
            disk.write_tree(staging / "new", fresh)
            disk.swap(self.root, staging, staging / "new", entry.folder)
            changed = read_entry(self.root, entry.folder)
            self._renew_lists(staging)
        return changed

    def remove(self, name: str) -> Path:
        """Move an attempt to the trash folder; returns where it is now."""
        entry = self.entry(name)
        with disk.writing(self.root, f"{entry.name} is not removed") as staging:
            parts = entry.folder.relative_to(self.root).parts
            target = self.root / TRASH / trash_name(*parts)
            number = 2
            while target.exists():
                target, number = target.with_name(f"{trash_name(*parts)}.{number}"), number + 1
            disk.move(entry.folder, target)
            disk.tidy(entry.folder.parent, self.root)
            self._renew_lists(staging)
        return target

    def due(self, older_than: timedelta) -> tuple[Entry, ...]:
        """What was photographed longer ago than that, in the trash folder, too."""
        limit = datetime.now().astimezone() - older_than
        return tuple(e for e in (*self.entries(), *self.removed()) if e.taken < limit)

    def expire(self, older_than: timedelta) -> tuple[Entry, ...]:
        """Delete for good what was photographed longer ago than that, from the trash folder, too."""
        return self._destroy(self.due(older_than))

    def empty_trash(self) -> tuple[Entry, ...]:
        """Delete for good what was removed."""
        return self._destroy(self.removed())

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
        """One more than any attempt of the team has or had, as far as the archive or its trash still knows."""
        here = [path.name for path in home.iterdir()] if home.is_dir() else []
        gone = self.root / TRASH
        lost = f"{trash_name(home.parent.name, home.name, '')}"
        there = [p.name.removeprefix(lost) for p in gone.glob(f"{lost}*")] if gone.is_dir() else []
        return max((attempt_number(name) or 0 for name in (*here, *there)), default=0) + 1

    def _files_of(self, entry: Entry) -> dict[str, bytes]:
        """All files of an attempt that its checksums name. Raises InputMistakes where one is damaged."""
        wrong = check(entry.folder, entry.id) if entry.folder.is_dir() else (Damage(entry.id, "folder", "missing"),)
        if wrong:
            raise InputMistakes([Mistake("", str(damage), "put it back from a copy first") for damage in wrong])
        return {name: (entry.folder / name).read_bytes() for name in read_sums((entry.folder / SUMS).read_bytes())}

    def _destroy(self, entries: Iterable[Entry]) -> tuple[Entry, ...]:
        gone = []
        with disk.writing(self.root, "nothing more is deleted") as staging:
            for entry in entries:
                if entry.folder.is_dir():
                    disk.destroy(staging, entry.folder)
                    disk.tidy(entry.folder.parent, self.root)
                    gone.append(entry)
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


def _is_of(entry: Entry, title: str | None, team: str | None) -> bool:
    right_title = title is None or same_key(entry.title) == same_key(title)
    return right_title and (team is None or team_folder(entry.team) == team_folder(team))

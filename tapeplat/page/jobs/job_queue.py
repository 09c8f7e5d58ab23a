"""The queue of models to measure, in the page's file: what was taken in stays there until it is measured or dismissed.

The photos lie in a folder for each job, under names of our own.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
import tempfile
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal, cast

from tapeplat.page.jobs.upload_check import UploadedPhoto
from tapeplat.page.store.database import Database

State = Literal["waiting", "measuring", "done", "refused", "failed"]
PREVIEW = "preview.jpg"
_STAGING = "new-"
MOST_TRIES = 3
"""A model whose measuring ended the whole program this often is not tried again by itself."""


@dataclass(frozen=True)
class Job:
    """One model's photos: whose they are (empty: nobody said it yet), how far they are, what there is to say, and the
    archive's entry.
    """

    id: int
    challenge: str
    team: str
    state: State
    tries: int
    message: str
    entry: str
    changed: float
    given: tuple[str, ...]

    @property
    def unfinished(self) -> bool:
        """Whether something is still to come of it by itself; without a team it waits for one."""
        return self.state in ("waiting", "measuring") and bool(self.team)


class Jobs:
    """All jobs; folder holds their photos."""

    def __init__(self, database: Database, folder: Path) -> None:
        self._database, self._folder = database, folder

    def add(
        self,
        challenge: str,
        team: str,
        photos: Sequence[UploadedPhoto],
        origin: str,
        why: str = "",
        *,
        sent_as: str = "",
    ) -> int:
        """Keep photos and put them in the queue; when this returns both are on the disk.

        An empty team is one that is not known yet, and why says why: they are not measured before `assign`. sent_as is
        the name that the sender gave this model: where one of that name is there already, its number is returned.
        """
        staging = self._staged(photos)
        try:
            return self._added((challenge, team, origin, why, sent_as), photos, staging)
        except sqlite3.IntegrityError:
            shutil.rmtree(staging, ignore_errors=True)
            return self._sent_as(sent_as)
        except BaseException:
            shutil.rmtree(staging, ignore_errors=True)
            raise

    def _sent_as(self, name: str) -> int:
        return int(self._database.read().execute("SELECT id FROM job WHERE sent_as = ?", (name,)).fetchone()[0])

    def _added(self, about: tuple[str, str, str, str, str], photos: Sequence[UploadedPhoto], staging: Path) -> int:
        now = time.time()
        with self._database.write() as connection:
            row = connection.execute(
                "INSERT INTO job (challenge, team, state, origin, message, sent_as, made, changed) "
                "VALUES (?, ?, 'waiting', ?, ?, ?, ?, ?)",
                (*about, now, now),
            )
            number = cast("int", row.lastrowid)
            target = self._folder / str(number)
            shutil.rmtree(target, ignore_errors=True)  # left by a program that was ended before it was told of
            os.replace(staging, target)
            for position, photo in enumerate(photos):
                stored = _name(position, photo)
                connection.execute("INSERT INTO photo VALUES (?, ?, ?, ?)", (number, position, stored, photo.given))
        return number

    def claim(self) -> Job | None:
        """The next waiting job, now being measured; None where none waits. Next is who had no turn for longest."""
        with self._database.write() as connection:
            row = connection.execute(
                "SELECT id FROM job AS mine WHERE state = 'waiting' AND team <> '' "
                "ORDER BY (SELECT MAX(changed) FROM job WHERE challenge = mine.challenge "
                "AND origin = mine.origin AND tries > 0 AND state <> 'waiting'), id LIMIT 1"
            ).fetchone()
            if row is None:
                return None
            change = "UPDATE job SET state = 'measuring', tries = tries + 1, changed = ? WHERE id = ?"
            connection.execute(change, (time.time(), row["id"]))
        return self.get(row["id"])

    def finish(self, number: int, state: State, message: str = "", entry: str = "") -> None:
        """Say what became of a job; the photos of one that is done are not needed any more."""
        with self._database.write() as connection:
            connection.execute(
                "UPDATE job SET state = ?, message = ?, entry = ?, changed = ? WHERE id = ?",
                (state, message, entry, time.time(), number),
            )
        if state == "done":
            self._delete(number)

    def again(self, number: int) -> None:
        """Measure a refused or failed job once more."""
        with self._database.write() as connection:
            connection.execute(
                "UPDATE job SET state = 'waiting', tries = 0, message = '', changed = ? "
                "WHERE id = ? AND state IN ('refused', 'failed')",
                (time.time(), number),
            )

    def assign(self, number: int, team: str, before: str = "", why: str = "") -> bool:
        """Say whose the photos are that wait or were refused under another team; `before` is empty where nobody did.

        An empty team sets waiting photos aside until somebody says it, and why says why. False where they are not
        `before`'s any more, or are being measured or were measured in the meantime.
        """
        states = "('waiting', 'refused', 'failed')" if team else "('waiting')"
        change = (
            "UPDATE job SET team = ?, changed = ?, message = CASE state WHEN 'waiting' THEN ? ELSE message END "
            f"WHERE id = ? AND team = ? AND state IN {states}"
        )
        with self._database.write() as connection:
            return connection.execute(change, (team, time.time(), why, number, before)).rowcount > 0

    def handed_over(self, entry: str, now: str, team: str) -> None:
        """What was measured in a job is another team's attempt now."""
        with self._database.write() as connection:
            connection.execute("UPDATE job SET entry = ?, team = ? WHERE entry = ?", (now, team, entry))

    def dismiss(self, number: int) -> None:
        """Forget a finished job, and delete its photos."""
        with self._database.write() as connection:
            gone = connection.execute("DELETE FROM job WHERE id = ? AND state <> 'measuring'", (number,)).rowcount
        if gone:
            self._delete(number)

    def take_up(self) -> int:
        """After a start: jobs that a stopped program was measuring wait again. Returns how many jobs wait."""
        self._sweep()
        with self._database.write() as connection:
            connection.execute(
                "UPDATE job SET state = 'failed', message = ? WHERE state = 'measuring' AND tries >= ?",
                (f"Measuring it ended the program {MOST_TRIES} times. Try another photo.", MOST_TRIES),
            )
            connection.execute("UPDATE job SET state = 'waiting' WHERE state = 'measuring'")
            waiting: int = connection.execute(
                "SELECT COUNT(*) FROM job WHERE state = 'waiting' AND team <> ''"
            ).fetchone()[0]
        return waiting

    def get(self, number: int) -> Job | None:
        """One job; None where there is none."""
        row = self._database.read().execute("SELECT * FROM job WHERE id = ?", (number,)).fetchone()
        return None if row is None else self._job(row)

    def of(self, challenge: str, most: int = 40) -> list[Job]:
        """A challenge's jobs, the newest first."""
        query = "SELECT * FROM job WHERE challenge = ? ORDER BY id DESC LIMIT ?"
        return [self._job(row) for row in self._database.read().execute(query, (challenge, most)).fetchall()]

    def open_of(self, challenge: str, most: int = 400) -> list[Job]:
        """A challenge's jobs that are not done: waiting, being measured, refused; the newest first."""
        query = "SELECT * FROM job WHERE challenge = ? AND state <> 'done' ORDER BY id DESC LIMIT ?"
        return [self._job(row) for row in self._database.read().execute(query, (challenge, most)).fetchall()]

    def sent_by(self, challenge: str, origin: str, most: int = 12) -> list[Job]:
        """What one sender sent for a challenge, the newest first."""
        query = "SELECT * FROM job WHERE challenge = ? AND origin = ? ORDER BY id DESC LIMIT ?"
        return [self._job(row) for row in self._database.read().execute(query, (challenge, origin, most)).fetchall()]

    def stamp(self, challenge: str) -> tuple[object, ...]:
        """Another one whenever something became of a challenge's jobs."""
        query = "SELECT COUNT(*), MAX(id), MAX(changed) FROM job WHERE challenge = ?"
        return tuple(self._database.read().execute(query, (challenge,)).fetchone())

    def all_of(self, challenge: str) -> list[Job]:
        """All of a challenge's jobs."""
        query = "SELECT * FROM job WHERE challenge = ? ORDER BY id"
        return [self._job(row) for row in self._database.read().execute(query, (challenge,)).fetchall()]

    def erase_photos(self, challenge: str, team: str | None) -> None:
        """Delete the photos that are kept of a challenge's teams, or of one."""
        for job in self.all_of(challenge):
            if team in (None, job.team):
                self._delete(job.id)

    def kept_of(self, origin: str) -> int:
        """How many models' photos are kept for one sender: waiting, being measured, refused."""
        query = "SELECT COUNT(*) FROM job WHERE origin = ? AND state <> 'done'"
        return int(self._database.read().execute(query, (origin,)).fetchone()[0])

    def kept_bytes(self) -> int:
        """What all photos that are kept take on the disk."""
        return sum(file.stat().st_size for file in self._folder.rglob("*") if file.is_file())

    def ahead_of(self, job: Job) -> int:
        """How many jobs are measured before this one."""
        query = "SELECT COUNT(*) FROM job WHERE id < ? AND state IN ('waiting', 'measuring') AND team <> ''"
        return int(self._database.read().execute(query, (job.id,)).fetchone()[0])

    def photos(self, number: int) -> list[Path]:
        """The files of a job's photos, in the order they were given."""
        query = "SELECT stored FROM photo WHERE job = ? ORDER BY position"
        rows = self._database.read().execute(query, (number,)).fetchall()
        return [self._folder / str(number) / row["stored"] for row in rows]

    def preview(self, number: int) -> Path:
        """The small picture of a job's first photo."""
        return self._folder / str(number) / PREVIEW

    def _staged(self, photos: Sequence[UploadedPhoto]) -> Path:
        """The photos in a folder that is not a job's yet; writing them takes long and holds up nobody."""
        self._folder.mkdir(parents=True, exist_ok=True)
        folder = Path(tempfile.mkdtemp(prefix=_STAGING, dir=self._folder))
        try:
            for position, photo in enumerate(photos):
                with (folder / _name(position, photo)).open("wb") as file:
                    file.write(photo.content)
                    file.flush()
                    os.fsync(file.fileno())
            (folder / PREVIEW).write_bytes(photos[0].preview)
        except BaseException:  # the disk is full: what was sent in part is of no use
            shutil.rmtree(folder, ignore_errors=True)
            raise
        return folder

    def _sweep(self) -> None:
        """Delete photos that belong to no job any more."""
        rows = self._database.read().execute("SELECT id FROM job WHERE state <> 'done'").fetchall()
        needed = {str(row["id"]) for row in rows}
        for folder in self._folder.iterdir() if self._folder.is_dir() else ():
            if folder.name not in needed:
                shutil.rmtree(folder, ignore_errors=True)

    def _delete(self, number: int) -> None:
        shutil.rmtree(self._folder / str(number), ignore_errors=True)

    def _job(self, row: sqlite3.Row) -> Job:
        query = "SELECT given FROM photo WHERE job = ? ORDER BY position"
        given = tuple(photo["given"] for photo in self._database.read().execute(query, (row["id"],)))
        return Job(
            row["id"], row["challenge"], row["team"], row["state"], row["tries"], row["message"], row["entry"],
            row["changed"], given,
        )  # fmt: skip


def _name(position: int, photo: UploadedPhoto) -> str:
    return f"photo-{position + 1}{photo.ending}"

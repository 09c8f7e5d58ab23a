"""What every page works with: the settings, what is remembered, the limits on guessing. One for each running page."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from flask import Flask, current_app

from tapeplat.archive import Archive
from tapeplat.page.base.guess_limits import Guesses
from tapeplat.page.base.settings import Settings
from tapeplat.page.base.start_key import StartKey
from tapeplat.page.jobs.job_queue import Jobs
from tapeplat.page.jobs.job_runner import PhotoQueue
from tapeplat.page.jobs.solving_job import Solver
from tapeplat.page.store.challenges import Challenges
from tapeplat.page.store.classes import Classes
from tapeplat.page.store.database import Database
from tapeplat.page.store.named_values import Kept
from tapeplat.page.store.structure_tables import Tables
from tapeplat.page.store.upload_keys import UploadKeys

_NAME = "tapeplat"


@dataclass(frozen=True)
class Room:
    """Everything that a request may need; made by `make_room`, found by `room`."""

    settings: Settings
    database: Database
    kept: Kept
    challenges: Challenges
    classes: Classes
    start_key: StartKey
    archive: Archive
    tables: Tables
    upload_keys: UploadKeys
    jobs: Jobs
    queue: PhotoQueue
    solver: Solver
    passphrase_guesses: Guesses
    code_guesses: Guesses

    def close(self) -> None:
        """End what works in the background and let go of files; nothing may be asked of the page after this."""
        self.queue.stop()
        self.solver.stop()
        self.database.close()


def make_room(settings: Settings) -> Room:
    """Open what the page remembers, making it where it is not there."""
    _private(settings.data)
    database = Database(settings.data / "page.sqlite3")
    challenges, tables = Challenges(settings.data / "challenges"), Tables(database)
    jobs = Jobs(database, settings.data / "photos")
    return Room(
        settings,
        database,
        Kept(database),
        challenges,
        Classes(database),
        StartKey(),
        Archive(settings.archive),
        tables,
        UploadKeys(database),
        jobs,
        PhotoQueue(jobs, challenges, tables, settings.archive, settings.data),
        Solver(),
        passphrase_guesses=Guesses(most=5, most_together=60, seconds=60),
        code_guesses=Guesses(most=10, most_together=120, seconds=60),
    )


def furnish(app: Flask, made: Room) -> None:
    """Give an application its room."""
    app.extensions[_NAME] = made


def room() -> Room:
    """The room of the application that answers this request."""
    found = current_app.extensions[_NAME]
    assert isinstance(found, Room)
    return found


def _private(folder: Path) -> None:
    """Make the folder, for this user's eyes only: children's work is in it."""
    folder.mkdir(parents=True, exist_ok=True)
    folder.chmod(0o700)

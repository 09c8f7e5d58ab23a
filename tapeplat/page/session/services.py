"""What every page works with: the settings, what is remembered, the limits on guessing. One for each running page."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from flask import Flask, current_app

from tapeplat.archive import Archive
from tapeplat.page.base.guess_limits import GuessLimit, TeamLimit, class_code_tries, passphrase_tries, teams_taken
from tapeplat.page.base.reach import Reach
from tapeplat.page.base.settings import Settings
from tapeplat.page.base.start_key import StartKey
from tapeplat.page.jobs import photo_look, plan_checking
from tapeplat.page.jobs.class_judging import ClassJudge
from tapeplat.page.jobs.job_queue import Jobs
from tapeplat.page.jobs.job_runner import PhotoQueue
from tapeplat.page.jobs.large_photos import OneLarge
from tapeplat.page.jobs.plan_checking import PlanChecker
from tapeplat.page.jobs.solving_job import Solver
from tapeplat.page.jobs.taking_over import take_over_once
from tapeplat.page.store.challenges import Challenges
from tapeplat.page.store.classes import Classes
from tapeplat.page.store.database import Database
from tapeplat.page.store.received import Received
from tapeplat.page.store.sign_in_secrets import SignInSecrets
from tapeplat.page.store.structure_tables import StructureTables
from tapeplat.page.store.upload_keys import UploadKeys
from tapeplat.page.store.visits import Visits
from tapeplat.workers.worker_pool import InProcess, Limits, WorkerPool, Workers

_NAME = "tapeplat"
_MEASURING = Limits(nice=10, idle=120.0, leave_mb=400)
"""They step back behind the page's own work, and give their memory back after the rush."""


@dataclass(frozen=True)
class Services:
    """Everything that a request may need; made by `open_services`, found by `services`."""

    settings: Settings
    reach: Reach
    database: Database
    sign_in_secrets: SignInSecrets
    challenges: Challenges
    classes: Classes
    start_key: StartKey
    archive: Archive
    tables: StructureTables
    upload_keys: UploadKeys
    jobs: Jobs
    workers: WorkerPool
    queue: PhotoQueue
    solver: Solver
    lookers: Workers
    large: OneLarge
    planners: Workers
    plan_checker: PlanChecker
    judge: ClassJudge
    passphrase_tries: GuessLimit
    code_tries: GuessLimit
    teams_taken: TeamLimit
    visits: Visits
    received: Received

    def close(self) -> None:
        """End what works in the background and let go of files; nothing may be asked of the page after this."""
        self.queue.stop()
        self.solver.stop()
        self.plan_checker.stop()
        self.judge.stop()
        for workers in (self.workers, self.lookers, self.planners):
            workers.kill()
        self.database.close()


def open_services(settings: Settings) -> Services:
    """Open what the page remembers, making it where it is not there."""
    _private(settings.data)
    database = Database(settings.data / "page.sqlite3")
    challenges, classes = Challenges(settings.data / "challenges"), Classes(database)
    tables = StructureTables(database)
    archive = Archive(settings.archive)
    _closed_to_others(settings.archive)
    take_over_once(database, challenges, classes, archive)
    jobs = Jobs(database, settings.data / "photos")
    workers = WorkerPool(settings.workers + 1, _MEASURING)  # one more, as a question does not wait for the photos
    large = OneLarge()
    lookers, planners = _bounded(settings, photo_look.LIMITS), _bounded(settings, plan_checking.LIMITS)
    return Services(
        settings,
        Reach(settings),
        database,
        SignInSecrets(database),
        challenges,
        classes,
        StartKey(),
        archive,
        tables,
        UploadKeys(database),
        jobs,
        workers,
        PhotoQueue(jobs, challenges, classes, tables, workers, settings.archive, settings.data, large),
        Solver(workers),
        lookers,
        large,
        planners,
        PlanChecker(planners),
        ClassJudge(workers if settings.workers else InProcess(), settings.archive, settings.data),
        passphrase_tries=passphrase_tries(),
        code_tries=class_code_tries(),
        teams_taken=teams_taken(),
        visits=Visits(database),
        received=Received(database),
    )


def _bounded(settings: Settings, limits: Limits) -> Workers:
    return WorkerPool(1, limits) if settings.workers else InProcess()


def attach_services(app: Flask, made: Services) -> None:
    """Give an application what its requests need."""
    app.extensions[_NAME] = made


def services() -> Services:
    """What the application that answers this request works with."""
    found = current_app.extensions[_NAME]
    assert isinstance(found, Services)
    return found


def _closed_to_others(archive: Path) -> None:
    """Pupils' work is no other account's business; a group that shares the folder on purpose keeps it."""
    with suppress(OSError):
        mode = archive.stat().st_mode
        if mode & 0o007:
            archive.chmod(mode & 0o7770)


def _private(folder: Path) -> None:
    """Make the folder, for this user's eyes only: children's work is in it."""
    folder.mkdir(parents=True, exist_ok=True)
    folder.chmod(0o700)

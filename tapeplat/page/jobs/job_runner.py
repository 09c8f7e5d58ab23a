"""Measuring what waits: as many models at once as asked for, each in a worker process."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from pathlib import Path

from measure.file_content import FileContent
from tapeplat.page.base.page_words import without_commands
from tapeplat.page.jobs.filing_job import STRUCTURES, FilingJob
from tapeplat.page.jobs.job_queue import Job, Jobs, State
from tapeplat.page.jobs.large_photos import OneLarge
from tapeplat.page.store.challenges import Challenges
from tapeplat.page.store.classes import Classes
from tapeplat.page.store.structure_tables import StructureTables
from tapeplat.wording.sentences import sentence
from tapeplat.workers.model_job import ModelAnswer
from tapeplat.workers.worker_pool import WorkerFailed, WorkerPool

_LOG = logging.getLogger(__name__)
Measure = Callable[[FilingJob], ModelAnswer]


class PhotoQueue:
    """The queue lies in the page's file; here are only the threads that hand one job after the other to a worker."""

    def __init__(
        self,
        jobs: Jobs,
        challenges: Challenges,
        classes: Classes,
        tables: StructureTables,
        workers: WorkerPool,
        archive: Path,
        data: Path,
        large: OneLarge,
    ) -> None:
        self._jobs, self._challenges, self._classes = jobs, challenges, classes
        self._tables, self._workers = tables, workers
        self._archive, self._data, self._large = archive, data, large
        self._wake = threading.Condition()
        self._stopped = False
        self._threads: list[threading.Thread] = []

    def start(self, count: int) -> int:
        """Take up what waits, so many at a time; returns how many jobs wait."""
        waiting = self._jobs.take_up()
        for number in range(count):
            work = threading.Thread(target=self._keep_working, name=f"photos-{number + 1}", daemon=True)
            work.start()
            self._threads.append(work)
        return waiting

    def wake(self) -> None:
        """Say that a job was added."""
        with self._wake:
            self._wake.notify_all()

    def stop(self) -> None:
        """Measure nothing more, and end the workers at once; what they measured is taken up at the next start."""
        self._stopped = True
        self.wake()
        self._workers.kill()
        for thread in self._threads:
            thread.join(10)

    def work_off(self, measure: Measure = FilingJob.run) -> int:
        """Measure everything that waits, here and now; returns how many jobs that were."""
        done = 0
        while (job := self._jobs.claim()) is not None:
            self._measure(job, measure)
            done += 1
        return done

    def _keep_working(self) -> None:
        while not self._stopped:
            job = self._jobs.claim()
            if job is not None:
                self._measure(job, self._workers.answer)
                continue
            with self._wake:
                if not self._stopped:
                    self._wake.wait(timeout=2)

    def _measure(self, job: Job, measure: Measure) -> None:
        try:
            state, message, entry = self._outcome(job, measure)
        except Exception:  # a worker's fault must not end the queue; the job says so
            _LOG.exception("job %s failed", job.id)
            state, message, entry = "failed", "Something went wrong inside the program. Try the photo again.", ""
        if not self._stopped:
            self._jobs.finish(job.id, state, message, entry)

    def _outcome(self, job: Job, measure: Measure) -> tuple[State, str, str]:
        """The job's new state, what is wrong and what to do, and the archive's entry."""
        kept = self._challenges.get(job.challenge)
        if kept is None or kept.challenge is None:
            return "failed", "The challenge has mistakes or was removed. Put that right, then try again.", ""
        try:
            with self._large.turn(photo.read_bytes() for photo in self._jobs.photos(job.id) if photo.is_file()):
                answer = measure(self._filing_job(job))
        except WorkerFailed as failure:
            _LOG.warning("job %s: %s", job.id, failure)
            return "failed", f"Measuring this did not end well: {failure}. Try it again, or another photo.", ""
        if answer.measured:
            return "done", "", answer.entry
        said = answer.refusals[0].advice if answer.refusals else answer.problem
        return "refused" if answer.refusals else "failed", sentence(without_commands(said)), ""

    def _filing_job(self, job: Job) -> FilingJob:
        challenge = self._challenges.text(job.challenge).encode("utf-8")
        table = self._tables.structures(job.challenge, job.team).encode("utf-8")
        return FilingJob(
            challenge=FileContent(f"{job.challenge}.toml", challenge),
            team=job.team,
            photos=tuple(self._jobs.photos(job.id)),
            structures=FileContent(STRUCTURES, table) if table else None,
            archive=self._archive,
            data=self._data,
            class_id=self._classes.of(job.challenge).id,
        )

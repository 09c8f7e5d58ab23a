"""Measuring what waits: as many models at once as there are workers, each in a process of its own."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from pathlib import Path

from tapeplat.classroom.workers import WorkerFailed, Workers
from tapeplat.page.jobs.job_queue import Job, Jobs
from tapeplat.page.jobs.measuring_job import Answer, Task, measure_in_worker, measure_task
from tapeplat.page.store.challenges import Challenges
from tapeplat.page.store.structure_tables import StructureTables

_LOG = logging.getLogger(__name__)
Measure = Callable[[Task], Answer]


class PhotoQueue:
    """The queue lies in the page's file; here are only the threads that hand one job after the other to a worker."""

    def __init__(self, jobs: Jobs, challenges: Challenges, tables: StructureTables, archive: Path, data: Path) -> None:
        self._jobs, self._challenges, self._tables = jobs, challenges, tables
        self._archive, self._data = archive, data
        self._wake = threading.Condition()
        self._stopped = False
        self._threads: list[threading.Thread] = []
        self._workers: Workers[Task, Answer] | None = None

    def start(self, count: int) -> int:
        """Take up what waits, with so many workers; returns how many jobs wait."""
        waiting = self._jobs.take_up()
        workers = self._workers = Workers(count, measure_in_worker)
        for number in range(count):
            work = threading.Thread(
                target=self._keep_working, args=(lambda task: workers.submit(task).result(),), daemon=True
            )
            work.name = f"photos-{number + 1}"
            work.start()
            self._threads.append(work)
        return waiting

    def wake(self) -> None:
        """Say that a job was added."""
        with self._wake:
            self._wake.notify_all()

    def stop(self) -> None:
        """End the workers at once; what they were measuring is taken up at the next start."""
        self._stopped = True
        self.wake()
        if self._workers is not None:
            self._workers.kill()
        for thread in self._threads:
            thread.join(10)

    def work_off(self, measure: Measure = measure_task) -> int:
        """Measure everything that waits, here and now; returns how many jobs that were."""
        done = 0
        while (job := self._jobs.claim()) is not None:
            self._measure(job, measure)
            done += 1
        return done

    @property
    def pids(self) -> tuple[int, ...]:
        """The process numbers of the workers that run."""
        return self._workers.pids if self._workers else ()

    def _keep_working(self, measure: Measure) -> None:
        while not self._stopped:
            job = self._jobs.claim()
            if job is not None:
                self._measure(job, measure)
                continue
            with self._wake:
                if not self._stopped:
                    self._wake.wait(timeout=2)

    def _measure(self, job: Job, measure: Measure) -> None:
        try:
            answer = self._answer(job, measure)
        except Exception:  # a worker's fault must not end the queue; the job says so
            _LOG.exception("job %s failed", job.id)
            answer = Answer("failed", "Something went wrong inside the program. Try the photo again.")
        if not self._stopped:
            self._jobs.finish(job.id, answer.state, answer.message, answer.entry)

    def _answer(self, job: Job, measure: Measure) -> Answer:
        stored = self._challenges.get(job.challenge)
        if stored is None or stored.challenge is None:
            return Answer("failed", "The challenge has mistakes or was removed. Put that right, then try again.")
        task = Task(
            self._challenges.text(job.challenge),
            job.challenge,
            job.team,
            tuple(self._jobs.photos(job.id)),
            self._tables.structures(job.challenge, job.team),
            self._archive,
            self._data,
        )
        try:
            return measure(task)
        except WorkerFailed as failure:
            _LOG.warning("job %s: %s", job.id, failure)
            return Answer("failed", f"Measuring this did not end well: {failure}. Try it again, or another photo.")

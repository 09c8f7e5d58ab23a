"""Judging or measuring the models of a class again, one after the other in a worker, and telling how far that is."""

from __future__ import annotations

import threading
from collections import Counter
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

from measure.file_content import FileContent
from tapeplat.archive import Archive, Entry
from tapeplat.archive.judging import JudgedAgain, judge_again
from tapeplat.page.base.process_lock import lock_filing
from tapeplat.page.jobs.lens_job import LensJob, LensOffer, LensQuestion
from tapeplat.workers.worker_pool import WorkerFailed, Workers


@dataclass(frozen=True)
class JudgingJob:
    """One attempt to be judged again by a challenge."""

    entry: str
    challenge: FileContent
    archive: Path
    data: Path

    def run(self) -> JudgedAgain:
        """What became of it. Raises InputMistakes where the challenge cannot be used, or the attempt is gone."""
        archive = Archive(self.archive)
        with lock_filing(self.data):
            return judge_again(archive, archive.entry(self.entry), self.challenge)


Again = Literal["judged", "measured"]


@dataclass(frozen=True)
class Judging:
    """How far it is: of how many models, what became of those that were done; what is done with them."""

    total: int
    done: tuple[JudgedAgain, ...]
    how: Again = "judged"

    @property
    def together(self) -> list[tuple[str, str, str, str, int]]:
        """What changed in the same way in several models: the rule, how it was stated before where it was edited, the
        verdict before and now, how many models.
        """
        each = ((c.text, c.formerly, c.before or "", c.after or "") for model in self.done for c in model.changes)
        return [(*change, count) for change, count in Counter(each).items() if count > 1]

    @property
    def sound(self) -> int:
        """How many were judged without a fault."""
        return sum(not model.problem for model in self.done)

    @property
    def finished(self) -> bool:
        """Whether all are judged."""
        return len(self.done) >= self.total


class ClassJudge:
    """One class after the other; the last judging of each is remembered while the program runs."""

    def __init__(self, workers: Workers, archive: Path, data: Path) -> None:
        self._workers, self._archive, self._data = workers, archive, data
        self._line = ThreadPoolExecutor(1, thread_name_prefix="judging")
        self._lock = threading.Lock()
        self._known: dict[str, Judging] = {}

    def begin(self, slug: str, entries: Sequence[Entry], challenge: str) -> None:
        """Judge these attempts of a challenge's class; nothing while the last judging of it goes on."""
        text = FileContent(f"{slug}.toml", challenge.encode("utf-8"))
        jobs = [(entry, JudgingJob(entry.id, text, self._archive, self._data)) for entry in entries]
        self._begin(slug, "judged", jobs)

    def begin_measuring(self, slug: str, entries: Sequence[Entry]) -> None:
        """Measure these attempts again by the better lens, in the same way."""
        self._begin(slug, "measured", [(entry, LensJob(entry.id, self._archive, self._data)) for entry in entries])

    def _begin(self, slug: str, how: Again, jobs: Sequence[tuple[Entry, JudgingJob | LensJob]]) -> None:
        with self._lock:
            known = self._known.get(slug)
            if known is not None and not known.finished:
                return
            self._known[slug] = Judging(len(jobs), (), how)
        self._line.submit(self._work_off, slug, jobs)

    def asked(self, question: LensQuestion) -> tuple[LensOffer, ...]:
        """Which models a better lens is known of. Raises WorkerFailed."""
        return self._workers.answer(question)

    def of(self, slug: str) -> Judging | None:
        """The last judging of a challenge's class; None where there was none."""
        with self._lock:
            return self._known.get(slug)

    def stop(self) -> None:
        """Judge nothing more."""
        self._line.shutdown(wait=False, cancel_futures=True)

    def _work_off(self, slug: str, jobs: Sequence[tuple[Entry, JudgingJob | LensJob]]) -> None:
        for entry, job in jobs:
            try:
                judged = self._workers.answer(job)
            except WorkerFailed as failure:
                judged = JudgedAgain(entry.id, entry.name, problem=f"it did not end well: {failure}")
            with self._lock:
                known = self._known[slug]
                self._known[slug] = replace(known, done=(*known.done, judged))

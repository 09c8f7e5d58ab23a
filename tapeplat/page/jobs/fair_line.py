"""Jobs of many owners, in turn: whoever hands in most waits behind everybody else, and never holds anybody up."""

from __future__ import annotations

import threading
from collections import OrderedDict
from concurrent.futures import Future
from typing import Any, TypeVar

from tapeplat.workers.worker_pool import Job, Workers

Answer = TypeVar("Answer")


class FairLine:
    """Of every owner one job is worked on and one waits; a newer one takes its place, and it is cancelled."""

    def __init__(self, workers: Workers, count: int) -> None:
        self._workers, self._count = workers, count
        self._changed = threading.Condition()
        self._waiting: OrderedDict[str, tuple[Job[Any], Future[Any]]] = OrderedDict()
        self._busy: set[str] = set()
        self._threads = 0
        self._stopped = False

    def hand_in(self, owner: str, job: Job[Answer]) -> Future[Answer]:
        """A future of the job's answer; it raises WorkerFailed, or CancelledError."""
        future: Future[Answer] = Future()
        with self._changed:
            before = self._waiting.pop(owner, None)
            if before is not None:
                before[1].cancel()
            self._waiting[owner] = (job, future)
            if self._threads < self._count:
                self._threads += 1
                threading.Thread(target=self._work, name="fair line", daemon=True).start()
            self._changed.notify()
        return future

    def stop(self) -> None:
        """Begin nothing more."""
        with self._changed:
            self._stopped = True
            for _, future in self._waiting.values():
                future.cancel()
            self._waiting.clear()
            self._changed.notify_all()

    def _work(self) -> None:
        while (taken := self._next()) is not None:
            owner, job, future = taken
            try:
                if future.set_running_or_notify_cancel():
                    future.set_result(self._workers.answer(job))
            except Exception as failure:
                future.set_exception(failure)
            finally:
                with self._changed:
                    self._busy.discard(owner)
                    self._changed.notify()

    def _next(self) -> tuple[str, Job[Any], Future[Any]] | None:
        """The job that has waited longest of those whose owner has none under way; None at the end."""
        with self._changed:
            while not self._stopped:
                owner = next((owner for owner in self._waiting if owner not in self._busy), None)
                if owner is not None:
                    self._busy.add(owner)
                    return owner, *self._waiting.pop(owner)
                self._changed.wait()
        return None

"""Jobs of many owners, in turn: next is whoever took least of the workers' time lately, so that one whose jobs take
long waits behind everybody else.
"""

from __future__ import annotations

import math
import threading
import time
from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import Future
from typing import Any, TypeVar

from tapeplat.workers.worker_pool import Job, Workers

Answer = TypeVar("Answer")
_HALF = 60.0
"""Seconds after which half of the time that somebody took is forgotten."""
_MOST_OWNERS = 500


class FairLine:
    """Of every owner one job is worked on and one waits; a newer one takes its place, and it is cancelled."""

    def __init__(self, workers: Workers, count: int, clock: Callable[[], float] = time.monotonic) -> None:
        self._workers, self._count, self._clock = workers, count, clock
        self._changed = threading.Condition()
        self._waiting: OrderedDict[str, tuple[Job[Any], Future[Any]]] = OrderedDict()
        self._busy: set[str] = set()
        self._took: OrderedDict[str, tuple[float, float]] = OrderedDict()
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
            begun = self._clock()
            try:
                if future.set_running_or_notify_cancel():
                    future.set_result(self._workers.answer(job))
            except Exception as failure:
                future.set_exception(failure)
            finally:
                with self._changed:
                    self._busy.discard(owner)
                    self._remember(owner, self._clock() - begun)
                    self._changed.notify()

    def _next(self) -> tuple[str, Job[Any], Future[Any]] | None:
        """The job of who took least lately, of those whose owner has none under way; None at the end."""
        with self._changed:
            while not self._stopped:
                ready = [owner for owner in self._waiting if owner not in self._busy]
                if ready:
                    owner = min(ready, key=self._lately)
                    self._busy.add(owner)
                    return owner, *self._waiting.pop(owner)
                self._changed.wait()
        return None

    def _lately(self, owner: str) -> float:
        """Seconds that this owner's jobs took, the longer ago the less."""
        took, at = self._took.get(owner, (0.0, 0.0))
        return took * math.exp2((at - self._clock()) / _HALF)

    def _remember(self, owner: str, seconds: float) -> None:
        self._took[owner] = self._lately(owner) + seconds, self._clock()
        self._took.move_to_end(owner)
        while len(self._took) > _MOST_OWNERS:
            self._took.popitem(last=False)

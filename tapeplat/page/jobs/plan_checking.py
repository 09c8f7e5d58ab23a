"""Checking teams' plans in worker processes, of bounded time and memory; what was answered is kept."""

from __future__ import annotations

import hashlib
import threading
from collections import OrderedDict
from concurrent.futures import CancelledError, Future
from concurrent.futures import TimeoutError as TooLate
from dataclasses import dataclass
from functools import lru_cache

from measure.challenge import Challenge, parse_challenge
from tapeplat.page.jobs.fair_line import FairLine
from tapeplat.page.plan.plan_check import PlanVerdict, check_plan
from tapeplat.page.plan.plan_form import read_rows, rows_from_json
from tapeplat.workers.worker_pool import Limits, WorkerFailed, Workers

LIMITS = Limits(seconds=4.0, clock=120.0, nice=5, more_mb=600, idle=300.0, leave_mb=400)
"""A class's plan takes 0.1 s and 200 MB."""
_KEPT = 300
_PATIENCE, _WAITERS = 2.0, 4
"""So long a page waits for its answer, and so many pages do; the others are told that it is coming."""


@dataclass(frozen=True)
class PlanQuestion:
    """A challenge's text, and a plan's rows as they are saved."""

    challenge: str
    pieces: str

    @property
    def key(self) -> str:
        """The same question has the same key."""
        return hashlib.sha256(f"{len(self.challenge)} {self.challenge}{self.pieces}".encode()).hexdigest()

    def run(self) -> tuple[PlanVerdict, ...]:
        """Every rule's verdict; none where the plan does not fit the challenge any more."""
        challenge = _challenge(self.challenge)
        read = read_rows(rows_from_json(self.pieces), challenge)
        return () if read.wrong else check_plan(read.pieces, challenge)


@dataclass(frozen=True)
class PlanAnswer:
    """The verdicts; or why there are none."""

    verdicts: tuple[PlanVerdict, ...] = ()
    problem: str = ""


class PlanChecker:
    """Answers questions about plans, team by team in turn."""

    def __init__(self, workers: Workers, count: int = 1) -> None:
        self._line = FairLine(workers, count)
        self._lock = threading.Lock()
        self._asked: OrderedDict[str, Future[tuple[PlanVerdict, ...]]] = OrderedDict()
        self._may_wait = threading.Semaphore(_WAITERS)

    def answer(self, team: str, question: PlanQuestion) -> PlanAnswer | None:
        """The answer to a team's question; None while it is being found: ask again."""
        future = self._future(team, question)
        if not future.done() and self._may_wait.acquire(blocking=False):
            try:
                future.exception(_PATIENCE)
            except (TooLate, CancelledError):
                pass
            finally:
                self._may_wait.release()
        return _said(future)

    def stop(self) -> None:
        """Answer nothing more."""
        self._line.stop()

    def _future(self, team: str, question: PlanQuestion) -> Future[tuple[PlanVerdict, ...]]:
        with self._lock:
            known = self._asked.get(question.key)
            if known is None or known.cancelled():
                known = self._asked[question.key] = self._line.hand_in(team, question)
            self._asked.move_to_end(question.key)
            while len(self._asked) > _KEPT:
                self._asked.popitem(last=False)
            return known


def _said(future: Future[tuple[PlanVerdict, ...]]) -> PlanAnswer | None:
    if not future.done() or future.cancelled():
        return None
    try:
        return PlanAnswer(future.result())
    except WorkerFailed:
        return PlanAnswer(problem="This plan is too much to check. Use fewer pieces, or fewer corners.")


@lru_cache(maxsize=4)
def _challenge(text: str) -> Challenge:
    return parse_challenge(text, "the challenge")

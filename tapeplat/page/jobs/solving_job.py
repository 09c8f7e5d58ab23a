"""Asking whether rules can be met, or what a team could change, in a worker process: it may take half a minute."""

from __future__ import annotations

import hashlib
import threading
from collections import OrderedDict
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from typing import TYPE_CHECKING

import tapeplat
from measure.errors import InputMistakes
from measure.file_content import FileContent
from tapeplat.page.base.page_words import without_commands
from tapeplat.wording.sentences import sentence
from tapeplat.workers.worker_pool import WorkerFailed, WorkerPool

if TYPE_CHECKING:
    from tapeplat.solving.solution import Solution

_KEPT = 40
"""Answers; the page asks for the last few only."""


@dataclass(frozen=True)
class SolverAnswer:
    """The answer: its heading, the rest as sentences or as lines of a table, and the sample layout as a drawing (empty
    where there is none).
    """

    heading: str
    sentences: tuple[str, ...] = ()
    lines: tuple[str, ...] = ()
    drawing: str = ""


@dataclass(frozen=True)
class Question:
    """A challenge's text; with a result's text the question is what that team could change."""

    challenge: str
    result: str = ""

    @property
    def key(self) -> str:
        """The same question has the same key."""
        whole = f"{len(self.challenge)} {self.challenge}{self.result}"
        return hashlib.sha256(whole.encode("utf-8")).hexdigest()[:24]

    def run(self) -> SolverAnswer:
        """The answer. Raises InputMistakes where the challenge cannot be used."""
        challenge = tapeplat.read_challenge(FileContent("the challenge", self.challenge.encode("utf-8")))
        if not self.result:
            return _solvable(tapeplat.solve(challenge))
        try:
            found = tapeplat.suggest(challenge, FileContent("the result", self.result.encode("utf-8")))
        except InputMistakes as wrong:
            first = wrong.mistakes[0]
            return SolverAnswer("This cannot be said", (sentence(f"{first.what}; {first.do}"),))
        return SolverAnswer("What this team could change", tuple(sentence(_on_the_page(line)) for line in found.lines))


def _solvable(found: Solution) -> SolverAnswer:
    lines = tuple(map(_on_the_page, found.report.splitlines()[1:]))
    drawing = found.files.get("plat.svg", b"").decode("utf-8")
    return SolverAnswer(found.heading[:1].upper() + found.heading[1:], lines=lines, drawing=drawing)


def _on_the_page(line: str) -> str:
    """Without what can only be typed behind a command."""
    return without_commands(line)


class Solver:
    """Questions and their answers, kept while the program runs; one at a time is worked on."""

    def __init__(self, workers: WorkerPool) -> None:
        self._workers = workers
        self._line = ThreadPoolExecutor(1, thread_name_prefix="questions")
        self._lock = threading.Lock()
        self._asked: OrderedDict[str, Future[SolverAnswer]] = OrderedDict()

    def ask(self, question: Question) -> str:
        """Have a question answered, unless it is already; returns its key."""
        with self._lock:
            if question.key not in self._asked or _failed(self._asked[question.key]):
                self._asked[question.key] = self._line.submit(self._workers.answer, question)
            self._asked.move_to_end(question.key)
            while len(self._asked) > _KEPT:
                self._asked.popitem(last=False)[1].cancel()
        return question.key

    def said(self, key: str) -> SolverAnswer | None:
        """The answer, None while it is being found. Raises KeyError for a key that nobody asked."""
        with self._lock:
            future = self._asked[key]
        if not future.done():
            return None
        try:
            return future.result()
        except WorkerFailed as failure:
            return SolverAnswer("No answer", (f"It did not end well: {failure}.", "Ask once more."))

    def stop(self) -> None:
        """Answer nothing more."""
        self._line.shutdown(wait=False, cancel_futures=True)


def _failed(future: Future[SolverAnswer]) -> bool:
    return future.cancelled() or (future.done() and future.exception() is not None)

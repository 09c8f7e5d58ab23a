"""Asking whether rules can be met, or what a team could change, in a process of its own: it may take half a minute."""

from __future__ import annotations

import hashlib
import multiprocessing
import os
import threading
from collections import OrderedDict
from concurrent.futures import Future
from dataclasses import dataclass

from tapeplat.classroom.workers import WorkerFailed, Workers

_KEPT = 40
"""Answers; the page asks for the last few only."""
_SECONDS = 30.0
_NICE = 10


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


@dataclass(frozen=True)
class Said:
    """The answer: its heading, the rest as sentences or as lines of a table, and the sample layout as a drawing (empty
    where there is none).
    """

    heading: str
    sentences: tuple[str, ...] = ()
    lines: tuple[str, ...] = ()
    drawing: str = ""


def solve(question: Question) -> Said:
    """Answer a question. Raises InputMistakes where challenge or result cannot be used."""
    if multiprocessing.parent_process() and hasattr(os, "nice") and os.nice(0) < _NICE:
        os.nice(_NICE - os.nice(0))
    return _near(question) if question.result else _solvable(question)


def _solvable(question: Question) -> Said:
    from measure.challenge import parse_challenge
    from measure.solvable import answer, plat_of
    from tapeplat.solving.solvable_files import drawn
    from tapeplat.solving.solvable_words import headline, report

    found = answer(parse_challenge(question.challenge), _SECONDS)
    files = {} if found.layout is None else drawn(found.challenge, plat_of(found.layout), "sample layout")
    heading = headline(found)
    lines = tuple(map(_on_the_page, report(found).splitlines()[1:]))
    return Said(_sentence(heading)[:-1], lines=lines, drawing=files.get("plat.svg", b"").decode("utf-8"))


def _near(question: Question) -> Said:
    from measure.challenge import parse_challenge
    from measure.result.result import parse_result
    from measure.result.result_plat import plat_of
    from measure.solvable import Deadline, nearest
    from tapeplat.solving.solvable_words import near_words

    challenge = parse_challenge(question.challenge)
    try:
        found = nearest(challenge, plat_of(parse_result(question.result)), Deadline(_SECONDS))
    except ValueError as error:
        return Said("This cannot be said", (_sentence(f"{error}; measure the model again from a better photo"),))
    said = near_words(found, challenge.unit)
    return Said("What this team could change", tuple(_sentence(_on_the_page(line)) for line in said))


def _on_the_page(line: str) -> str:
    """Without what can only be typed behind a command."""
    return line.replace("; try more --seconds", "").replace("; give more --seconds", "")


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:] + ("" if text.endswith(".") else ".")


class Solver:
    """Questions and their answers, kept while the program runs. The process is started for the first question."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._asked: OrderedDict[str, Future[Said]] = OrderedDict()
        self._workers: Workers[Question, Said] | None = None

    def ask(self, question: Question) -> str:
        """Have a question answered, unless it is already; returns its key."""
        with self._lock:
            if self._workers is None:
                self._workers = Workers(1, solve)
            if question.key not in self._asked or _failed(self._asked[question.key]):
                self._asked[question.key] = self._workers.submit(question)
            self._asked.move_to_end(question.key)
            while len(self._asked) > _KEPT:
                self._asked.popitem(last=False)[1].cancel()
        return question.key

    def said(self, key: str) -> Said | None:
        """The answer, None while it is being found. Raises KeyError for a key that nobody asked."""
        with self._lock:
            future = self._asked[key]
        if not future.done():
            return None
        try:
            return future.result()
        except WorkerFailed as failure:
            return Said("No answer", (f"It did not end well: {failure}.", "Ask once more."))

    def stop(self) -> None:
        """End the process at once."""
        with self._lock:
            if self._workers is not None:
                self._workers.kill()


def _failed(future: Future[Said]) -> bool:
    return future.cancelled() or (future.done() and future.exception() is not None)

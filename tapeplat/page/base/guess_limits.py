"""A limit on guessing: so many wrong tries in so many seconds for one address.

There is no limit for all together: whoever guesses from many addresses would keep the teacher, or a class, out by it.
"""

from __future__ import annotations

import threading
import time
from collections import deque
from collections.abc import Callable

from flask import request

from tapeplat.page.base.page_errors import PageError


def passphrase_tries() -> GuessLimit:
    """How often the teacher's passphrase may be tried."""
    return GuessLimit(most=5, seconds=60)


def class_code_tries() -> GuessLimit:
    """How often a class's code may be tried; children mistype."""
    return GuessLimit(most=10, seconds=60)


def teams_taken() -> TeamLimit:
    """How many teams one address may be the first device of; a class's shared computer is the teacher's own."""
    return TeamLimit(most=3, seconds=1800)


def begin_guess(limit: GuessLimit, of: str, do: str) -> str:
    """The address that guesses, where it may now; of names what is guessed, many of it. Raises PageError."""
    address = request.remote_addr or ""
    wait = limit.begin(address)
    if wait > 0:
        raise PageError(429, "Please wait", f"There were too many wrong {of}. Wait {max(1, round(wait))} seconds.", do)
    return address


class GuessLimit:
    """Counts wrong guesses; safe to share between threads. most is for one address."""

    def __init__(self, *, most: int, seconds: float, clock: Callable[[], float] = time.monotonic) -> None:
        self._most, self._seconds = most, seconds
        self._clock = clock
        self._wrong: deque[tuple[float, str]] = deque()
        self._lock = threading.Lock()
        self.one_at_a_time = threading.Lock()
        """For guesses that are answered quickly: a class that comes in together is no crowd of guesses."""

    def begin(self, address: str) -> float:
        """Seconds until this address may guess again; 0 where it may now.

        The guess then counts as a wrong one until `right` is called, so that many at once are no way round the limit.
        """
        with self._lock:
            self._forget_old()
            own = [when for when, who in self._wrong if who == address]
            wait = self._left(own)
            if wait == 0:
                self._wrong.append((self._clock(), address))
            return wait

    def right(self, address: str) -> None:
        """The guess that this address began was right: it does not count."""
        with self._lock:
            last = next((tried for tried in reversed(self._wrong) if tried[1] == address), None)
            if last is not None:
                self._wrong.remove(last)

    def _left(self, times: list[float]) -> float:
        if len(times) < self._most:
            return 0.0
        return max(0.0, times[-self._most] + self._seconds - self._clock())

    def _forget_old(self) -> None:
        while self._wrong and self._wrong[0][0] + self._seconds <= self._clock():
            self._wrong.popleft()


class TeamLimit(GuessLimit):
    """How many teams one address may begin, until the teacher lets it begin them all: a school's network may show all
    of its devices under one address.
    """

    def __init__(self, *, most: int, seconds: float, clock: Callable[[], float] = time.monotonic) -> None:
        super().__init__(most=most, seconds=seconds, clock=clock)
        self._asked_in_vain: dict[str, float] = {}
        self._let_in: dict[str, float] = {}

    def may_begin(self, address: str) -> bool:
        """Whether this address may begin a team now."""
        if self._clock() < self._let_in.get(address, 0.0) or self.begin(address) == 0:
            return True
        self._asked_in_vain[address] = self._clock()
        return False

    def waiting(self) -> list[str]:
        """The addresses that asked in vain lately."""
        since = self._clock() - self._seconds
        return [address for address, when in sorted(self._asked_in_vain.items()) if when > since]

    def let_in(self, address: str) -> None:
        """Let an address begin every team, for as long as it would have waited."""
        self._asked_in_vain.pop(address, None)
        self._let_in[address] = self._clock() + self._seconds

    def forget(self) -> None:
        """Count from the beginning: the teams that were begun are gone."""
        with self._lock:
            self._wrong.clear()
            self._asked_in_vain.clear()

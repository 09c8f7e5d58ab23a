"""A limit on guessing: so many wrong tries in so many seconds, for one address and for all together."""

from __future__ import annotations

import threading
import time
from collections import deque
from collections.abc import Callable

from flask import request

from tapeplat.page.base.page_errors import PageError


def passphrase_tries() -> GuessLimit:
    """How often the teacher's passphrase may be tried."""
    return GuessLimit(most=5, most_together=60, seconds=60)


def class_code_tries() -> GuessLimit:
    """How often a class's code may be tried; children mistype."""
    return GuessLimit(most=10, most_together=120, seconds=60)


def begin_guess(limit: GuessLimit, of: str, do: str) -> str:
    """The address that guesses, where it may now; of names what is guessed, many of it. Raises PageError."""
    address = request.remote_addr or ""
    wait = limit.begin(address)
    if wait > 0:
        raise PageError(429, "Please wait", f"There were too many wrong {of}. Wait {max(1, round(wait))} seconds.", do)
    return address


class GuessLimit:
    """Counts wrong guesses; safe to share between threads. most is for one address, most_together for all."""

    def __init__(
        self, *, most: int, most_together: int, seconds: float, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self._most, self._most_together, self._seconds = most, most_together, seconds
        self._clock = clock
        self._wrong: deque[tuple[float, str]] = deque()
        self._lock = threading.Lock()

    def begin(self, address: str) -> float:
        """Seconds until this address may guess again; 0 where it may now.

        The guess then counts as a wrong one until `right` is called, so that many at once are no way round the limit.
        """
        with self._lock:
            self._forget_old()
            own = [when for when, who in self._wrong if who == address]
            waits = [self._left(own, self._most), self._left([when for when, _ in self._wrong], self._most_together)]
            if max(waits) == 0:
                self._wrong.append((self._clock(), address))
            return max(waits)

    def right(self, address: str) -> None:
        """The guess that this address began was right: it does not count."""
        with self._lock:
            last = next((tried for tried in reversed(self._wrong) if tried[1] == address), None)
            if last is not None:
                self._wrong.remove(last)

    def _left(self, times: list[float], most: int) -> float:
        if len(times) < most:
            return 0.0
        return max(0.0, times[-most] + self._seconds - self._clock())

    def _forget_old(self) -> None:
        while self._wrong and self._wrong[0][0] + self._seconds <= self._clock():
            self._wrong.popleft()

"""How often somebody may ask: so many requests in a rush, then so many a second (a token bucket)."""

from __future__ import annotations

import time
from collections import OrderedDict
from collections.abc import Callable

_MOST_SENDERS = 5000
"""Who did not ask for longest is forgotten beyond that."""


class RequestAllowance:
    """Counts requests by sender; for one thread."""

    def __init__(self, *, rush: int, a_second: float, clock: Callable[[], float] = time.monotonic) -> None:
        self._rush, self._a_second, self._clock = rush, a_second, clock
        self._left: OrderedDict[str, tuple[float, float]] = OrderedDict()

    def take(self, sender: str) -> bool:
        """Whether this sender may ask now; a request that may not is not counted."""
        now = self._clock()
        left, before = self._left.pop(sender, (float(self._rush), now))
        left = min(float(self._rush), left + (now - before) * self._a_second)
        may = left >= 1.0
        self._left[sender] = (left - 1.0 if may else left, now)
        while len(self._left) > _MOST_SENDERS:
            self._left.popitem(last=False)
        return may

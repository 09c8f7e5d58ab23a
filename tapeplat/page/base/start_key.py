"""The key in the address that opens the teacher's page on this machine; every key works once."""

from __future__ import annotations

import hmac
import secrets
import threading
from collections.abc import Callable


class StartKey:
    """The current key. After it was used `on_used` is told, so that the next address can be shown."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._key = secrets.token_urlsafe(24)
        self.on_used: Callable[[], None] = lambda: None

    @property
    def key(self) -> str:
        """The key that works now."""
        with self._lock:
            return self._key

    def use(self, said: str) -> bool:
        """Whether this is the key; it works no second time."""
        with self._lock:
            right = hmac.compare_digest(said.encode(), self._key.encode())
            if right:
                self._key = secrets.token_urlsafe(24)
        if right:
            self.on_used()
        return right

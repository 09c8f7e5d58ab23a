"""The server that judges requests by their heads (`judged_requests.py`), and takes its time with what is refused.

Whoever asks too often waits for that answer without holding a thread, and bodies that are thrown away come in slowly:
what one asks in vain costs the others nothing.
"""

from __future__ import annotations

import copy
import io
import time
from collections import deque
from functools import partial
from typing import Any

from flask import Flask
from waitress.channel import HTTPChannel
from waitress.parser import HTTPRequestParser
from waitress.receiver import FixedStreamReceiver
from waitress.server import TcpWSGIServer

from tapeplat.page.judged_requests import BodyJudge, TooOften

_RECEIVED = 65_536
_HELD_SECONDS, _MOST_HELD = 2.0, 60
"""How long the answer to whoever asks too often waits, and how many such do, of the server's connections; the rest of
them are closed without an answer."""
_PIECE, _PIECE_SECONDS = 1_000_000, 0.1
"""Of a body that is thrown away, at most so many bytes are read in so many seconds."""
_LOOP_SECONDS = 0.25
"""The server looks so often at what waits, where nothing else happens."""


def judged_server(app: Flask, **options: Any) -> Any:
    """The server for an application that judges every request by its head; options are the server's own."""
    return JudgedServer(app, recv_bytes=_RECEIVED, **options)


class JudgedServer(TcpWSGIServer):  # type: ignore[misc]  # the server's library has no types
    """A server whose requests are judged."""

    def __init__(self, app: Flask, **options: Any) -> None:
        self.channel_class = partial(JudgedChannel, BodyJudge(app))
        self._held: deque[tuple[float, Any]] = deque()
        super().__init__(app, **options)
        self.adj.asyncore_loop_timeout = _LOOP_SECONDS
        self.large_pieces = copy.copy(self.adj)
        self.large_pieces.recv_bytes = _PIECE

    def add_task(self, task: Any) -> None:
        """Hand a connection's next request to a thread; what is to wait is kept here until then."""
        if not isinstance(task.requests[0].error, TooOften):
            super().add_task(task)
        elif len(self._held) < _MOST_HELD:
            self._held.append((time.monotonic() + _HELD_SECONDS, task))
        else:
            task.cancel()

    def readable(self) -> bool:
        """Asked before each look at the connections: what has waited for long enough is handed on."""
        while self._held and self._held[0][0] <= time.monotonic():
            super().add_task(self._held.popleft()[1])
        return bool(super().readable())


class JudgedChannel(HTTPChannel):  # type: ignore[misc]
    """A connection whose requests are judged."""

    request: JudgedParser | None

    def __init__(self, judge: BodyJudge, server: Any, sock: Any, addr: Any, adj: Any, map: Any = None) -> None:
        super().__init__(server, sock, addr, adj, map=map)
        self.parser_class = partial(JudgedParser, judge, str(addr[0]))
        self._next_piece = 0.0

    def readable(self) -> bool:
        """Whether more is taken in now."""
        return bool(super().readable()) and time.monotonic() >= self._next_piece

    def handle_read(self) -> None:
        """Take in what has come."""
        away = self.request is not None and self.request.thrown_away
        self.adj = self.server.large_pieces if away else self.server.adj
        self._next_piece = time.monotonic() + _PIECE_SECONDS if away else 0.0
        super().handle_read()


class JudgedParser(HTTPRequestParser):  # type: ignore[misc]
    """A request that is coming in, from an address."""

    adj: Any
    content_length: int
    thrown_away = False

    def __init__(self, judge: BodyJudge, address: str, adj: Any) -> None:
        super().__init__(adj)
        self._judge_it, self.address = judge, address

    def parse_header(self, header_plus: bytes) -> None:
        """Read the head, and give the request up where it may not come."""
        super().parse_header(header_plus)
        self.error = self._judge_it(self)
        if self.error is not None:
            self.expect_continue, self.body_rcv, self.content_length = False, None, 0

    def limit(self, most: int) -> None:
        """A body of more bytes is given up, also one that does not say its length."""
        self.adj = copy.copy(self.adj)
        self.adj.max_request_body_size = most + 1

    def throw_body_away(self) -> None:
        """Nothing of the body is kept; its length alone tells the application that it is too large."""
        self.body_rcv, self.thrown_away = FixedStreamReceiver(self.content_length, _Nowhere()), True


class _Nowhere:
    """A buffer that keeps nothing."""

    def __len__(self) -> int:
        return 0

    def append(self, data: bytes) -> None:
        """Let it go."""

    def getfile(self) -> io.BytesIO:
        """An empty body."""
        return io.BytesIO()

    def close(self) -> None:
        """There is nothing to let go of."""

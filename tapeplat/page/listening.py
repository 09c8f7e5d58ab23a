"""Where the page's server listens, changed while it serves: this computer alone, or every way into it."""

from __future__ import annotations

import socket
from collections.abc import Callable
from concurrent.futures import Future
from typing import Any

from tapeplat.page.base.settings import HERE

_LONGEST = 10.0
"""Seconds until the server's own thread has changed it."""


def listening_of(server: Any, port: int) -> Callable[[str], None]:
    """A function that makes the server listen at an address alone; it raises OSError, and then listens as before."""

    def listen(host: str) -> None:
        done: Future[None] = Future()

        def change() -> None:
            try:
                _move(server, host, port)
                done.set_result(None)
            except OSError as error:
                done.set_exception(error)

        server.trigger.pull_trigger(change)  # in the server's own thread: it alone knows its sockets
        done.result(_LONGEST)

    return listen


def _move(server: Any, host: str, port: int) -> None:
    """Listen there instead; a port cannot be listened at both here and everywhere, so the old socket goes first."""
    before = server.socket.getsockname()[0]
    if before == host:
        return
    server.del_channel()
    server.socket.close()
    try:
        _listen(server, host, port)
    except OSError:
        _listen(server, before, port)
        raise
    if host in HERE:
        _let_go(server)


def _listen(server: Any, host: str, port: int) -> None:
    server.create_socket(socket.AF_INET, socket.SOCK_STREAM)
    server.set_reuse_addr()
    server.bind((host, port))
    server.accept_connections()


def _let_go(server: Any) -> None:
    """Close other devices' idle connections; a request that is under way is refused by its host's name."""
    for channel in list(server.active_channels.values()):
        if channel.addr[0] not in HERE and not channel.requests:
            channel.close_when_flushed = True

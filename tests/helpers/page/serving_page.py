"""An application on a socket, for a real browser: by the server that serves the page, so that a browser which leaves in
the middle of an answer leaves no file open.
"""

from __future__ import annotations

import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from flask import Flask

from tapeplat.page.judging_server import judged_server


def free_port() -> int:
    """A port that nobody listens at."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@contextmanager
def on_socket(app: Flask, port: int) -> Iterator[str]:
    """Serve the application at the port; gives its address."""
    connections: dict[int, Any] = {}
    server = judged_server(app, host="127.0.0.1", port=port, threads=8, map=connections)
    closing = threading.Event()

    def serve() -> None:
        try:
            server.run()
        except OSError:  # its socket may be closed while it waits for the next request
            if not closing.is_set():
                raise

    serving = threading.Thread(target=serve, daemon=True)
    serving.start()
    try:
        yield f"http://127.0.0.1:{port}"
    finally:
        closing.set()
        server.close()
        for connection in list(connections.values()):  # browsers keep theirs open
            connection.close()
        serving.join(10)

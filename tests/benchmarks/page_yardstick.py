"""How long the smallest answer takes at the same time on the same machine: what no page can be quicker than.

    python -m tests.benchmarks.page_yardstick PORT

serves "hello" by the library that serves the page, until it is ended.
"""

from __future__ import annotations

import socket
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from urllib.request import urlopen

from waitress import serve

_PAUSE = 0.25
"""s between two questions."""


@contextmanager
def yardstick() -> Iterator[list[float]]:
    """The answers' times in s, which grow while something goes on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    times: list[float] = []
    ends = threading.Event()

    def ask() -> None:
        while not ends.wait(_PAUSE):
            begun = time.perf_counter()
            with suppress(OSError), urlopen(f"http://127.0.0.1:{port}/", timeout=60) as answer:
                answer.read()
                times.append(time.perf_counter() - begun)

    with subprocess.Popen([sys.executable, "-m", "tests.benchmarks.page_yardstick", str(port)]) as program:
        asking = threading.Thread(target=ask)
        asking.start()
        try:
            yield times
        finally:
            ends.set()
            asking.join()
            program.kill()


def _hello(environ: dict[str, object], start: Callable[[str, list[tuple[str, str]]], object]) -> Iterable[bytes]:
    start("200 OK", [("Content-Type", "text/plain")])
    return [b"hello"]


if __name__ == "__main__":
    serve(_hello, host="127.0.0.1", port=int(sys.argv[1]), threads=4, _quiet=True)

"""A Dask scheduler and its workers as processes of this computer, as somebody starts them in a terminal."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType

from tests.helpers.paths import ROOT

_LONGEST = 120.0
"""Seconds that starting may take on a crowded computer."""


class LocalCluster:
    """A scheduler with workers, each a process of one thread; in a `with`. more: further words for the workers.

    certificates: a folder with ca.pem, own.pem and own.key, for TLS between all parts; the client's configuration has
    to name them, too.
    """

    def __init__(self, folder: Path, workers: int, *more: str, certificates: Path | None = None) -> None:
        self._folder, self._workers, self._more = folder, workers, more
        self._tls = list[str]()
        if certificates is not None:
            files = {"ca-file": "ca.pem", "cert": "own.pem", "key": "own.key"}
            self._tls = [word for name, file in files.items() for word in (f"--tls-{name}", str(certificates / file))]
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.address = f"{'tls' if self._tls else 'tcp'}://127.0.0.1:{free.getsockname()[1]}"
        self._scheduler: subprocess.Popen[bytes] | None = None
        self._others: list[subprocess.Popen[bytes]] = []

    def __enter__(self) -> LocalCluster:
        port, protocol = self.address.rsplit(":", 1)[1], ["--protocol", "tls"] if self._tls else []
        self._scheduler = self._started(["scheduler", "--host", "127.0.0.1", "--port", port, *protocol])
        count = ["--nworkers", str(self._workers)] if self._workers else []
        if self._workers:
            self._others.append(self._started(["worker", self.address, *count, *(self._more or ("--nthreads", "1"))]))
        try:
            self.wait_for(self._workers)
        except BaseException:
            self.__exit__(None, None, None)
            raise
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        _end([*self._others, *([self._scheduler] if self._scheduler is not None else [])])

    def kill_scheduler(self) -> None:
        """As if its computer lost power."""
        assert self._scheduler is not None
        self._scheduler.kill()
        self._scheduler.wait()

    @contextmanager
    def another(self, *more: str, before: Path = ROOT) -> Iterator[None]:
        """One more worker, which looks for packages in a folder before ours; it is not waited for."""
        process = self._started(["worker", self.address, "--nworkers", "1", "--no-nanny", *more], before)
        try:
            yield
        finally:
            _end([process])

    def wait_for(self, workers: int) -> None:
        """Until so many workers have come."""
        from distributed import Client

        end = time.monotonic() + _LONGEST
        while True:
            try:
                with socket.create_connection(("127.0.0.1", int(self.address.rsplit(":", 1)[1])), timeout=1):
                    break
            except OSError:
                if time.monotonic() > end:
                    raise
                time.sleep(0.1)
        with Client(self.address, timeout=_LONGEST, set_as_default=False) as client:  # type: ignore[no-untyped-call]
            if workers:
                client.wait_for_workers(workers, timeout=_LONGEST)

    def _started(self, words: Sequence[str], before: Path = ROOT) -> subprocess.Popen[bytes]:
        folders = ["--local-directory", str(self._folder)] if words[0] == "worker" else []
        module, more = f"distributed.cli.dask_{words[0]}", [*folders, *self._tls, "--no-dashboard"]
        line = [sys.executable, "-m", module, *words[1:], *more]
        around = {**os.environ, "PYTHONPATH": os.pathsep.join(map(str, (before, ROOT))), "PYTHONWARNINGS": "ignore"}
        with (self._folder / f"{words[0]}.log").open("ab") as log:
            return subprocess.Popen(line, cwd=before, env=around, stdout=log, stderr=log)


def _end(processes: Sequence[subprocess.Popen[bytes]]) -> None:
    """At once: a worker ends with the one that watches over it, and leaving in good order takes seconds."""
    for process in processes:
        process.kill()
    for process in processes:
        process.wait()

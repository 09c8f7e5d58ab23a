"""A PostgreSQL server of the tests' own: on a unix socket in a temporary folder, gone with it."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

_LONGEST = 120.0
_NAME = "tapeplat"


class CannotServe(Exception):  # noqa: N818  (says what is so)
    """There is no PostgreSQL here, or it cannot be started."""


@contextmanager
def postgres_server() -> Iterator[str]:
    """The address of a server with an empty database. Raises CannotServe.

    It refuses to run as root: where the tests do, it runs as nobody.
    """
    psycopg = _module()
    with tempfile.TemporaryDirectory(prefix="tapeplat-pg-") as name:
        folder, user = Path(name), "nobody" if hasattr(os, "geteuid") and os.geteuid() == 0 else None
        if user:
            shutil.chown(folder, user)
        data, around = folder / "data", {**os.environ, "LC_ALL": "C", "TZ": "UTC"}
        made = [_program("initdb"), "-D", str(data), "-U", _NAME, "--auth=trust", "--encoding=UTF8", "--no-sync"]
        try:
            subprocess.run(made, check=True, capture_output=True, cwd=folder, env=around, user=user, timeout=_LONGEST)
        except (OSError, subprocess.SubprocessError) as error:
            raise CannotServe(str(error)) from error
        line = [_program("postgres"), "-D", str(data), "-k", str(folder), "-c", "listen_addresses=", "-F"]
        with (
            (folder / "log").open("wb") as log,
            subprocess.Popen(line, cwd=folder, env=around, user=user, stdout=log, stderr=log) as server,
        ):
            try:
                address = f"postgresql://{_NAME}@/postgres?host={folder}"
                _wait(psycopg, address, server)
                yield address
            finally:
                server.terminate()
                try:
                    server.wait(20)
                except subprocess.TimeoutExpired:
                    server.kill()


def _wait(psycopg, address: str, server: subprocess.Popen[bytes]) -> None:
    end = time.monotonic() + _LONGEST
    while True:
        try:
            psycopg.connect(address).close()
            return
        except psycopg.OperationalError as error:
            if server.poll() is not None or time.monotonic() > end:
                raise CannotServe(str(error)) from error
            time.sleep(0.05)


def _program(name: str) -> str:
    """Where it is: Debian has the server's programs in a folder of their version."""
    places = [str(path.parent) for path in Path("/usr/lib/postgresql").glob(f"*/bin/{name}")]
    found = shutil.which(name) or shutil.which(name, path=os.pathsep.join(sorted(places, reverse=True)))
    if found is None:
        raise CannotServe(f"{name} is not installed")
    return found


def _module():
    try:
        import psycopg
    except ImportError as error:
        raise CannotServe(str(error)) from error
    return psycopg

"""The connection to a Dask scheduler: whether there is one, with workers that can be used, all in plain words."""

from __future__ import annotations

import asyncio
import logging
import socket
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import dask
import distributed

from measure.errors import InputMistakes, Mistake
from tapeplat.cluster import same_program
from tapeplat.cluster.same_program import Program

_CONNECT_SECONDS = 10.0
_PROTOCOLS = ("tcp", "tls")
_TOLD = 6
"""Workers that cannot be used, of which it is said why; the others follow when those are mended."""


def connected(address: str) -> tuple[Any, frozenset[str]]:
    """A client of the scheduler, and its workers' addresses.

    Raises InputMistakes where none is there that this computer may use, or a worker cannot be used.
    """
    _hush()
    _check_certificates(address)
    _check_somebody_listens(address)
    try:
        asyncio.run(_asked(address))
    except (OSError, ValueError, TypeError, RuntimeError, MemoryError) as error:
        raise _none_at(address) from error
    client = distributed.Client(address, timeout=_CONNECT_SECONDS, set_as_default=False)  # type: ignore[no-untyped-call]
    try:
        workers = _checked_workers(client, address)
        _have_deaths_told(client)
    except BaseException:
        client.close()  # type: ignore[no-untyped-call]
        raise
    return client, workers


def programs(client: Any, workers: Iterable[str]) -> dict[str, str]:
    """What keeps each of these workers from being used, empty where nothing does; those that just went are left out."""
    here = same_program.this_program()
    answers = client.run(same_program.this_program, workers=list(workers), on_error="return")
    return {name: _why_not(there, here) for name, there in answers.items() if not isinstance(there, OSError)}


def many_threads(workers: Mapping[str, Mapping[str, Any]]) -> dict[str, str]:
    """The workers that would do several jobs in one process, by their addresses, and what is wrong with them."""
    return {
        name: f"does {known['nthreads']} jobs in one process"
        for name, known in workers.items()
        if known["nthreads"] > 1
    }


def _hush() -> None:
    """Dask logs every lost connection with a traceback; what a teacher needs of it is said by the failures here."""
    for name in list(logging.root.manager.loggerDict):
        if name.partition(".")[0] in ("distributed", "tornado"):
            logging.getLogger(name).setLevel(logging.CRITICAL + 1)


def _check_certificates(address: str) -> None:
    """Raise InputMistakes where a certificate or key that the environment names cannot be read, or is empty."""
    if not address.startswith("tls:"):
        return
    for what in ("ca-file", "client.cert", "client.key"):
        named = str(dask.config.get(f"distributed.comm.tls.{what}", None) or "")
        if not named or "\n" in named:  # Dask takes a certificate's text, too
            continue
        try:
            there = bool(Path(named).read_bytes())
        except OSError:
            there = False
        if not there:
            do = "name this computer's certificate and key as docs/cluster.md says"
            raise InputMistakes([Mistake("--cluster", f"{named} ({what} of TLS) cannot be read, or is empty", do)])


def _check_somebody_listens(address: str) -> None:
    """Raise InputMistakes where this is no address, or nobody is there: Dask itself would try again for long."""
    try:
        parts = urlsplit(address if "://" in address else f"tcp://{address}")
        host, port = parts.hostname, parts.port
    except ValueError:
        host, port = None, None
    if not host or not port or parts.scheme not in _PROTOCOLS:
        do = "write it as tcp://COMPUTER:8786, or tls://COMPUTER:8786"
        raise InputMistakes([Mistake("--cluster", f"'{address}' is no address of a Dask scheduler", do)])
    try:
        socket.create_connection((host, port), _CONNECT_SECONDS).close()
    except (OSError, UnicodeError) as error:
        raise _none_at(address) from error


async def _asked(address: str) -> None:
    """Ask the scheduler who it is: a client that finds none leaves threads behind, which complain at the end."""
    certificates = distributed.Security().get_connection_args("client")  # type: ignore[no-untyped-call]
    async with distributed.rpc(address, connection_args=certificates) as scheduler:  # type: ignore[no-untyped-call]
        await asyncio.wait_for(scheduler.identity(), _CONNECT_SECONDS)


def _none_at(address: str) -> InputMistakes:
    do = "start one with `dask scheduler`, and workers with `dask worker ADDRESS --nworkers auto --nthreads 1`"
    if address.startswith("tls:"):
        do = "is it running, and are this computer's certificate and key named as docs/cluster.md says?"
    what = f"there is no Dask scheduler at {address} that this computer may use"
    return InputMistakes([Mistake("--cluster", what, do)])


def _checked_workers(client: Any, address: str) -> frozenset[str]:
    """The workers' addresses. Raises InputMistakes where there is none, or of some that cannot be used why."""
    known = client.scheduler_info(n_workers=-1)["workers"]
    if not known:
        do = f"start some with `dask worker {address} --nworkers auto --nthreads 1`"
        raise InputMistakes([Mistake("--cluster", f"the scheduler at {address} has no worker", do)])
    found = programs(client, known)
    do = "start the workers with --nthreads 1, and --nworkers as many as there are cores"
    wrong = [Mistake("--cluster", f"{name} {why}", do) for name, why in many_threads(known).items()]
    do = "install the same versions on every computer"
    wrong += [Mistake("--cluster", f"{name} {why}", do) for name, why in found.items() if why]
    if wrong:
        raise InputMistakes(wrong[:_TOLD])
    return frozenset(found)


def _why_not(there: object, here: Program) -> str:
    if not isinstance(there, Program):
        return f"has no Tapeplat, or another one: {there}"
    return "" if there == here else f"runs another program: {there.differs_from(here)}"


def _have_deaths_told(client: Any) -> None:
    """Have the scheduler tell that a worker died at a job, which is then sent again. Raises InputMistakes."""
    try:
        client.run_on_scheduler(_tell_at_once)
    except (ImportError, AttributeError) as error:
        what = f"the scheduler's computer has no Tapeplat, or another one: {error}"
        raise InputMistakes([Mistake("--cluster", what, "install the same version there, too")]) from error


def _tell_at_once(dask_scheduler: Any) -> None:
    """Runs on the scheduler: it does not try a job elsewhere by itself."""
    dask_scheduler.allowed_failures = 0

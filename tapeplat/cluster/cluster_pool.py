"""A Dask cluster's workers as a pool: the same jobs as in processes of this computer, with the same answers.

The scheduler and its workers are Dask's own; nothing is scheduled here.  As many jobs are on their way as there are
workers at that moment: a district's photos are never all in the scheduler's memory, and a worker that dies takes no job
with it but the one that it had begun.
"""

from __future__ import annotations

import asyncio
import logging
import threading
import time
from collections.abc import Iterator, Mapping
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager, suppress
from types import TracebackType
from typing import Any, TypeVar, cast

import distributed
from distributed.comm.core import CommClosedError
from distributed.scheduler import KilledWorker

from measure.errors import InputMistakes, Mistake
from tapeplat.cluster import same_program
from tapeplat.cluster.far_job import Done, FarJob
from tapeplat.cluster.same_program import this_program
from tapeplat.lens.lens_store import folder as lens_folder
from tapeplat.output.result_folder import FolderNotWritable, write_folder
from tapeplat.workers.carrying import Carried, sealed
from tapeplat.workers.worker_pool import JOB_SECONDS, WorkerFailed

Answer = TypeVar("Answer")

AGAIN = 2
"""How often a job is tried on another worker after the one that had it died."""
_CONNECT_SECONDS = 10.0
_LOOK = 0.5
_WITHOUT_WORKERS = 120.0
"""Seconds without any worker after which nothing is waited for: one that died is started anew in some ten."""
_MOST = 256
"""Jobs on their way at once, whatever the number of workers."""
_GONE = "the scheduler is not reached any more"


class ClusterPool:
    """The workers at a scheduler's address. Use it in a `with`.

    Raises InputMistakes where there is no scheduler or worker, or a worker runs another program.
    """

    def __init__(self, address: str, *, most: int | None = None) -> None:
        _hush()
        self._client = _connected(address)
        try:
            _check(self._client, address)
            self._client.run_on_scheduler(_tell_at_once)
        except BaseException:
            self._client.close()
            raise
        self._program, self._lenses = this_program(), _lenses()
        self._by_path = True
        self._killed, self._closing = threading.Event(), threading.Event()
        self._on_their_way, self._changed = 0, threading.Condition()
        self._threads = ThreadPoolExecutor(min(most or _MOST, _MOST), thread_name_prefix="tapeplat-cluster")

    def submit(self, job: Carried[Answer]) -> Future[Answer]:
        """Hand in a job: a future of its answer, which raises WorkerFailed where there is none.

        It can be cancelled until a worker has room for it.
        """
        future: Future[Answer] = Future()
        self._threads.submit(self._answered, job, future)
        return future

    def answer(self, job: Carried[Answer]) -> Answer:
        """Have a job done on a worker and put what it wrote where it belongs. Raises WorkerFailed."""
        future: Future[Answer] = Future()
        self._answered(job, future)
        return future.result()

    def kill(self) -> None:
        """Give up all jobs at once; the workers go on for others."""
        self._killed.set()
        self._threads.shutdown(wait=False)  # those that have not begun fail at once

    def close(self) -> None:
        """Wait for the jobs that have begun, drop the others, leave the cluster as it is."""
        self._closing.set()
        self._threads.shutdown(wait=True)
        self._client.close()

    def __enter__(self) -> ClusterPool:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def _answered(self, job: Carried[Answer], future: Future[Answer]) -> None:
        """Have the job done for its future, unless that is cancelled before there is room."""
        try:
            answer = self._answer(job, future)
        except _NotWanted:
            return
        except BaseException as error:
            if future.running() or future.set_running_or_notify_cancel():
                future.set_exception(error)
        else:
            future.set_result(answer)

    def _answer(self, job: Carried[Answer], future: Future[Answer]) -> Answer:
        by_path = self._by_path
        done = self._done(job, future, by_path=by_path)
        if done.unseen:  # no storage is shared: from here on files are sent themselves
            self._by_path = False
            done = self._done(job, future, by_path=False)
        if done.other is not None:
            raise WorkerFailed(f"a worker runs another program: {done.other.differs_from(self._program)}")
        if done.fault:
            raise WorkerFailed(done.fault)
        home = job.output_folder()
        if home is not None and done.files:
            try:
                write_folder(home, done.files)
            except FolderNotWritable as error:
                raise WorkerFailed(str(error)) from error
        return cast("Answer", done.answer)

    def _done(self, job: Carried[Answer], future: Future[Answer], *, by_path: bool) -> Done[Answer]:
        """What came of the job on some worker, on another where that one died. Raises WorkerFailed."""
        try:
            files = {name: sealed(file, by_path=by_path) for name, file in job.input_files().items()}
        except OSError as error:
            raise WorkerFailed(f"{error.filename}: {(error.strerror or str(error)).lower()}") from error
        far = FarJob(job, files, self._lenses, self._program)
        last = ""
        for _ in range(1 + AGAIN):
            try:
                with self._room(future):
                    return self._once(far)
            except KilledWorker as error:
                last = error.last_worker.address
        raise WorkerFailed(f"{1 + AGAIN} workers died at it, the last one at {last}")

    def _once(self, far: FarJob[Answer]) -> Done[Answer]:
        """What came of the job on one worker. Raises KilledWorker where that died, WorkerFailed."""
        future = None
        try:
            future = self._client.submit(FarJob.run, far, pure=False)
            return cast("Done[Answer]", self._waited(future))
        except (KilledWorker, WorkerFailed):
            raise
        except Exception as error:  # whatever else Dask raises at the moment at which a connection is lost
            self._check_going_on()
            gone = isinstance(error, distributed.CancelledError | CommClosedError | OSError)
            raise WorkerFailed(_GONE if gone else f"{type(error).__name__}: {error}") from error
        finally:
            if future is not None:
                with suppress(Exception):  # of a closed client, or one that is just losing its scheduler
                    future.cancel()

    @contextmanager
    def _room(self, future: Future[Answer]) -> Iterator[None]:
        """Wait until there is a worker for one more job, and hold its place: from then on it is in hand.

        Raises WorkerFailed, _NotWanted.
        """
        seen = time.monotonic()
        with self._changed:
            while True:
                self._check_wanted(future)
                self._check_going_on()
                workers = self._workers()
                if self._on_their_way < workers:
                    if not future.running() and not future.set_running_or_notify_cancel():
                        raise _NotWanted
                    break
                seen = time.monotonic() if workers else seen
                if time.monotonic() - seen > _WITHOUT_WORKERS:
                    raise WorkerFailed("no worker is left")
                self._changed.wait(_LOOK)
            self._on_their_way += 1
        try:
            yield
        finally:
            with self._changed:
                self._on_their_way -= 1
                self._changed.notify()

    def _check_wanted(self, future: Future[Answer]) -> None:
        """Raise _NotWanted where a job that has not begun is cancelled, or the pool is being left."""
        if self._closing.is_set():
            future.cancel()
        if future.cancelled():
            future.set_running_or_notify_cancel()
            raise _NotWanted

    def _workers(self) -> int:
        """How many there are now. Raises WorkerFailed."""
        try:
            return len(self._client.scheduler_info(n_workers=-1)["workers"])
        except (CommClosedError, OSError, RuntimeError) as error:
            raise WorkerFailed(_GONE) from error

    def _check_going_on(self) -> None:
        """Raise WorkerFailed where all is given up."""
        if self._killed.is_set():
            raise WorkerFailed("the work was stopped")
        if self._client.status != "running":
            raise WorkerFailed(_GONE)

    def _waited(self, future: Any) -> object:
        """The future's result. Raises WorkerFailed where it takes too long, or all is given up."""
        done = threading.Event()  # asking the future itself again and again may fail at the moment at which it is done
        future.add_done_callback(lambda _: done.set())
        for _ in range(int(JOB_SECONDS / _LOOK)):
            if done.wait(_LOOK):
                return future.result()
            self._check_going_on()
        raise WorkerFailed(f"it took more than {JOB_SECONDS:.0f} s and was given up")


class _NotWanted(Exception):  # noqa: N818  (named for what happened)
    """Nobody waits for a job that has not begun."""


def _hush() -> None:
    """Dask logs every lost connection with a traceback; what a teacher needs of it is said by the failures here."""
    for name in list(logging.root.manager.loggerDict):
        if name.partition(".")[0] in ("distributed", "tornado"):
            logging.getLogger(name).setLevel(logging.CRITICAL + 1)


def _connected(address: str) -> Any:
    """A client of the scheduler. Raises InputMistakes where there is none, or it is closed to this computer."""
    try:
        asyncio.run(_asked(address))
    except (OSError, ValueError, TypeError, RuntimeError, MemoryError) as error:
        what = f"there is no Dask scheduler at {address} that this computer may use"
        do = "start one with `dask scheduler`, and workers with `dask worker ADDRESS --nworkers auto --nthreads 1`"
        if address.startswith("tls:"):
            do = "is it running, and are this computer's certificate and key named as docs/cluster.md says?"
        raise InputMistakes([Mistake("--cluster", what, do)]) from error
    return distributed.Client(address, timeout=_CONNECT_SECONDS, set_as_default=False)  # type: ignore[no-untyped-call]


async def _asked(address: str) -> None:
    """Ask the scheduler who it is: a client that finds none leaves threads behind, which complain at the end."""
    certificates = distributed.Security().get_connection_args("client")  # type: ignore[no-untyped-call]
    async with distributed.rpc(address, connection_args=certificates) as scheduler:  # type: ignore[no-untyped-call]
        await asyncio.wait_for(scheduler.identity(), _CONNECT_SECONDS)


def _check(client: Any, address: str) -> None:
    """Raise InputMistakes where there is no worker, or one runs another program than this."""
    known = client.scheduler_info(n_workers=-1)["workers"]
    if not known:
        do = f"start some with `dask worker {address} --nworkers auto --nthreads 1`"
        raise InputMistakes([Mistake("--cluster", f"the scheduler at {address} has no worker", do)])
    wrong = [f"{name} does {of['nthreads']} jobs in one process" for name, of in known.items() if of["nthreads"] > 1]
    if wrong:
        do = "start the workers with --nthreads 1, and --nworkers as many as there are cores"
        raise InputMistakes([Mistake("--cluster", wrong[0], do)])
    here = this_program()
    for name, there in client.run(same_program.this_program, on_error="return").items():
        if isinstance(there, BaseException):
            what = f"{name} has no Tapeplat, or another one: {there}"
        elif there != here:
            what = f"{name} runs another program: {there.differs_from(here)}"
        else:
            continue
        raise InputMistakes([Mistake("--cluster", what, "install the same versions on every computer")])


def _tell_at_once(dask_scheduler: Any) -> None:
    """Runs on the scheduler: that a worker died is told, and whoever sent the job sends it again."""
    dask_scheduler.allowed_failures = 0


def _lenses() -> Mapping[str, bytes]:
    """What is known here of lenses, so that a worker measures with the same."""
    where = lens_folder()
    return {file.relative_to(where).as_posix(): file.read_bytes() for file in where.rglob("*.json")}

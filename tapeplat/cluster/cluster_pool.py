"""A Dask cluster's workers as a pool: the same jobs as in processes of this computer, with the same answers.

The scheduler and its workers are Dask's own.  Each worker has one job at a time and none waits there behind it: a
district's photos are never all in the scheduler's memory, and a worker that dies takes no job with it but the one that
it had begun.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Iterable, Iterator, Mapping, Set
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager, suppress
from types import TracebackType
from typing import Any, TypeVar, cast

import distributed
from distributed.comm.core import CommClosedError
from distributed.scheduler import KilledWorker

from tapeplat.cluster.cluster_connection import connected, many_threads, programs
from tapeplat.cluster.far_job import Done, FarJob
from tapeplat.cluster.same_program import this_program
from tapeplat.lens.lens_store import folder as lens_folder
from tapeplat.output.result_folder import FolderNotWritable, write_folder
from tapeplat.workers.carrying import Carried, sealed
from tapeplat.workers.worker_pool import JOB_SECONDS, WorkerFailed

Answer = TypeVar("Answer")

AGAIN = 2
"""How often a job is tried on another worker after the one that had it died, or could not begin it."""
_LOOK = 0.5
_WITHOUT_WORKERS = 120.0
"""Seconds without any worker after which nothing is waited for: one that died is started anew in some ten."""
_MOST = 256
"""Jobs on their way at once, whatever the number of workers."""
_ASKERS = 8
_GONE = "the scheduler is not reached any more"


class ClusterPool:
    """The workers at a scheduler's address. Use it in a `with`.

    Raises InputMistakes where there is no scheduler or worker, or a worker runs another program.
    """

    def __init__(self, address: str, *, most: int | None = None) -> None:
        self._client, first = connected(address)
        self._program, self._lenses = this_program(), _lenses()
        self._by_path = True
        self._wrong = dict.fromkeys(first, "")
        self._asked_of = set[str]()
        self._workers_seen, self._seen_at = dict[str, dict[str, Any]](), 0.0
        self._killed, self._closing = threading.Event(), threading.Event()
        self._busy, self._changed = set[str](), threading.Condition(threading.RLock())
        self._threads = ThreadPoolExecutor(min(most or _MOST, _MOST), thread_name_prefix="tapeplat-cluster")
        self._askers = ThreadPoolExecutor(_ASKERS, thread_name_prefix="tapeplat-asking")

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
        self._askers.shutdown(wait=False, cancel_futures=True)
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
        tries, avoided, last = 0, set[str](), ""
        while tries <= AGAIN:
            try:
                with self._room(future, avoided) as worker:
                    return self._once(self._far(job, by_path=by_path), worker)
            except KilledWorker as error:
                tries, last = tries + 1, f"{1 + AGAIN} workers died at it, the last one at {error.last_worker.address}"
            except _NotBegun as error:
                tries, last = tries + 1, f"no worker could begin it, the last one: {error}"
                avoided.add(error.worker)
            except _WorkerGone:
                continue
        raise WorkerFailed(last)

    def _far(self, job: Carried[Answer], *, by_path: bool) -> FarJob[Answer]:
        """The job with its files, read when there is room: only so many are in memory at once."""
        files = {name: sealed(file, by_path=by_path) for name, file in job.input_files().items()}
        return FarJob(job, files, self._lenses, self._program)

    def _once(self, far: FarJob[Answer], worker: str) -> Done[Answer]:
        """What came of the job on a worker.

        Raises KilledWorker where that died with it, _WorkerGone before, _NotBegun, WorkerFailed.
        """
        future = None
        try:
            future = self._client.submit(FarJob.run, far, pure=False, workers=[worker])
            self._wait_for(future, worker)
            return self._outcome(future, worker)
        except (KilledWorker, WorkerFailed, _NotBegun, _WorkerGone):
            raise
        except Exception as error:  # whatever Dask raises at the moment at which a connection is lost
            self._check_going_on()
            gone = isinstance(error, distributed.CancelledError | CommClosedError | OSError)
            raise WorkerFailed(_GONE if gone else f"{type(error).__name__}: {error}") from error
        finally:
            if future is not None:
                with suppress(Exception):  # of a closed client, or one that is just losing its scheduler
                    future.cancel()

    def _outcome(self, future: Any, worker: str) -> Done[Answer]:
        """What the worker answered. Raises as _once does."""
        if future.status == "error":
            error = future.exception()
            if isinstance(error, KilledWorker):
                raise error
            raise _NotBegun(worker, f"{type(error).__name__}: {error}")
        done = cast("Done[Answer]", future.result())
        if done.other is not None:
            raise _NotBegun(worker, f"it runs another program: {done.other.differs_from(self._program)}")
        return done

    @contextmanager
    def _room(self, future: Future[Answer], avoided: Set[str]) -> Iterator[str]:
        """Wait for a worker that has no job of ours, and hold its place: from then on the job is in hand.

        A worker that dies would take those with it that wait behind the one that it had begun. Those to be avoided are
        taken where there is no other. Gives the worker's address. Raises WorkerFailed, _NotWanted.
        """
        seen = time.monotonic()
        with self._changed:
            while True:
                self._check_wanted(future)
                self._check_going_on()
                workers, fit = self._workers()
                free = [name for name in fit if name not in avoided] or fit
                worker = next((name for name in free if name not in self._busy), "")
                if worker:
                    if not future.running() and not future.set_running_or_notify_cancel():
                        raise _NotWanted
                    break
                seen = time.monotonic() if fit else seen
                if time.monotonic() - seen > _WITHOUT_WORKERS:
                    raise WorkerFailed(self._none_left(workers))
                self._changed.wait(_LOOK)
            self._busy.add(worker)
        try:
            yield worker
        finally:
            with self._changed:
                self._busy.discard(worker)
                self._changed.notify()

    def _check_wanted(self, future: Future[Answer]) -> None:
        """Raise _NotWanted where a job that has not begun is cancelled, or the pool is being left."""
        if self._closing.is_set():
            future.cancel()
        if future.cancelled():
            future.set_running_or_notify_cancel()
            raise _NotWanted

    def _workers(self) -> tuple[Mapping[str, object], list[str]]:
        """All that are there, as they were less than a moment ago, and those that can be used. Raises WorkerFailed.

        One that has just come is asked first which program it runs: it may not even be able to read a job.
        """
        with self._changed:
            if time.monotonic() - self._seen_at > _LOOK:
                try:
                    self._workers_seen = self._client.scheduler_info(n_workers=-1)["workers"]
                except (CommClosedError, OSError, RuntimeError) as error:
                    raise WorkerFailed(_GONE) from error
                self._seen_at = time.monotonic()
                self._wrong |= many_threads(self._workers_seen)
                for name in self._workers_seen.keys() - self._wrong.keys() - self._asked_of:
                    self._asked_of.add(name)
                    self._askers.submit(self._ask, name)
            return self._workers_seen, [name for name in self._workers_seen if self._wrong.get(name) == ""]

    def _ask(self, name: str) -> None:
        """Ask a worker which program it runs; again where it could not answer."""
        found = dict[str, str]()
        try:
            found = programs(self._client, [name])
        except Exception:  # of a closed client, or a worker that is just lost
            time.sleep(_LOOK)
        with self._changed:
            self._asked_of.discard(name)
            self._wrong |= found
            self._changed.notify_all()

    def _none_left(self, workers: Iterable[str]) -> str:
        why = [f"{name} {self._wrong[name]}" for name in workers if self._wrong.get(name)]
        return f"no worker is left that can be used: {why[0]}" if why else "no worker is left"

    def _check_going_on(self) -> None:
        """Raise WorkerFailed where all is given up."""
        if self._killed.is_set():
            raise WorkerFailed("the work was stopped")
        if self._client.status != "running":
            raise WorkerFailed(_GONE)

    def _wait_for(self, future: Any, worker: str) -> None:
        """Until the job is done, or failed. Raises WorkerFailed where it takes too long, or all is given up.

        Raises _WorkerGone where its worker went before it had the job: it would be waited for for ever.
        """
        done = threading.Event()  # asking the future itself again and again may fail at the moment at which it is done
        future.add_done_callback(lambda _: done.set())
        for _ in range(int(JOB_SECONDS / _LOOK)):
            if done.wait(_LOOK):
                return
            self._check_going_on()
            if worker not in self._workers()[0] and not done.wait(_LOOK):
                raise _WorkerGone
        raise WorkerFailed(f"it took more than {JOB_SECONDS:.0f} s and was given up")


class _NotWanted(Exception):  # noqa: N818  (named for what happened)
    """Nobody waits for a job that has not begun."""


class _WorkerGone(Exception):  # noqa: N818  (named for what happened)
    """The worker went before it had the job."""


class _NotBegun(Exception):  # noqa: N818  (named for what happened)
    """A worker could not begin the job: a full disk there, or a lack of memory."""

    def __init__(self, worker: str, why: str) -> None:
        self.worker = worker
        super().__init__(f"{worker}: {why}")


def _lenses() -> Mapping[str, bytes]:
    """What is known here of lenses, so that a worker measures with the same."""
    where = lens_folder()
    return {file.relative_to(where).as_posix(): file.read_bytes() for file in where.rglob("*.json")}

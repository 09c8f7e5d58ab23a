"""Worker processes that outlive a bad photo: one that dies or hangs is replaced, and its job alone is reported.

The library's own process pool is given up as a whole when one of its processes dies, so the processes are held here.
Each takes one job at a time, keeps its memory to one model, and computes with one thread: the cores are shared out by
processes.
"""

from __future__ import annotations

import multiprocessing
import os
import pickle
import signal
import threading
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from multiprocessing.connection import Connection, wait
from queue import LifoQueue
from types import TracebackType
from typing import Protocol, TypeVar, cast

from tapeplat.workers.memory_bounds import bound_memory, give_memory_back, held_mb
from tapeplat.workers.time_bounds import BOUNDS_TIME, bound_time

Answer = TypeVar("Answer")
Answer_co = TypeVar("Answer_co", covariant=True)

JOB_SECONDS = 600.0
"""A job that takes longer hangs; the slowest measured models take a twentieth of this."""
_THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "VECLIB_MAXIMUM_THREADS")
_LEAVE_SECONDS = 5.0
_MUCH_MB = 30
"""More than before a job, and what nobody uses any more is looked for, which takes some hundredths of a second."""
_LEAVING = b"leaving"
"""A worker's last word: it has begun no other job, and begins none."""


class WorkerFailed(Exception):  # noqa: N818  (named for what happened)
    """A job has no answer: its worker died, took too long, was stopped, or the job raised what nobody expected."""


class Job(Protocol[Answer_co]):
    """Anything to be done by a worker. It and its answer must be picklable."""

    def run(self) -> Answer_co:
        """Do it."""


@dataclass(frozen=True)
class Limits:
    """What a worker may take. seconds: of the processor for one job, so that a busy machine changes nothing; where the
    system bounds no such thing (Windows), by the clock. clock: seconds until the answer, for a job that only waits.
    nice: how far it steps back behind other programs, where the system knows such a thing. more_mb: memory above what
    it has when it is ready, 0 for any; enforced on Linux alone.

    What a job took goes back before its answer is known. It leaves between jobs, and gives all its memory back, after
    idle seconds without one, or when it still holds more than leave_mb; 0 for never.
    """

    seconds: float = JOB_SECONDS
    clock: float = JOB_SECONDS
    nice: int = 0
    more_mb: int = 0
    idle: float = 0.0
    leave_mb: int = 0


class Workers(Protocol):
    """Whatever has jobs done."""

    def answer(self, job: Job[Answer]) -> Answer:
        """Have a job done, and wait for its answer. Raises WorkerFailed."""

    def kill(self) -> None:
        """End all work at once."""


class InProcess:
    """Has jobs done here, where they are asked for, without limits: for tests, and to look into a fault."""

    def answer(self, job: Job[Answer]) -> Answer:
        """The job's answer. Raises WorkerFailed."""
        try:
            return job.run()
        except Exception as error:
            raise WorkerFailed(f"{type(error).__name__}: {error}") from error

    def kill(self) -> None:
        """There is nothing to end."""


class WorkerPool:
    """A number of processes that do the jobs handed in, each started when it is first needed.

    Use the pool in a `with`; leaving waits for the jobs that have begun, drops those that have not, and ends the
    processes.
    """

    def __init__(self, count: int, limits: Limits | None = None) -> None:
        self._workers = [_Worker(limits or Limits()) for _ in range(max(1, count))]
        # The one that was used last comes first: no more processes are started than work at the same time.
        self._free: LifoQueue[_Worker] = LifoQueue()
        for worker in self._workers:
            self._free.put(worker)
        self._threads = ThreadPoolExecutor(len(self._workers), thread_name_prefix="tapeplat-worker")

    def submit(self, job: Job[Answer]) -> Future[Answer]:
        """Hand in a job: a future of its answer, which raises WorkerFailed where there is none."""
        return self._threads.submit(self.answer, job)

    def answer(self, job: Job[Answer]) -> Answer:
        """Have a job done as soon as a worker is free, and wait for its answer. Raises WorkerFailed."""
        worker = self._free.get()
        try:
            return cast("Answer", worker.answer(job))
        finally:
            self._free.put(worker)

    @property
    def pids(self) -> tuple[int, ...]:
        """The process numbers of the workers that run."""
        return tuple(pid for worker in self._workers if (pid := worker.pid) is not None)

    def kill(self) -> None:
        """End all processes at once; the jobs that they had fail."""
        for worker in self._workers:
            worker.kill()

    def close(self) -> None:
        """Wait for the jobs that have begun, drop the others, end the processes."""
        self._threads.shutdown(wait=True, cancel_futures=True)
        for worker in self._workers:
            worker.leave()

    def __enter__(self) -> WorkerPool:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


class _Worker:
    """One process, started for its first job and again after it was lost."""

    def __init__(self, limits: Limits) -> None:
        self._limits = limits
        self._process: multiprocessing.process.BaseProcess | None = None
        self._pipe: Connection | None = None
        self._lock = threading.Lock()
        self._killed = self._ready = False

    @property
    def pid(self) -> int | None:
        process = self._process
        return process.pid if process is not None and process.is_alive() else None

    def answer(self, job: Job[object]) -> object:
        """The job's answer. Raises WorkerFailed."""
        try:
            return self._answer(job)
        except _LeftBefore:  # it left just when the job came
            return self._answer(job)

    def _answer(self, job: Job[object]) -> object:
        process, pipe = self._running()
        try:
            if not self._ready:  # starting it may take long on a busy machine, and is not the job's own time
                _heard(process, pipe, JOB_SECONDS)
                self._ready = True
            try:
                pipe.send(job)
            except OSError:  # it may have left just now, and has said so then
                if not pipe.poll():
                    raise
            said = _heard(process, pipe, self._limits.clock if BOUNDS_TIME else self._limits.seconds)
            if said == _LEAVING:
                raise _LeftBefore("its process left before it began")
            done, answer = pickle.loads(said)
        except (EOFError, OSError):
            self._drop()
            raise WorkerFailed("the process that worked on it ended without an answer") from None
        except WorkerFailed:
            self._drop()
            raise
        if not done:
            raise WorkerFailed(str(answer))
        return answer

    def kill(self) -> None:
        """End the process for good."""
        with self._lock:
            self._killed = True
        self._end()

    def leave(self) -> None:
        """Let the process end by itself; it has no job."""
        if self._pipe is not None:
            self._pipe.close()
        if self._process is not None:
            self._process.join(_LEAVE_SECONDS)
        self._drop()

    def _running(self) -> tuple[multiprocessing.process.BaseProcess, Connection]:
        """The process and the way to it; a new one where there is none that runs."""
        with self._lock:
            if self._killed:
                raise WorkerFailed("the work was stopped")
            if self._process is None or self._pipe is None or not self._process.is_alive():
                context = multiprocessing.get_context("spawn")  # the same on every system, and safe beside threads
                here, there = context.Pipe()
                self._process = context.Process(target=_serve, args=(there, self._limits), daemon=True)
                self._process.start()
                there.close()
                self._pipe, self._ready = here, False
            return self._process, self._pipe

    def _drop(self) -> None:
        self._end()
        if self._process is not None:
            self._process.join()
        if self._pipe is not None:
            self._pipe.close()
        self._process = self._pipe = None

    def _end(self) -> None:
        process = self._process
        if process is not None and process.is_alive():
            process.kill()


def _heard(process: multiprocessing.process.BaseProcess, pipe: Connection, seconds: float) -> bytes:
    """What the worker says next. Raises WorkerFailed after so many seconds, EOFError where it ends before."""
    if not wait([pipe, process.sentinel], seconds):
        raise WorkerFailed(f"it took more than {seconds:.0f} s and was stopped")
    return pipe.recv_bytes()


class _LeftBefore(WorkerFailed):
    """The process left between two jobs, just when this one came: nothing of it was begun."""


def _serve(pipe: Connection, limits: Limits) -> None:
    """A worker's life: jobs in, answers out, until the other end is closed."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C reaches every process; the one that started them decides
    if limits.nice and hasattr(os, "nice"):
        os.nice(limits.nice)
    for variable in _THREADS:
        os.environ[variable] = "1"  # read when numpy is loaded, so before the first job is
    compute_with_one_thread()
    bound_memory(limits.more_mb)
    said, at_rest = b"ready", held_mb()
    while True:
        try:
            pipe.send_bytes(said)
            said = b""  # its memory goes back before the next job is waited for
            large = limits.leave_mb and held_mb() > limits.leave_mb
            if large or (limits.idle and not pipe.poll(limits.idle)):
                pipe.send_bytes(_LEAVING)
                return
            job = pipe.recv_bytes()
        except (EOFError, OSError):  # nobody waits for it any more
            return
        bound_time(limits.seconds)
        said, job = _done(job), b""
        if held_mb() > at_rest + _MUCH_MB:
            give_memory_back()  # before whoever waits for its turn with a large photo hears of it
            at_rest = held_mb()


def _done(job: bytes) -> bytes:
    """What there is to say of a job; its failure is its answer, and the worker goes on."""
    try:
        return pickle.dumps((True, pickle.loads(job).run()))
    except Exception as error:
        return pickle.dumps((False, f"{type(error).__name__}: {error}"))


def compute_with_one_thread() -> None:
    """Have OpenCV work with one thread from here on: the cores are shared out by processes."""
    import cv2

    cv2.setNumThreads(1)

"""Worker processes: answers, failures, deaths, time limits. Workers import the functions from this module."""

from __future__ import annotations

import os
import signal
import time
from concurrent.futures import wait

import pytest

from tapeplat.classroom.workers import WorkerFailed, Workers


def double(number: int) -> int:
    return 2 * number


def moody(job: str) -> str:
    """Does what the job's name says."""
    if job == "dies":
        os.kill(os.getpid(), signal.SIGKILL)
    if job == "raises":
        raise ValueError("a mistake of ours")
    if job == "hangs":
        time.sleep(60)
    if job == "odd":
        return lambda: None  # type: ignore[return-value]
    return f"{job} by {os.getpid()}"


def threads(_: str) -> tuple[int, str]:
    import cv2

    return cv2.getNumThreads(), os.environ["OPENBLAS_NUM_THREADS"]


def test_answers_come_from_several_processes_with_one_thread_each():
    with Workers(2, double) as workers:
        assert [f.result(30) for f in [workers.submit(n) for n in range(20)]] == list(range(0, 40, 2))
        assert len(workers.pids) == 2
        assert os.getpid() not in workers.pids
    assert workers.pids == ()
    with Workers(1, threads) as one:
        assert one.submit("").result(60) == (1, "1")


def test_a_job_that_kills_or_stops_its_worker_fails_alone():
    jobs = ["a", "dies", "b", "raises", "c", "hangs", "odd", "d", "e"]
    with Workers(2, moody, seconds=2) as workers:
        futures = {job: workers.submit(job) for job in jobs}
        wait(futures.values(), 60)
        for job in ("a", "b", "c", "d", "e"):
            assert futures[job].result().startswith(f"{job} by ")
        reasons = {"dies": "ended", "raises": "a mistake of ours", "hangs": "more than 2 s", "odd": "pickle"}
        for job, why in reasons.items():
            with pytest.raises(WorkerFailed, match=why):
                futures[job].result()


def test_killed_workers_fail_what_they_had_and_what_comes_after():
    with Workers(1, moody) as workers:
        assert workers.submit("a").result(30)
        had, waiting = workers.submit("hangs"), workers.submit("b")
        while not had.running():
            time.sleep(0.01)
        workers.kill()
        for future in (had, waiting):
            with pytest.raises(WorkerFailed):
                future.result(30)


def test_leaving_drops_what_has_not_begun():
    with Workers(1, moody) as workers:
        futures = [workers.submit(str(n)) for n in range(50)]
        futures[0].result(30)
    done = [f for f in futures if not f.cancelled()]
    assert 1 <= len(done) < 50
    assert all(f.result().split()[0] == str(n) for n, f in enumerate(done))

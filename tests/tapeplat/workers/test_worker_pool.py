"""Worker processes: answers, failures, deaths, time limits."""

from __future__ import annotations

import os
import sys
import time
from concurrent.futures import ThreadPoolExecutor, wait
from pathlib import Path

import pytest

from tapeplat.workers.worker_pool import Limits, WorkerFailed, WorkerPool
from tests.helpers.worker_jobs import Busy, Double, Greedy, Large, Moody, Settings, Slow, Unreadable


def test_answers_come_from_several_processes_with_one_thread_each():
    with WorkerPool(2) as workers:
        assert [f.result(30) for f in [workers.submit(Double(n)) for n in range(20)]] == list(range(0, 40, 2))
        assert 1 <= len(workers.pids) <= 2
        assert os.getpid() not in workers.pids
    assert workers.pids == ()
    with WorkerPool(1, Limits(nice=3)) as one:
        assert one.submit(Settings()).result(60) == (1, "1", os.nice(0) + 3)


def test_no_more_processes_are_started_than_work_at_the_same_time():
    with WorkerPool(3) as workers:
        assert len({workers.answer(Slow()) for _ in range(3)}) == 1
        assert len(workers.pids) == 1
        with ThreadPoolExecutor(2) as both:
            assert len(set(both.map(workers.answer, [Slow(), Slow()]))) == 2
        assert len(workers.pids) == 2


def test_a_job_that_kills_or_stops_its_worker_fails_alone():
    jobs = ["a", "dies", "b", "raises", "c", "hangs", "odd", "d", "e"]
    with WorkerPool(2, Limits(seconds=4, clock=4)) as workers:
        futures = {name: workers.submit(Moody(name)) for name in jobs}
        unreadable = workers.submit(Unreadable())
        wait([*futures.values(), unreadable], 60)
        for name in ("a", "b", "c", "d", "e"):
            assert futures[name].result().startswith(f"{name} by ")
        reasons = {"dies": "ended", "raises": "a mistake of ours", "hangs": "more than 4 s", "odd": "pickle"}
        for name, why in reasons.items():
            with pytest.raises(WorkerFailed, match=why):
                futures[name].result()
        with pytest.raises(WorkerFailed, match="ValueError"):
            unreadable.result()


def test_killed_workers_fail_what_they_had_and_what_comes_after():
    with WorkerPool(1) as workers:
        assert workers.submit(Moody("a")).result(30)
        had, waiting = workers.submit(Moody("hangs")), workers.submit(Moody("b"))
        while not had.running():
            time.sleep(0.01)
        workers.kill()
        for future in (had, waiting):
            with pytest.raises(WorkerFailed):
                future.result(30)


def test_leaving_drops_what_has_not_begun():
    with WorkerPool(1) as workers:
        futures = [workers.submit(Moody(f"{n} rests")) for n in range(50)]
        futures[0].result(30)
    done = [f for f in futures if not f.cancelled()]
    assert 1 <= len(done) < 50
    assert all(f.result().split()[0] == str(n) for n, f in enumerate(done))


@pytest.mark.skipif(sys.platform == "win32", reason="Windows bounds the clock's time alone")
def test_the_processors_time_is_bounded_and_a_worker_that_waits_for_its_turn_is_not_ended():
    with WorkerPool(1, Limits(seconds=0.5)) as workers:
        assert workers.answer(Slow(2.5)) == workers.pids[0]
        begun = time.monotonic()
        with pytest.raises(WorkerFailed, match="ended"):
            workers.answer(Busy())
        assert time.monotonic() - begun < 60
        assert workers.answer(Double(2)) == 4


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux bounds a process's memory")
def test_a_job_that_wants_more_memory_than_its_worker_may_take_fails_and_harms_no_other():
    with WorkerPool(1, Limits(more_mb=300)) as workers:
        first = workers.answer(Greedy(50))
        with pytest.raises(WorkerFailed, match="MemoryError"):
            workers.answer(Greedy(2000))
        assert workers.answer(Greedy(50)) == first


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux says what a process takes")
def test_memory_goes_back_after_a_large_job_before_its_answer_is_known():
    with WorkerPool(1, Limits(leave_mb=400, idle=60.0)) as workers:
        first = workers.answer(Large(10))
        for _ in range(3):
            assert workers.answer(Large(300)) == first, "it stays, as it holds little"
            assert held_by(first) < 150


def held_by(pid: int) -> float:
    """MB that a process holds in memory."""
    return int(Path(f"/proc/{pid}/statm").read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE") / 2**20


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux says what a process takes")
def test_a_worker_that_stays_large_leaves_and_one_that_waits_for_long():
    with WorkerPool(1, Limits(leave_mb=300)) as workers:
        first = workers.answer(Large(10))
        assert workers.answer(Large(350, keeps=True)) == first, "it leaves after the job, not before"
        assert workers.answer(Large(10)) != first
    with WorkerPool(1, Limits(idle=0.3)) as workers:
        assert workers.answer(Large(10)) > 0
        deadline = time.monotonic() + 30
        while workers.pids and time.monotonic() < deadline:
            time.sleep(0.05)
        assert workers.pids == ()
        assert workers.answer(Large(10)) > 0


def test_jobs_that_come_just_as_the_worker_leaves_are_answered():
    with WorkerPool(1, Limits(idle=0.01)) as workers:
        assert [workers.answer(Double(n)) for n in range(4) if not time.sleep(0.01)] == [0, 2, 4, 6]

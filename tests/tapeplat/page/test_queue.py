"""The queue of photos: kept through a kill, a dead worker reported, nothing filed twice."""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from measure.file_content import FileContent
from tapeplat.archive import Archive
from tapeplat.page.app import create_app
from tapeplat.page.base.settings import Settings
from tapeplat.page.jobs.filing_job import FilingJob
from tapeplat.page.jobs.job_queue import MOST_TRIES
from tapeplat.page.jobs.upload_check import checked_upload
from tapeplat.page.session.services import Services, open_services
from tapeplat.workers.model_job import ModelAnswer
from tests.helpers.page.browser import CHALLENGE, Browser
from tests.helpers.paths import SAMPLES
from tests.tapeplat.page.test_uploads import photo


def add(house: Services, team: str = "1", content: bytes = b"") -> int:
    if house.challenges.file("gull") is None:
        house.challenges.save("gull", CHALLENGE)
    return house.jobs.add("gull", team, [checked_upload(content or photo(), "a.jpg")], "teacher")


def state(house: Services, number: int) -> tuple[str, str]:
    job = house.jobs.get(number)
    assert job is not None
    return job.state, job.message


def until(true: Callable[[], bool], seconds: float = 40) -> None:
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end, "it took too long"
        time.sleep(0.05)


def test_jobs_are_measured_in_their_order_and_photos_of_done_ones_are_deleted(house: Services) -> None:
    first, second = add(house, "1"), add(house, "2")
    seen: list[FilingJob] = []

    def measure(task: FilingJob) -> ModelAnswer:
        assert all(file.is_file() for file in task.photos)
        seen.append(task)
        return ModelAnswer(True, entry=f"entry of {task.team}")

    assert house.queue.work_off(measure) == 2
    assert [task.team for task in seen] == ["1", "2"]
    assert seen[0].challenge.data == CHALLENGE.encode()
    assert [state(house, number)[0] for number in (first, second)] == ["done", "done"]
    assert not house.jobs.photos(first)[0].exists()


def test_a_photo_that_shows_no_card_is_refused_and_can_be_tried_again_or_deleted(
    teacher: Browser, house: Services
) -> None:
    number = add(house)
    house.queue.work_off()
    assert state(house, number)[0] == "refused"
    page = teacher.text("/teacher/challenge/gull/photos")
    assert "Photo refused." in page
    assert "card" in page
    assert teacher.post(f"/teacher/job/{number}/again").status_code == 303
    assert state(house, number)[0] == "waiting"
    stored = house.jobs.photos(number)[0]
    assert stored.is_file()
    assert teacher.post(f"/teacher/job/{number}/dismiss").status_code == 303
    assert house.jobs.get(number) is None
    assert not stored.exists()


def test_a_challenge_that_was_broken_meanwhile_is_told(house: Services) -> None:
    number = add(house)
    house.challenges.save("gull", "title = 3")
    house.queue.work_off()
    assert state(house, number)[0] == "failed"
    assert "challenge has mistakes" in state(house, number)[1]


def test_an_unexpected_fault_fails_the_job_and_not_the_queue(house: Services) -> None:
    bad, good = add(house, "1"), add(house, "2")

    def measure(task: FilingJob) -> ModelAnswer:
        if task.team == "1":
            raise RuntimeError("inside")
        return ModelAnswer(True, entry="x")

    house.queue.work_off(measure)
    assert state(house, bad)[0] == "failed"
    assert "inside " not in state(house, bad)[1].replace("inside the program", "")
    assert state(house, good)[0] == "done"


def test_what_a_killed_program_was_measuring_waits_again_at_the_next_start(tmp_path: Path) -> None:
    settings = Settings(tmp_path / "data", tmp_path / "archive")
    first = open_services(settings)
    measuring, waiting = add(first, "1"), add(first, "2")
    assert first.jobs.claim() is not None  # and the program is killed here: nothing is said of the job any more
    second = open_services(settings)
    assert second.jobs.take_up() == 2
    assert [state(second, number)[0] for number in (measuring, waiting)] == ["waiting", "waiting"]
    done: list[str] = []
    second.queue.work_off(lambda task: done.append(task.team) or ModelAnswer(True))  # type: ignore[func-returns-value]
    assert done == ["1", "2"]
    first.close()
    second.close()


def test_a_photo_that_ends_the_program_every_time_is_given_up(tmp_path: Path) -> None:
    settings = Settings(tmp_path / "data", tmp_path / "archive")
    house = open_services(settings)
    number = add(house)
    for _ in range(MOST_TRIES):
        assert house.jobs.claim() is not None
        house.jobs.take_up()
    assert state(house, number)[0] == "failed"
    house.close()


def test_photos_of_no_job_are_swept_away_at_a_start(house: Services) -> None:
    number = add(house)
    left = house.settings.data / "photos" / "new-abandoned"
    left.mkdir()
    house.jobs.take_up()
    assert not left.exists()
    assert house.jobs.photos(number)[0].is_file()


def test_what_was_filed_before_the_kill_is_not_filed_twice(house: Services) -> None:
    text = (SAMPLES / "quarry-lake-1.toml").read_text(encoding="utf-8")
    house.challenges.save("gull", text)
    content = (SAMPLES / "quarry-lake-1.jpg").read_bytes()
    first = add(house, "3", content)
    house.queue.work_off()
    job = house.jobs.get(first)
    assert job is not None
    assert job.state == "done"
    again = add(house, "3", content)
    house.queue.work_off()
    later = house.jobs.get(again)
    assert later is not None
    assert later.entry == job.entry
    assert len(Archive(house.settings.archive).entries()) == 1


def test_two_processes_that_file_the_same_photo_at_once_file_one_attempt(tmp_path: Path) -> None:
    text = (SAMPLES / "quarry-lake-1.toml").read_text(encoding="utf-8")
    job = FilingJob(
        challenge=FileContent("lake.toml", text.encode()),
        team="3",
        photos=(SAMPLES / "quarry-lake-1.jpg",),
        archive=tmp_path / "archive",
        data=tmp_path / "data",
    )
    with ThreadPoolExecutor(2) as both:
        entries = {answer.entry for answer in both.map(FilingJob.run, [job, job])}
    assert len(entries) == 1
    assert len(Archive(tmp_path / "archive").entries()) == 1


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="this system cannot kill a process so")
def test_a_worker_that_dies_is_replaced_and_the_photo_reported(tmp_path: Path) -> None:
    app = create_app(Settings(tmp_path / "data", tmp_path / "archive"))
    house = app.extensions["tapeplat"]
    house.challenges.save("gull", (SAMPLES / "quarry-lake-1.toml").read_text(encoding="utf-8"))
    content = (SAMPLES / "quarry-lake-1.jpg").read_bytes()
    first, second = add(house, "1", content), add(house, "2", content)
    house.queue.start(1)
    until(lambda: bool(house.workers.pids) and state(house, first)[0] == "measuring")
    os.kill(house.workers.pids[0], signal.SIGKILL)
    until(lambda: state(house, second)[0] == "done")
    assert state(house, first)[0] == "failed"
    assert "did not end well" in state(house, first)[1]
    house.close()

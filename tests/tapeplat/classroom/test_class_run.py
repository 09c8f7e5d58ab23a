"""A class's run with other functions in the place of measuring. Workers import this module, so it imports little."""

from __future__ import annotations

import os
import signal
import time
from pathlib import Path

from tapeplat.classroom.class_record import PhotoRead, read_record
from tapeplat.classroom.class_run import run_class
from tapeplat.classroom.team_job import TeamJob
from tapeplat.output.result_folder import STAGING
from tapeplat.workers.model_job import ModelAnswer
from tapeplat.workers.worker_pool import WorkerPool


def job_of(kind: type[TeamJob], out: Path, team: str) -> TeamJob:
    path = Path(f"{team}.jpg")
    reads = (PhotoRead(path.name, team),)
    return kind(challenge=Path("c.toml"), team=team, photos=(path,), reads=reads, folder=out / f"team-{team}", key=team)


class Deadly(TeamJob):
    """Stands for measuring; dies on one team's photo as a process does when memory runs out."""

    def keep_result(self) -> ModelAnswer:
        if self.team == "2":
            os.kill(os.getpid(), signal.SIGKILL)
        return ModelAnswer(True, tally="all met")


def test_a_worker_that_dies_is_reported_replaced_and_tried_again(tmp_path: Path):
    jobs = [job_of(Deadly, tmp_path, team) for team in "1234"]
    record = read_record(tmp_path)
    with WorkerPool(2) as workers:
        made = run_class(jobs, record, tmp_path, workers, finished=lambda done: done.record, stop=lambda: 0)
    states = {model.team: model.state for model in made.models}
    assert states == {"1": "measured", "2": "failed", "3": "measured", "4": "measured"}
    assert "ended without an answer" in next(m for m in made.models if m.team == "2").refusals[0].advice
    assert {m.team: m for m in read_record(tmp_path).models} == {m.team: m for m in made.models}


class Slow(TeamJob):
    def keep_result(self) -> ModelAnswer:
        time.sleep(0.3 if self.team == "1" else 120)
        return ModelAnswer(True)


def test_a_second_ctrl_c_ends_what_is_in_hand(tmp_path: Path):
    left = [tmp_path / f"{STAGING}a", tmp_path / "team-1" / f"{STAGING}b"]
    for folder in left:
        folder.mkdir(parents=True)  # what a run killed while writing leaves
    heard: list[str] = []
    with WorkerPool(2) as workers:
        start = time.monotonic()
        made = run_class(
            [job_of(Slow, tmp_path, team) for team in "123"], read_record(tmp_path), tmp_path, workers,
            finished=lambda done: heard.append(done.job.team) or done.record,  # type: ignore[func-returns-value]
            stop=lambda: 2 if heard else 0,
        )  # fmt: skip
        assert time.monotonic() - start < 100
    assert [model.team for model in made.models] == ["1"]
    assert not any(folder.exists() for folder in left)

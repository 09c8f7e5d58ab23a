"""What `tapeplat class` says at its end, what it does not write over, full disks; measuring itself is imitated."""

from __future__ import annotations

import errno
import json
import os
import re
import subprocess
import sys
from concurrent.futures import Future
from pathlib import Path
from types import TracebackType
from typing import Any

import pytest
from click.testing import CliRunner, Result

from measure.result.result import result_text
from tapeplat.archive import Archive
from tapeplat.classroom.class_record import FILE
from tapeplat.classroom.class_run import Finished
from tapeplat.classroom.one_run import LOCK, only_run
from tapeplat.classroom.progress import Teller
from tapeplat.classroom.team_job import TeamJob
from tapeplat.cli.main import main
from tapeplat.output import result_folder
from tapeplat.reports.report_files import team_files
from tapeplat.workers import worker_pool
from tapeplat.workers.model_job import ModelAnswer, Refusal
from tests.helpers.made.results import ordinary
from tests.tapeplat.cli.test_one_manner import CHALLENGE


class HereAtOnce:
    """A pool whose jobs are done in this process when they are handed in."""

    def __init__(self, size: int) -> None:
        self.size = size

    def submit(self, job: Any) -> Future[Any]:
        future: Future[Any] = Future()
        future.set_result(job.run())
        return future

    def kill(self) -> None:
        """There is nothing to end."""

    def __enter__(self) -> HereAtOnce:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """There is nothing to clear away."""


def made_up(job: TeamJob) -> ModelAnswer:
    """A result as if it were measured; of a photo that says so, a refusal."""
    if b"blurred" in job.photos[0].read_bytes():
        return ModelAnswer(False, (Refusal((job.photos[0].name,), "blurred", "hold the phone still"),))
    result = result_text(ordinary(job.team)).encode("utf-8")
    result_folder.write_folder(job.folder, {**team_files(result, {}, "letter"), "result.json": result})
    return ModelAnswer(True, tally="2 of 3 rules met")


@pytest.fixture
def room(tmp_path: Path, monkeypatch) -> Path:
    """A class of two."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(worker_pool, "WorkerPool", HereAtOnce)
    monkeypatch.setattr(TeamJob, "keep_result", made_up)
    Path("c.toml").write_text(CHALLENGE)
    for folder, teams in (("photos", "34"), ("others", "34")):
        Path(folder).mkdir()
        for team in teams:
            Path(folder, f"{team}.jpg").write_text(f"{folder} of {team}")
    return tmp_path


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, ["class", "c.toml", *map(str, arguments)], catch_exceptions=False)


def test_the_end_says_what_was_filed_and_written_and_what_is_next(room: Path):
    done = run("photos", "--out", "o", "--archive-folder", "a")
    assert done.exit_code == 0
    assert done.stdout.splitlines()[-3:] == [
        "filed: 2 models in a",
        "results: o; o/class.pdf shows the class at a glance",
        "next: tapeplat report o --out wall.pdf makes the pages for the wall",
    ]
    Path("photos/5.jpg").write_text("new")
    assert "filed: 1 model in a; 2 filed before" in run("photos", "--out", "o", "--archive-folder", "a").stdout
    assert "filed" not in run("photos", "--out", "o").stdout
    assert run("photos", "--out", "o", "--quiet", "--archive-folder", "a").stdout == ""
    assert len(json.loads(run("photos", "--out", "o", "--json").stdout)["models"]) == 3


def test_after_a_refusal_the_next_thing_is_another_photo(room: Path):
    Path("photos/4.jpg").write_text("blurred")
    done = run("photos", "--out", "o")
    assert done.exit_code == 3
    assert "photo refused (blurred): hold the phone still" in done.stdout
    assert done.stdout.splitlines()[-1].startswith("next: do what stands beside each photo above, then run")


@pytest.mark.parametrize("option", ["--quiet", "--json"])
def test_a_refused_photo_is_told_whatever_is_left_out(room: Path, option: str):
    Path("photos/4.jpg").write_text("blurred")
    done = run("photos", "--out", "o", option)
    assert done.exit_code == 3
    assert "warning: team 4, 4.jpg: photo refused (blurred): hold the phone still" in done.stderr
    assert "refused (blurred)" not in done.stdout


def test_one_teams_result_is_not_written_over_by_a_classs(room: Path):
    Path("o").mkdir()
    Path("o/result.json").write_text(result_text(ordinary("3")), "utf-8")
    done = run("photos", "--out", "o")
    assert done.exit_code == 2
    assert (
        "o: it holds the result of team 3, no class's; name another folder with --out, or say --replace" in done.stderr
    )
    assert os.listdir("o") == ["result.json"]
    assert run("photos", "--out", "o", "--replace").exit_code == 0


def test_another_classs_results_are_not_written_over(room: Path):
    assert run("photos", "--out", "o").exit_code == 0
    before = Path("o/team-3/result.json").read_bytes(), Path("o", FILE).read_bytes()
    done = run("others", "--out", "o")
    assert done.exit_code == 2
    assert "o: it holds the results of other photos (team 3, team 4); name another folder with --out" in done.stderr
    assert (Path("o/team-3/result.json").read_bytes(), Path("o", FILE).read_bytes()) == before
    assert run("others", "--out", "o", "--replace").exit_code == 0
    Path("others/3.jpg").write_text("taken anew")
    assert run("others", "--out", "o").exit_code == 0, "the other team's photo is the same: it is this class"


@pytest.mark.parametrize("content", ["{", "[]", '{"format": "tapeplat/class-1", "models": 3}'])
def test_a_damaged_record_is_said(room: Path, content: str):
    assert run("photos", "--out", "o").exit_code == 0
    assert "damaged" not in run("photos", "--out", "o").stderr
    Path("o", FILE).write_text(content)
    report = CliRunner().invoke(main, ["report", "o", "--out", "wall.pdf"])
    assert report.exit_code == 2
    assert "o/class.json: it is damaged and does not say which teams there are; run tapeplat class" in report.stderr
    done = run("photos", "--out", "o")
    assert "o/class.json is damaged and tells nothing of earlier runs; every model is measured" in done.stderr
    assert "2 models, 2 to measure" in done.stdout
    assert CliRunner().invoke(main, ["report", "o", "--out", "wall.pdf"]).exit_code == 0


def disk_refuses(monkeypatch, inside: str, number: int) -> None:
    """Writing into folders of this name fails as on a full (ENOSPC) or a read-only disk (EROFS)."""
    real = os.replace

    def replace(source: Path, target: Path) -> None:
        if inside in Path(target).parts:
            raise OSError(number, os.strerror(number), str(target))
        real(source, target)

    monkeypatch.setattr(result_folder.os, "replace", replace)


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EROFS])
def test_a_model_that_the_disk_does_not_take_is_no_refused_photo(room: Path, monkeypatch, number: int):
    with monkeypatch.context() as full:
        disk_refuses(full, "team-3", number)
        done = run("photos", "--out", "o")
    assert done.exit_code == 2
    assert f"team 3, 3.jpg: not measured: o/team-3 cannot be written: {os.strerror(number).lower()}" in done.stdout
    assert re.search(r"^team 4 .* \d/\d$", done.stdout, re.MULTILINE)
    assert not any(".tapeplat" in str(path) for path in Path("o").rglob("*"))
    again = run("photos", "--out", "o")
    assert (again.exit_code, "2 models, 1 to measure, 1 unchanged" in again.stdout) == (0, True)


def test_where_nothing_of_the_class_can_be_written_it_is_said(room: Path, monkeypatch):
    disk_refuses(monkeypatch, "o", errno.EROFS)
    done = run("photos", "--out", "o")
    assert done.exit_code == 2
    assert "o cannot be written: read-only file system; choose another folder" in done.stderr
    assert not Path("o").exists()


def test_what_was_measured_is_said_where_only_the_classs_pages_cannot_be_written(room: Path, monkeypatch):
    real = os.replace

    def replace(source: Path, target: Path) -> None:
        if Path(target).name == "class.pdf":
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), str(target))
        real(source, target)

    monkeypatch.setattr(result_folder.os, "replace", replace)
    done = run("photos", "--out", "o")
    assert done.exit_code == 2
    assert re.search(r"^team 4 .* \d/\d$", done.stdout, re.MULTILINE)
    assert "o cannot be written: no space left on device" in done.stderr


def test_an_archive_that_is_a_file_is_said_before_anything_is_measured(room: Path, monkeypatch):
    Path("taken").write_text("mine")
    monkeypatch.setenv("TAPEPLAT_ARCHIVE", "taken")
    said = "TAPEPLAT_ARCHIVE: taken is a file, and an archive is a folder; let it name a folder"
    done = run("photos", "--out", "o", "--archive")
    assert (done.exit_code, said in done.stderr, Path("o").exists()) == (2, True, False)
    listed = CliRunner().invoke(main, ["archive", "list"])
    assert (listed.exit_code, said in listed.stderr) == (2, True)
    assert run("photos", "--out", "o").exit_code == 0, "nobody asked for filing"


def test_what_cannot_be_filed_is_said_and_filed_by_the_next_run(room: Path):
    Path("taken").write_text("mine")
    done = run("photos", "--out", "o", "--archive-folder", "taken/a")
    assert done.exit_code == 2
    assert done.stderr.count("is not in the archive: the attempt is not filed: ") == 2
    assert "filed: 0 models in taken/a" in done.stdout
    assert run("photos", "--out", "o", "--archive-folder", "a").exit_code == 0
    assert len(Archive(Path("a")).entries()) == 2


def test_two_runs_do_not_measure_one_class_at_once(room: Path):
    with only_run(Path("o")):
        done = run("photos", "--out", "o", "--archive-folder", "a")
        assert done.exit_code == 2
        assert "o: another run is measuring this class into it; wait until that is done" in done.stderr
        assert not Path("a").exists()
    assert not Path("o").exists(), "made for nothing"
    assert run("photos", "--out", "o").exit_code == 0
    assert not Path("o", LOCK).exists()


def test_a_run_that_was_killed_holds_up_nobody(room: Path):
    code = "from pathlib import Path; from tapeplat.classroom.one_run import only_run; import os\n"
    code += "with only_run(Path('o')): os._exit(9)"
    assert subprocess.run([sys.executable, "-c", code], cwd=room, check=False).returncode == 9
    assert Path("o", LOCK).exists()
    assert run("photos", "--out", "o").exit_code == 0


def finished(team: str) -> Finished:
    job = TeamJob(challenge=Path("c.toml"), team=team, photos=(Path(f"{team}.jpg"),), reads=(), folder=Path(team))
    answer = ModelAnswer(True, tally="2 of 3 rules met", warnings=("a zone is odd",), seconds=1.0)
    return Finished(job, answer, None)  # type: ignore[arg-type]


@pytest.mark.parametrize("terminal", [True, False])
def test_a_bar_in_a_terminal_and_plain_lines_in_a_pipe(monkeypatch, capsys, terminal: bool):
    monkeypatch.setattr(sys.stdout, "isatty", lambda: terminal)
    with Teller(2, quiet=False) as teller:
        teller.hear(finished("3"))
        between = capsys.readouterr()
        teller.hear(finished("4"))
    after = capsys.readouterr()
    if terminal:
        assert "measuring" in between.out
        assert "\r" in between.out + after.out
        assert "2/2" in after.out
        assert "[1/2]" not in between.out + after.out
        assert between.err == "", "a warning would stand in the bar's way"
        assert after.err.count("warning: team") == 2
    else:
        assert between.out == "[1/2] team 3: 2 of 3 rules met (1.0 s)\n"
        assert after.out == "[2/2] team 4: 2 of 3 rules met (1.0 s)\n"
        assert "\r" not in between.out + after.out
        assert between.err == "warning: team 3: a zone is odd\n"


def test_quiet_shows_neither_bar_nor_lines(capsys):
    with Teller(1, quiet=True) as teller:
        teller.hear(finished("3"))
    assert capsys.readouterr().out == ""

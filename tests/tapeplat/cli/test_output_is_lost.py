"""A terminal that lacks letters, a reader that has gone, a full disk behind `>`: the work is done all the same."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from tapeplat.archive import Archive
from tapeplat.cli.demo_command import samples
from tapeplat.cli.main import main
from tests.helpers.made.attempts import attempt

NAME = "Łódź 鷺"
PROGRAM = str(Path(sys.executable).with_name("tapeplat"))
FULL = Path("/dev/full")


def run(*arguments: object, encoding: str = "utf-8", out: int = subprocess.PIPE) -> subprocess.CompletedProcess[str]:
    env = {**os.environ, "PYTHONIOENCODING": encoding, "PYTHONUTF8": "0"}
    command = [PROGRAM, *map(str, arguments)]
    return subprocess.run(
        command, stdout=out, stderr=subprocess.PIPE, encoding="latin-1", env=env, timeout=120, check=False
    )


def closed_pipe() -> int:
    """The writing end of a pipe that nobody reads."""
    reading, writing = os.pipe()
    os.close(reading)
    return writing


@pytest.fixture
def filed(tmp_path: Path) -> Path:
    Archive(tmp_path / "archive").save(attempt(team=NAME))
    return tmp_path / "archive"


@pytest.mark.slow
@pytest.mark.parametrize("how", ["pipe", "cp1252", "full"])
def test_a_model_is_filed_before_anything_is_printed(tmp_path: Path, how: str):
    if how == "full" and not FULL.exists():
        pytest.skip("there is no /dev/full here")
    challenge, photo = next(iter(samples()))
    out = subprocess.PIPE if how == "cp1252" else closed_pipe() if how == "pipe" else os.open(FULL, os.O_WRONLY)
    arguments = ("measure", challenge, photo, "--out", tmp_path / "o", "--team", NAME)
    done = run(
        *arguments, "--archive-folder", tmp_path / "a", encoding="cp1252" if how == "cp1252" else "utf-8", out=out
    )
    assert "Traceback" not in done.stderr
    assert done.returncode == (2 if how == "full" else 0)
    assert ("what was printed is lost" in done.stderr) == (how == "full")
    assert [entry.team for entry in Archive(tmp_path / "a").entries()] == [NAME]


@pytest.mark.parametrize("encoding", ["cp1252:strict", "ascii:strict", "cp437:strict", "latin-1:strict"])
def test_letters_that_the_terminal_lacks_are_shown_as_a_question_mark(filed: Path, encoding: str):
    shown = run("archive", "list", "--archive-folder", filed, encoding=encoding).stdout
    done = run("archive", "show", shown.split()[0], "--archive-folder", filed, encoding=encoding)
    assert (done.returncode, done.stderr) == (0, "")
    assert "?" in done.stdout
    assert "\xc3" not in done.stdout, "no UTF-8 in a terminal of another encoding"


def test_a_reader_that_has_gone_is_no_failure(filed: Path):
    done = run("archive", "list", "--archive-folder", filed, out=closed_pipe())
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.skipif(not FULL.exists(), reason="there is no /dev/full here")
def test_output_that_a_full_disk_takes_no_more_is_said(filed: Path):
    done = run("archive", "list", "--archive-folder", filed, out=os.open(FULL, os.O_WRONLY))
    assert done.returncode == 2
    assert "what was printed is lost (no space left on device); everything else is done" in done.stderr


OLD = [
    (["measure", "c.toml", "p.jpg", "--out", "o", "--archive", "store"], "measure c.toml p.jpg --out o"),
    (["measure", "c.toml", "p.jpg", "--out", "o", "--archive=store"], "measure c.toml p.jpg --out o"),
    (["measure", "c.toml", "p.jpg", "--archive", "photos", "--out", "o"], "measure c.toml p.jpg"),
    (["class", "c.toml", "photos", "--archive", "store"], "class c.toml photos"),
    (["class", "--archive", "store", "c.toml", "photos"], "class"),
    (["archive", "list", "--archive", "store"], "archive list"),
    (["archive", "expire", "--older-than", "1 year", "--archive", "store"], "archive expire --older-than '1 year'"),
    (["serve", "--archive", "store"], "serve"),
]


@pytest.mark.parametrize(("line", "start"), OLD)
def test_the_former_archive_dir_is_answered_with_what_it_is_now(tmp_path: Path, monkeypatch, line, start):
    monkeypatch.chdir(tmp_path)
    Path("c.toml").write_text("")
    Path("p.jpg").write_text("")
    Path("photos").mkdir()
    said = CliRunner().invoke(main, line, prog_name="tapeplat")
    assert said.exit_code == 2
    folder = next(name for name in ("store", "photos") if any(word.endswith(name) for word in line))
    assert "--archive is a plain switch now" in said.stderr
    assert f"Did you mean:\n  tapeplat {start} --archive-folder {folder}" in said.stderr


def test_archive_before_a_photo_swallows_nothing(tmp_path: Path):
    """It measured one photo of two, as the other was taken for the archive's folder."""
    challenge, photo = next(iter(samples()))
    said = CliRunner().invoke(
        main, [*map(str, ("measure", challenge, "--archive", photo, tmp_path / "b.jpg", "--out", tmp_path / "o"))]
    )
    assert "b.jpg" in said.stderr
    assert not photo.with_suffix(".jpg").is_dir()
    assert "plain switch" not in said.stderr


@pytest.mark.parametrize("encoding", ["cp1252", "cp437", "latin-1"])
def test_messages_have_question_marks_too_and_no_escapes(filed: Path, encoding: str):
    done = run("archive", "show", NAME, "--archive-folder", filed, encoding=encoding)
    assert done.returncode == 2
    assert "? ?: there is no such attempt" in done.stderr
    assert "\\u" not in done.stderr


def test_ctrl_c_while_the_libraries_are_loaded_is_no_traceback():
    code = """
import sys
class Pressed:
    def find_spec(self, name, *_):
        if name == "tapeplat.cli.main":
            raise KeyboardInterrupt
sys.meta_path.insert(0, Pressed())
from tapeplat.start.program import start
start()
"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (130, "\nstopped; nothing was begun\n")

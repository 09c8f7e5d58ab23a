"""Files and folders that may not be opened, names that are too long: named as what they are, never as missing."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from calib.photo_refused import PhotoRefused
from tapeplat.cli.main import main
from tests.helpers.paths import SAMPLES
from tests.tapeplat.cli.test_one_manner import CHALLENGE, PLAT
from vision.picture.photo import read_photo

LONG = "x" * 300


def run(line: str) -> Result:
    return CliRunner().invoke(main, line.split(), catch_exceptions=False)


@pytest.fixture
def desk(tmp_path: Path, monkeypatch) -> Path:
    """What is called closed may not be opened, whoever runs the tests (to root no file is closed)."""
    monkeypatch.chdir(tmp_path)
    Path("c.toml").write_text(CHALLENGE)
    Path("plat.csv").write_text(PLAT)
    Path("photo.jpg").write_bytes((SAMPLES / "quarry-lake-4.jpg").read_bytes())
    Path("closed").mkdir()
    for name in ("closed.toml", "closed.jpg", "closed.csv"):
        Path(name).write_bytes(Path({"toml": "c.toml", "jpg": "photo.jpg", "csv": "plat.csv"}[name[7:]]).read_bytes())
    for name in ("stat", "open", "iterdir", "mkdir"):
        monkeypatch.setattr(Path, name, closed_to(getattr(Path, name), name))
    return tmp_path


def closed_to(real, how: str):
    def called(self: Path, *arguments, **more):
        inside = (
            "closed" in self.parts[:-1] if how in ("stat", "mkdir") else any(p.startswith("closed") for p in self.parts)
        )
        if inside:
            raise PermissionError(13, os.strerror(13), str(self))
        return real(self, *arguments, **more)

    return called


CLOSED = "cannot be opened: permission denied; allow it in the file manager"


@pytest.mark.parametrize(
    ("line", "named"),
    [
        ("rules closed.toml", "closed.toml"),
        ("check c.toml closed.csv", "closed.csv"),
        ("measure c.toml closed.jpg --out o", "closed.jpg"),
        ("measure c.toml closed/3.jpg --out o", "closed/3.jpg"),
        ("class c.toml closed --out o", "closed"),
        ("check c.toml plat.csv --structures closed.csv", "closed.csv"),
    ],
)
def test_what_may_not_be_opened_is_said_to_be_there(desk: Path, line: str, named: str):
    done = run(line)
    assert done.exit_code == 2
    assert f"{named} is there and {CLOSED}" in done.stderr
    assert "there is no" not in done.stderr
    assert "Did you mean" not in done.stderr


def test_a_photo_that_may_not_be_opened_is_not_to_be_sent_again(desk: Path):
    with pytest.raises(PhotoRefused, match="does not let you open it") as refused:
        read_photo(Path("closed.jpg"))
    assert "send" not in str(refused.value)


def test_a_folder_to_write_into_that_may_not_be_entered_is_no_traceback(desk: Path):
    done = run("measure c.toml photo.jpg --out closed/o")
    assert (done.exit_code, "cannot be used: permission denied; choose another place" in done.stderr) == (2, True)


@pytest.mark.parametrize(
    "line", [f"rules {LONG}", f"check c.toml plat.csv --out {LONG}", f"archive list --archive-folder {LONG}"]
)
def test_a_name_that_is_too_long_is_answered_in_words(desk: Path, line: str):
    done = run(line)
    assert done.exit_code == 2
    assert "there is no file" in done.stderr or "file name too long" in done.stderr
    assert "is there and" not in done.stderr


def test_a_fault_of_the_program_is_still_a_traceback(desk: Path, monkeypatch):
    def broken(*_: object) -> None:
        raise FileNotFoundError(2, "No such file", "gone.txt")

    monkeypatch.setattr("tapeplat.read_challenge", broken)
    assert isinstance(CliRunner().invoke(main, ["rules", "c.toml"]).exception, FileNotFoundError)

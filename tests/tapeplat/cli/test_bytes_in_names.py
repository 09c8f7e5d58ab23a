"""Names with bytes that are no letters here (a file from a computer with another encoding): measured, filed, told."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from measure.result.result import read_result
from tapeplat.archive import Archive
from tapeplat.classroom.grouping import grouped
from tapeplat.classroom.photo_folder import photos_in
from tapeplat.cli.main import main
from tests.helpers.paths import SAMPLES
from vision.picture.photo import name_of

NAME = os.fsdecode(b"Bl\xe4u")


@pytest.fixture
def photo(tmp_path: Path) -> Path:
    path = tmp_path / "photos" / f"{NAME}.jpg"
    path.parent.mkdir()
    try:
        shutil.copy(SAMPLES / "quarry-lake-4.jpg", path)
    except OSError:
        pytest.skip("this disk takes no such name")
    if NAME == "Bläu":
        pytest.skip("this system's encoding has a letter for every byte")
    return path


def test_such_a_name_is_written_down_with_its_bytes(photo: Path):
    assert name_of(photo) == r"Bl\xe4u.jpg"
    assert name_of(Path("Bläu.jpg")) == "Bläu.jpg"


def test_a_class_tells_that_it_is_to_be_renamed(photo: Path):
    found = photos_in(photo.parent)
    assert found.notes == (
        r"Bl\xe4u.jpg was named on a computer with other letters; rename it, and the team has its name",
    )
    assert [group.team for group in grouped(found.photos, {}).groups] == [r"Bl\xe4u"]
    folder = photo.parent / NAME
    folder.mkdir()
    photo.rename(folder / "one.jpg")
    found = photos_in(photo.parent)
    assert [group.team for group in grouped(found.photos, {}).groups] == [r"Bl\xe4u"]
    assert len(found.notes) == 1


@pytest.mark.slow
def test_a_photo_of_such_a_name_is_measured_and_filed(photo: Path, tmp_path: Path):
    words = (
        "measure",
        SAMPLES / "quarry-lake-4.toml",
        photo,
        "--out",
        tmp_path / NAME,
        "--archive-folder",
        tmp_path / "a",
    )
    done = CliRunner().invoke(main, list(map(os.fspath, words)), catch_exceptions=False)
    assert done.exit_code == 0
    assert [read.file for read in read_result(tmp_path / NAME).photos] == [r"Bl\xe4u.jpg"]
    archive = Archive(tmp_path / "a")
    assert (len(archive.entries()), archive.verify()) == (1, ())


@pytest.mark.parametrize("option", ["--team", "--notes"])
def test_such_a_text_is_told_before_anything_is_measured(tmp_path: Path, option: str):
    words = ("measure", SAMPLES / "quarry-lake-4.toml", SAMPLES / "quarry-lake-4.jpg", "--out", tmp_path / "o", option)
    done = CliRunner().invoke(main, [*map(os.fspath, words), "Bl\udce4u"])
    assert done.exit_code == 2
    assert f"{option} Bl?u holds bytes that are no letters in this terminal's encoding; type it anew" in done.stderr
    assert not (tmp_path / "o").exists()


STEERING = "\x1b[31mred"


def test_what_steers_a_terminal_is_neither_a_teams_name_nor_shown_of_a_files(tmp_path: Path):
    words = (
        "measure",
        SAMPLES / "quarry-lake-4.toml",
        SAMPLES / "quarry-lake-4.jpg",
        "--out",
        tmp_path / "o",
        "--team",
    )
    done = CliRunner().invoke(main, [*map(os.fspath, words), STEERING])
    assert (done.exit_code, "\x1b" in done.output) == (2, False)
    assert "--team holds characters that steer a terminal" in done.stderr
    assert name_of(tmp_path / f"{STEERING}\n.jpg") == r"\x1b[31mred\x0a.jpg"


@pytest.mark.parametrize("key", ["title = ", "rules = ["])
def test_what_steers_a_terminal_stands_in_no_challenge(tmp_path: Path, key: str):
    text = (SAMPLES / "quarry-lake-4.toml").read_text("utf-8")
    if "rules" in key:
        (tmp_path / "c.toml").write_text(text.replace(key, f'{key}"by eye: \\u001b[31mred",', 1), "utf-8")
    else:
        (tmp_path / "c.toml").write_text(text.replace(f'{key}"', f'{key}"\\u001b[31m', 1), "utf-8")
    done = CliRunner().invoke(main, ["rules", str(tmp_path / "c.toml")])
    assert (done.exit_code, "\x1b" in done.output) == (2, False)
    assert "holds characters that steer a terminal" in done.stderr


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_is_no_file_and_nobody_waits_for_it(tmp_path: Path):
    pipe = tmp_path / "3.jpg"
    os.mkfifo(pipe)
    for words in (["rules", pipe], ["measure", SAMPLES / "quarry-lake-4.toml", pipe, "--out", tmp_path / "o"]):
        done = CliRunner().invoke(main, list(map(os.fspath, words)))
        assert done.exit_code == 2
        assert "3.jpg is a pipe or a device, and no file; save what it gives as a file first" in done.stderr
    found = photos_in(tmp_path)
    assert (found.photos, found.notes) == ((), ("left out: 1 file that is no photo (3.jpg)",))

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

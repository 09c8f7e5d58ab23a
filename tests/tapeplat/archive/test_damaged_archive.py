"""A damaged archive: what cannot be read is counted everywhere, deleted when it is due, and taken away when asked."""

from __future__ import annotations

import os
import subprocess
import sys
import zipfile
from datetime import timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from tapeplat.archive import Archive
from tapeplat.archive.export import PARTS, export
from tapeplat.cli.main import main
from tests.helpers.clock import days_later
from tests.helpers.made.attempts import attempt


@pytest.fixture
def archive(tmp_path: Path) -> Archive:
    """Two attempts of team 3, the first of which cannot be read; one of team 4 that lacks a file."""
    archive = Archive(tmp_path / "archive")
    first = archive.save(attempt(notes="n"))
    archive.save(attempt())
    other = archive.save(attempt(team="4", notes="a word"))
    (first.folder / "attempt.json").write_text("{")
    (other.folder / "plat.svg").unlink()
    return archive


def run(archive: Archive, *arguments: object) -> Result:
    line = ["archive", *map(str, arguments), "--archive-folder", str(archive.root)]
    return CliRunner().invoke(main, line, catch_exceptions=False)


def left(archive: Archive) -> list[str]:
    """The folders of attempts that are on the disk, the trash folder's too."""
    return sorted(p.name for p in archive.root.rglob("*attempt-*") if p.is_dir())


@pytest.mark.parametrize(
    "command", [["list"], ["verify"], ["rebuild"], ["expire", "--older-than", "90 years", "--yes"]]
)
def test_what_cannot_be_read_is_counted(archive, command):
    said = run(archive, *command).stderr
    assert "1 more cannot be read; tapeplat archive " in said
    assert ("tapeplat archive verify says what is wrong" in said) == (command != ["verify"])


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_named_pipe_in_a_files_place_is_damage_and_not_waited_for(tmp_path):
    schools, names = tmp_path / "schools", ("attempt.json", "result.json", "SHA256SUMS", "plat.svg")
    for name in names:
        folder = Archive(schools / "hill").save(attempt()).folder
        (folder / name).unlink()
        os.mkfifo(folder / name)
    kept = ["--archive-folder", str(schools / "hill")]
    for line in (["list", *kept], ["list", "--schools", str(schools)], ["verify", *kept]):
        command = [sys.executable, "-m", "tapeplat.start.program", "archive", *line]
        done = subprocess.run(command, capture_output=True, text=True, timeout=120)
        assert "3 more cannot be read" in done.stderr, "the fourth lacks no file that lists need"
    assert all(f"{name} is unreadable" in done.stdout + done.stderr for name in names)


def test_expire_deletes_a_damaged_attempt_with_its_photos(archive):
    with days_later(31):
        said = run(archive, "expire", "--older-than", "30 days", "--yes")
    assert "heron-marsh.team-3.1  2026-03-05  cannot be read" in said.stdout
    assert "3 deleted for good" in said.stdout
    assert left(archive) == []
    assert "cannot be read" not in said.stderr


def test_a_damaged_attempt_without_a_day_or_with_one_to_come_is_due_by_its_folders_time(tmp_path):
    archive = Archive(tmp_path / "archive")
    for name in ("attempt-001-2099-01-01", "attempt-002"):
        folder = tmp_path / "archive" / "heron-marsh" / "team-3" / name
        folder.mkdir(parents=True)
        (folder / "attempt.json").write_text("{")
    assert len(archive.unreadable()) == 2
    assert archive.due(timedelta(days=30)) == ()
    with days_later(31):
        assert len(archive.due(timedelta(days=30))) == 2


def test_a_damaged_attempt_is_removed_by_its_name_and_leaves_the_trash(archive):
    assert run(archive, "remove", "team-3.1", "--yes").exit_code == 0
    assert left(archive) == [
        "attempt-001-2026-03-05", "attempt-002-2026-03-05", "heron-marsh.team-3.attempt-001-2026-03-05",
    ]  # fmt: skip
    assert "1 deleted for good" in run(archive, "empty-trash", "--yes").stdout
    assert left(archive) == ["attempt-001-2026-03-05", "attempt-002-2026-03-05"]


def test_show_says_that_an_attempt_is_damaged(archive):
    said = run(archive, "show", "team-3.1")
    assert (said.exit_code, "team-3.1: this attempt is damaged and cannot be read" in said.stderr) == (2, True)


def test_repair_takes_away_what_is_damaged_and_nothing_else(archive):
    asked = CliRunner().invoke(main, ["archive", "repair", "--archive-folder", str(archive.root)], input="n\n")
    assert asked.exit_code == 1
    assert len(archive.verify()) == 2
    said = run(archive, "repair", "--yes")
    assert "heron-marsh.team-3.1  (to the trash folder)" in said.stdout
    assert "heron-marsh.team-4.1: plat.svg  (these files)" in said.stdout
    assert archive.verify() == ()
    assert archive.unreadable() != (), "in the trash folder"
    assert [e.id for e in archive.entries()] == ["heron-marsh.team-3.2", "heron-marsh.team-4.1"]
    mended = archive.entry("team-4.1")
    assert mended.remarks[-1].startswith("plat.svg was damaged and was taken out on ")
    assert (mended.folder / "notes.txt").read_text() == "a word\n"
    assert "nothing is damaged" in run(archive, "repair", "--yes").stdout


@pytest.mark.parametrize("how", ["expire", "trash", "by hand"])
def test_a_number_is_never_given_twice(tmp_path, how):
    archive = Archive(tmp_path)
    for _ in range(2):
        entry = archive.save(attempt())
    if how == "expire":
        with days_later(2):
            assert len(archive.expire(timedelta(days=1))) == 2
    elif how == "trash":
        for name in ("team-3.1", "team-3.2"):
            archive.remove(name)
        assert len(archive.empty_trash()) == 2
    else:
        for path in sorted(entry.folder.parent.rglob("*"), reverse=True):
            path.rmdir() if path.is_dir() else path.unlink()
    assert left(archive) == []
    if how != "by hand":
        assert "team" not in (tmp_path / "numbers.json").read_text()
    assert archive.save(attempt()).attempt == 3


def test_numbers_that_were_counted_before_there_was_a_file_of_them_are_kept(tmp_path):
    archive = Archive(tmp_path)
    archive.save(attempt())
    (tmp_path / "numbers.json").unlink()
    with days_later(2):
        assert archive.expire(timedelta(days=1))
    assert archive.save(attempt()).attempt == 2


@pytest.mark.parametrize("content", ["", "[]", '{"a": -1}', '{"a": "x"}', '{"a": 1e999}', "[" * 9999, '{"a": true}'])
def test_a_damaged_file_of_numbers_stops_nothing_and_is_named(tmp_path, content):
    archive = Archive(tmp_path)
    archive.save(attempt())
    (tmp_path / "numbers.json").write_text(content)
    assert [str(d) for d in archive.verify()] == ["the archive: numbers.json is unreadable"]
    assert archive.save(attempt()).attempt == 2
    assert archive.verify() == ()


def contents(folder: Path, *without: str) -> dict[str, bytes]:
    """Every file below a folder by its name."""
    files = (path for path in folder.rglob("*") if path.is_file() and path.name not in without)
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in files}


def test_an_archive_that_is_made_anew_is_the_same(tmp_path):
    archive = Archive(tmp_path)
    entries = [archive.save(attempt(team=team, notes=f"of {team}")) for team in ("3", "3", "Blue Herons")]
    archive.remove("team-3.1")
    before = contents(tmp_path, "index.sqlite")
    for name in ("index.sqlite", "index.html", "README.txt"):
        (tmp_path / name).unlink()
    assert archive.rebuild() == tuple(e for e in archive.entries())
    assert contents(tmp_path, "index.sqlite") == before
    assert [e.id for e in Archive(tmp_path).entries()] == sorted(e.id for e in entries[1:])


def test_an_export_is_the_same_every_time_and_holds_what_is_filed(tmp_path):
    archive = Archive(tmp_path / "a")
    entries = [archive.save(attempt(team=team, notes=f"of {team}")) for team in "34"]
    for name in ("x", "y"):
        export(entries, tmp_path / name, PARTS)
        export(entries, tmp_path / f"{name}.zip", PARTS)
    assert (tmp_path / "x.zip").read_bytes() == (tmp_path / "y.zip").read_bytes()
    made = contents(tmp_path / "x")
    assert made == contents(tmp_path / "y")
    with zipfile.ZipFile(tmp_path / "x.zip") as packed:
        assert {name: packed.read(name) for name in packed.namelist()} == made
    for entry in entries:
        for name in ("result.json", "plat.svg", "notes.txt", "challenge.toml"):
            assert made[f"{entry.id}/{name}"] == (entry.folder / name).read_bytes()

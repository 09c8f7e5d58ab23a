"""Kills at any moment, two writers at once, a full disk: what was reported as saved is there, and nothing half is."""

from __future__ import annotations

import itertools
import json
import multiprocessing
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path

import pytest

from tapeplat.archive import Archive
from tapeplat.archive.storage.disk import ArchiveNotWritable, writing
from tests.helpers.archive_writer import checksum
from tests.helpers.made.attempts import as_bytes, attempt, result
from tests.helpers.paths import ROOT

no_windows = pytest.mark.skipif(sys.platform == "win32", reason="the writers are forked, and killed by a signal")


@pytest.fixture
def quick(tmp_path):
    """A folder in memory where there is one: a kill leaves the same there, and ten times as many fit into the time."""
    memory = Path("/dev/shm")
    if not os.access(memory, os.W_OK):
        yield tmp_path
        return
    with tempfile.TemporaryDirectory(dir=memory) as folder:
        yield Path(folder)


@pytest.fixture
def writers(quick):
    """A process that starts writers, which write into `archive` and tell of it in `told`."""
    command = [sys.executable, "-m", "tests.helpers.archive_writer", quick / "archive", quick / "told"]
    pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "text": True}
    with subprocess.Popen(command, cwd=ROOT, **pipes) as process:
        yield process
        process.stdin.close()


def run_and_kill(writers: subprocess.Popen, seed: int, seconds: float) -> None:
    print(seed, file=writers.stdin, flush=True)
    writer = int(writers.stdout.readline())
    time.sleep(seconds)
    os.kill(writer, signal.SIGKILL)
    assert int(writers.stdout.readline()) == -signal.SIGKILL, "the writer must be killed, not fail"


def told_of(told: Path) -> tuple[dict[str, str], dict[str, str]]:
    """What was reported as saved, and what was being changed and may be either."""
    saved: dict[str, str] = {}
    changing: dict[str, str] = {}
    for line in told.read_text().splitlines() if told.exists() else ():
        name, *rest = line.split()
        if rest[0] == "changing":
            changing[name] = rest[1]
        else:
            saved[name] = rest[0]
            changing.pop(name, None)
    return saved, changing


@no_windows
@pytest.mark.parametrize(("kills", "seed"), [(30, 7), pytest.param(1000, 8, marks=pytest.mark.long)])
def test_nothing_that_was_reported_is_lost_by_kills(quick, writers, kills, seed):
    root, told = quick / "archive", quick / "told"
    chance, checked, longest = random.Random(seed), 0, 0.08
    run_and_kill(writers, 0, 0.5)  # once everything is warm a save takes some milliseconds
    for kill in itertools.count(1):
        run_and_kill(writers, kill, longest * chance.random())
        saved, changing = told_of(told)
        there = {entry.id: entry for entry in Archive(root).entries()}
        assert set(saved) <= set(there)
        for name, kept in list(saved.items())[max(0, checked - 1) :]:
            assert checksum(there[name].folder / "notes.txt") in {kept, changing.get(name)}
        checked = len(saved)
        longest = 0.08 if checked > kill else min(5.0, 1.2 * longest)  # on a busy machine a writer gets going later
        if kill >= kills and checked >= kills / 10:
            break
        assert kill < 40 * kills, "enough writers must get to save something"
    archive = Archive(root)
    archive.rebuild()
    assert archive.verify() == ()
    saved, changing = told_of(told)
    entries = {entry.id: entry for entry in archive.entries()}
    for name, kept in saved.items():
        assert checksum(entries[name].folder / "notes.txt") in {kept, changing.get(name)}
    assert list((root / ".staging").iterdir()) == []


def save_some(root: Path, teams: list[str], answers) -> None:
    archive = Archive(root)
    answers.put([archive.save(attempt(team=team)).id for team in teams])


@no_windows
def test_two_writers_lose_nothing_and_give_no_number_twice(tmp_path):
    """Both write for one team in turns with a team of their own."""
    context, root = multiprocessing.get_context("spawn"), tmp_path / "archive"
    answers = context.Queue()
    writers = [context.Process(target=save_some, args=(root, ["both", own] * 7, answers)) for own in ("1", "2")]
    for writer in writers:
        writer.start()
    told = [name for _ in writers for name in answers.get(timeout=60)]
    for writer in writers:
        writer.join()
    archive = Archive(root)
    assert len(set(told)) == 28
    assert sorted(e.id for e in archive.entries()) == sorted(told)
    for team, count in (("both", 14), ("1", 7), ("2", 7)):
        assert [e.attempt for e in archive.entries(team=team)] == list(range(1, count + 1))
    assert archive.verify() == ()


def test_threads_of_one_process_are_writers_like_any_others(tmp_path):
    archive = Archive(tmp_path)
    threads = [threading.Thread(target=archive.save, args=(attempt(),)) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [e.attempt for e in archive.entries()] == list(range(1, 9))


def test_a_writer_that_waits_too_long_says_so(tmp_path, monkeypatch):
    monkeypatch.setattr("tapeplat.archive.storage.disk.LONGEST_WAIT", 0.1)
    refusals = []

    def other() -> None:
        try:
            Archive(tmp_path).save(attempt())
        except ArchiveNotWritable as refusal:
            refusals.append(str(refusal))

    with writing(tmp_path, "held"):
        thread = threading.Thread(target=other)
        thread.start()
        thread.join()
    assert len(refusals) == 1
    assert "not filed: another program is writing" in refusals[0]
    assert Archive(tmp_path).save(attempt()).attempt == 1


@pytest.fixture
def small_disk(tmp_path):
    """2 MB of memory as a disk of its own."""
    if sys.platform != "linux" or os.geteuid() != 0:
        pytest.skip("only root on Linux can mount a small disk")
    place = tmp_path / "disk"
    place.mkdir()
    done = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=2m", "tmpfs", place], capture_output=True, text=True)
    if done.returncode:
        pytest.skip(f"no small disk can be mounted here: {done.stderr.strip()}")
    yield place
    subprocess.run(["umount", place], check=True)


def fill(archive: Archive, files, saved: list) -> None:
    while True:
        saved.append(archive.save(attempt(files=files)))


def fill_file(path: Path) -> None:
    with path.open("wb", buffering=0) as file:
        while True:
            file.write(b"x" * 4096)


def test_a_full_disk_loses_nothing_and_is_named(small_disk):
    archive = Archive(small_disk / "archive")
    big = bytes(random.Random(1).randbytes(200_000))
    files = {"result.json": as_bytes(result()), "big.bin": big}
    saved = []
    with pytest.raises(ArchiveNotWritable, match=r"the attempt is not filed: the disk of .* is full"):
        fill(archive, files, saved)
    assert len(saved) > 3
    assert [e.id for e in archive.entries()] == [e.id for e in saved]
    assert archive.verify() == ()
    with pytest.raises(ArchiveNotWritable, match="full"):
        archive.replace_result(saved[0], {"big.bin": big[::-1]}, "repaired")
    assert (saved[0].folder / "big.bin").read_bytes() == big
    archive.remove(saved[0].id)
    assert len(archive.empty_trash()) == 1
    assert archive.save(attempt(files=files)).attempt == len(saved) + 1
    assert archive.verify() == ()


def test_a_disk_so_full_that_no_list_can_be_written_still_tells_the_truth(small_disk):
    archive = Archive(small_disk)
    first = archive.save(attempt())
    filler = small_disk / "filler"
    with pytest.raises(OSError, match="space"):
        fill_file(filler)
    (small_disk / "index.sqlite").unlink()
    filler.write_bytes(b"x" * (filler.stat().st_size))
    assert [e.id for e in archive.entries()] == [first.id]
    with pytest.raises(ArchiveNotWritable, match="full"):
        archive.save(attempt())
    filler.unlink()
    assert archive.save(attempt()).attempt == 2


def test_a_change_that_was_decided_before_the_power_went_is_finished(tmp_path):
    """Every moment in which a swap can be cut off, made by hand."""
    archive = Archive(tmp_path)
    entry = archive.save(attempt(notes="old"))
    archive.replace_result(entry, {"notes.txt": b"new\n"}, "better")
    changed = {p.relative_to(entry.folder): p.read_bytes() for p in entry.folder.rglob("*") if p.is_file()}
    for gone in (False, True):
        job = tmp_path / ".staging" / "swap-1"
        shutil.copytree(entry.folder, job / "new")
        (job / "where").write_text(entry.folder.relative_to(tmp_path).as_posix())
        if gone:
            entry.folder.rename(job / "old")
        assert [e.id for e in archive.entries()] == [entry.id]
        assert not job.exists()
        assert changed == {p.relative_to(entry.folder): p.read_bytes() for p in entry.folder.rglob("*") if p.is_file()}
    assert archive.verify() == ()
    assert json.loads((entry.folder / "result.json").read_text())["title"] == "Heron Marsh"

"""Writing a result's folder: several programs at once."""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from tapeplat.output import result_folder
from tapeplat.output.result_folder import write_folder

NAMES = tuple(f"{n}.txt" for n in range(8))


def test_two_that_write_at_once_leave_the_files_of_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each waits in the middle of its moves for the other, which was how a picture got beside another's numbers."""
    move: Callable[[Path, Path], None] = result_folder.os.replace
    both = threading.Barrier(2)

    def slowly(source: Path, target: Path) -> None:
        if target.name == NAMES[4]:
            with contextlib.suppress(threading.BrokenBarrierError):
                both.wait(0.3)
        move(source, target)

    monkeypatch.setattr(result_folder.os, "replace", slowly)
    writers = [
        threading.Thread(target=write_folder, args=(tmp_path / "out", dict.fromkeys(NAMES, who)))
        for who in (b"first", b"second")
    ]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    assert len({(tmp_path / "out" / name).read_bytes() for name in NAMES}) == 1
    assert sorted(file.name for file in (tmp_path / "out").iterdir()) == sorted(NAMES)


def test_where_no_lock_can_be_had_the_files_are_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    no_folder = tmp_path / "file"
    no_folder.write_bytes(b"")
    monkeypatch.setattr(result_folder.tempfile, "gettempdir", lambda: str(no_folder))
    write_folder(tmp_path / "out", {"a.txt": b"a"})
    assert (tmp_path / "out" / "a.txt").read_bytes() == b"a"

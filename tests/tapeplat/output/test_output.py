from __future__ import annotations

from pathlib import Path

import pytest

from tapeplat.output.result_folder import FolderNotWritable, write_folder


def test_makes_the_folder_and_its_parents_and_leaves_nothing_else(tmp_path: Path):
    write_folder(tmp_path / "a" / "b", {"one": b"1", "two": b"2"})
    assert sorted(p.relative_to(tmp_path).as_posix() for p in tmp_path.rglob("*")) == ["a", "a/b", "a/b/one", "a/b/two"]
    assert (tmp_path / "a/b/two").read_bytes() == b"2"


def test_replaces_its_own_files_and_keeps_others(tmp_path: Path):
    (tmp_path / "result.json").write_bytes(b"old")
    (tmp_path / "mine.txt").write_bytes(b"mine")
    write_folder(tmp_path, {"result.json": b"new"})
    assert {p.name: p.read_bytes() for p in tmp_path.iterdir()} == {"result.json": b"new", "mine.txt": b"mine"}


def test_a_failure_half_way_leaves_everything_as_it_was(tmp_path: Path):
    with pytest.raises(FolderNotWritable, match="another folder"):
        write_folder(tmp_path / "new" / "out", {"fine": b"1", "no-such-folder/file": b"2"})
    assert list(tmp_path.iterdir()) == []


def test_says_so_where_a_file_is_in_the_way(tmp_path: Path):
    (tmp_path / "out").write_text("a file")
    with pytest.raises(FolderNotWritable, match="file of that name"):
        write_folder(tmp_path / "out", {"a": b""})
    with pytest.raises(FolderNotWritable):
        write_folder(tmp_path / "out" / "deeper", {"a": b""})
    assert [p.name for p in tmp_path.iterdir()] == ["out"]

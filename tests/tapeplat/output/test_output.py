from __future__ import annotations

import errno
import os
import tempfile
from pathlib import Path

import pytest

from measure.errors import InputMistakes
from tapeplat.archive import Archive
from tapeplat.archive.export import export
from tapeplat.output.drawn_file import write_drawn
from tapeplat.output.result_folder import STAGING, FolderNotWritable, write_folder
from tapeplat.paper.pdf.pdf_canvas import PAPERS, Pages
from tapeplat.reports.map_canvas import SvgCanvas
from tests.helpers.made.attempts import attempt


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


@pytest.fixture
def own_disk(tmp_path: Path, monkeypatch) -> Path:
    """A folder that is a disk of its own in a folder that cannot be written, as a USB stick's is."""
    stick = tmp_path / "media" / "stick"
    stick.mkdir(parents=True)

    def inside(path: object) -> bool:
        return stick in Path(str(path)).parents

    def crossing(move):
        def moved(source, target, *rest, **more):
            if inside(source) != inside(target):
                raise OSError(errno.EXDEV, "Invalid cross-device link")
            return move(source, target, *rest, **more)

        return moved

    def mkdtemp(*rest, dir=None, **more):
        if Path(str(dir)) == stick.parent:
            raise PermissionError(errno.EACCES, "Permission denied")
        return made(*rest, dir=dir, **more)

    made = tempfile.mkdtemp
    monkeypatch.setattr(tempfile, "mkdtemp", mkdtemp)
    for name in ("replace", "rename"):
        monkeypatch.setattr(os, name, crossing(getattr(os, name)))
    monkeypatch.setattr(os, "rmdir", lambda path, **_: (_ for _ in ()).throw(OSError(errno.EBUSY, "busy", str(path))))
    return stick


def test_a_folder_that_is_a_disk_of_its_own_is_written(own_disk: Path):
    write_folder(own_disk, {"result.json": b"new"})
    assert (own_disk / "result.json").read_bytes() == b"new"


def test_an_export_goes_to_a_disk_of_its_own(own_disk: Path, tmp_path: Path):
    archive = Archive(tmp_path / "archive")
    entry = archive.save(attempt())
    export([entry], own_disk, ("plat",))
    assert (own_disk / entry.id / "plat.svg").read_bytes() == b"<svg/>"


def test_what_a_killed_writer_left_goes_once_it_is_old(tmp_path: Path):
    old, young = tmp_path / f"{STAGING}a", tmp_path / f"{STAGING}b"
    old.mkdir()
    young.mkdir()
    os.utime(old, (1e9, 1e9))
    write_folder(tmp_path, {"a": b""})
    assert sorted(p.name for p in tmp_path.iterdir()) == [young.name, "a"]


def test_a_file_that_somebody_else_made_is_not_written_over(tmp_path: Path) -> None:
    """`sheets --out letter.pdf` once took a teacher's own letter."""
    letter = tmp_path / "letter.pdf"
    letter.write_bytes(b"%PDF-1.7 dear parents")
    with pytest.raises(InputMistakes, match=r"letter\.pdf: there is a file of that name that was not made here"):
        write_drawn(letter, b"%PDF-1.7 ours")
    assert letter.read_bytes() == b"%PDF-1.7 dear parents"


def test_sheets_and_maps_of_ours_are_made_anew(tmp_path: Path) -> None:
    for name, made in (("sheets.pdf", page()), ("map.svg", drawing())):
        write_drawn(tmp_path / name, made)
        write_drawn(tmp_path / name, made + b"\n")
        assert (tmp_path / name).read_bytes() == made + b"\n"


def drawing() -> bytes:
    """A scale map as it is written."""
    return SvgCanvas(PAPERS["a4"], "Quarry Lake").finished().encode("utf-8")


def page() -> bytes:
    """A page of a PDF."""
    pages = Pages(PAPERS["a4"], "Quarry Lake")
    pages.start("Sheet")
    return pages.finished()

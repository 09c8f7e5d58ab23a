"""Filing, listing, changing and removing attempts; a damaged index, damaged files."""

from __future__ import annotations

import json
import shutil
import sqlite3
import subprocess
import sys
from datetime import timedelta
from pathlib import Path

import platformdirs
import pytest

from measure.errors import InputMistakes
from measure.result.result import parse_result
from tapeplat.archive import Archive, default_root
from tapeplat.archive.storage.disk import ArchiveNotWritable
from tests.helpers.clock import days_later
from tests.helpers.made.attempts import CHALLENGE, TAKEN, as_bytes, attempt, result


@pytest.fixture
def archive(tmp_path) -> Archive:
    return Archive(tmp_path / "archive")


def everything(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def test_an_attempt_is_plain_files_under_readable_names(archive):
    hand = "team,who,zone,quantity,value\nTeam 3,Merle W.,jetty,area,99\n4,Quill,jetty,area,9\n,merle w.,reeds,area,1\n"
    entry = archive.save(attempt(notes="We moved the jetty.\n", hand=hand.encode()))
    assert entry.folder == archive.root / "heron-marsh" / "team-3" / "attempt-001-2026-03-05"
    kept = everything(entry.folder)
    own = ["SHA256SUMS", "attempt.json", "challenge.toml", "index.html"]
    assert sorted(kept) == sorted([*own, "hand.csv", "notes.txt", "plat.svg", "result.json"])
    assert kept["challenge.toml"] == CHALLENGE
    assert kept["notes.txt"] == b"We moved the jetty.\n"
    assert parse_result(kept["result.json"]) == parse_result(json.dumps(result()))
    assert sorted([*entry.files, "SHA256SUMS"]) == sorted(kept)
    assert (entry.id, entry.attempt, entry.taken) == ("heron-marsh.team-3.1", 1, TAKEN)
    assert entry.verdicts == {"met": 1, "by eye": 1}
    rows = kept["hand.csv"].decode("utf-8-sig").splitlines()
    assert rows[1:] == ["Team 3,child 1,jetty,area,99", ",child 1,reeds,area,1"]
    assert not any(name in data for name in (b"Merle", b"Quill", b"merle") for data in kept.values())


def test_the_checksums_are_checked_by_coreutils(archive):
    if shutil.which("sha256sum") is None:
        pytest.skip("sha256sum is not installed")
    folder = archive.save(attempt(notes="n")).folder
    command = ["sha256sum", "--strict", "-c", "SHA256SUMS"]
    assert subprocess.run(command, cwd=folder, capture_output=True).returncode == 0
    (folder / "notes.txt").write_text("m\n")
    said = subprocess.run(command, cwd=folder, capture_output=True, text=True)
    assert said.returncode == 1
    assert "notes.txt: FAILED" in said.stdout


def test_attempts_are_numbered_by_challenge_and_team(archive):
    names = [archive.save(attempt(*who)).id for who in [("3",), ("Team 3",), ("4",), ("3", "Other Marsh"), ("03",)]]
    assert names == [
        "heron-marsh.team-3.1", "heron-marsh.team-3.2", "heron-marsh.team-4.1", "other-marsh.team-3.1",
        "heron-marsh.team-3.3",
    ]  # fmt: skip
    assert [e.attempt for e in archive.entries("HERON  marsh", "team 3")] == [1, 2, 3]
    assert archive.entry("team-4.1").id == "heron-marsh.team-4.1"
    assert archive.entry("heron-marsh.team-3.2").team == "Team 3"
    with pytest.raises(InputMistakes, match="several attempts end in that"):
        archive.entry("team-3.1")
    with pytest.raises(InputMistakes, match=r"did you mean .*heron-marsh\.team-4\.1"):
        archive.entry("heron-march.team-4.1")


@pytest.mark.parametrize("name", ["../x", "a/b", "C:\\x", "CON", "\u200b", "x" * 400, "", " ", "村", "a\0b", "trash"])
def test_weird_names_are_filed_inside_and_read_back(archive, name):
    entry = archive.save(attempt(team=name, title=name, files={"result.json": as_bytes(result())}))
    assert archive.root in entry.folder.parents
    assert len(entry.folder.relative_to(archive.root).parts) == 3
    assert archive.entries() == (entry,)
    assert archive.entries(name, name) == (entry,)
    assert archive.verify() == ()


@pytest.mark.parametrize(
    "name", ["../x.txt", "photo-1.jpg", "index.html", "attempt.json", "a b.txt", "SHA256SUMS", ".x"]
)
def test_files_that_could_be_mixed_up_with_the_archives_own_are_refused(archive, name):
    with pytest.raises(ValueError, match="cannot be filed"):
        archive.save(attempt(files={"result.json": as_bytes(result()), name: b""}))
    assert archive.entries() == ()


@pytest.mark.parametrize("content", [None, b"", b"{}", b"[]", b"\xff", b'{"format": "other"}'])
def test_what_is_no_result_is_refused_whole(archive, content):
    files = {} if content is None else {"result.json": content}
    with pytest.raises(InputMistakes, match=r"result\.json"):
        archive.save(attempt(files=files))
    assert not archive.root.exists()


def test_a_changed_result_keeps_the_former_one_and_why(archive):
    first = archive.save(attempt())
    before = everything(first.folder)
    changed = archive.replace_result(first, {"result.json": as_bytes(result(verdict="not met"))}, "corner 2 put right")
    after = everything(changed.folder)
    assert changed.verdicts == {"not met": 1, "by eye": 1}
    place = next(name for name in after if name.startswith("revisions/001-")).split("/")[1]
    assert after[f"revisions/{place}/result.json"] == before["result.json"]
    assert after[f"revisions/{place}/why.txt"] == b"corner 2 put right\n"
    assert "corner 2 put right" in after["index.html"].decode()
    assert archive.entries() == (changed,)
    assert archive.verify() == ()
    again = archive.replace_result(changed, {"hand.csv": b"team,who,zone\n3,Cleo,jetty\n"}, "")
    assert {name.split("/")[1][:3] for name in again.files if name.startswith("revisions/")} == {"001", "002"}
    assert b"Cleo" not in b"".join(everything(again.folder).values())


def test_a_damaged_attempt_is_not_changed_further(archive):
    entry = archive.save(attempt())
    (entry.folder / "plat.svg").write_bytes(b"<svg>other</svg>")
    with pytest.raises(InputMistakes, match=r"plat\.svg is changed"):
        archive.replace_result(entry, {"result.json": as_bytes(result())}, "x")
    assert (entry.folder / "plat.svg").read_bytes() == b"<svg>other</svg>"


def test_a_verdict_by_hand_counts_in_place_of_the_measured_one(archive):
    made = result(verdict="too close to call")
    made["rules"][0]["by_hand"] = {"verdict": "met", "reason": "measured with a ruler"}
    assert archive.save(attempt(files={"result.json": as_bytes(made)})).verdicts == {"met": 1, "by eye": 1}


def test_what_is_removed_lies_in_the_trash_and_its_number_is_not_given_again(archive):
    for _ in range(2):
        archive.save(attempt())
    place = archive.remove("team-3.2")
    assert place.parent == archive.root / "trash"
    assert [e.attempt for e in archive.entries()] == [1]
    assert [(e.attempt, e.removed) for e in archive.removed()] == [(2, True)]
    assert archive.save(attempt()).attempt == 3
    assert archive.verify() == ()
    # Back by hand, as README.txt in the archive says.
    place.rename(archive.root / "heron-marsh" / "team-3" / place.name.split(".")[-1])
    assert [e.attempt for e in archive.entries()] == [1, 2, 3]


def test_what_is_old_is_deleted_for_good_from_the_trash_too(archive):
    old, young = attempt(), attempt(team="4")
    archive.save(old)
    archive.remove(archive.save(old).id)
    kept = archive.save(attempt(team="4", files=young.files))
    assert archive.due(timedelta(days=30)) == (), "photographed long ago, and filed just now"
    with days_later(60):
        young_entry = archive.save(NEW)
        gone = archive.expire(timedelta(days=30))
    assert sorted(e.id for e in gone) == ["heron-marsh.team-3.1", "heron-marsh.team-3.2", kept.id]
    assert archive.entries() == (young_entry,)
    assert archive.removed() == ()
    left = [p for p in archive.root.rglob("*") if "attempt-" in p.name and p != young_entry.folder]
    assert all(young_entry.folder in p.parents for p in left)


NEW = type(attempt())("Heron Marsh", "5", CHALLENGE, {"result.json": as_bytes(result())})


def spoil_with(content: bytes):
    return lambda path: path.write_bytes(content)


def cut(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:1500])


def flip_all(path: Path) -> None:
    path.write_bytes(bytes(255 - b for b in path.read_bytes()))


def older_form(path: Path) -> None:
    path.unlink()
    with sqlite3.connect(path) as database:
        database.execute("CREATE TABLE entries (name TEXT)")
    database.close()


def other_columns(path: Path) -> None:
    older_form(path)
    with sqlite3.connect(path) as database:
        database.execute("PRAGMA user_version = 1")
    database.close()


def lies(path: Path) -> None:
    """An index that is whole, and says something else."""
    with sqlite3.connect(path) as database:
        database.execute("UPDATE entries SET entry = replace(entry, 'Heron', 'Goose')")
    database.close()


@pytest.mark.parametrize(
    "spoil",
    [spoil_with(b""), spoil_with(b"rubbish" * 999), cut, flip_all, older_form, other_columns, lies, Path.unlink],
    ids=["empty", "rubbish", "cut", "flipped", "older form", "other columns", "lies", "missing"],
)
def test_a_damaged_index_is_made_anew_without_a_word(archive, spoil):
    saved = [archive.save(attempt(team=team)) for team in "3345"]
    index = archive.root / "index.sqlite"
    spoil(index)
    assert list(archive.entries()) == saved
    assert list(Archive(archive.root).entries()) == saved
    with sqlite3.connect(index) as database:
        assert database.execute("SELECT count(*) FROM entries").fetchone() == (4,)
    database.close()
    spoil(index)
    assert len({archive.save(attempt()).id, *(e.id for e in saved)}) == 5


def test_the_index_serves_while_the_files_are_as_they_were(archive, monkeypatch):
    saved = archive.save(attempt())
    monkeypatch.setattr("tapeplat.archive.storage.entry_index.read_record", None)
    assert archive.entries() == (saved,)


def test_a_copied_archive_and_one_that_only_can_be_read_are_listed(archive, tmp_path):
    saved = archive.save(attempt())
    copy = tmp_path / "copy"
    shutil.copytree(archive.root, copy, ignore=shutil.ignore_patterns("index.*", ".*"))
    assert [e.id for e in Archive(copy).entries()] == [saved.id]
    assert Archive(tmp_path / "nothing").entries() == ()
    assert not (tmp_path / "nothing").exists()


def test_every_damage_is_named(archive):
    entries = [archive.save(attempt(team=str(team), notes="n")) for team in range(6)]
    one, two, three, four, five, six = (entry.folder for entry in entries)
    (one / "plat.svg").unlink()
    (two / "result.json").write_text("{}")
    (three / "SHA256SUMS").unlink()
    (four / "SHA256SUMS").write_bytes(b"\xff\xfe rubbish")
    (five / "attempt.json").write_text("{}")
    shutil.copytree(six, six.with_name("attempt-007-2026-03-05"))
    said = "\n".join(map(str, archive.verify()))
    for folder, what in (
        ("team-0", "plat.svg is missing"),
        ("team-1", "result.json is changed"),
        ("team-2", "SHA256SUMS is missing"),
        ("team-3", "SHA256SUMS is unreadable"),
        ("team-4", "attempt.json is changed"),
        ("team-5", "is listed twice"),
    ):
        assert any(folder in line and what in line for line in said.splitlines()), (folder, said)
    # A changed file does not hide its attempt as long as the files that name it are whole.
    assert "heron-marsh.team-0.1" in {e.id for e in archive.entries()}


def test_checksums_that_name_a_file_elsewhere_are_not_followed(archive, tmp_path):
    (tmp_path / "outside").write_text("x")
    entry = archive.save(attempt())
    (entry.folder / "SHA256SUMS").write_text(f"{'0' * 64}  ../../../../outside\n")
    assert [d.what for d in archive.verify()][:1] == ["unreadable"]


def test_a_file_where_the_archive_should_be_is_named(tmp_path):
    (tmp_path / "file").write_text("x")
    with pytest.raises(ArchiveNotWritable, match="not filed"):
        Archive(tmp_path / "file").save(attempt())


@pytest.mark.skipif(sys.platform == "win32", reason="permissions are others there")
def test_the_usual_place(tmp_path, monkeypatch):
    monkeypatch.setenv("TAPEPLAT_ARCHIVE", str(tmp_path / "mine"))
    assert default_root() == tmp_path / "mine"
    monkeypatch.delenv("TAPEPLAT_ARCHIVE")
    assert default_root().parent == platformdirs.user_data_path("tapeplat", appauthor=False)


def test_the_page_says_what_was_measured(archive):
    page = (archive.save(attempt()).folder / "index.html").read_text()
    for words in ("Heron Marsh: team 3, attempt 1", "5 March 2026", "100 sq cm", "1 of 2 rules met", "reeds"):
        assert words in page

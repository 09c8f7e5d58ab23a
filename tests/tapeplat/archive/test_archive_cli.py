"""`tapeplat archive` as a teacher uses it, and `measure --archive`."""

from __future__ import annotations

import re
from datetime import datetime
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urljoin, urlparse

import pytest
from click.testing import CliRunner, Result

from tapeplat.archive import Archive
from tapeplat.cli.demo_command import samples
from tapeplat.cli.main import main
from tests.helpers.clock import days_later
from tests.helpers.made.attempts import as_bytes, attempt, result


@pytest.fixture
def filed(tmp_path, monkeypatch) -> Archive:
    """Three attempts in the usual archive."""
    monkeypatch.setenv("TAPEPLAT_ARCHIVE", str(tmp_path / "archive"))
    archive = Archive(tmp_path / "archive")
    archive.save(attempt(notes="first"))
    archive.save(attempt(files={"result.json": as_bytes(result(area=90, verdict="not met"))}))
    archive.save(attempt(team="Blue Herons", title="Otter Bay"))
    return archive


def run(*arguments: object, answer: str | None = None) -> Result:
    return CliRunner().invoke(main, ["archive", *map(str, arguments)], input=answer, catch_exceptions=False)


def test_list_shows_what_is_filed(filed):
    said = run("list")
    assert said.exit_code == 0
    assert said.output.splitlines()[0] == "heron-marsh.team-3.1          2026-03-05  1 of 2 rules met, 1 by eye"
    assert "3 attempts in" in said.output
    assert run("list", "--team", "team blue herons").output.count("rules met") == 1
    assert run("list", "--challenge", "heron MARSH").output.count("rules met") == 2
    assert "measure --archive" in run("list", "--team", "9").output


def test_list_says_when_something_cannot_be_read(filed):
    (filed.entry("team-3.1").folder / "attempt.json").write_text("")
    run("rebuild")
    said = run("list")
    assert "1 more cannot be read; tapeplat archive verify says what is wrong" in said.stderr
    checked = run("verify")
    assert checked.exit_code == 2
    assert "heron-marsh/team-3/attempt-001-2026-03-05: attempt.json is changed" in checked.stderr


def test_show_tells_verdicts_areas_and_files(filed):
    said = run("show", "team-3.2").output
    for words in ("Heron Marsh, team 3, attempt 2, 5 March 2026", "not met", "jetty: 90 sq cm", "result.json"):
        assert words in said


def test_compare_writes_a_page(filed, tmp_path):
    said = run("compare", "team-3.1", "team-3.2", "--out", tmp_path / "out")
    assert "rules lost: 1" in said.output
    assert sorted(p.name for p in (tmp_path / "out").iterdir()) == ["compare.html", "overlay.svg"]


def test_export_holds_the_usual_parts(filed, tmp_path):
    assert run("export", "team-3.1", "team-3.2", "--out", tmp_path / "out").exit_code == 0
    names = sorted(p.name for p in (tmp_path / "out").rglob("*") if p.is_file())
    assert names == ["index.html", "index.html", "plat.svg"]
    assert run("export", "team-3.1", "--what", "notes, hand", "--out", tmp_path / "x.zip").exit_code == 0
    wrong = run("export", "team-3.1", "--what", "everything", "--out", tmp_path / "y.zip")
    assert (wrong.exit_code, (tmp_path / "y.zip").exists()) == (2, False)


def test_an_unknown_attempt_is_exit_2_with_what_is_near(filed):
    said = run("show", "heron-marsh.team-3.7")
    assert said.exit_code == 2
    assert "did you mean" in said.stderr


def test_remove_and_expire_ask_first(filed):
    for command in (["remove", "team-3.1"], ["expire", "--older-than", "1 day"]):
        for answer in ("n\n", "", None):
            with days_later(2):
                assert run(*command, answer=answer).exit_code == 1
    assert len(filed.entries()) == 3
    assert "trash" in run("remove", "team-3.1", answer="y\n").output
    assert len(filed.removed()) == 1
    assert "1 deleted for good" in run("empty-trash", "--yes").output
    assert "there is nothing to do" in run("empty-trash").output


@pytest.mark.parametrize("age", ["1 day", "1d", "2 weeks", "1 MONTH", "1m"])
def test_expire_deletes_what_is_older(filed, age):
    assert (datetime.now().astimezone() - filed.entries()[0].taken).days > 60, "the made-up date is long past"
    assert "there is nothing to do" in run("expire", "--older-than", age, "--yes").output, "they were filed today"
    with days_later(60):
        said = run("expire", "--older-than", age, "--yes")
    assert f"{datetime.now():%Y-%m-%d}" in said.output, "the day that counts"
    assert "3 deleted for good" in said.output
    assert filed.entries() == ()


def test_expire_keeps_what_is_younger_and_refuses_what_is_no_age(filed):
    assert "there is nothing to do" in run("expire", "--older-than", "90 years", "--yes").output
    for age in ("", "soon", "-1 year", "1", "1 fortnight"):
        assert run("expire", "--older-than", age, "--yes").exit_code == 2
    assert len(filed.entries()) == 3


def test_notes_and_hand_measurements_come_later(filed, tmp_path):
    table = tmp_path / "hand.csv"
    table.write_text("team,who,zone,quantity,value\n3,Ada,jetty,area,99\n")
    assert run("add", "team-3.1", "--notes", "Better!", "--hand", table).exit_code == 0
    entry = filed.entry("team-3.1")
    assert (entry.folder / "notes.txt").read_text() == "Better!\n"
    assert "child 1" in (entry.folder / "hand.csv").read_text(encoding="utf-8-sig")
    assert run("add", "team-3.1").exit_code == 2
    assert run("verify").exit_code == 0


class _Links(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []
        self.tags: set[str] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.found += [value for name, value in attrs if name in ("href", "src") and value]


def links(page: Path) -> set[Path]:
    """Files that a page leads to, all of which must be beside it on the disk."""
    parser = _Links()
    parser.feed(page.read_text(encoding="utf-8"))
    assert not parser.tags & {"script", "link", "iframe", "object"}
    assert not re.search(r"url\(|@import", page.read_text(encoding="utf-8"))
    places = [urlparse(urljoin(page.as_uri(), link)) for link in parser.found]
    assert {place.scheme for place in places} <= {"file"}
    return {Path(unquote(place.path)) for place in places}


def test_a_measured_photo_is_filed_and_its_pages_open_from_the_disk(tmp_path, monkeypatch):
    monkeypatch.setenv("TAPEPLAT_ARCHIVE", str(tmp_path / "usual"))
    challenge, photo = next(iter(samples()))
    arguments = ["measure", challenge, photo, "--out", tmp_path / "out", "--team", "Otters"]
    for more in (["--archive", "--notes", "Our first try."], ["--archive-folder", tmp_path / "other"]):
        said = CliRunner().invoke(main, [str(a) for a in (*arguments, *more)], catch_exceptions=False)
        assert said.exit_code == 0
        assert "filed: " in said.output
    (entry,) = Archive(tmp_path / "usual").entries()
    assert len(Archive(tmp_path / "other").entries()) == 1
    assert (entry.folder / "notes.txt").read_text() == "Our first try.\n"
    assert {"photo-1.jpg", "annotated.png", "corrected.jpg", "plat.svg", "result.json"} <= set(entry.files)
    top = tmp_path / "usual" / "index.html"
    reached = links(top) | links(entry.folder / "index.html")
    assert {entry.folder / name for name in entry.files} <= reached
    assert top in reached
    assert all(path.is_file() for path in reached)


def test_without_asking_nothing_is_filed(tmp_path, monkeypatch):
    monkeypatch.setenv("TAPEPLAT_ARCHIVE", str(tmp_path / "usual"))
    challenge, photo = next(iter(samples()))
    arguments = ["measure", str(challenge), str(photo), "--out", str(tmp_path / "out")]
    assert CliRunner().invoke(main, arguments, catch_exceptions=False).exit_code == 0
    assert not (tmp_path / "usual").exists()


def test_an_archive_that_cannot_be_written_leaves_the_result_and_says_so(tmp_path):
    (tmp_path / "file").write_text("")
    challenge, photo = next(iter(samples()))
    arguments = ["measure", challenge, photo, "--out", tmp_path / "out", "--archive-folder", tmp_path / "file" / "x"]
    said = CliRunner().invoke(main, [str(a) for a in arguments], catch_exceptions=False)
    assert said.exit_code == 2
    assert "the attempt is not filed" in said.stderr
    assert (tmp_path / "out" / "result.json").is_file()

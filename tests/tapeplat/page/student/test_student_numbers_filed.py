"""What the teacher has of the teams' numbers: a page, a table, further tries, a word taken away, the archive's copy."""

from __future__ import annotations

import csv
import io
import re
from pathlib import Path

import pytest
from flask import Flask

from measure.hand.values.hand_table import read_hand
from tapeplat.page.session.services import Services
from tests.helpers.page.browser import Browser
from tests.helpers.page.student_world import ENTRY, SLUG, TITLE, file_attempt, joined, open_all

PAGE = f"/teacher/challenge/{SLUG}/numbers"


@pytest.fixture
def team(app: Flask, house: Services, tmp_path: Path) -> Browser:
    browser = joined(app, house, 3)
    open_all(house, "picture", "verdicts")
    file_attempt(house, tmp_path)
    for value in ("12", "5", "=7"):
        browser.post("/class/measure", {**ENTRY, "value": value, "who": "QX"})
    return browser


def test_the_teacher_sees_the_photos_value_and_what_the_team_was_told(team: Browser, teacher: Browser) -> None:
    page = re.sub(r"<[^>]+>", " ", teacher.text(PAGE))
    assert "market: side 1" in page
    assert "look again" in page
    assert "20.0 %" in page  # 12 for 10
    assert re.search(r"10\.0\d* ± 0\.0\d+ cm", page)


def test_more_tries_are_given_for_what_ran_out(team: Browser, teacher: Browser, house: Services) -> None:
    assert "No try left" in teacher.text(PAGE)
    subject = re.search(r'name="subject" value="([^"]+)"', teacher.text(PAGE))
    assert subject is not None
    assert teacher.post(f"{PAGE}/tries", {"team": "3", "subject": subject[1]}).status_code == 303
    assert "No try left" not in teacher.text(PAGE)
    answer = team.post("/class/measure", {**ENTRY, "value": "10"})
    assert "agree." in team.text(answer.location.split("#")[0])


def test_a_word_that_is_taken_away_lets_the_team_join_anew(team: Browser, teacher: Browser) -> None:
    assert "Word:" in teacher.text(PAGE)
    teacher.post(f"{PAGE}/free", {"team": "3"})
    assert team.get("/class/home").location == "/class/team"
    assert team.post("/class/team", {"team": "3"}).location == "/class/home"
    assert teacher.post(f"{PAGE}/free", {"team": "99"}).status_code == 400


def test_the_table_is_one_that_verify_reads(team: Browser, teacher: Browser, tmp_path: Path) -> None:
    content = teacher.get(f"{PAGE}/hand.csv").data
    (tmp_path / "hand.csv").write_bytes(content)
    rows = read_hand(tmp_path / "hand.csv", ["market", "dock"], "cm").rows
    assert [(row.team, row.value, row.who) for row in rows] == [("3", 12.0, "QX"), ("3", 5.0, "QX"), ("3", 7.0, "QX")]


def test_closing_the_entry_files_the_numbers_with_the_attempt_and_without_initials(
    team: Browser, teacher: Browser, house: Services
) -> None:
    def filed() -> Path:
        return house.archive.entries(TITLE, "3")[-1].folder

    assert not (filed() / "hand.csv").exists()
    teacher.post(f"/teacher/challenge/{SLUG}/students", {"teams": 8, "tries": 3, "opened": "plan"})
    rows = list(csv.DictReader(io.StringIO((filed() / "hand.csv").read_text(encoding="utf-8-sig"))))
    assert [row["who"] for row in rows] == ["child 1"] * 3
    assert rows[0]["value"] == "12"
    assert house.archive.verify() == ()
    before = sorted(filed().rglob("*"))
    teacher.post(f"{PAGE}/file")
    assert sorted(filed().rglob("*")) == before  # what is filed already is not filed again


def test_an_archive_that_takes_nothing_is_told_and_the_numbers_stay(
    team: Browser, teacher: Browser, house: Services
) -> None:
    (house.archive.entries(TITLE, "3")[-1].folder / "corrected.jpg").write_bytes(b"other")
    answer = teacher.post(f"{PAGE}/file")
    assert answer.status_code == 409
    assert "not filed" in answer.text
    assert "market: side 1" in teacher.text(PAGE)


@pytest.mark.parametrize("path", [PAGE, f"{PAGE}/hand.csv"])
def test_students_do_not_see_it(team: Browser, path: str) -> None:
    assert team.get(path).status_code == 302
    assert team.post(f"{PAGE}/tries", {"team": "3", "subject": "x"}).status_code == 403

"""One team cannot read or change what is another's, by no address of the students' pages: a new one is tried, too."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from flask import Flask

from tapeplat.page.app import create_app
from tapeplat.page.base.settings import Settings
from tapeplat.page.session.services import Services
from tapeplat.page.store.team_words import TeamWords
from tests.helpers.page.browser import CHALLENGE, Browser
from tests.helpers.page.student_world import ENTRY, SLUG, file_attempt, joined, open_all

OWN = "ZQ77"
"""Initials that team 3 alone uses."""
FREE = {"student.code", "student.try_code", "student.team", "student.choose_team"}
"""What a device without a team may ask for."""
FORMS: dict[str, str] = {
    **ENTRY, "piece_zone": "dock", "piece_left": "1", "piece_top": "1", "piece_width": "2", "piece_depth": "2",
    "piece_corners": "", "do": "check", "number": "1", "attempt": "1", "team": "3", "challenge": SLUG, "just": "1",
}  # fmt: skip


def _rules() -> list[tuple[str, str, str]]:
    """Every address of the students' pages with a method it takes; numbers in it are team 3's."""
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        app = create_app(Settings(data=Path(folder) / "data", archive=Path(folder) / "archive"))
        found = []
        for rule in app.url_map.iter_rules():
            if rule.endpoint.startswith("student."):
                path = str(rule)
                for argument in rule.arguments:
                    path = re.sub(rf"<int[^<>]*:{argument}>", "1", path)
                assert "<" not in path, f"say here what stands in {path}"
                found += [(rule.endpoint, method, path) for method in rule.methods or () if method in ("GET", "POST")]
        app.extensions["tapeplat"].close()
    return sorted(found)


RULES = _rules()
NAMES = [f"{method} {path}" for _, method, path in RULES]


@pytest.fixture
def both(app: Flask, house: Services, tmp_path: Path) -> tuple[Browser, Browser]:
    """Team 3, which has plans, numbers and a measured model, and team 4, which has nothing."""
    three, four = joined(app, house, 3), joined(app, house, 4)
    open_all(house)
    file_attempt(house, tmp_path)
    assert three.post("/class/measure", {**ENTRY, "who": OWN, "value": "8.765"}).status_code == 303
    plan = {"piece_zone": "market", "piece_left": "3.125", "piece_top": "7.375", "piece_width": "5", "piece_depth": "4"}
    assert three.post("/class/plan", {**plan, "piece_corners": ""}).status_code == 303
    return three, four


def _stored(house: Services) -> dict[str, object]:
    """Everything that is team 3's: the rows of every table that has teams, and the files of its attempts."""
    database = house.database.read()
    tables = [row["name"] for row in database.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
    found: dict[str, object] = {}
    for table in tables:
        columns = {row["name"] for row in database.execute(f"PRAGMA table_info({table})")}
        column = "team" if "team" in columns else "number" if table == "team" else ""
        if column:
            rows = database.execute(f"SELECT * FROM {table} WHERE {column} = 3").fetchall()
            found[table] = [tuple(row) for row in rows]
    files = [file for file in sorted(house.settings.archive.rglob("team-3/**/*")) if file.is_file()]
    return {**found, **{str(file): file.read_bytes() for file in files}}


@pytest.mark.parametrize(("endpoint", "method", "path"), RULES, ids=NAMES)
def test_another_team_reads_and_changes_nothing(
    both: tuple[Browser, Browser], house: Services, endpoint: str, method: str, path: str
) -> None:
    three, four = both
    word = TeamWords(house.database).word(SLUG, 3)
    secrets = (OWN, "8.765", "3.125", "7.375", word)
    before = _stored(house)
    assert len(before) > 5
    for query in ("", "?attempt=1&number=1&just=1&check=1&team=3"):
        address = path + query
        answer = four.get(address) if method == "GET" else four.post(address, FORMS)
        follow = four.client.get(answer.location, follow_redirects=True) if answer.status_code in (302, 303) else answer
        for page in (answer, follow):
            assert not [secret for secret in secrets if secret in page.text], address
            assert page.mimetype in ("text/html", "application/json"), "a picture of another team's model"
    assert _stored(house) == before
    assert OWN in three.text("/class/measure")


@pytest.mark.parametrize(("endpoint", "method", "path"), RULES, ids=NAMES)
def test_a_device_without_a_team_gets_in_nowhere(
    both: tuple[Browser, Browser], nobody: Browser, house: Services, endpoint: str, method: str, path: str
) -> None:
    before = _stored(house)
    nobody.post("/class/code", {"code": house.classes.of(SLUG).code})
    if endpoint in FREE:
        return
    answer = nobody.get(path) if method == "GET" else nobody.post(path, FORMS)
    assert answer.status_code in (302, 403)
    assert OWN not in answer.text
    assert _stored(house) == before


@pytest.mark.parametrize(("endpoint", "method", "path"), RULES, ids=NAMES)
def test_another_class_is_another_house(
    app: Flask, both: tuple[Browser, Browser], house: Services, endpoint: str, method: str, path: str
) -> None:
    """Team 3 of another challenge's class has the same number and nothing else in common."""
    other = house.challenges.create("Fern Ridge", CHALLENGE.replace("Gull Point Harbour", "Fern Ridge"))
    browser = Browser(app.test_client(), house)
    browser.post("/class/code", {"code": house.classes.of(other).code})
    assert browser.post("/class/team", {"team": "3"}).status_code == 302
    house.classes.open_only(other, frozenset({"plan", "entry", "picture", "verdicts"}))
    answer = browser.get(path) if method == "GET" else browser.post(path, FORMS)
    for secret in (OWN, "8.765", "3.125"):
        assert secret not in answer.text
    assert answer.mimetype == "text/html"


def test_a_students_pages_take_no_change_by_a_link(both: tuple[Browser, Browser], house: Services) -> None:
    before = _stored(house)
    for _, method, path in RULES:
        if method == "GET":
            with both[0].get(f"{path}?value=3&quantity=side&zone=market&do=check"):
                pass
    assert _stored(house) == before

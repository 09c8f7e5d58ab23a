"""A class owns its teams and attempts: a new title, a copy and another year change nothing of that."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
from flask import Flask

from tapeplat.archive import Archive, Entry, NewAttempt
from tapeplat.page.app import create_app
from tapeplat.page.base.settings import Settings
from tapeplat.page.session.services import Services
from tapeplat.page.store.schema import MIGRATIONS
from tests.helpers.page.browser import CHALLENGE, Browser
from tests.helpers.page.student_world import SLUG, TITLE, file_attempt, joined, measured_files, open_all

OLDER = 2
"""Steps of the schema before classes had an id."""


def file_under_title(archive: Archive, folder: Path, team: str) -> Entry:
    """An attempt as older versions, and the command line, file it: for no class."""
    files = measured_files(folder / f"old-{team}", team=team)
    return archive.save(NewAttempt(TITLE, team, CHALLENGE.encode(), files), surroundings=True)


def test_another_title_leaves_the_results_with_the_class(teacher: Browser, house: Services, tmp_path: Path) -> None:
    house.challenges.create(TITLE, CHALLENGE)
    entry = file_attempt(house, tmp_path)
    house.challenges.save(SLUG, CHALLENGE.replace(TITLE, "Kestrel Bay"))
    assert entry.id in teacher.text(f"/teacher/challenge/{SLUG}/results")
    assert f"/teacher/challenge/{SLUG}/" in teacher.text(f"/teacher/model/{entry.id}")
    assert "Kestrel Bay" in teacher.text("/teacher/archive")
    later = file_attempt(house, tmp_path / "later")
    assert later.attempt == 2
    assert later.folder.parent == entry.folder.parent, "the next attempt stands beside the first one"


def test_a_copy_for_another_class_shows_nothing_of_the_first(
    app: Flask, house: Services, teacher: Browser, tmp_path: Path
) -> None:
    house.challenges.create(TITLE, CHALLENGE)
    first = file_attempt(house, tmp_path)
    made = teacher.post(f"/teacher/challenge/{SLUG}/copy", {"class_name": "4b"}).headers["Location"]
    copy = made.rsplit("/", 1)[1]
    assert "class 4b" in teacher.text("/teacher/")
    assert "Nothing measured yet" in teacher.text(f"/teacher/challenge/{copy}/results")
    open_all(house)
    house.classes.open_only(copy, frozenset({"picture", "verdicts"}))
    other = Browser(app.test_client(), house)
    assert other.post("/class/code", {"code": house.classes.of(copy).code}).status_code == 302
    assert other.post("/class/team", {"team": "3"}).status_code == 302
    assert other.get("/class/picture").status_code == 404
    assert joined(app, house, 3).get("/class/picture").status_code == 200
    files = measured_files(tmp_path / "copy")
    new = NewAttempt(TITLE, "3", CHALLENGE.encode(), files, class_id=house.classes.of(copy).id)
    second = house.archive.save(new, surroundings=True)
    assert (first.attempt, second.attempt) == (1, 1)
    assert first.id != second.id
    assert first.id not in teacher.text(f"/teacher/challenge/{copy}/results")


@pytest.fixture
def older(tmp_path: Path) -> Path:
    """The data folder of an older version: two classes with one title, one with its own; team 3 is listed."""
    data = tmp_path / "older"
    (data / "challenges").mkdir(parents=True)
    archive = Archive(tmp_path / "older-archive")
    for slug, title in ((SLUG, TITLE), (f"{SLUG}-2", TITLE), ("kestrel-bay", "Kestrel Bay")):
        (data / "challenges" / f"{slug}.toml").write_text(CHALLENGE.replace(TITLE, title), encoding="utf-8")
    listed = file_under_title(archive, tmp_path, "3")
    file_under_title(archive, tmp_path, "4")
    files = measured_files(tmp_path / "bay", team="1")
    archive.save(NewAttempt("Kestrel Bay", "1", CHALLENGE.encode(), files), surroundings=True)
    with sqlite3.connect(data / "page.sqlite3") as database:
        for statement in (statement for step in MIGRATIONS[:OLDER] for statement in step):
            database.execute(statement)
        database.execute(f"PRAGMA user_version = {OLDER}")
        for number, slug in enumerate((SLUG, f"{SLUG}-2", "kestrel-bay")):
            database.execute("INSERT INTO class (challenge, code) VALUES (?, ?)", (slug, f"CODE{number}"))
        database.execute(
            "INSERT INTO job (challenge, team, state, entry, made, changed) VALUES (?, '3', 'done', ?, 0, 0)",
            (f"{SLUG}-2", listed.id),
        )
    database.close()
    return data


def test_an_older_version_s_attempts_go_to_the_class_whose_they_are(older: Path, tmp_path: Path) -> None:
    app = create_app(Settings(data=older, archive=tmp_path / "older-archive"))
    house: Services = app.extensions["tapeplat"]
    try:
        owners = {(e.title, e.team): house.classes.with_id(e.class_id) for e in house.archive.entries()}
        slugs = {key: owner.challenge if owner else None for key, owner in owners.items()}
        assert slugs == {(TITLE, "3"): f"{SLUG}-2", (TITLE, "4"): None, ("Kestrel Bay", "1"): "kestrel-bay"}
        assert house.archive.verify() == ()
        assert house.classes.of(SLUG).code == "CODE0", "the codes on the board still work"
    finally:
        house.close()


def test_attempts_of_no_class_are_offered_and_taken_by_hand_alone(
    teacher: Browser, house: Services, tmp_path: Path
) -> None:
    house.challenges.create(TITLE, CHALLENGE)
    owned = file_attempt(house, tmp_path, "2")
    loose = file_under_title(house.archive, tmp_path, "3")
    page = teacher.text(f"/teacher/challenge/{SLUG}/results")
    assert "belong to no class" in page
    assert "Team 2" in page
    assert "Team 3" not in page, "it is offered, and no row of the table"
    other = house.challenges.create(TITLE, CHALLENGE)
    address = f"/teacher/challenge/{other}/take-over"
    assert teacher.post(address, {"attempt": [loose.id, owned.id]}).status_code == 303
    held = {entry.id: entry.class_id for entry in house.archive.entries()}
    assert held[loose.id] == house.classes.of(other).id
    assert held[owned.id] == house.classes.of(SLUG).id, "what another class owns is not to be had"
    assert "belong to no class" not in teacher.text(f"/teacher/challenge/{SLUG}/results")

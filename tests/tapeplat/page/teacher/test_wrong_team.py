"""A model under a wrong team: photos with another team's label are asked about, filed ones are given to their team."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from flask import Flask

from measure.result.result import read_result
from tapeplat.page.session.services import Services
from tapeplat.page.store.hand_numbers import HandEntries
from tests.helpers.page.browser import Browser
from tests.helpers.page.student_world import ENTRY, SLUG, file_attempt, joined, open_all
from tests.tapeplat.page.test_uploads import labelled, photo


def send(teacher: Browser, team: str, *contents: bytes) -> None:
    photos = [(io.BytesIO(content), f"{number}.jpg") for number, content in enumerate(contents)]
    assert teacher.post(f"/teacher/challenge/{SLUG}/photos", {"team": team, "photos": photos}).status_code == 303


@pytest.fixture(autouse=True)
def _class(app: Flask, house: Services) -> None:
    joined(app, house, 3)
    open_all(house)


def test_a_photo_that_shows_another_teams_label_is_asked_about(teacher: Browser, house: Services) -> None:
    send(teacher, "2", photo(), labelled(3))
    send(teacher, "4", photo())
    send(teacher, "3", labelled(3))
    found = [(job.team, job.message) for job in house.jobs.all_of(SLUG)]
    assert found == [("", "Team 3's label is in it, and it was sent as team 2's."), ("4", ""), ("3", "")]
    assert "and it was sent as team 2" in teacher.text(f"/teacher/challenge/{SLUG}/board")


def test_a_filed_model_becomes_its_own_teams_next_attempt(
    teacher: Browser, house: Services, app: Flask, tmp_path: Path
) -> None:
    file_attempt(house, tmp_path / "own", "4")
    right = file_attempt(house, tmp_path / "right", "3")
    wrong = file_attempt(house, tmp_path / "wrong", "3", market=[[4.0, 4.0], [16.0, 4.0], [16.0, 10.0], [4.0, 10.0]])
    pupil = joined(app, house, 3)
    assert "agrees" in pupil.post("/class/measure", {**ENTRY, "value": "12"}, follow_redirects=True).text
    page = teacher.text(f"/teacher/model/{wrong.id}")
    assert "It is another team's model" in page
    moved = teacher.post(f"/teacher/model/{wrong.id}/team", {"team": "4"})
    given = house.archive.entry(moved.location.split("/")[-1])
    assert (given.team, given.attempt, given.class_id) == ("4", 2, wrong.class_id)
    assert read_result(given.folder).team == "4"
    assert house.archive.verify() == ()
    assert not wrong.folder.exists()
    assert [entry.id for entry in house.archive.of_class(right.class_id, "3")] == [right.id]
    assert "team 4" in teacher.text(f"/teacher/model/{given.id}").lower()
    assert "look again" in pupil.text("/class/measure"), "the number is compared with the team's own model"
    assert [entry.cells.value for entry in HandEntries(house.database).of(SLUG, 3)] == ["12"]
    assert file_attempt(house, tmp_path / "later", "3").attempt == 3, "a number is never given twice"


@pytest.mark.parametrize("team", ["3", "9", "", "x"])
def test_it_goes_to_another_team_of_the_class_alone(
    teacher: Browser, house: Services, tmp_path: Path, team: str
) -> None:
    entry = file_attempt(house, tmp_path, "3")
    assert teacher.post(f"/teacher/model/{entry.id}/team", {"team": team}).status_code == 400
    assert entry.folder.exists()

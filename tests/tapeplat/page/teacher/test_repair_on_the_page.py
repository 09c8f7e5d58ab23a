"""Outlines repaired on the teacher's page of a model: filed in the archive, refused where they must be."""

from __future__ import annotations

import html
import json
import re
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from werkzeug.test import TestResponse

import tapeplat
from measure.challenge import read_challenge
from measure.result.result import read_result
from tapeplat.archive import Entry, NewAttempt
from tapeplat.page.session.services import Services
from tests.helpers.page.browser import Browser
from tests.helpers.paths import SAMPLES

TASK, PHOTO = SAMPLES / "quarry-lake-3.toml", SAMPLES / "quarry-lake-3.jpg"


@pytest.fixture(scope="module")
def files() -> dict[str, bytes]:
    return dict(tapeplat.measure(TASK, [PHOTO], team="Otters").files)


@pytest.fixture
def entry(house: Services, files: dict[str, bytes]) -> Entry:
    title = read_challenge(TASK).title
    return house.archive.save(NewAttempt(title, "Otters", TASK.read_bytes(), files, (PHOTO,)))


@pytest.fixture
def send(teacher: Browser, entry: Entry) -> Callable[..., TestResponse]:
    """Changes as the script sends them."""

    def sent(*edits: dict[str, Any], base: str = "") -> TestResponse:
        headers = {"X-CSRF": teacher.token(), "X-Fragment": "1"}
        content = {"base": base or model_on(teacher, entry)["base"], "edits": edits}
        return teacher.client.post(f"/teacher/model/{entry.id}/outlines", json=content, headers=headers)

    return sent


def model_on(teacher: Browser, entry: Entry) -> Any:
    """What the page gives the script."""
    found = re.search(r'data-model="([^"]+)"', teacher.text(f"/teacher/model/{entry.id}"))
    assert found is not None
    return json.loads(html.unescape(found[1]))


def test_the_page_gives_the_script_every_outline(teacher: Browser, entry: Entry) -> None:
    model = model_on(teacher, entry)
    result = read_result(entry.folder)
    measured = [[list(corner) for corner in piece.outline] for zone in result.zones for piece in zone.pieces]
    assert [piece["outline"] for piece in model["pieces"]] == measured
    assert model["zones"] == [zone.name for zone in read_challenge(TASK).zones]
    picture = teacher.get(model["picture"]["url"])
    assert (picture.status_code, picture.mimetype) == (200, "image/jpeg")
    picture.close()


def test_a_repair_is_filed_and_the_body_of_the_page_comes_back(
    send: Callable[..., TestResponse], house: Services, entry: Entry
) -> None:
    before = (entry.folder / "corrected.jpg").read_bytes()
    answer = send({"do": "remove", "zone": "playground", "piece": 1})
    assert answer.status_code == 200
    assert answer.text.lstrip().startswith('<div id="model">')
    assert "playground was taken away by hand" in answer.text
    filed = house.archive.entry(entry.id)
    assert "playground was taken away by hand" in read_result(filed.folder).warnings
    assert (filed.folder / "corrected.jpg").read_bytes() == before
    assert house.archive.verify() == ()


def test_what_cannot_be_done_is_said_as_json_and_changes_nothing(
    send: Callable[..., TestResponse], entry: Entry
) -> None:
    before = (entry.folder / "result.json").read_bytes()
    crossing = [[1, 1], [3, 3], [3, 1], [1, 3]]
    answer = send({"do": "add", "zone": "playground", "outline": crossing})
    assert answer.status_code == 400
    assert "the outline crosses itself at (2, 2)" in answer.json["error"]["lines"][0]
    stale = send({"do": "remove", "zone": "playground", "piece": 1}, base="0123456789abcdef")
    assert stale.status_code == 409
    assert "measured or changed again in the meantime" in stale.json["error"]["what"]
    assert (entry.folder / "result.json").read_bytes() == before


def test_the_form_without_a_script_leads_back_to_the_model(teacher: Browser, entry: Entry) -> None:
    fields = {"base": model_on(teacher, entry)["base"], "of-1": "playground", "piece-1": "1", "remove-1": "yes"}
    answer = teacher.post(f"/teacher/model/{entry.id}/outlines", fields)
    assert (answer.status_code, answer.location) == (303, f"/teacher/model/{entry.id}")
    assert "playground was taken away by hand" in teacher.text(answer.location)


def test_students_repair_nothing(student: Browser, entry: Entry) -> None:
    before = (entry.folder / "result.json").read_bytes()
    answer = student.post(f"/teacher/model/{entry.id}/outlines", {"base": "", "of-1": "playground", "piece-1": "1"})
    assert answer.status_code in (302, 403)
    assert (entry.folder / "result.json").read_bytes() == before


def test_repairs_are_taken_back_to_the_photos_outlines(
    send: Callable[..., TestResponse], teacher: Browser, house: Services, entry: Entry
) -> None:
    photos = read_result(entry.folder).zones
    address = f"/teacher/model/{entry.id}"
    assert "Back to the photo" not in teacher.text(address)
    assert teacher.post(f"{address}/unrepair").status_code == 400
    assert send({"do": "remove", "zone": "playground", "piece": 1}).status_code == 200
    eye = next(rule.text for rule in read_result(entry.folder).rules)
    teacher.post(f"{address}/by-hand", {"rule": eye, "verdict": "met", "reason": "I was there"})
    assert "Back to the photo" in teacher.text(address)
    assert teacher.post(f"{address}/unrepair").status_code == 303
    now = read_result(house.archive.entry(entry.id).folder)
    assert [len(zone.pieces) for zone in now.zones] == [len(zone.pieces) for zone in photos]
    for one, other in zip(now.zones, photos, strict=True):
        for back, first in zip(one.pieces, other.pieces, strict=True):
            assert np.array(back.outline) == pytest.approx(np.array(first.outline), abs=1e-6)
    assert next(rule for rule in now.rules if rule.text == eye).by_hand is not None
    assert not any("by hand" in warning for warning in now.warnings)
    assert "Back to the photo" not in teacher.text(address)
    assert house.archive.verify() == ()


def test_a_removed_attempt_comes_back_on_the_page(teacher: Browser, house: Services, entry: Entry) -> None:
    teacher.post(f"/teacher/model/{entry.id}/remove")
    assert house.archive.entries() == ()
    place = re.search(r'name="folder" value="([^"]+)"', teacher.text("/teacher/archive"))
    assert place is not None
    assert teacher.post("/teacher/archive/restore", {"folder": place[1]}).location.endswith(entry.id)
    assert [there.folder for there in house.archive.entries()] == [entry.folder]
    assert house.archive.removed() == ()
    assert teacher.post("/teacher/archive/restore", {"folder": place[1]}).status_code == 404

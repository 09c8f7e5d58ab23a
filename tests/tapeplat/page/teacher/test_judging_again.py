"""After a rule changed: the table holds one list of rules, and one click judges all models again."""

from __future__ import annotations

import csv
import io
import time
from dataclasses import replace
from pathlib import Path

import pytest
from flask import Flask

from measure.result.result import read_result
from tapeplat.archive import Entry
from tapeplat.page.challenge.challenge_fields import from_text
from tapeplat.page.challenge.challenge_writing import written
from tapeplat.page.jobs.photo_look import looked_at
from tapeplat.page.session.services import Services
from tapeplat.page.teacher import results_views
from tapeplat.reports.class_page import Unmeasured
from tapeplat.workers.worker_pool import InProcess
from tests.helpers.page.browser import CHALLENGE, Browser
from tests.helpers.page.student_world import SLUG, TITLE, file_attempt, joined, open_all
from tests.tapeplat.page.test_uploads import photo

RESULTS = f"/teacher/challenge/{SLUG}/results"
TIGHTER = CHALLENGE.replace("at most 1/5", "at most 1/25")


@pytest.fixture(autouse=True)
def judged(house: Services, tmp_path: Path) -> None:
    house.challenges.create(TITLE, CHALLENGE)
    for team in ("1", "2"):
        file_attempt(house, tmp_path, team)


def test_rules_of_two_lists_never_stand_beside_each_other(teacher: Browser, house: Services, tmp_path: Path) -> None:
    house.challenges.save(SLUG, TIGHTER)
    page = teacher.text(RESULTS)
    assert page.count("judged by the challenge as it was before") == 2
    assert "at most 1/25" in page
    assert "at most 1/5" not in page
    assert "Report" not in page, "there is nothing to report of the rules as they are now"
    assert teacher.get(f"/teacher/challenge/{SLUG}/report.pdf").status_code == 404


def test_one_click_judges_all_and_says_what_changed(teacher: Browser, house: Services) -> None:
    house.challenges.save(SLUG, TIGHTER)
    page = judged_again(teacher)
    assert "2 models judged again" in page
    said = "market covers at most 1/25 of the parcel (it was: market covers at most 1/5 of the parcel): met before"
    assert page.count(said) == 3
    assert f"<strong>2 models:</strong> {said}" in page
    results = teacher.text(RESULTS)
    assert "as it was before" not in results
    assert "Judge again" not in results
    table = teacher.get(f"/teacher/challenge/{SLUG}/class-rules.csv").data.decode("utf-8-sig")
    texts = {cell for row in csv.reader(io.StringIO(table)) for cell in row if "market covers" in cell}
    assert texts == {"market covers at most 1/25 of the parcel"}


def test_a_models_page_says_that_its_verdicts_are_by_the_former_rules(teacher: Browser, house: Services) -> None:
    (entry, *_) = house.archive.entries()
    address, said = f"/teacher/model/{entry.id}", "The challenge was changed since this model was judged"
    assert said not in teacher.text(address)
    house.challenges.save(SLUG, TIGHTER)
    page = teacher.text(address)
    assert said in page
    assert f'action="/teacher/challenge/{SLUG}/judge"' in page


def test_models_of_a_renamed_zone_are_judged_again(teacher: Browser, house: Services) -> None:
    """The outlines are filed under the former name, which stays as another one of the zone."""
    fields = from_text(CHALLENGE)
    renamed = replace(fields.zones[0], name="bazaar")
    rules = tuple(rule.replace("market", "bazaar") for rule in fields.rules)
    text = written(replace(fields, zones=(renamed, *fields.zones[1:]), rules=rules), CHALLENGE)
    assert 'aliases = ["market"]' in text
    house.challenges.save(SLUG, text)
    page = judged_again(teacher)
    assert "2 models judged again" in page
    assert "stayed as before" not in page
    results = [read_result(entry.folder) for entry in house.archive.entries()]
    assert [result.zones[0].name for result in results] == ["bazaar"] * 2
    assert all(result.zones[0].area is not None for result in results)
    again = written(from_text(text), text)
    assert again == text, "nothing more is added"


def test_models_that_cannot_be_judged_are_not_counted_as_judged(teacher: Browser, house: Services) -> None:
    house.challenges.save(SLUG, TIGHTER.replace("market", "bazaar"))
    page = judged_again(teacher)
    assert "0 models judged again" in page
    assert "2 models could not be, and stayed as before" in page


def judged_again(teacher: Browser) -> str:
    assert teacher.post(f"/teacher/challenge/{SLUG}/judge").status_code == 303
    deadline = time.monotonic() + 60
    while "turning" in (page := teacher.text(f"/teacher/challenge/{SLUG}/judging")):
        assert time.monotonic() < deadline
        time.sleep(0.05)
    return page


def test_a_report_says_that_a_team_is_left_out_of_it(teacher: Browser, house: Services, tmp_path: Path) -> None:
    house.challenges.save(SLUG, TIGHTER)
    entry = file_attempt(house, tmp_path / "again", "2")
    house.archive.replace_result(entry, {"challenge.toml": TIGHTER.encode()}, "judged by the new one")
    page = teacher.text(RESULTS)
    assert "Report without 1 team (PDF)" in page
    assert teacher.get(f"/teacher/challenge/{SLUG}/report.pdf").status_code == 200


def test_a_team_does_not_read_verdicts_of_the_former_rules(app: Flask, house: Services) -> None:
    pupil = joined(app, house, 1)
    open_all(house)
    assert "market covers at most 1/5" in pupil.text("/class/results")
    marked = picture(pupil)
    house.challenges.save(SLUG, TIGHTER)
    page = pupil.text("/class/results")
    assert "The rules have changed." in page
    assert "market covers" not in page
    assert picture(pupil) != marked, "the verdicts are in that picture"


def picture(pupil: Browser) -> bytes:
    with pupil.get("/class/picture") as answer:
        assert answer.status_code == 200
        return answer.data


def test_progress_and_report_hold_one_list_of_rules_and_each_team_once(
    teacher: Browser, house: Services, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    printed: list[list[str]] = []

    def noted(
        title: str, entries: list[Entry], paper: str, names: object, refused: tuple[Unmeasured, ...] = ()
    ) -> bytes:
        printed.append([title, *(entry.team for entry in entries), *(f"refused {photos.team}" for photos in refused)])
        return b"%PDF"

    for name in ("class_progress", "class_report"):
        monkeypatch.setattr(results_views, name, noted)
    found, _ = looked_at(InProcess(), photo(), "a.jpg")
    for team in ("1", "4", "4"):
        house.jobs.finish(house.jobs.add(SLUG, team, [found], "teacher"), "refused", "too dark")
    house.classes.set_name(SLUG, "4b")
    house.challenges.save(SLUG, TIGHTER)
    entry = file_attempt(house, tmp_path / "again", "2")
    house.archive.replace_result(entry, {"challenge.toml": TIGHTER.encode()}, "judged by the new one")
    for page in ("progress", "report"):
        assert teacher.get(f"/teacher/challenge/{SLUG}/{page}.pdf").status_code == 200
    title = f"{TITLE}, class 4b"
    assert printed == [[title, "2"], [title, "2", "refused 4"]]

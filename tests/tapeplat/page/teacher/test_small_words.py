"""What a page says in passing is true: titles, counts, what is chosen, who is still in, what was erased."""

from __future__ import annotations

import json
import re
from pathlib import Path

from flask import Flask

from tapeplat.page.session.services import Services
from tests.helpers.page.browser import CHALLENGE, Browser
from tests.helpers.page.student_world import SLUG, TITLE, file_attempt, joined
from tests.tapeplat.page.test_page_words import pdf_words


def test_a_challenge_with_mistakes_keeps_its_title(teacher: Browser, house: Services) -> None:
    broken = CHALLENGE.replace('title = "Gull Point Harbour"', 'title = "Draft  Town"').replace("4 cm", "4 kumquats")
    house.challenges.save("draft-town", broken)
    page = teacher.text("/teacher/challenge/draft-town")
    assert '<p class="where">Draft Town</p>' in page
    assert "said-with-marks" in page
    house.challenges.save("no-toml", "title = ")
    assert '<p class="where">no-toml</p>' in teacher.text("/teacher/challenge/no-toml")


def test_a_renamed_challenge_gives_its_models_its_name(
    app: Flask, teacher: Browser, house: Services, tmp_path: Path
) -> None:
    joined(app, house, 3)
    entry, gone = file_attempt(house, tmp_path), file_attempt(house, tmp_path / "gone", "4")
    house.archive.remove(gone.id)
    house.challenges.save(SLUG, CHALLENGE.replace(TITLE, "Heron Bay"))
    assert '<p class="muted">Heron Bay, ' in teacher.text(f"/teacher/model/{entry.id}")
    assert "<span>Heron Bay, team 4, attempt 1" in teacher.text("/teacher/archive")


def test_two_attempts_of_one_team_are_chosen_to_be_compared(
    app: Flask, teacher: Browser, house: Services, tmp_path: Path
) -> None:
    joined(app, house, 3)
    first = file_attempt(house, tmp_path / "1", "1")
    file_attempt(house, tmp_path / "5", "5")
    assert " checked>" not in teacher.text("/teacher/archive").split("Hand on")[0], "no team was measured twice"
    house.classes.name_teams(SLUG, {5: "The Lynxes"})
    assert teacher.text("/teacher/archive").count("The Lynxes") == 1
    second = file_attempt(house, tmp_path / "2", "1")
    file_attempt(house, tmp_path / "6", "6")
    chosen = re.findall(r'name="(before|after)" value="([^"]+)" checked', teacher.text("/teacher/archive"))
    assert chosen == [("before", first.id), ("after", second.id)]


def test_an_erased_class_is_said_to_be_gone(app: Flask, teacher: Browser, house: Services, tmp_path: Path) -> None:
    joined(app, house, 3)
    file_attempt(house, tmp_path)
    done = teacher.post(f"/teacher/challenge/{SLUG}/held/erase", {"team": "all", "sure": "yes"})
    assert "Nothing of the class is left" in teacher.text(done.location)


def test_a_new_passphrase_leaves_one_teacher_connected(app: Flask, teacher: Browser, house: Services) -> None:
    other = app.test_client()
    assert other.get(f"/start/{house.start_key.key}").status_code == 302
    assert sum(visit.role == "teacher" for visit in house.visits.all()) == 2
    changed = teacher.post(
        "/teacher/settings/passphrase", {"passphrase": "lantern harbour nine", "again": "lantern harbour nine"}
    )
    assert changed.status_code == 303, changed.text
    assert sum(visit.role == "teacher" for visit in house.visits.all()) == 1
    assert teacher.get("/teacher/").status_code == 200


def test_what_is_hung_up_names_a_team_as_it_named_itself(
    app: Flask, teacher: Browser, house: Services, tmp_path: Path
) -> None:
    joined(app, house, 3)
    house.classes.name_teams(SLUG, {3: "Zebrafinches"})
    entry = file_attempt(house, tmp_path)
    file_attempt(house, tmp_path / "4", "4")
    wall = pdf_words(teacher.get(f"/teacher/model/{entry.id}/report.pdf").data)
    assert "Team 3: Zebrafinches" in wall
    whole = pdf_words(teacher.get(f"/teacher/challenge/{SLUG}/report.pdf").data)
    assert "Team 3: Zebrafinches" in whole
    assert "Team 4" in whole
    assert whole.count("3: Zebrafinches") > whole.count("Team 3: Zebrafinches"), "the class's table, too"
    kept = [file for file in entry.folder.rglob("*") if file.is_file()]
    assert not any(b"Zebrafinches" in file.read_bytes() for file in kept), "the archive holds no name"


def test_names_that_turn_the_direction_of_writing_are_kept_without_that(teacher: Browser, house: Services) -> None:
    house.challenges.create(TITLE, CHALLENGE)
    address = f"/teacher/challenge/{SLUG}/students"
    teacher.post(address, {"name_1": "O\u202egnp\u2066\x07x", "name_2": "\u05e9\u05dc\u05d5\u05dd", "was_name_1": ""})
    assert house.classes.team_names(SLUG) == {1: "Ognpx", 2: "\u05e9\u05dc\u05d5\u05dd"}


def test_one_photo_for_two_teams_is_told(app: Flask, teacher: Browser, house: Services, tmp_path: Path) -> None:
    joined(app, house, 3)
    for team in ("1", "2", "5"):
        entry = file_attempt(house, tmp_path, team)
        file = entry.folder / "result.json"
        kept = json.loads(file.read_text(encoding="utf-8"))
        kept["photos"] = [
            {"file": "a.jpg", "sha256": ("0" if team == "5" else "f") * 64, "mm_per_px": 0.2, "tilt_deg": 3.0}
        ]
        file.write_text(json.dumps(kept), encoding="utf-8")
    for page in ("results", "board"):
        said = teacher.text(f"/teacher/challenge/{SLUG}/{page}")
        assert "The same photo was sent for team 1 and team 2: one of them has another&#39;s model." in said
        assert said.count("The same photo") == 1

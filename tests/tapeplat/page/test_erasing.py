"""Erased is erased: a search through all files of data and archive finds no name, no number and no picture."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from flask import Flask

from measure.plat.plat import LensRecord, PhotoRecord
from measure.result.result import read_result, result_text
from tapeplat.archive import Entry
from tapeplat.lens.class_lens_store import class_lenses, remember, unlink_photos
from tapeplat.lens.lens_store import folder
from tapeplat.page.jobs.photo_look import looked_at
from tapeplat.page.session.services import Services
from tapeplat.workers.worker_pool import InProcess
from tests.helpers.page.browser import CHALLENGE, Browser
from tests.helpers.page.student_world import SLUG, TITLE, file_attempt, joined, open_all
from tests.tapeplat.page.test_uploads import photo

NAME, INITIALS, GIVEN, ZONE_AT = "Quillfeather Otters", "Zyx", "zephyrine-birthday.jpg", "7.3719"
NUMBER = {
    "quantity": "perimeter",
    "zone": "market",
    "value": "47.318",
    "unit": "cm",
    "method": "ruler",
    "mark": "0.1 cm",
}


def found_in(folder: Path, *wanted: bytes) -> list[str]:
    """The files below a folder that hold any of these, or are called so."""
    files = [file for file in folder.rglob("*") if file.is_file()]
    return [
        file.name
        for file in files
        if any(each in file.read_bytes() or each.decode("latin-1") in str(file) for each in wanted)
    ]


@pytest.fixture
def world(app: Flask, house: Services, tmp_path: Path) -> tuple[Entry, bytes]:
    """Team 3 has left something everywhere; returns an attempt, and what its picture holds. Team 4 has a model, too."""
    house.challenges.create(TITLE, CHALLENGE)
    open_all(house)
    entry = file_attempt(house, tmp_path / "a", "3")
    house.archive.replace_result(entry, {"notes.txt": f"{NAME} did well".encode()}, f"said by {NAME}")
    house.archive.remove(file_attempt(house, tmp_path / "b", "3").id)
    file_attempt(house, tmp_path / "c", "4", market=[[1, 1], [9, 1], [9, 9], [1, 9]])
    house.classes.name_teams(SLUG, {3: NAME, 4: "Herons"})
    team = joined(app, house, 3)
    assert team.post("/class/measure", {**NUMBER, "who": INITIALS}).status_code == 303
    row = {"zone": "market", "left": ZONE_AT, "top": "1", "width": "5", "depth": "5", "corners": ""}
    assert team.post("/class/plan", {f"piece_{name}": value for name, value in row.items()}).status_code == 303
    sent, _ = looked_at(InProcess(), photo(), GIVEN)
    house.jobs.add(SLUG, "3", [sent], "teacher")
    return entry, sent.content[1000:1100]


def traces(house: Services, entry: Entry, picture: bytes) -> list[str]:
    wanted = [
        NAME.encode(),
        INITIALS.encode(),
        GIVEN.encode(),
        ZONE_AT.encode(),
        b"47.318",
        picture,
        b"harbour/team-3",
        b"harbour.team-3",
    ]
    return [*found_in(house.settings.data, *wanted), *found_in(house.settings.archive, *wanted)]


def test_an_erased_team_is_nowhere_any_more(
    teacher: Browser, house: Services, world: tuple[Entry, bytes], tmp_path: Path
) -> None:
    before = traces(house, *world)
    assert {"page.sqlite3-wal", "photo-1.jpg", "notes.txt", "index.sqlite", "index.html"} <= set(before)
    page = teacher.text(f"/teacher/challenge/{SLUG}/held")
    assert NAME in page
    assert "Erase team 3" in page
    address = f"/teacher/challenge/{SLUG}/held/erase"
    assert "cannot be brought back" in teacher.post(address, {"team": "3"}).text
    assert traces(house, *world) == before, "asked, nothing is gone"
    shown = teacher.post(address, {"team": "3", "sure": "yes"}).headers["Location"]
    assert "there is nothing left" in teacher.text(shown)
    assert traces(house, *world) == []
    assert [entry.team for entry in house.archive.entries()] == ["4"]
    assert house.archive.verify() == ()
    assert house.classes.team_names(SLUG) == {4: "Herons"}


def test_an_erased_class_leaves_its_challenge_and_nothing_else(
    teacher: Browser, house: Services, world: tuple[Entry, bytes]
) -> None:
    code = house.classes.of(SLUG).code
    shown = teacher.post(f"/teacher/challenge/{SLUG}/held/erase", {"team": "all", "sure": "yes"}).headers["Location"]
    assert "Nothing" in teacher.text(shown)
    assert traces(house, *world) == []
    assert found_in(house.settings.data, b"Herons") == []
    assert house.archive.entries() == ()
    assert house.classes.of(SLUG).code != code
    assert house.challenges.get(SLUG) is not None


def test_one_model_is_erased_with_its_numbers(teacher: Browser, house: Services, world: tuple[Entry, bytes]) -> None:
    entry, _ = world
    assert teacher.post(f"/teacher/model/{entry.id}/erase").status_code == 200
    assert entry.folder.is_dir()
    assert teacher.post(f"/teacher/model/{entry.id}/erase", {"sure": "yes"}).status_code == 303
    assert not entry.folder.exists()
    assert found_in(house.settings.archive, NAME.encode()) == []
    assert found_in(house.settings.data, b"47.318") == []


def test_nothing_is_erased_while_a_photo_is_being_measured(
    teacher: Browser, house: Services, world: tuple[Entry, bytes]
) -> None:
    assert house.jobs.claim() is not None
    answer = teacher.post(f"/teacher/challenge/{SLUG}/held/erase", {"team": "3", "sure": "yes"})
    assert answer.status_code == 409
    assert traces(house, *world)


def test_who_is_no_teacher_erases_nothing(student: Browser, house: Services) -> None:
    assert student.post(f"/teacher/challenge/{SLUG}/held/erase", {"team": "3", "sure": "yes"}).status_code == 403


def test_what_photos_told_of_a_lens_stays_and_tells_of_no_photo(
    teacher: Browser, house: Services, world: tuple[Entry, bytes]
) -> None:
    entry, sums = world[0], {"own": "a" * 64, "other": "b" * 64}
    flat, terms = tuple((0.0,) * 5 for _ in range(5)), (0.0,) * 5
    lens = LensRecord("Heron | 4.2 mm", "Heron", terms, flat, flat, terms)
    told = {name: PhotoRecord("a.jpg", of_file, 0.2, 1.0, radial=lens) for name, of_file in sums.items()}
    remember(told.values())
    result = replace(read_result(entry.folder), photos=(told["own"],))
    house.archive.replace_result(entry, {"result.json": result_text(result).encode()}, "with its photo")
    teacher.post(f"/teacher/challenge/{SLUG}/held/erase", {"team": "3", "sure": "yes"})
    (kept,) = class_lenses()
    assert len(kept.photos) == 2
    assert sums["other"] in {says.sha256 for says in kept.photos}
    assert found_in(folder(), sums["own"].encode()) == []
    unlink_photos({sums["other"]}, forget=True)
    assert [len(each.photos) for each in class_lenses()] == [1]


def test_what_cannot_be_read_is_told_and_erased(teacher: Browser, house: Services, world: tuple[Entry, bytes]) -> None:
    """Half an attempt.json says no more whose the attempt is: no team's and no class's erasing finds it."""
    entry, _ = world
    file = entry.folder / "attempt.json"
    file.write_bytes(file.read_bytes()[:100])
    address = f"/teacher/challenge/{SLUG}/held"
    assert "1 attempt in the archive cannot be read" in teacher.text(address)
    teacher.post(f"{address}/erase", {"team": "3", "sure": "yes"})
    said = teacher.text(f"{address}?erased=3")
    assert "there is nothing left that can be read" in said
    assert "1 attempt in the archive cannot be read" in said
    assert teacher.post(f"{address}/erase-unreadable").status_code == 200
    assert entry.folder.exists(), "asked first"
    assert teacher.post(f"{address}/erase-unreadable", {"sure": "yes"}).status_code == 303
    assert not entry.folder.exists()
    assert "cannot be read" not in teacher.text(address)
    assert [left.team for left in house.archive.entries()] == ["4"]

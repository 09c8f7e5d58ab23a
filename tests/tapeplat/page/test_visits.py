"""Sessions live on the server: leaving ends them, the teacher sees and ends them; nobody locks anybody else out."""

from __future__ import annotations

import errno
import io
import os
import re
import sqlite3
import stat
import sys
from pathlib import Path

import pytest
from flask import Flask

from tapeplat.page.app import create_app
from tapeplat.page.base.device_words import device_said
from tapeplat.page.base.passphrase_rules import weakness
from tapeplat.page.base.settings import Settings
from tapeplat.page.jobs.job_queue import Jobs
from tapeplat.page.session.services import Services
from tests.helpers.page.browser import CHALLENGE, Browser
from tests.helpers.page.student_world import SLUG, file_attempt, joined
from tests.tapeplat.page.test_uploads import photo

PASSPHRASE = "lantern harbour nine"


def copied(app: Flask, browser: Browser) -> Browser:
    """Somebody who kept a copy of a browser's cookie."""
    thief = app.test_client()
    for cookie in browser.client._cookies.values():
        thief.set_cookie(cookie.key, cookie.value, domain="localhost")
    return Browser(thief, browser.services)


def test_signing_out_ends_the_session_also_for_a_copy_of_its_cookie(
    app: Flask, teacher: Browser, house: Services
) -> None:
    thief = copied(app, teacher)
    assert thief.get("/teacher/").status_code == 200
    teacher.post("/sign-out")
    assert thief.get("/teacher/").status_code == 302


def test_a_student_who_left_has_no_way_back_by_an_old_cookie(app: Flask, student: Browser) -> None:
    thief = copied(app, student)
    assert thief.get("/class/home").status_code == 200
    student.post("/sign-out")
    assert thief.get("/class/home").status_code == 302


def test_the_teacher_sees_who_is_connected_and_ends_one_or_all(app: Flask, teacher: Browser, house: Services) -> None:
    foxes, herons = joined(app, house, 4), joined(app, house, 5)
    foxes.get("/class/home")
    herons.get("/class/home")
    page = teacher.text("/teacher/settings")
    assert re.search(r">You<", page)
    assert "Team 4" in page
    assert "Team 5" in page
    numbers = {visit.team: visit.number for visit in house.visits.all()}
    assert teacher.post("/teacher/settings/end", {"visit": numbers[4]}).status_code == 303
    assert foxes.get("/class/home").status_code == 302
    assert herons.get("/class/home").status_code == 200
    teacher.post("/teacher/settings/end")
    assert herons.get("/class/home").status_code == 302
    assert teacher.get("/teacher/").status_code == 200, "the teacher's own stays"


def test_a_phone_is_on_the_list_and_can_be_ended(nobody: Browser, teacher: Browser, house: Services) -> None:
    house.challenges.save("gull", CHALLENGE)
    nobody.post(f"/phone/key/{house.upload_keys.make('gull')}")
    assert nobody.get("/phone/photos").status_code == 200
    assert "A phone that sends photos" in teacher.text("/teacher/settings")
    teacher.post("/teacher/settings/end")
    assert nobody.get("/phone/photos").status_code == 403


def test_the_file_gives_no_session_away(teacher: Browser, house: Services) -> None:
    with teacher.client.session_transaction() as session:
        token = session["visit"]
    rows = house.database.read().execute("SELECT * FROM visit").fetchall()
    assert rows
    assert all(token not in str(tuple(row)) for row in rows)


WEAK = {"passphrase": "passwordpassword", "again": "passwordpassword"}


def test_another_passphrase_needs_the_old_one(app: Flask, nobody: Browser, house: Services) -> None:
    house.sign_in_secrets.set_passphrase(PASSPHRASE)
    nobody.post("/sign-in", {"passphrase": PASSPHRASE})
    new = {"passphrase": "kettle orbit mango", "again": "kettle orbit mango"}
    address = "/teacher/settings/passphrase"
    assert 'name="old"' in nobody.text("/teacher/settings")
    assert nobody.post(address, new).status_code == 403
    assert nobody.post(address, {**new, "old": "a guess of mine"}).status_code == 403
    assert house.sign_in_secrets.is_passphrase(PASSPHRASE)
    known = {**new, "old": PASSPHRASE}
    for wrong, field in (({"old": "a guess of mine"}, "old"), ({"again": "kettle"}, "again"), (WEAK, "passphrase")):
        page = nobody.post(address, {**known, **wrong}).text  # the form is still there, and says it beside the field
        assert f'<p class="wrong" id="{field}-wrong">' in page
        assert page.count('class="wrong"') == 1
        assert "kettle orbit" not in page
    assert house.sign_in_secrets.is_passphrase(PASSPHRASE)
    assert nobody.post(address, known).status_code == 303
    assert house.sign_in_secrets.is_passphrase("kettle orbit mango")


def test_who_just_came_by_this_computers_own_address_may_set_a_forgotten_one(
    teacher: Browser, house: Services, monkeypatch: pytest.MonkeyPatch
) -> None:
    new = {"passphrase": "kettle orbit mango", "again": "kettle orbit mango"}
    assert teacher.post("/teacher/settings/passphrase", new).status_code == 303
    assert 'name="old"' in teacher.text("/teacher/settings"), "changing it signs in anew, by no start address"


@pytest.mark.parametrize(
    "weak",
    [
        "short", "elevenletter"[:11], "passwordpassword", "Password12345!", "123456789012", "qwertyuiop12",
        "aaaaaaaaaaaaaaa", "letmein letmein 1", "Summer2026!!", "abcdefghijklm", "210987654321", "tapeplat-2026",
        "correct horse battery staple", "TeacherTeacher", "ababababababab",
    ],
)  # fmt: skip
def test_passphrases_that_are_tried_first_are_refused(weak: str) -> None:
    assert weakness(weak)


@pytest.mark.parametrize("good", [PASSPHRASE, "kettle orbit mango", "bodu refa kilo tuna", "my teacher grows quinces"])
def test_passphrases_of_some_words_are_good(good: str) -> None:
    assert weakness(good) == ""


def test_guesses_of_others_never_keep_the_teacher_or_the_class_out(nobody: Browser, house: Services) -> None:
    house.challenges.save("gull", CHALLENGE)
    house.sign_in_secrets.set_passphrase(PASSPHRASE)
    for number in range(150):
        house.passphrase_tries.begin(f"10.0.0.{number}")
        house.code_tries.begin(f"10.0.0.{number}")
    here = {"environ_overrides": {"REMOTE_ADDR": "10.0.1.1"}}
    assert nobody.post("/class/code", {"code": house.classes.of("gull").code}, **here).status_code == 302
    assert nobody.post("/sign-in", {"passphrase": PASSPHRASE}, **here).location == "/teacher/"


def test_one_device_does_not_take_all_teams(app: Flask, house: Services) -> None:
    house.challenges.create("Gull Point Harbour", CHALLENGE)
    code, statuses = house.classes.of(SLUG).code, []
    for team in range(1, 6):
        client = app.test_client()
        here = {"environ_overrides": {"REMOTE_ADDR": "10.0.0.7"}}
        browser = Browser(client, house)
        browser.post("/class/code", {"code": code}, **here)
        statuses.append(browser.post("/class/team", {"team": team}, **here).status_code)
    assert statuses == [302, 302, 302, 429, 429]
    other = Browser(app.test_client(), house)
    there = {"environ_overrides": {"REMOTE_ADDR": "10.0.0.8"}}
    other.post("/class/code", {"code": code}, **there)
    assert other.post("/class/team", {"team": 5}, **there).status_code == 302


@pytest.mark.skipif(sys.platform == "win32", reason="Windows keeps a user's data to the user by itself")
def test_the_archive_is_private_to_the_account(house: Services, tmp_path: Path) -> None:
    house.challenges.create("Gull Point Harbour", CHALLENGE)
    file_attempt(house, tmp_path / "made")
    assert stat.S_IMODE(house.archive.root.stat().st_mode) == 0o700
    shared = tmp_path / "shared"
    shared.mkdir()
    shared.chmod(0o775)
    create_app(Settings(data=tmp_path / "other", archive=shared)).extensions["tapeplat"].close()
    assert stat.S_IMODE(shared.stat().st_mode) == 0o770, "a group that shares it on purpose keeps it"


FULL = (OSError(errno.ENOSPC, "No space left on device"), sqlite3.OperationalError("database or disk is full"))


@pytest.mark.parametrize("fault", FULL, ids=["files", "database"])
def test_a_full_disk_is_called_so_and_a_failed_upload_leaves_nothing(
    teacher: Browser, house: Services, monkeypatch: pytest.MonkeyPatch, fault: Exception
) -> None:
    house.challenges.save("gull", CHALLENGE)
    if isinstance(fault, sqlite3.Error):
        fault.sqlite_errorcode = sqlite3.SQLITE_FULL

        def refuse(*_: object) -> None:
            raise fault

        monkeypatch.setattr(Jobs, "_added", refuse)
    else:
        monkeypatch.setattr(os, "fsync", lambda _: (_ for _ in ()).throw(fault))
    sent = {"team": "1", "photos": (io.BytesIO(photo()), "a.jpg")}
    answer = teacher.post("/teacher/challenge/gull/photos", sent)
    assert answer.status_code == 507
    assert "The disk is full" in answer.text
    folder = house.settings.data / "photos"
    assert list(folder.iterdir()) == []


@pytest.mark.parametrize(
    ("agent", "said"),
    [
        ("Mozilla/5.0 (X11; CrOS x86_64 14541.0.0) Chrome/120.0 Safari/537.36", "Chrome on Chromebook"),
        ("Mozilla/5.0 (iPad; CPU OS 17_0 like Mac OS X) AppleWebKit/605 Version/17.0 Safari/604.1", "Safari on iPad"),
        ("Mozilla/5.0 (Windows NT 10.0; Win64) Chrome/120.0 Safari/537.36 Edg/120.0", "Edge on Windows"),
        ("", "a browser"),
    ],
)  # fmt: skip
def test_devices_are_told_apart_by_what_browsers_say(agent: str, said: str) -> None:
    assert device_said(agent) == said


def test_a_whole_class_behind_one_address_comes_in_when_the_teacher_lets_it(
    app: Flask, house: Services, teacher: Browser
) -> None:
    slug = house.challenges.create("Gull Point Harbour", CHALLENGE)
    here = {"environ_overrides": {"REMOTE_ADDR": "10.0.0.9"}}

    def begins(team: int, address: str = "10.0.0.9") -> tuple[int, str]:
        device = Browser(app.test_client(), house)
        device.post("/class/code", {"code": house.classes.of(slug).code}, **here)
        came = {"environ_overrides": {"REMOTE_ADDR": address}}
        answer = device.post("/class/team", {"team": str(team)}, **came)
        return answer.status_code, answer.text

    assert [begins(team)[0] for team in (1, 2, 3)] == [302] * 3
    status, said = begins(4)
    assert status == 429
    assert "on the page “Students”" in said
    assert begins(5, "10.0.0.10")[0] == 302, "others do not wait"
    assert "A device waits to begin a team" in teacher.text(f"/teacher/challenge/{slug}/board")
    students = f"/teacher/challenge/{slug}/students"
    assert "10.0.0.9" in teacher.text(students)
    teacher.post(f"{students}/let-in", {"address": "10.9.9.9"})  # one that did not ask
    assert begins(4)[0] == 429
    teacher.post(f"{students}/let-in", {"address": "10.0.0.9"})
    assert [begins(team)[0] for team in (4, 6, 7, 8)] == [302] * 4
    assert "A device waits" not in teacher.text(students)


def test_after_a_class_was_erased_its_teams_begin_anew(app: Flask, house: Services, teacher: Browser) -> None:
    slug = house.challenges.create("Gull Point Harbour", CHALLENGE)
    for _ in range(3):
        assert house.teams_taken.may_begin("10.0.0.9")
    assert not house.teams_taken.may_begin("10.0.0.9")
    teacher.post(f"/teacher/challenge/{slug}/held/erase", {"team": "all", "sure": "yes"})
    assert house.teams_taken.waiting() == []
    assert house.teams_taken.may_begin("10.0.0.9")

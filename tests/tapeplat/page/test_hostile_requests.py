"""Requests that no page of ours sends: each ends in a message, none in a failure, and none keeps the others waiting."""

from __future__ import annotations

import csv
import io
import socket
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack
from pathlib import Path
from threading import Barrier
from urllib.request import urlopen

import pytest
from flask import Flask

from tapeplat.page.session.services import Services
from tests.helpers.page.browser import CHALLENGE, Browser
from tests.helpers.page.serving_page import free_port
from tests.helpers.page.student_world import SLUG, file_attempt, joined, open_all
from tests.tapeplat.page.test_serving import running
from tests.tapeplat.page.test_uploads import photo as photo_bytes

LONG = ("9" * 30, "9" * 5000)


@pytest.mark.parametrize("number", LONG)
def test_numbers_that_nobody_counts_to_are_not_there(teacher: Browser, student: Browser, number: str) -> None:
    for address in (f"/teacher/job/{number}/again", f"/teacher/job/{number}/dismiss"):
        assert teacher.post(address).status_code == 404
    assert student.get(f"/class/plan/{number}").status_code == 404


@pytest.mark.parametrize("number", LONG)
def test_numbers_of_thousands_of_digits_are_told_to_be_wrong(teacher: Browser, house: Services, number: str) -> None:
    house.challenges.save("gull", CHALLENGE)
    assert "Whose model" in teacher.post("/teacher/challenge/gull/photos", {"team": number}).text
    zone = {"zone_name": "market", "zone_swatch": number, "zone_tile": number}
    zone |= {f"zone_{name}": "" for name in ("aliases", "place_x", "place_y", "place_within", "size_x", "size_y")}
    zone |= {"zone_kind": "zone", "zone_size_within": "", "zone_was": ""}
    form = {"title": "Gull", "unit": "cm", "width": "40", "depth": "30", "rule": "there is a market", **zone}
    answer = teacher.post("/teacher/challenge/gull/edit", form)
    assert answer.status_code == 400
    assert "Nothing was saved" in answer.text


@pytest.mark.parametrize(
    "origin", ["http://[", "null", "127.0.0.1", "http://localhost.evil.example", "http://localhost@x"]
)
def test_odd_origins_change_nothing(teacher: Browser, house: Services, origin: str) -> None:
    house.challenges.save("gull", CHALLENGE)
    form = {"csrf": teacher.token()}
    answer = teacher.client.post("/teacher/challenge/gull/remove", data=form, headers={"Origin": origin})
    assert answer.status_code == 403
    assert house.challenges.file("gull") is not None


@pytest.mark.parametrize("host", ["[", "[::1", "evil@127.0.0.1", "127.0.0.1/x", "localhost.evil.example", ""])
def test_odd_hosts_get_nothing(nobody: Browser, host: str) -> None:
    assert nobody.client.get("/class/code", headers={"Host": host}).status_code == 421


BODIES = {
    "no end": b'--x\r\nContent-Disposition: form-data; name="team"\r\n\r\n1',
    "many parts": b'--x\r\nContent-Disposition: form-data; name="a"\r\n\r\n1\r\n' * 3000 + b"--x--",
    "many files": b'--x\r\nContent-Disposition: form-data; name="photos"; filename="a"\r\n\r\n1\r\n' * 900 + b"--x--",
    "only boundaries": b"--x\r\n" * 50_000,
}


@pytest.mark.parametrize("case", BODIES)
def test_bodies_that_are_no_form_are_refused(teacher: Browser, house: Services, case: str) -> None:
    house.challenges.save("gull", CHALLENGE)
    headers = {"X-CSRF": teacher.token(), "Content-Type": "multipart/form-data; boundary=x"}
    answer = teacher.client.post("/teacher/challenge/gull/photos", data=BODIES[case], headers=headers)
    assert answer.status_code in (400, 413)
    assert "<h1>" in answer.text
    assert house.jobs.of("gull") == []


@pytest.mark.parametrize("text", ["\0", "\x85\u2028", "\ufffe", "é" * 300, "\U0001f600" * 500, "=1+1", "9" * 5000])
def test_odd_texts_in_a_students_fields_are_answered(app: Flask, house: Services, text: str) -> None:
    pupil = joined(app, house, 3)
    open_all(house)
    asked = {"quantity": "side", "zone": "market", "side": "1", "value": "10", "unit": "cm", "method": "ruler"}
    for field in asked:
        assert pupil.post("/class/measure", {**asked, field: text}).status_code in (303, 400)
    piece = {"zone": "market", "left": "1", "top": "1", "width": "3", "depth": "3", "corners": ""}
    rows = {f"piece_{name}": value for name, value in piece.items()}
    for field in rows:
        assert pupil.post("/class/plan", {**rows, field: text}).status_code in (303, 400)
    assert house.classes.of(SLUG).teams == 8


def test_a_class_of_browsers_that_keep_their_connections_leaves_room_for_the_next_one(tmp_path: Path) -> None:
    port = free_port()
    with running(tmp_path / "data", port), ExitStack() as held:
        for number in range(200):
            connection = held.enter_context(socket.create_connection(("127.0.0.1", port), timeout=10))
            whole = b"GET /sign-in HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n"
            connection.sendall(whole if number % 2 else whole[:-2])  # every second one never ends its request
        assert urlopen(f"http://127.0.0.1:{port}/class/code", timeout=10).status == 200


def test_many_guesses_at_once_are_no_way_round_the_limit(app: Flask, house: Services) -> None:
    house.sign_in_secrets.set_passphrase("lantern harbour nine")
    browsers = [Browser(app.test_client(), house) for _ in range(12)]
    tokens, together = [browser.token() for browser in browsers], Barrier(len(browsers))

    def guess(browser: Browser, token: str) -> int:
        together.wait()
        return browser.client.post("/sign-in", data={"csrf": token, "passphrase": "a guess"}).status_code

    with ThreadPoolExecutor(len(browsers)) as threads:
        answers = list(threads.map(guess, browsers, tokens))
    assert (answers.count(403), answers.count(429)) == (5, 7)


def test_teachers_who_make_challenges_at_once_lose_none(house: Services) -> None:
    texts, together = [f"{CHALLENGE}# {number}\n" for number in range(8)], Barrier(8)

    def make(text: str) -> str:
        together.wait()
        return house.challenges.create("Gull Point Harbour", text)

    with ThreadPoolExecutor(8) as threads:
        made = list(threads.map(make, texts))
    assert [house.challenges.text(slug) for slug in made] == texts


def test_a_new_challenge_inherits_nothing_of_a_removed_one(app: Flask, house: Services, teacher: Browser) -> None:
    pupil = joined(app, house, 3)
    open_all(house)
    teacher.post(f"/teacher/challenge/{SLUG}/remove")
    again = house.challenges.create("Gull Point Harbour", CHALLENGE)
    assert house.classes.of(again).opened == {"plan"}
    assert pupil.get("/class/home").location == "/class/code"


def test_photos_of_a_challenge_that_was_removed_are_told_about(teacher: Browser, house: Services) -> None:
    house.challenges.save("gull", CHALLENGE)
    sent = {"team": "1", "photos": (io.BytesIO(photo_bytes()), "a.jpg")}
    assert teacher.post("/teacher/challenge/gull/photos", sent).status_code == 303
    (job,) = house.jobs.of("gull")
    assert teacher.post("/teacher/challenge/gull/remove").status_code == 302
    assert house.queue.work_off() == 1
    after = house.jobs.get(job.id)
    assert after is not None
    assert "was removed" in after.message
    assert teacher.post(f"/teacher/job/{job.id}/dismiss").status_code == 303
    assert teacher.get("/teacher/challenge/gull/photos").status_code == 404


EVIL = """<script>alert(1)</script>"'><img src=x onerror=alert(1)>"""


def test_markup_in_names_reasons_and_rules_is_shown_as_text(
    app: Flask, house: Services, teacher: Browser, tmp_path: Path
) -> None:
    pupil = joined(app, house, 3)
    open_all(house)
    entry = file_attempt(house, tmp_path, "3")
    teacher.post(
        f"/teacher/challenge/{SLUG}/students",
        {"teams": "8", "tries": "3", "name_3": EVIL, "opened": ["plan", "entry", "picture", "verdicts"]},
    )
    eye = {"rule": "by eye: every street can be walked from end to end", "verdict": "met", "reason": EVIL}
    assert teacher.post(f"/teacher/model/{entry.id}/by-hand", eye).status_code == 303
    measured = {"quantity": "side", "zone": "market", "side": "1", "value": "9", "unit": "cm", "mark": "0.1 cm"}
    for who in (EVIL[:4], "=1+1", "@x"):
        assert pupil.post("/class/measure", {**measured, "method": "ruler", "who": who}).status_code == 303
    table = csv.reader(io.StringIO(teacher.text(f"/teacher/challenge/{SLUG}/numbers/hand.csv")))
    assert [cell for row in table for cell in row if cell[:1] in ("=", "@", "+", "-")] == []
    house.challenges.save("evil", CHALLENGE.replace("by eye: every street", f"by eye: {EVIL.replace(chr(34), '')}"))
    of_class = [f"/teacher/challenge/{SLUG}/{page}" for page in ("students", "photos", "numbers", "results")]
    shown = [*of_class, "/teacher/challenge/evil", "/teacher/challenge/evil/edit", f"/teacher/model/{entry.id}"]
    pages = [teacher.text(address) for address in shown] + [pupil.text("/class/results"), pupil.text("/class/measure")]
    listed = [file.read_text(encoding="utf-8") for file in house.settings.archive.rglob("*.html")]
    assert listed
    pages += listed
    assert any("&lt;script&gt;alert" in page for page in pages)
    for page in pages:
        assert "<script>alert" not in page
        assert "<img src=x" not in page

"""Requests that no page of ours sends: each ends in a message, none in a failure, and none keeps the others waiting."""

from __future__ import annotations

import socket
from contextlib import ExitStack
from pathlib import Path
from urllib.request import urlopen

import pytest
from browser import CHALLENGE, Browser
from flask import Flask
from serving_page import free_port
from student_world import SLUG, joined, open_all
from test_serving import running

from tapeplat.page.room import Room

LONG = ("9" * 30, "9" * 5000)


@pytest.mark.parametrize("number", LONG)
def test_numbers_that_nobody_counts_to_are_not_there(teacher: Browser, student: Browser, number: str) -> None:
    for address in (f"/teacher/job/{number}/again", f"/teacher/job/{number}/dismiss"):
        assert teacher.post(address).status_code == 404
    assert student.get(f"/class/plan/{number}").status_code == 404


@pytest.mark.parametrize("number", LONG)
def test_numbers_of_thousands_of_digits_are_told_to_be_wrong(teacher: Browser, house: Room, number: str) -> None:
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
def test_odd_origins_change_nothing(teacher: Browser, house: Room, origin: str) -> None:
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
def test_bodies_that_are_no_form_are_refused(teacher: Browser, house: Room, case: str) -> None:
    house.challenges.save("gull", CHALLENGE)
    headers = {"X-CSRF": teacher.token(), "Content-Type": "multipart/form-data; boundary=x"}
    answer = teacher.client.post("/teacher/challenge/gull/photos", data=BODIES[case], headers=headers)
    assert answer.status_code in (400, 413)
    assert "<h1>" in answer.text
    assert house.jobs.of("gull") == []


@pytest.mark.parametrize("text", ["\0", "\x85\u2028", "\ufffe", "é" * 300, "\U0001f600" * 500, "=1+1", "9" * 5000])
def test_odd_texts_in_a_students_fields_are_answered(app: Flask, house: Room, text: str) -> None:
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
            whole = b"GET /static/icon.svg HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n"
            connection.sendall(whole if number % 2 else whole[:-2])  # every second one never ends its request
        assert urlopen(f"http://127.0.0.1:{port}/class/code", timeout=10).status == 200

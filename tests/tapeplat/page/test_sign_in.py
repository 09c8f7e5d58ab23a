"""Who comes in, how, and what every answer carries."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest
from flask import Flask

from tapeplat.page.base.guess_limits import GuessLimit
from tapeplat.page.session.services import Services
from tests.helpers.page.browser import CHALLENGE, Browser


def test_nobody_is_sent_to_the_class_code_and_the_teachers_page_asks_to_sign_in(nobody: Browser) -> None:
    assert nobody.get("/").location == "/class/code"
    assert nobody.get("/teacher/").location == "/sign-in?to=/teacher/"


def test_the_start_address_works_once_and_only_on_this_machine(app: Flask, house: Services) -> None:
    key = house.start_key.key
    away = app.test_client().get(f"/start/{key}", environ_base={"REMOTE_ADDR": "192.168.1.7"})
    assert away.status_code == 403
    client = app.test_client()
    assert client.get(f"/start/{key}").location == "/teacher/"
    assert client.get("/teacher/").status_code == 200
    assert app.test_client().get(f"/start/{key}").status_code == 403


def test_a_passphrase_is_kept_as_a_hash_and_lets_the_teacher_in(nobody: Browser, house: Services) -> None:
    house.sign_in_secrets.set_passphrase("lantern harbour nine")
    assert "lantern" not in house.sign_in_secrets.get("passphrase")
    assert house.sign_in_secrets.get("passphrase").startswith("scrypt:")
    assert nobody.post("/sign-in", {"passphrase": "lantern harbour ten"}).status_code == 403
    assert nobody.post("/sign-in", {"passphrase": "lantern harbour nine"}).location == "/teacher/"
    assert nobody.get("/teacher/").status_code == 200


def test_a_new_passphrase_ends_earlier_sessions(teacher: Browser, house: Services) -> None:
    house.sign_in_secrets.set_passphrase("lantern harbour nine")
    assert teacher.get("/teacher/").status_code == 302


@pytest.mark.parametrize(
    "place",
    [
        "//evil.example",
        "/\\evil.example",
        "https://evil.example",
        "x\n//y",
        "/\t/evil.example",
        "/\r/evil.example",
        "/teacher/\\..",
        "/\u2028/evil.example",
        " //evil.example",
    ],
)
def test_signing_in_never_leads_to_another_site(nobody: Browser, house: Services, place: str) -> None:
    house.sign_in_secrets.set_passphrase("lantern harbour nine")
    assert nobody.post("/sign-in", {"passphrase": "lantern harbour nine", "to": place}).location == "/teacher/"


@pytest.mark.parametrize(
    ("path", "field", "most"), [("/sign-in", "passphrase", 5), ("/class/code", "code", 10)], ids=["passphrase", "code"]
)
def test_guessing_is_slowed_down_by_address(nobody: Browser, house: Services, path: str, field: str, most: int) -> None:
    house.sign_in_secrets.set_passphrase("lantern harbour nine")
    answers = [nobody.post(path, {field: f"guess {number}"}).status_code for number in range(most + 1)]
    assert answers == [403] * most + [429]
    other = nobody.post(path, {field: "guess"}, environ_overrides={"REMOTE_ADDR": "192.168.1.9"})
    assert other.status_code == 403


def test_a_limit_ends_after_its_time_and_keeps_nobody_else_out() -> None:
    now = [100.0]
    guesses = GuessLimit(most=2, seconds=60, clock=lambda: now[0])
    for _ in range(2):
        assert guesses.begin("a") == 0
        now[0] += 1
    assert guesses.begin("a") == pytest.approx(58)  # the first of two was 2 s ago
    for number in range(500):
        guesses.begin(f"many {number}")
    assert guesses.begin("b") == 0
    now[0] += 58
    assert guesses.begin("a") == 0


def test_who_guesses_right_is_not_counted() -> None:
    guesses = GuessLimit(most=2, seconds=60)
    for _ in range(5):
        assert guesses.begin("a") == 0
        guesses.right("a")
    assert [guesses.begin("a") > 0 for _ in range(3)] == [False, False, True]


def test_a_foreign_name_is_refused(nobody: Browser) -> None:
    answer = nobody.client.get("/class/code", headers={"Host": "rebound.example:8417"})
    assert answer.status_code == 421
    assert "own address" in answer.text


@pytest.mark.parametrize(
    "headers", [{"Origin": "http://evil.example"}, {"Sec-Fetch-Site": "cross-site"}, {"Sec-Fetch-Site": "same-site"}]
)
def test_changes_from_elsewhere_are_refused(teacher: Browser, headers: dict[str, str]) -> None:
    assert teacher.post("/sign-out", headers=headers).status_code == 403
    assert teacher.get("/teacher/").status_code == 200


def test_changes_need_the_sessions_own_token(teacher: Browser, nobody: Browser) -> None:
    foreign = nobody.token()
    assert teacher.client.post("/sign-out").status_code == 403
    assert teacher.client.post("/sign-out", data={"csrf": foreign}).status_code == 403
    assert teacher.post("/sign-out").status_code == 302
    assert teacher.get("/teacher/").status_code == 302


@pytest.mark.parametrize("path", ["/class/code", "/nowhere", "/sign-in", "{static}/css/base.css"])
def test_every_answer_forbids_foreign_content_frames_and_sniffing(nobody: Browser, path: str) -> None:
    answer = nobody.get(path.format(static=nobody.client.application.static_url_path))
    answer.close()
    assert answer.status_code == (404 if path == "/nowhere" else 200)
    headers = answer.headers
    policy = headers["Content-Security-Policy"]
    assert "default-src 'self'" in policy
    assert "unsafe" not in policy
    assert "frame-ancestors 'none'" in policy
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Referrer-Policy"] == "same-origin"


def test_the_cookie_is_out_of_scripts_reach_and_stays_on_this_site(nobody: Browser) -> None:
    cookie = nobody.get("/class/code").headers["Set-Cookie"]
    assert cookie.startswith("tapeplat-8417=")
    assert "HttpOnly" in cookie
    assert "SameSite=Lax" in cookie


def test_errors_have_one_shape_for_people_and_for_scripts(nobody: Browser) -> None:
    page = nobody.get("/nowhere")
    assert page.status_code == 404
    assert 'role="alert"' in page.text
    said = nobody.client.get("/nowhere", headers={"X-Fragment": "1"}).json["error"]
    assert set(said) == {"title", "what", "do", "lines"}
    assert nobody.client.get("/teacher/", headers={"X-Fragment": "1"}).status_code == 403


def test_an_unexpected_failure_is_told_without_its_inside(app: Flask, nobody: Browser) -> None:
    @app.get("/broken")
    def broken() -> str:
        raise RuntimeError("the inside")

    answer = nobody.get("/broken")
    assert answer.status_code == 500
    assert "the inside" not in answer.text
    assert "Nothing that was saved is lost" in answer.text


def test_a_class_code_leads_to_a_team_and_a_new_code_ends_that(student: Browser, house: Services) -> None:
    assert "Team 3" in student.text("/class/home")
    house.classes.new_code("gull-point-harbour")
    assert student.get("/class/home").location == "/class/code"


def test_a_class_code_may_be_typed_in_any_way(nobody: Browser, house: Services) -> None:
    code = house.classes.of("x").code
    assert house.classes.with_code(f" {code[:3].lower()}-{code[3:]} ").challenge == "x"


def test_a_student_is_no_teacher(student: Browser) -> None:
    assert student.get("/teacher/").status_code == 302
    assert student.post("/class/team", {"team": "30"}).status_code == 400
    assert student.post("/class/team", {"team": "-1"}).status_code == 400


def test_the_computer_is_handed_to_a_class_and_only_the_passphrase_leads_back(
    teacher: Browser, house: Services
) -> None:
    house.challenges.save("gull", CHALLENGE)
    assert "set one first" in teacher.text("/teacher/hand-over")
    house.sign_in_secrets.set_passphrase("lantern harbour nine")
    teacher.get(f"/start/{house.start_key.key}")
    assert "type your passphrase" in teacher.text("/teacher/hand-over")
    assert teacher.post("/sign-out", {"class": "gull"}).location == "/class/team"
    assert teacher.get("/teacher/").status_code == 302
    assert teacher.get("/class/team").status_code == 200
    assert teacher.post("/sign-in", {"passphrase": "lantern harbour nine"}).location == "/teacher/"


def test_signing_out_lets_no_stranger_into_a_class(nobody: Browser, house: Services) -> None:
    house.challenges.save("gull", CHALLENGE)
    assert nobody.post("/sign-out", {"class": "gull"}).location == "/class/code"
    assert nobody.get("/class/team").location == "/class/code"


@pytest.mark.parametrize(
    ("came", "leads"),
    [("http://localhost/sign-in", True), ("http://evil.example/", False), ("http://localhost.evil.example/", False)],
)
def test_an_error_leads_back_within_the_page_only(nobody: Browser, came: str, leads: bool) -> None:
    page = nobody.client.get("/nowhere", headers={"Referer": came}).text
    assert (f'href="{came}"' in page) == leads


def test_a_form_that_is_refused_leads_back_to_its_own_page(nobody: Browser) -> None:
    form, came = {"csrf": nobody.token(), "team": "3"}, "http://localhost/class/team"
    refused = nobody.client.post("/class/team", data={**form, "csrf": "x"}, headers={"Referer": came})
    assert f'href="{came}"' in refused.text


def test_a_class_that_comes_in_at_once_by_one_address_is_no_crowd_of_guesses(app: Flask, house: Services) -> None:
    slug = house.challenges.create("Gull Point Harbour", CHALLENGE)
    code, together = house.classes.of(slug).code, Barrier(24)
    browsers = [Browser(app.test_client(), house) for _ in range(24)]
    tokens = [browser.token() for browser in browsers]

    def come_in(browser: Browser, token: str) -> int:
        together.wait()
        return browser.client.post("/class/code", data={"csrf": token, "code": code}).status_code

    with ThreadPoolExecutor(24) as threads:
        answers = list(threads.map(come_in, browsers, tokens))
    assert answers == [302] * 24

"""The students' pages as a browser without script has them: coming in, home, measuring, results."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from flask import Flask

from measure.challenge import parse_challenge
from tapeplat.archive import NewAttempt
from tapeplat.page.session.services import Services
from tapeplat.page.store import challenges
from tapeplat.page.store.hand_numbers import HandCells, HandEntries
from tapeplat.page.store.team_words import TeamWords
from tapeplat.page.student import student_context as asking
from tapeplat.page.student.answers import Answer, Sent
from tapeplat.page.student.hand_form import row_of
from tapeplat.page.student.hand_views import Line
from tests.helpers.page.browser import CHALLENGE, Browser
from tests.helpers.page.student_world import ENTRY, SLUG, TITLE, file_attempt, joined, measured_files, open_all


@pytest.fixture
def team(app: Flask, house: Services, tmp_path: Path) -> Browser:
    """Team 3, whose model is measured; everything is open but the results."""
    browser = joined(app, house, 3)
    open_all(house, "picture", "verdicts")
    file_attempt(house, tmp_path)
    return browser


def send(browser: Browser, **cells: str) -> str:
    answer = browser.post("/class/measure", {**ENTRY, **cells})
    assert answer.status_code == 303, answer.text
    return browser.text(answer.location.split("#")[0])


def said(page: str) -> str:
    """The large answer of a page."""
    found = re.search(r'class="answer-large">(.*?)</p>', page, re.DOTALL)
    assert found is not None
    return " ".join(re.sub(r"<[^>]+>", " ", found[1]).split())


def test_home_shows_what_is_open_and_nothing_else(app: Flask, house: Services) -> None:
    browser = joined(app, house, 3)
    house.classes.open_only(SLUG, frozenset({"plan"}))
    page = browser.text("/class/home")
    assert "Draw a plan" in page
    assert "Type in a number" not in page
    assert "See our results" not in page
    open_all(house)
    page = browser.text("/class/home")
    assert "Type in a number" in page
    assert "See our results" in page


def test_the_second_device_of_a_team_needs_the_teams_word(app: Flask, house: Services) -> None:
    first = joined(app, house, 3)
    word = TeamWords(house.database).word(SLUG, 3)
    assert word in first.text("/class/home")
    second = Browser(app.test_client(), house)
    second.post("/class/code", {"code": house.classes.of(SLUG).code})
    page = second.post("/class/team", {"team": "3"})
    assert page.status_code == 200
    assert "has a word" in page.text
    assert word not in page.text
    assert second.post("/class/team", {"team": "3", "word": "maple 000"}).status_code == 403
    assert second.get("/class/home").status_code == 302
    assert second.post("/class/team", {"team": "3", "word": word.upper().replace(" ", "")}).location == "/class/home"


def test_guessing_words_is_slowed_down(app: Flask, house: Services) -> None:
    joined(app, house, 3)
    thief = Browser(app.test_client(), house)
    thief.post("/class/code", {"code": house.classes.of(SLUG).code})
    answers = [thief.post("/class/team", {"team": "3", "word": f"maple {n}"}).status_code for n in range(100, 111)]
    assert answers == [403] * 10 + [429]


def test_a_device_stays_in_its_team_until_it_leaves_or_the_teacher_frees_the_team(app: Flask, house: Services) -> None:
    browser = joined(app, house, 3)
    assert browser.post("/class/team", {"team": "4"}).location == "/class/team"
    assert "This device is in team 3" in browser.text("/class/team")
    TeamWords(house.database).free(SLUG, 3)
    assert browser.get("/class/home").location == "/class/team"


def test_a_number_agrees_or_wants_another_look(team: Browser) -> None:
    assert said(send(team)) == "✓ agrees"
    page = send(team, side="2", value="9.5")
    assert said(page) == "↺ look again"
    assert "You can try this one 2 times more" in page


def test_the_form_comes_back_ready_for_the_next_side(team: Browser) -> None:
    page = send(team)
    assert re.search(r'name="side" value="2"', page)
    assert re.search(r'name="who" value="QX"', page)
    assert re.search(r'<option value="market" selected>', page)


def test_tries_run_out_and_the_teacher_can_give_more(team: Browser, house: Services) -> None:
    for value in ("1", "2", "3"):
        page = send(team, value=value)
    assert "last try" in page
    assert said(send(team, value="10")) == "• saved"
    entries = HandEntries(house.database)
    attempt = entries.of(SLUG, 3)[-1].attempt
    entries.give_tries(SLUG, 3, attempt, "side|market||1|", 1)
    assert said(send(team, value="10.0")) == "✓ agrees"


def test_nothing_on_the_page_tells_the_photos_value_or_how_far_off(team: Browser) -> None:
    page = send(team, value="13.7") + send(team, value="6.1") + team.text("/class/measure")
    plain = re.sub(r"<[^>]+>", " ", page)
    assert not re.search(r"\b10(\.0+)?\s*cm|too (large|small|long|short|big)|percent error|\bEn\b|±", plain)
    assert "%" not in plain.replace("per cent (%)", "")


def test_several_measurers_see_their_median_and_range(team: Browser) -> None:
    for who, value in (("A", "9.9"), ("B", "10.3"), ("C", "10.1")):
        page = send(team, value=value, who=who)
    assert "(median): <strong>10.1 cm</strong>" in page
    assert "(range): <strong>0.4 cm</strong>" in page


def test_two_wild_tries_have_no_middle(team: Browser) -> None:
    send(team, value="9.2", who="A")
    page = send(team, value="80", who="B")
    assert "median" not in page
    assert "44.6" not in page


def test_tries_that_gave_way_are_no_measurements(team: Browser) -> None:
    for value in ("84.6", "80", "10"):
        page = send(team, value=value, who="A")
    assert said(page) == "✓ agrees"
    assert "median" not in page, "two of them were tries of the child who measured again"


def test_after_the_last_try_the_one_thing_is_to_ask(team: Browser) -> None:
    for value in ("20.2", "2", "3"):
        page = send(team, value=value)
    answer = re.search(r'<section id="answer".*?</section>', page, re.DOTALL)
    assert answer is not None
    assert re.findall(r"<p>(?!<strong>)(.*?)</p>", answer[0]) == [
        "That was the last try for this one. Ask your teacher before you go on."
    ]


def test_after_look_again_there_is_one_thing_to_do(team: Browser) -> None:
    page = send(team, value="20.2")  # the side doubled, or another mistake that gives the same
    answer = re.search(r'<section id="answer".*?</section>', page, re.DOTALL)
    assert answer is not None
    said = re.findall(r"<p>(?!<strong>)(.*?)</p>", answer[0])
    assert len(said) == 2, said
    assert said[1].startswith("You can try")
    assert page.count(said[0]) == 1, "the same again in the list below is a second one"


def test_what_no_photo_shows_is_compared_with_the_teachers_table() -> None:
    challenge = parse_challenge(CHALLENGE)
    told = {}
    for quantity, side in (("height", ""), ("side", "1")):
        cells = HandCells("", "market", "", quantity, side, "4", "cm", "ruler", "0.1 cm")
        row = row_of(cells, challenge)
        assert row is not None
        told[quantity] = Line(Answer(Sent(1, row), "agrees", quantity, 0)).of_table
    assert told == {"height": True, "side": False}


def test_fractions_stay_fractions(team: Browser) -> None:
    send(team, value="3 7/8", unit="in", mark="1/8 in")
    send(team, value="4 1/8", unit="in", mark="1/8 in")
    page = send(team, value="4", unit="in", mark="1/8 in")
    assert "(median): <strong>4 in</strong>" in page
    assert "(range): <strong>1/4 in</strong>" in page


@pytest.mark.parametrize(
    ("cells", "field"),
    [
        ({"quantity": "weight"}, "quantity"),
        ({"zone": "moon"}, "zone"),
        ({"side": "first"}, "side"),
        ({"quantity": "gap", "other": "market"}, "other"),
        ({"piece": "two"}, "piece"),
        ({"value": ""}, "value"),
        ({"value": "long"}, "value"),
        ({"value": "-3"}, "value"),
        ({"value": "9" * 40}, "value"),
        ({"unit": "m"}, "unit"),
        ({"who": "a whole name and more"}, "who"),
        ({"mark": "10 cm"}, "mark"),
        ({"mark": ""}, "mark"),
        ({"quantity": "area", "method": "ruler"}, "method"),
        ({"quantity": "area", "method": "squares", "square": "30 cm"}, "square"),
        ({"quantity": "share", "method": "formula", "value": "120"}, "value"),
        ({"quantity": "area", "method": "squares", "square": "1 cm", "area_unit": "m"}, "area_unit"),
        ({"quantity": "area", "method": "squares", "square": "1 cm", "value": "999999999"}, "value"),
        ({"quantity": "area", "method": "squares", "square": "1 cm", "value": "1501"}, "value"),
        ({"value": "88"}, "value"),
        ({"quantity": "gap", "other": "dock", "value": "36", "unit": "in", "mark": "1/8 in"}, "value"),
    ],
)
def test_what_is_wrong_is_said_at_its_field_and_nothing_is_kept(
    team: Browser, house: Services, cells: dict[str, str], field: str
) -> None:
    answer = team.post("/class/measure", {**ENTRY, **cells})
    assert answer.status_code == 400
    assert f'id="{field}-wrong"' in answer.text or (field == "quantity" and "Choose what you measured" in answer.text)
    assert HandEntries(house.database).of(SLUG, 3) == []


def test_what_a_browser_sends_is_shown_as_text(team: Browser) -> None:
    assert "<b>x" not in send(team, who="<b>x</b>")
    assert "<i>" not in team.post("/class/measure", {**ENTRY, "value": "<i>7"}).text


def test_numbers_before_the_photo_wait_for_it(app: Flask, house: Services, tmp_path: Path) -> None:
    browser = joined(app, house, 3)
    open_all(house, "picture", "verdicts")
    assert said(send(browser)) == "• saved"
    assert "1 number waits" in browser.text("/class/home")
    file_attempt(house, tmp_path)
    assert "agrees" in browser.text("/class/measure")
    assert "1 number agrees" in browser.text("/class/home")


def test_a_new_attempt_begins_with_all_tries_and_keeps_the_old_numbers(
    team: Browser, house: Services, tmp_path: Path
) -> None:
    for value in ("1", "2", "3"):
        send(team, value=value)
    longer = [[4.0, 4.0], [16.0, 4.0], [16.0, 10.0], [4.0, 10.0]]
    file_attempt(house, tmp_path / "second", market=longer)
    page = team.text("/class/measure")
    assert "Checked with photo 2" in page
    assert "No numbers yet" in page
    assert said(send(team, value="12")) == "✓ agrees"
    assert len(HandEntries(house.database).of(SLUG, 3)) == 4


def test_a_repaired_outline_answers_the_same_numbers_anew(team: Browser, house: Services, tmp_path: Path) -> None:
    assert said(send(team, value="12")) == "↺ look again"
    entry = house.archive.entries(TITLE, "3")[-1]
    longer = [[4.0, 4.0], [16.0, 4.0], [16.0, 10.0], [4.0, 10.0]]
    files = measured_files(tmp_path / "repaired", longer)
    house.archive.replace_result(entry, {"result.json": files["result.json"]}, "outlines repaired by hand")
    assert "agrees" in team.text("/class/measure")


def test_a_damaged_result_is_no_failure(team: Browser, house: Services) -> None:
    (house.archive.entries(TITLE, "3")[-1].folder / "result.json").write_text("{}")
    assert said(send(team)) == "• saved"


def test_a_challenge_that_is_being_changed_says_so(team: Browser, house: Services) -> None:
    house.challenges.save(SLUG, "title = 3")
    answer = team.get("/class/home")
    assert answer.status_code == 409
    assert "changing the task" in answer.text


def test_a_result_and_a_challenge_are_read_once_for_all_requests(
    team: Browser, monkeypatch: pytest.MonkeyPatch
) -> None:
    def counted(name: str, read: Callable[[Path], object]) -> Callable[[Path], object]:
        return lambda path: (reads.append(name), read(path))[1]

    reads: list[str] = []
    monkeypatch.setattr(asking, "read_result", counted("result", asking.read_result))
    monkeypatch.setattr(challenges, "read_challenge", counted("challenge", challenges.read_challenge))
    for value in ("9.9", "10", "10.1"):
        send(team, value=value)
        team.text("/class/home")
    assert reads == ["challenge", "result"]


RESULTS = ("/class/results", "/class/picture", "/class/results?attempt=1", "/class/picture?attempt=1")


@pytest.mark.parametrize("path", RESULTS)
def test_results_that_are_not_open_have_no_address(team: Browser, path: str) -> None:
    answer = team.get(path)
    assert answer.status_code == 403
    assert "not open now" in answer.text
    assert not re.search(r"verdict-|\bmet\b|market", answer.text)


def test_the_picture_alone_tells_no_verdict_and_no_area(team: Browser, house: Services) -> None:
    open_all(house, "verdicts")
    page = team.text("/class/results")
    assert "market" in page
    assert "cm" not in re.sub(r"<(style|script|link|meta)[^>]*>", "", page)
    assert not re.search(r"verdict|\bmet\b", page)
    with team.get("/class/picture") as picture:
        assert picture.mimetype == "image/jpeg"
        shown = picture.data
    assert shown == (house.archive.entries(TITLE, "3")[-1].folder / "corrected.jpg").read_bytes()


def test_the_verdicts_alone_show_no_picture(team: Browser, house: Services) -> None:
    open_all(house, "picture")
    page = team.text("/class/results")
    assert "verdict-met" in page
    assert "/class/picture" not in page
    assert team.get("/class/picture").status_code == 403


def test_all_open_shows_the_annotated_picture_of_the_attempt_that_is_asked_for(
    team: Browser, house: Services, tmp_path: Path
) -> None:
    open_all(house)
    file_attempt(house, tmp_path / "second")
    assert "Photo 2" in team.text("/class/results?attempt=1")
    assert team.get("/class/picture?attempt=1").status_code == 200
    assert team.get("/class/results?attempt=3").status_code == 404
    assert team.get("/class/picture?attempt=x").status_code == 200


def test_without_an_attempt_the_results_say_so(app: Flask, house: Services) -> None:
    browser = joined(app, house, 5)
    open_all(house)
    assert "No photo yet" in browser.text("/class/results")
    assert browser.get("/class/picture").status_code == 404


def test_another_classs_attempt_of_the_same_team_number_is_not_this_teams(team: Browser, house: Services) -> None:
    open_all(house)
    result = (house.archive.entries(TITLE, "3")[-1].folder / "result.json").read_bytes()
    house.archive.save(NewAttempt("Another Harbour", "3", b"", {"result.json": result}))
    assert "Photo 2" not in team.text("/class/results")


def test_of_very_many_numbers_the_newest_are_shown(team: Browser) -> None:
    for number in range(30):
        page = send(team, value=f"{50 + number}.1")
    numbers = re.findall(r'<ul class="plain numbers">(.*?)</ul>', page, re.DOTALL)[0]
    assert numbers.count("<li>") == 12
    assert "79.1 cm" in numbers
    assert "18 numbers before these." in page
    assert "In the middle (median)" not in numbers


def test_an_areas_unit_is_a_square(team: Browser, house: Services) -> None:
    page = team.text("/class/measure")
    assert re.search(r'for="area_unit">Unit of the area</label>\s*<select id="area_unit" name="area_unit">', page)
    assert ">sq cm</option>" in page
    area = {"quantity": "area", "method": "squares", "square": "1/2 in", "unit": "cm", "area_unit": "in"}
    assert "9 3/8 sq in" in send(team, value="9 3/8", **area)
    assert HandEntries(house.database).of(SLUG, 3)[0].cells.unit == "in"


def test_a_wild_number_costs_no_try(team: Browser, house: Services) -> None:
    area = {"quantity": "area", "method": "squares", "square": "1 cm", "area_unit": "cm"}
    answer = team.post("/class/measure", {**ENTRY, **area, "value": "9999"})
    assert "more than your whole parcel has" in answer.text
    assert "was not sent yet" in answer.text
    assert HandEntries(house.database).of(SLUG, 3) == []

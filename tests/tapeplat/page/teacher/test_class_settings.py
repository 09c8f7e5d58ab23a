"""What the teacher sets for the class, and the teacher's own settings."""

from __future__ import annotations

import re

import pytest

from tapeplat.page.session.passphrase import made_passphrase
from tapeplat.page.session.services import Services
from tapeplat.page.store.classes import CODE_LENGTH
from tests.helpers.page.browser import CHALLENGE, Browser

NUMBERS = {"teams": "8", "tries": "3"}


@pytest.fixture(autouse=True)
def _harbour(house: Services) -> None:
    house.challenges.save("gull", CHALLENGE)


def test_the_teacher_opens_and_closes(teacher: Browser, house: Services) -> None:
    address = "/teacher/challenge/gull/students"
    assert teacher.post(address, {**NUMBERS, "opened": ["entry", "verdicts", "nonsense"]}).status_code == 303
    assert house.classes.of("gull").opened == {"entry", "verdicts"}
    assert re.findall(r'name="opened" value="(\w+)" checked', teacher.text(address)) == ["entry", "verdicts"]
    teacher.post(address, NUMBERS)
    assert house.classes.of("gull").opened == frozenset()


def test_teams_have_numbers_and_names_of_their_own(teacher: Browser, house: Services) -> None:
    address = "/teacher/challenge/gull/students"
    names = {"name_1": "  The   Otters ", "name_2": "<b>x</b>", "name_3": "y" * 90}
    assert teacher.post(address, {"teams": "3", "tries": "2", **names}).status_code == 303
    state = house.classes.of("gull")
    assert (state.teams, state.tries) == (3, 2)
    assert house.classes.team_names("gull")[1] == "The Otters"
    assert len(house.classes.team_names("gull")[3]) == 40
    assert "<b>x</b>" not in teacher.text(address)


@pytest.mark.parametrize(("teams", "tries"), [("0", "3"), ("30", "3"), ("8", "0"), ("x", "3"), ("8", "")])
def test_odd_numbers_are_refused(teacher: Browser, house: Services, teams: str, tries: str) -> None:
    before = house.classes.of("gull")
    answer = teacher.post("/teacher/challenge/gull/students", {"teams": teams, "tries": tries})
    assert answer.status_code == 400
    assert house.classes.of("gull") == before


def test_the_code_is_shown_large_and_can_be_changed(teacher: Browser, house: Services) -> None:
    code = house.classes.of("gull").code
    assert len(code) == CODE_LENGTH
    assert code in teacher.text("/teacher/challenge/gull/students/code")
    teacher.post("/teacher/challenge/gull/students/new-code")
    assert house.classes.of("gull").code != code
    assert house.classes.with_code(code) is None


def test_the_passphrase_is_changed_and_the_teacher_stays(teacher: Browser, house: Services) -> None:
    address = "/teacher/settings/passphrase"
    assert teacher.post(address, {"passphrase": "short", "again": "short"}).status_code == 400
    assert (
        teacher.post(address, {"passphrase": "lantern harbour nine", "again": "lantern harbour ten"}).status_code == 400
    )
    answer = teacher.post(address, {"passphrase": "lantern harbour nine", "again": "lantern harbour nine"})
    assert answer.status_code == 303
    assert house.sign_in_secrets.is_passphrase("lantern harbour nine")
    assert "new passphrase holds" in teacher.text(answer.location)


def test_made_passphrases_differ_and_are_long_enough() -> None:
    made = {made_passphrase() for _ in range(50)}
    assert len(made) == 50
    assert all(len(passphrase) == 19 for passphrase in made)


def test_one_form_keeps_all_so_that_no_part_drops_the_other(teacher: Browser, house: Services) -> None:
    page = teacher.text("/teacher/challenge/gull/students")
    fields = re.findall(r'<(?:input|button)[^>]* form="(\w+)"', page)
    assert set(fields) == {"class"}
    assert page.count('name="opened"') == len(re.findall(r'form="class" name="opened"', page)) == 4
    assert re.search(r'<input form="class" id="teams"', page)
    whole = {"teams": "5", "tries": "2", "opened": ["plan", "picture"], "name_2": "Herons", "class_name": "4b"}
    teacher.post("/teacher/challenge/gull/students", whole)
    state = house.classes.of("gull")
    assert (state.teams, state.tries, state.name) == (5, 2, "4b")
    assert state.opened == {"plan", "picture"}
    assert house.classes.team_names("gull") == {2: "Herons"}


def shown_form(page: str) -> dict[str, object]:
    """The fields of the page's one form, as a browser sends them."""
    own = re.findall(r'<input form="class"[^>]* name="(\w+)"[^>]* value="([^"]*)"', page)
    was = re.findall(r'<input type="hidden" name="(was_\w+)" value="([^"]*)"', page)
    ticked = re.findall(r'name="opened" value="(\w+)" checked', page)
    return {**dict(own), **dict(was), "opened": ticked}


def test_a_window_that_was_open_for_long_takes_nothing_back(teacher: Browser, house: Services) -> None:
    address = "/teacher/challenge/gull/students"
    teacher.post(address, {"teams": "3", "tries": "2", "name_1": "Otters", "opened": ["plan"]})
    first, second = shown_form(teacher.text(address)), shown_form(teacher.text(address))
    assert first["was_name_1"] == "Otters"
    teacher.post(address, {**second, "opened": ["plan", "verdicts"], "name_2": "Herons", "teams": "4"})
    teacher.post(address, {**first, "opened": ["entry"], "name_1": "Beavers", "tries": "5"})
    state = house.classes.of("gull")
    assert state.opened == {"entry", "verdicts"}, "what this window closed and opened, and what the other one did"
    assert (state.teams, state.tries) == (4, 5)
    assert house.classes.team_names("gull") == {1: "Beavers", 2: "Herons"}

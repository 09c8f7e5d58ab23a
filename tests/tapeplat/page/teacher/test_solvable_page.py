"""Whether rules can be met, asked from the page: for the teacher only, in a process of its own."""

from __future__ import annotations

import re
import time

import pytest

from measure.challenge import parse_challenge
from tapeplat.page.jobs.solving_job import Question
from tapeplat.page.session.services import Services
from tests.helpers.page.browser import CHALLENGE, Browser
from tests.tapeplat.page.teacher.test_challenges import form

FIGHTING = CHALLENGE.replace(
    '"market covers at most 1/5 of the parcel"',
    '"market covers at least 3/5 of the parcel",\n  "dock covers at least 3/5 of the parcel"',
)


def answer(teacher: Browser, address: str) -> str:
    """The page with the answer, when it has come."""
    for _ in range(600):
        page = teacher.text(address)
        if "<poll-part" not in page:
            return page
        time.sleep(0.1)
    raise AssertionError("no answer came")


def test_a_saved_challenge_is_tried_and_its_sample_layout_is_the_teachers_only(
    teacher: Browser, nobody: Browser, house: Services
) -> None:
    house.challenges.save("gull", CHALLENGE)
    address = teacher.post("/teacher/solvable/challenge/gull").location
    page = answer(teacher, address)
    assert "Solvable" in page
    assert "How tight" in page
    drawing = re.search(r'src="(/teacher/solvable/\w+/layout\.svg)"', page)
    assert drawing is not None
    assert "<svg" in teacher.get(drawing[1]).text
    for path in (address, drawing[1]):
        assert nobody.get(path).status_code == 302
    assert nobody.post("/teacher/solvable/challenge/gull").status_code == 403
    assert teacher.post("/teacher/solvable/challenge/gull").location == address
    assert "<poll-part" not in teacher.text(address)


def test_rules_that_fight_are_named(house: Services) -> None:
    parse_challenge(FIGHTING)
    said = Question(FIGHTING).run()
    assert said.heading.startswith("Not solvable")
    assert said.drawing == ""
    assert "dock covers at least 3/5 of the parcel" in "\n".join(said.lines)


def test_the_form_that_is_typed_is_asked_of_as_soon_as_it_is_sound(teacher: Browser, house: Services) -> None:
    asked = teacher.post("/teacher/solvable/form", form().to_dict(flat=False))
    assert "<poll-part" in asked.text
    assert "<html" not in asked.text
    unready = teacher.post("/teacher/solvable/form", form(width="wide").to_dict(flat=False))
    assert unready.status_code == 400
    assert house.challenges.all() == []


@pytest.mark.parametrize("key", ["nosuch", "0" * 24])
def test_an_answer_that_nobody_asked_for_is_told(teacher: Browser, key: str) -> None:
    assert teacher.get(f"/teacher/solvable/{key}").status_code == 404

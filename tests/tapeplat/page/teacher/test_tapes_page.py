"""The check of the tapes on the page: reached from the challenge, says what to change, keeps no photo."""

from __future__ import annotations

import io

from tapeplat.page.session.services import Services
from tests.helpers.page.browser import CHALLENGE, Browser
from tests.helpers.paths import SAMPLES
from tests.tapeplat.page.test_uploads import photo

ADDRESS = "/teacher/challenge/gull/tapes"


def test_a_photo_of_the_card_says_what_its_boxes_hold(teacher: Browser, house: Services) -> None:
    house.challenges.save("gull", (SAMPLES / "quarry-lake-3.toml").read_text("utf-8"))
    assert f'href="{ADDRESS}"' in teacher.text("/teacher/challenge/gull")
    assert "Photograph both from above" in teacher.text(ADDRESS)
    card = (SAMPLES / "quarry-lake-3.jpg").read_bytes()
    answer = teacher.post(ADDRESS, {"photos": (io.BytesIO(card), "<card>.jpg")})
    assert answer.status_code == 200
    assert "Every tape is seen" in answer.text
    assert "<td>4</td><td>playground</td><td>holds tape</td>" in answer.text
    assert "&lt;card&gt;.jpg" in answer.text
    assert house.jobs.of("gull") == []


def test_what_is_missing_on_the_card_is_said(teacher: Browser, house: Services) -> None:
    house.challenges.save("gull", (SAMPLES / "quarry-lake-2.toml").read_text("utf-8"))
    card = (SAMPLES / "quarry-lake-3.jpg").read_bytes()
    answer = teacher.post(ADDRESS, {"photos": (io.BytesIO(card), "card.jpg")})
    assert "things to change before building" in answer.text
    assert "Box 7 (rock) is empty or holds white tape" in answer.text


def test_a_photo_without_a_card_is_refused_with_its_reason(teacher: Browser, house: Services) -> None:
    house.challenges.save("gull", CHALLENGE)
    answer = teacher.post(ADDRESS, {"photos": (io.BytesIO(photo()), "noise.jpg")})
    assert answer.status_code == 400
    assert "This photo cannot be used" in answer.text


def test_it_is_the_teachers(student: Browser, nobody: Browser, house: Services) -> None:
    house.challenges.save("gull", CHALLENGE)
    for who in (student, nobody):
        assert who.get(ADDRESS).status_code in (302, 303, 403, 404)

"""A change that a browser sends again, as it saw no answer, is done once; without a name it is led on as ever."""

from __future__ import annotations

import io

from PIL import Image

from tapeplat.page.jobs.upload_check import UploadedPhoto
from tapeplat.page.session.services import Services
from tapeplat.page.store.hand_numbers import HandEntries
from tapeplat.page.store.received import key_of
from tests.helpers.page.browser import Browser, sent
from tests.helpers.page.student_world import ENTRY, SLUG, open_all

NAME = "0123456789abcdef0123456789abcdef"


def _send(browser: Browser, path: str, data: dict[str, object], name: str = NAME) -> dict[str, object]:
    headers = {"X-CSRF": browser.token(), "X-Sent-As": name, "Accept": "application/json"}
    answer = sent(browser.client.post(path, data=data, headers=headers))
    assert answer.is_json, answer.text
    found: dict[str, object] = answer.get_json()
    return found


def test_the_same_number_sent_twice_is_kept_once(student: Browser, house: Services) -> None:
    open_all(house)
    first = _send(student, "/class/measure", ENTRY)
    assert str(first["go"]).endswith("#answer")
    assert _send(student, "/class/measure", ENTRY) == first
    assert len(HandEntries(house.database).of(SLUG, 3)) == 1
    assert _send(student, "/class/measure", ENTRY, NAME[::-1]) != first
    assert len(HandEntries(house.database).of(SLUG, 3)) == 2


def test_what_was_refused_can_be_sent_again_under_its_name(student: Browser, house: Services) -> None:
    open_all(house, "entry")
    assert "error" in _send(student, "/class/measure", ENTRY)
    open_all(house)
    assert "go" in _send(student, "/class/measure", ENTRY)


def test_one_that_is_being_worked_on_is_not_begun_again(student: Browser, house: Services) -> None:
    open_all(house)
    assert house.received.begin(key_of("/class/measure", NAME))
    headers = {"X-CSRF": student.token(), "X-Sent-As": NAME, "Accept": "application/json"}
    assert sent(student.client.post("/class/measure", data=ENTRY, headers=headers)).status_code == 503
    house.received.end(key_of("/class/measure", NAME))
    assert "go" in _send(student, "/class/measure", ENTRY)


def test_a_model_is_queued_once_even_where_the_program_was_ended_before_it_could_answer(house: Services) -> None:
    out = io.BytesIO()
    Image.new("RGB", (60, 40)).save(out, "JPEG")
    photos = [UploadedPhoto(out.getvalue(), ".jpg", "a.jpg", out.getvalue())]
    first = house.jobs.add("lake", "1", photos, "teacher", sent_as=f"{NAME} 1")
    assert house.jobs.add("lake", "1", photos, "teacher", sent_as=f"{NAME} 1") == first
    house.jobs.add("lake", "2", photos, "teacher", sent_as=f"{NAME} 2")
    house.jobs.add("lake", "1", photos, "teacher")
    assert [job.team for job in house.jobs.of("lake")] == ["1", "2", "1"]
    assert len(list((house.settings.data / "photos").iterdir())) == 3


def test_what_is_remembered_goes_with_time(house: Services) -> None:
    house.received.remember("old", "/there")
    with house.database.write() as connection:
        connection.execute("UPDATE received SET made = made - 13 * 3600")
    house.received.remember("new", "/there")
    assert (house.received.answer("old"), house.received.answer("new")) == ("", "/there")


def test_a_form_without_a_script_is_led_on(student: Browser, house: Services) -> None:
    open_all(house)
    assert student.post("/class/measure", ENTRY).status_code == 303

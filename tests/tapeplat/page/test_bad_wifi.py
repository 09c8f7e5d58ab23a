"""A connection that comes and goes: nothing typed or chosen is lost, everything arrives once, nothing stays behind.

A real browser goes offline in the middle, or the program is ended and started again at the same address.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from PIL import Image

from tapeplat.page.app import create_app
from tapeplat.page.base.settings import Settings
from tapeplat.page.session.services import Services
from tapeplat.page.store.hand_numbers import HandEntries
from tapeplat.page.store.plans import Plans
from tapeplat.page.store.team_words import TeamWords
from tests.helpers.page.browser import CHALLENGE
from tests.helpers.page.chromium import CHROMIUM, follow, leave, started_browser, until
from tests.helpers.page.serving_page import free_port, on_socket
from tests.helpers.page.student_world import SLUG, TITLE, open_all

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="there is no Chromium (Debian: apt install chromium)")
LATER = 60_000
"""ms: the page tries again every few seconds."""
KEPT = "[...Object.keys(localStorage)].filter(name => name.startsWith('tapeplat'))"
PHOTOS = """new Promise(done => { const asked = indexedDB.open("tapeplat"); asked.onsuccess = () => {
  const all = asked.result.objectStoreNames.contains("models")
    ? asked.result.transaction("models").objectStore("models").count() : null;
  if (all) all.onsuccess = () => done(all.result); else done(0); }; })"""


@dataclass
class House:
    """A page that can be ended and started again at its address, and a browser."""

    folder: Path
    port: int
    chromium: Any
    app: Flask | None = None
    _serving: AbstractContextManager[str] | None = None

    @property
    def base(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    @property
    def services(self) -> Services:
        assert self.app is not None
        made = self.app.extensions["tapeplat"]
        assert isinstance(made, Services)
        return made

    def begin(self) -> None:
        settings = Settings(self.folder / "data", self.folder / "archive", self.port, address=self.base, workers=0)
        self.app = create_app(settings)
        self._serving = on_socket(self.app, self.port)
        self._serving.__enter__()

    def end(self) -> None:
        if self._serving is not None:
            self._serving.__exit__(None, None, None)
            self.services.close()
        self._serving = None

    @contextmanager
    def browser(self) -> Iterator[Any]:
        context = self.chromium.new_context(viewport={"width": 1100, "height": 800})
        try:
            yield context.new_page()
        finally:
            leave(context)


@pytest.fixture(scope="module")
def chromium() -> Iterator[Any]:
    with started_browser() as browser:
        yield browser


@pytest.fixture
def house(tmp_path: Path, chromium: Any) -> Iterator[House]:
    made = House(tmp_path, free_port(), chromium)
    made.begin()
    made.services.challenges.create(TITLE, CHALLENGE)
    open_all(made.services)
    yield made
    made.end()


def come_in(house: House, page: Any, team: int = 3) -> None:
    page.goto(f"{house.base}/class/code")
    page.get_by_label("Your class code").fill(house.services.classes.of(SLUG).code)
    page.get_by_role("button", name="Go in").click()
    page.get_by_role("button", name=f"Team {team}", exact=True).click()
    playwright.expect(page.get_by_role("heading", level=1)).to_have_text(TITLE)


def as_teacher(house: House, page: Any) -> None:
    page.goto(f"{house.base}/start/{house.services.start_key.key}")
    playwright.expect(page.get_by_role("heading", level=1)).to_have_text("Challenges")


def type_number(page: Any, number: str) -> None:
    page.get_by_label("Zone", exact=True).select_option("market")
    page.get_by_label("Side number").fill("1")
    page.get_by_label("Your number").fill(number)


def numbers(house: House) -> list[str]:
    return [entry.cells.value for entry in HandEntries(house.services.database).of(SLUG, 3)]


def go_offline(page: Any) -> None:
    page.wait_for_load_state("load")  # its scripts are there
    page.context.set_offline(True)


def kept(page: Any) -> list[str]:
    found: list[str] = page.evaluate(KEPT)
    return found


def photo(shade: int) -> dict[str, Any]:
    out = io.BytesIO()
    Image.effect_noise((900, 700), shade).convert("RGB").save(out, "JPEG", quality=95)
    return {"name": f"model-{shade}.jpg", "mimeType": "image/jpeg", "buffer": out.getvalue()}


def test_numbers_typed_without_a_connection_arrive_once_it_is_back(house: House) -> None:
    with house.browser() as page:
        come_in(house, page)
        follow(page.get_by_role("link", name="Measure", exact=True))
        go_offline(page)
        for number in ("9.1", "9.2"):
            type_number(page, number)
            page.get_by_role("button", name="Check my number").click()
            playwright.expect(page.get_by_label("Your number")).to_have_value("")
        playwright.expect(page.locator("#kept")).to_contain_text("No connection")
        playwright.expect(page.locator("#kept")).to_contain_text("Measure (2)")
        assert numbers(house) == []
        page.context.set_offline(False)
        playwright.expect(page.locator("#answer")).to_be_visible(timeout=LATER)
        until(lambda: numbers(house) == ["9.1", "9.2"], "both numbers")
        until(lambda: kept(page) == [], "nothing waits on the device")


def test_a_plan_outlives_the_program_a_reload_and_another_page(house: House) -> None:
    with house.browser() as page:
        come_in(house, page)
        follow(page.get_by_role("link", name="Draw a plan"))
        page.get_by_role("button", name="Add a rectangle").click()
        page.get_by_role("button", name="Add a rectangle").click()
        house.end()
        page.get_by_role("button", name="Save", exact=True).click()
        playwright.expect(page.locator("#kept")).to_contain_text("is sent by itself when the connection is back: Plan.")
        with pytest.raises(playwright.Error):
            page.reload()
        house.begin()
        page.goto(f"{house.base}/class/home")
        playwright.expect(page.locator("#kept")).to_contain_text("Sent: Plan", timeout=LATER)
        assert len(Plans(house.services.database).of(SLUG, 3)) == 1
        follow(page.get_by_role("link", name="Plan", exact=True))
        playwright.expect(page.locator("[data-pieces] polygon")).to_have_count(2)
        playwright.expect(page.locator("#kept")).to_be_empty()
        until(lambda: kept(page) == [], "nothing waits on the device")


def test_a_plan_that_was_not_sent_is_there_after_a_reload_and_the_way_back(house: House) -> None:
    with house.browser() as page:
        come_in(house, page)
        page.goto(f"{house.base}/class/plan")
        for count in (1, 2, 3):
            page.get_by_role("button", name="Add a rectangle").click()
            page.reload()
            playwright.expect(page.locator("[data-pieces] polygon")).to_have_count(count)
            playwright.expect(page.locator("#kept")).to_contain_text("is here again")
        page.goto(f"{house.base}/class/home")
        page.go_back()
        playwright.expect(page.locator("[data-pieces] polygon")).to_have_count(3)
        page.get_by_role("button", name="Start over").click()
        playwright.expect(page.locator("[data-pieces] polygon")).to_have_count(0)
        page.reload()
        playwright.expect(page.locator("[data-pieces] polygon")).to_have_count(0)


def test_an_answer_that_gets_lost_is_asked_for_again_and_nothing_is_done_twice(house: House) -> None:
    with house.browser() as page:
        come_in(house, page)
        follow(page.get_by_role("link", name="Measure", exact=True))
        lost = []

        def lose(route: Any) -> None:
            if route.request.method == "POST" and not lost:
                lost.append(route.fetch(max_redirects=0).status)  # it arrives, and its answer does not
                route.abort()
            else:
                route.continue_()

        page.route("**/class/measure", lose)
        type_number(page, "8.5")
        page.get_by_role("button", name="Check my number").click()
        playwright.expect(page.locator("#answer")).to_be_visible(timeout=LATER)
        assert (lost, numbers(house)) == ([200], ["8.5"])


def test_what_the_page_refuses_stays_where_it_was_typed(house: House) -> None:
    with house.browser() as page:
        come_in(house, page)
        follow(page.get_by_role("link", name="Measure", exact=True))
        type_number(page, "12.5")
        open_all(house.services, "entry")  # closed by the teacher meanwhile
        page.get_by_role("button", name="Check my number").click()
        playwright.expect(page.locator("#kept")).to_contain_text("is not open now")
        playwright.expect(page.get_by_label("Your number")).to_have_value("12.5")
        open_all(house.services)
        page.get_by_role("button", name="Check my number").click()
        playwright.expect(page.locator("#answer")).to_be_visible()
        type_number(page, "a lot")
        page.get_by_role("button", name="Check my number").click()
        playwright.expect(page.locator("#value-wrong")).to_be_visible()
        playwright.expect(page.get_by_label("Your number")).to_have_value("a lot")


def test_a_challenge_and_its_rows_outlive_a_reload(house: House) -> None:
    with house.browser() as page:
        as_teacher(house, page)
        page.goto(f"{house.base}/teacher/new")
        page.get_by_label("Name of the challenge").fill("Heron Meadow")
        for _ in range(3):
            page.get_by_role("button", name="Add a zone").click()
        many = page.get_by_label("Zone", exact=True).count()
        page.get_by_label("Zone", exact=True).last.fill("reeds")
        page.get_by_label("Rule", exact=True).first.fill("there is a reeds")
        page.reload()
        playwright.expect(page.get_by_label("Name of the challenge")).to_have_value("Heron Meadow")
        playwright.expect(page.get_by_label("Zone", exact=True)).to_have_count(many)
        playwright.expect(page.get_by_label("Zone", exact=True).last).to_have_value("reeds")
        playwright.expect(page.get_by_label("Rule", exact=True).first).to_have_value("there is a reeds")
        playwright.expect(page.locator("#rules .reads, #rules .wrong").first).to_be_visible()


def test_photos_go_in_the_background_and_arrive_once(house: House) -> None:
    with house.browser() as page:
        as_teacher(house, page)
        page.goto(f"{house.base}/teacher/challenge/{SLUG}/photos")
        go_offline(page)
        for team in ("1", "2"):
            page.get_by_label("Team").select_option(team)
            page.set_input_files("#files", [photo(20 + int(team)), photo(30 + int(team))])
            page.get_by_role("button", name="Send and measure").click()
            playwright.expect(page.locator("#chosen li")).to_have_count(0)
        playwright.expect(page.locator("#sending")).to_contain_text("Team 1, 2 photos: no connection")
        playwright.expect(page.locator("#sending li")).to_have_count(2)
        page.context.set_offline(False)
        playwright.expect(page.locator("#queue")).to_contain_text("Team 2", timeout=LATER)
        playwright.expect(page.locator("#sending li")).to_have_count(0, timeout=LATER)
        assert sorted((job.team, len(job.given)) for job in house.services.jobs.of(SLUG)) == [("1", 2), ("2", 2)]
        until(lambda: page.evaluate(PHOTOS) == 0, "no photo waits on the device")


def test_photos_whose_answer_gets_lost_are_not_doubled_though_the_program_was_ended(house: House) -> None:
    with house.browser() as page:
        as_teacher(house, page)
        page.goto(f"{house.base}/teacher/challenge/{SLUG}/photos")

        def lose(route: Any) -> None:
            if route.request.method == "POST":
                route.fetch(max_redirects=0)
                house.services.database.write().__enter__().execute("DELETE FROM received").connection.commit()
                route.abort()
            else:
                route.continue_()

        page.route("**/photos", lose)
        page.get_by_label("Team").select_option("4")
        page.set_input_files("#files", photo(40))
        page.get_by_role("button", name="Send and measure").click()
        playwright.expect(page.locator("#sending")).to_contain_text("no connection")
        page.unroute("**/photos")
        house.end()
        house.begin()
        page.goto(f"{house.base}/teacher/archive")  # from any page
        until(lambda: page.evaluate(PHOTOS) == 0, "no photo waits on the device")
        assert [job.team for job in house.services.jobs.of(SLUG)] == ["4"]


def test_a_file_that_is_no_photo_is_refused_in_its_line(house: House) -> None:
    with house.browser() as page:
        as_teacher(house, page)
        page.goto(f"{house.base}/teacher/challenge/{SLUG}/photos")
        page.get_by_label("Team").select_option("1")
        page.set_input_files("#files", {"name": "b.jpg", "mimeType": "image/jpeg", "buffer": b"no photo"})
        page.get_by_role("button", name="Send and measure").click()
        playwright.expect(page.locator("#sending")).to_contain_text("not taken in")
        page.get_by_role("button", name="Take off this list").click()
        playwright.expect(page.locator("#sending li")).to_have_count(0)


def test_nothing_stays_on_the_device_after_leaving(house: House) -> None:
    with house.browser() as page:
        come_in(house, page)
        page.goto(f"{house.base}/class/measure")
        type_number(page, "7.5")
        until(lambda: bool(kept(page)), "what was typed is on the device")
        said = []
        page.on("dialog", lambda dialog: (said.append(dialog.message), dialog.accept()))
        page.goto(f"{house.base}/class/home")
        page.get_by_role("button", name="Leave the team on this device").click()
        page.wait_for_url("**/class/code")
        assert "not sent yet" in said[0]
        until(lambda: kept(page) == [], "nothing is left on the device")
        come_in(house, page, team=5)
        page.goto(f"{house.base}/class/measure")
        playwright.expect(page.get_by_label("Your number")).to_have_value("")


def test_another_team_never_sees_what_was_typed_though_nobody_left(house: House) -> None:
    with house.browser() as page:
        come_in(house, page)
        page.goto(f"{house.base}/class/measure")
        type_number(page, "7.5")
        page.context.clear_cookies()  # the visit is over
        page.goto(f"{house.base}/class/code")
        until(lambda: kept(page) == [], "nothing is left on the device")


def test_a_team_that_has_to_come_in_anew_finds_what_it_typed(house: House) -> None:
    with house.browser() as page:
        come_in(house, page)
        page.goto(f"{house.base}/class/measure")
        type_number(page, "7.5")
        house.services.classes.new_code(SLUG)
        come_in_again = page.goto(f"{house.base}/class/measure")
        assert come_in_again.url.endswith("/class/code")
        until(lambda: bool(kept(page)), "what was typed is on the device")
        page.get_by_label("Your class code").fill(house.services.classes.of(SLUG).code)
        page.get_by_role("button", name="Go in").click()
        page.get_by_role("button", name="Team 3", exact=True).click()
        page.get_by_label("Your team's word").fill(TeamWords(house.services.database).word(SLUG, 3))
        page.get_by_role("button", name="Go in").click()
        playwright.expect(page.get_by_role("heading", level=1)).to_have_text(TITLE)
        page.goto(f"{house.base}/class/measure")
        playwright.expect(page.get_by_label("Your number")).to_have_value("7.5")

"""In a browser: a repair and a removed attempt come back, and no form of a page drops what stands in another."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from measure.file_content import FileContent
from measure.result.result import read_result
from tapeplat.archive import Entry
from tapeplat.page.app import create_app
from tapeplat.page.base.settings import Settings
from tapeplat.page.jobs.filing_job import FilingJob
from tests.helpers.page.chromium import CHROMIUM, started_browser
from tests.helpers.page.serving_page import free_port, on_socket
from tests.helpers.paths import SAMPLES
from tests.tapeplat.page.test_story import World, drag_first_corner

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="there is no Chromium (Debian: apt install chromium)")
SLUG = "lake"
TEXT = (SAMPLES / "quarry-lake-1.toml").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def world(tmp_path_factory: pytest.TempPathFactory) -> Iterator[World]:
    """Team 1's model, measured."""
    folder: Path = tmp_path_factory.mktemp("undo")
    port = free_port()
    app = create_app(Settings(folder / "data", folder / "archive", port, workers=0))
    house = app.extensions["tapeplat"]
    house.challenges.save(SLUG, TEXT)
    job = FilingJob(
        challenge=FileContent("lake.toml", TEXT.encode()),
        team="1",
        photos=(SAMPLES / "quarry-lake-1.jpg",),
        archive=folder / "archive",
        data=folder / "data",
        class_id=house.classes.of(SLUG).id,
    )
    assert job.run().measured
    with on_socket(app, port) as base, started_browser() as browser:
        made = World(base, house, browser)
        with made.page() as page:
            page.goto(f"{base}/start/{house.start_key.key}")
            made.state = page.context.storage_state()
        yield made
    house.close()


@pytest.fixture(autouse=True)
def quiet(world: World) -> Iterator[None]:
    world.said.clear()
    yield
    assert world.said == []


def entry_of(world: World) -> Entry:
    (entry,) = world.house.archive.entries()
    return entry


def model(world: World) -> str:
    return f"{world.base}/teacher/model/{entry_of(world).id}"


def outlines(world: World) -> list[Any]:
    return [piece.outline for zone in read_result(entry_of(world).folder).zones for piece in zone.pieces]


def test_a_repair_goes_back_to_the_photos_outlines(world: World) -> None:
    before = outlines(world)
    with world.page() as page:
        page.goto(model(world))
        playwright.expect(page.get_by_role("button", name="Back to the photo's outlines")).to_have_count(0)
        drag_first_corner(page)
        assert outlines(world) != before
        page.get_by_role("button", name="Back to the photo's outlines").click()
        playwright.expect(page.get_by_text("was changed by hand")).to_have_count(0)
        playwright.expect(page.get_by_role("button", name="Back to the photo's outlines")).to_have_count(0)
    assert outlines(world) == before


def test_a_removed_attempt_comes_back(world: World) -> None:
    with world.page() as page:
        page.goto(model(world))
        page.get_by_text("Remove this attempt").click()
        page.get_by_role("button", name="Remove attempt 1").click()
        playwright.expect(page.get_by_role("heading", name="Nothing measured yet")).to_be_visible()
        assert world.house.archive.entries() == ()
        page.get_by_role("link", name="Archive", exact=True).click()
        page.get_by_text("1 removed attempt").click()
        page.get_by_role("button", name="Bring it back").click()
        playwright.expect(page.get_by_role("heading", name="Team 1, attempt 1")).to_be_visible()
    assert entry_of(world).team == "1"
    assert world.house.archive.verify() == ()


def test_another_form_of_the_page_drops_no_tick_and_no_name(world: World) -> None:
    """On the students' page a new code is a form of its own."""
    world.house.classes.open_only(SLUG, frozenset({"plan"}))
    code = world.house.classes.of(SLUG).code
    with world.page() as page:
        page.goto(f"{world.base}/teacher/challenge/{SLUG}/students")
        ticks = page.get_by_label("Enter hand measurements", exact=False), page.get_by_label("verdicts", exact=False)
        for tick in ticks:
            tick.check()
        page.get_by_label("Draw a plan", exact=False).uncheck()
        page.get_by_label("Team 2", exact=True).fill("Foxes")
        page.get_by_role("button", name="Make a new code").click()
        playwright.expect(page.locator(".code-large")).not_to_have_text(code)
        for tick in ticks:
            playwright.expect(tick).to_be_checked()
        playwright.expect(page.get_by_label("Draw a plan", exact=False)).not_to_be_checked()
        playwright.expect(page.get_by_label("Team 2", exact=True)).to_have_value("Foxes")
        page.get_by_role("button", name="Keep all of this page").first.click()
        page.wait_for_url("**#kept")
    assert world.house.classes.of(SLUG).opened == {"entry", "verdicts"}
    assert world.house.classes.team_names(SLUG) == {2: "Foxes"}


def test_a_repair_drops_nothing_that_was_typed_beside_it(world: World) -> None:
    with world.page() as page:
        page.goto(model(world))
        eye, height = page.locator("#rule-10").get_by_label("What you saw"), page.get_by_label("Height").first
        eye.fill("walked half of them")
        height.fill("2 1/4")
        drag_first_corner(page)
        playwright.expect(eye).to_have_value("walked half of them")
        playwright.expect(height).to_have_value("2 1/4")
        page.locator("#rule-10").get_by_role("button", name="It is met").click()
        playwright.expect(page.locator("#rule-10 .said").last).to_contain_text("met by hand")
        playwright.expect(height).to_have_value("2 1/4")


def decide_rule_10(page: Any) -> None:
    """Met by hand, whichever tests ran in this world before."""
    eye = page.locator("#rule-10").get_by_label("What you saw")
    if eye.is_visible():
        eye.fill("walked all of them")
        page.locator("#rule-10").get_by_role("button", name="It is met").click()
        playwright.expect(page.locator("#rule-10 .said").last).to_contain_text("met by hand")


def test_no_other_form_drops_outlines_that_are_not_saved(world: World) -> None:
    with world.page() as page:
        page.goto(model(world))
        decide_rule_10(page)
        page.get_by_label("Outline", exact=True).select_option(label="orchard 1")
        page.get_by_role("button", name="Corner 1 of orchard 1, ").focus()
        page.keyboard.press("Shift+ArrowLeft")
        page.get_by_role("button", name="Take back the verdict by hand").click()
        playwright.expect(page.locator("[data-part=status]")).to_contain_text("save your changes to the outlines first")
        playwright.expect(page.locator("#rule-10 .said").last).to_contain_text("met by hand")
        page.get_by_role("button", name="Save and measure again").first.click()
        playwright.expect(page.locator("[data-part=status]")).to_contain_text("Saved.")
        page.get_by_role("button", name="Take back the verdict by hand").click()
        playwright.expect(page.locator("#rule-10").get_by_label("What you saw")).to_be_visible()


def test_words_for_the_poster_stay_while_another_form_is_sent(world: World) -> None:
    expect = playwright.expect
    with world.page() as page:
        page.goto(model(world))
        page.get_by_label("The team's words").fill("We moved the stables twice.")
        page.get_by_label("What you saw").first.fill("walked it with a toy")
        page.get_by_role("button", name="It is met").first.click()
        expect(page.get_by_role("button", name="Take back the verdict by hand")).to_have_count(1)
        expect(page.get_by_label("The team's words")).to_have_value("We moved the stables twice.")
        page.get_by_role("button", name="Take back the verdict by hand").click()
        expect(page.get_by_role("button", name="Take back the verdict by hand")).to_have_count(0)


def test_starting_over_shows_what_is_saved_and_not_what_was_refused(world: World) -> None:
    """Somebody else saved the challenge in between: the form is refused, and given up for what the other one saved."""
    expect = playwright.expect
    with world.page() as page:
        page.goto(f"{world.base}/teacher/challenge/{SLUG}/edit")
        title = page.get_by_label("Name of the challenge")
        title.fill("Heron Bay")
        world.house.challenges.save(SLUG, TEXT.replace("Quarry Lake", "Quarry Pond"))
        page.get_by_role("button", name="Save", exact=True).click()
        expect(page.get_by_text("somebody else saved this challenge").first).to_be_visible()
        expect(title).to_have_value("Heron Bay")
        page.reload()
        page.get_by_role("button", name="Start over").click()
        expect(title).to_have_value(re.compile("Quarry Pond"))
    world.house.challenges.save(SLUG, TEXT)
    world.said[:] = [line for line in world.said if "409" not in line]  # the browser's own word of a refused form

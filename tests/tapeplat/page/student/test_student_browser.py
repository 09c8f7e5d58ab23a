"""The students' pages in a real browser: drawing by mouse, fingers and keys, without a script, and for everybody.

Every page is checked by axe-core (WCAG 2.2 AA) in light and dark, at a phone's and a laptop's width; pages may say
nothing in the browser's console, ask no other host, and be no wider than the screen.
"""

from __future__ import annotations

import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from werkzeug.serving import make_server

from tests.helpers.page.chromium import CHROMIUM, WCAG, started_browser, until
from tests.helpers.page.student_world import SLUG, file_attempt, joined, open_all

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-playwright-python is not installed")

from tapeplat.page.app import create_app  # noqa: E402
from tapeplat.page.base.settings import Settings  # noqa: E402
from tapeplat.page.store.team_words import TeamWords  # noqa: E402
from tests.tapeplat.page.test_story import World  # noqa: E402

pytestmark = [
    pytest.mark.skipif(CHROMIUM is None, reason="there is no Chromium (Debian: apt install chromium)"),
    # The browser drops a connection when it leaves a page, and this small server then leaves the file to the collector.
    pytest.mark.filterwarnings("ignore:.*unclosed file.*:ResourceWarning"),
    pytest.mark.filterwarnings("ignore:Exception ignored in.*FileIO:pytest.PytestUnraisableExceptionWarning"),
]
PLACE = """([x, y]) => { const svg = document.querySelector("[data-drawing]");
  const at = new DOMPoint(x, y).matrixTransform(svg.getScreenCTM()); return [at.x, at.y]; }"""

CHECKED = 60_000
"""ms: the first check starts a worker, which takes long on a busy machine."""


@pytest.fixture(scope="module")
def world(tmp_path_factory: pytest.TempPathFactory) -> Iterator[World]:
    """The harbour's class on a socket; team 3 is measured, and everything is open."""
    folder: Path = tmp_path_factory.mktemp("class")
    server = make_server("127.0.0.1", 0, lambda environ, start: app(environ, start), threaded=True)
    app = create_app(Settings(folder / "data", folder / "archive", server.server_port))
    house = app.extensions["tapeplat"]
    joined(app, house, 3)
    open_all(house)
    file_attempt(house, folder)
    serving = threading.Thread(target=server.serve_forever, daemon=True)
    serving.start()
    with started_browser() as browser:
        yield World(f"http://127.0.0.1:{server.server_port}", house, browser)
    server.shutdown()
    serving.join()
    server.server_close()
    house.close()


@pytest.fixture(autouse=True)
def _quiet(world: World) -> Iterator[None]:
    world.said.clear()
    yield
    assert world.said == []


def enter(world: World, page: Any, team: int) -> None:
    page.goto(f"{world.base}/class/code")
    page.get_by_label("Your class code").fill(world.house.classes.of(SLUG).code)
    page.get_by_role("button", name="Go in").click()
    page.get_by_role("button", name=f"Team {team}", exact=True).click()
    word, inside = (
        page.get_by_label("Your team's word"),
        page.get_by_role("heading", name="Gull Point Harbour", level=1),
    )
    playwright.expect(word.or_(inside)).to_be_visible()
    if word.is_visible():
        page.get_by_label("Your team's word").fill(TeamWords(world.house.database).word(SLUG, team))
        page.get_by_role("button", name="Go in").click()
    playwright.expect(inside).to_be_visible()


def place(page: Any, x: float, y: float) -> tuple[float, float]:
    """Where on the screen a place of the plan lies."""
    across, down = page.evaluate(PLACE, [x, y])
    return across, down


def drag(page: Any, start: tuple[float, float], end: tuple[float, float]) -> None:
    playwright.expect(page.get_by_role("button", name="Add a rectangle")).to_be_visible()  # the script is there
    page.locator("[data-drawing]").evaluate("it => it.scrollIntoView({block: 'center'})")
    page.mouse.move(*place(page, *start))
    page.mouse.down()
    page.mouse.move(*place(page, (start[0] + end[0]) / 2, (start[1] + end[1]) / 2))
    page.mouse.move(*place(page, *end))
    page.mouse.up()


def rows(page: Any) -> list[list[str]]:
    """The plan's rows of numbers, as they would be sent."""
    read = """all => all.map(row => [...row.querySelectorAll("select, input")].map(it => it.value))
      .filter(row => row[0])"""
    found: list[list[str]] = page.locator("[data-row]").evaluate_all(read)
    return found


def has_rows(page: Any, *expected: list[str], after: int = 0) -> None:
    """Wait until the rows that follow so many are these."""
    until(lambda: rows(page)[after:] == list(expected), f"rows {expected}")


def accessible(page: Any) -> None:
    """Nothing that axe-core finds, in light and dark, and nothing beside the screen."""
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        found = axe.Axe().run(page, options=WCAG).response["violations"]
        assert [(each["id"], [node["html"][:120] for node in each["nodes"][:2]]) for each in found] == [], page.url
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), page.url


@pytest.mark.parametrize("size", ["laptop", "phone"])
def test_a_teams_way_through_its_pages(world: World, size: str) -> None:
    with world.page(size, teacher=False) as page:
        page.goto(f"{world.base}/class/code")
        accessible(page)
        enter(world, page, 3)
        accessible(page)
        page.get_by_role("link", name="Measure", exact=True).click()
        accessible(page)
        page.get_by_label("Zone", exact=True).select_option("market")
        page.get_by_label("Side number").fill("1" if size == "laptop" else "2")
        page.get_by_label("Your number").fill("10" if size == "laptop" else "6")
        page.get_by_role("button", name="Check my number").click()
        playwright.expect(page.locator("#answer")).to_contain_text("agrees")
        page.get_by_role("radio", name="gap", exact=True).check()
        page.get_by_label("To which zone?").select_option("dock")
        page.get_by_label("Your number").fill("9" if size == "laptop" else "13")
        page.get_by_role("button", name="Check my number").click()
        playwright.expect(page.locator("#answer")).to_contain_text("look again")
        accessible(page)
        page.get_by_role("link", name="Results", exact=True).click()
        accessible(page)
        open_all(world.house, "verdicts")
        page.reload()
        playwright.expect(page.get_by_role("img", name="Your model from above")).to_be_visible()
        accessible(page)
        open_all(world.house)


def test_only_the_fields_that_belong_are_in_sight(world: World) -> None:
    with world.page("phone", teacher=False) as page:
        enter(world, page, 3)
        page.goto(f"{world.base}/class/measure")
        playwright.expect(page.get_by_label("Side number")).to_be_visible()
        playwright.expect(page.get_by_label("To which zone?")).to_be_hidden()
        page.get_by_role("radio", name="area", exact=True).check()
        playwright.expect(page.get_by_label("Side number")).to_be_hidden()
        page.get_by_role("radio", name="count squares", exact=True).check()
        playwright.expect(page.get_by_label("Side of one square")).to_be_visible()
        playwright.expect(page.get_by_label("Ruler's smallest marks")).to_be_hidden()


@pytest.mark.parametrize("size", ["laptop", "phone"])
def test_a_plan_is_drawn_by_pointer_and_checked(world: World, size: str) -> None:
    with world.page(size, teacher=False) as page:
        enter(world, page, 4)
        page.get_by_role("link", name="Plan", exact=True).click()
        accessible(page)
        before = len(rows(page))
        drag(page, (4, 4), (13.8, 10.3))
        has_rows(page, ["market", "4", "4", "10", "6", ""], after=before)
        drag(page, (9, 7), (10, 9))  # the drawn one is chosen: it moves
        has_rows(page, ["market", "5", "6", "10", "6", ""], after=before)
        drag(page, (15, 12), (18, 14))  # its corner
        has_rows(page, ["market", "5", "6", "13", "8", ""], after=before)
        page.locator(".chip", has_text="dock").click()
        page.get_by_role("button", name="Corner by corner").click()
        page.locator("[data-drawing]").evaluate("it => it.scrollIntoView({block: 'center'})")
        for corner in ((22, 4), (30, 4), (30, 12), (26, 12), (26, 20), (22, 20), (22, 4)):
            point = place(page, *corner)
            page.touchscreen.tap(*point) if size == "phone" else page.mouse.click(*point)
        corners = "(22, 4) (30, 4) (30, 12) (26, 12) (26, 20) (22, 20)"
        until(lambda: rows(page)[-1][5] == corners, corners)
        accessible(page)
        page.get_by_role("button", name="Check our plan").click()
        playwright.expect(page.locator("#checked")).to_contain_text("met", timeout=CHECKED)
        accessible(page)


def test_a_name_stays_within_its_shape(world: World) -> None:
    with world.page("phone", teacher=False) as page:
        enter(world, page, 5)
        page.goto(f"{world.base}/class/plan")
        page.locator(".chip", has_text="market").click()
        drag(page, (4, 4), (9, 12))
        playwright.expect(page.locator("[data-piece]").first).to_be_visible()
        wide = "g => [g.querySelector('polygon').getBBox().width, g.querySelector('text').getBBox().width]"
        pieces = page.locator("[data-piece]").all()
        sizes = [piece.evaluate(wide) for piece in pieces]
        assert sizes
        assert all(text <= shape for shape, text in sizes), sizes


def test_a_plan_is_drawn_by_keys_alone(world: World) -> None:
    with world.page(teacher=False) as page:
        enter(world, page, 5)
        page.goto(f"{world.base}/class/plan")
        page.get_by_role("button", name="Add a rectangle").focus()
        page.keyboard.press("Enter")
        until(lambda: len(rows(page)) == 1, "a rectangle")
        start = [float(cell) for cell in rows(page)[0][1:5]]
        for key in ("ArrowRight", "ArrowRight", "ArrowDown", "Shift+ArrowRight", "Shift+ArrowDown", "Shift+ArrowDown"):
            page.keyboard.press(key)
        moved = [a + b for a, b in zip(start, (2, 1, 1, 2), strict=True)]
        until(lambda: rows(page)[0][1:5] == [f"{cell:g}" for cell in moved], "moved and made larger")
        page.keyboard.press("Enter")  # to its corners
        playwright.expect(page.locator("[data-corner='0']")).to_be_focused()
        page.locator("[data-after='1']").focus()
        page.keyboard.press("Enter")
        playwright.expect(page.locator("[data-corner='2']")).to_be_focused()
        page.keyboard.press("ArrowLeft")
        until(lambda: rows(page)[0][5].count("(") == 5, "five corners")
        page.keyboard.press("Delete")
        until(lambda: rows(page)[0][1:5] == [f"{cell:g}" for cell in moved], "a rectangle again")
        playwright.expect(page.get_by_role("status").last).to_have_text("The corner is removed.")
        page.locator("[data-piece]").focus()
        page.keyboard.press("Delete")
        has_rows(page)
        page.get_by_role("button", name="Undo").focus()
        page.keyboard.press("Enter")
        until(lambda: len(rows(page)) == 1, "what was removed")


def test_a_shape_that_crosses_itself_or_leaves_the_parcel_is_refused_in_words(world: World) -> None:
    with world.page(teacher=False) as page:
        enter(world, page, 6)
        page.goto(f"{world.base}/class/plan")
        drag(page, (1, 1), (9, 9))
        page.locator("[data-after='0']").focus()
        page.keyboard.press("Enter")
        until(lambda: rows(page)[0][5].count("(") == 5, "five corners")
        before = rows(page)
        for _ in range(5):
            page.keyboard.press("ArrowUp")
        until(lambda: rows(page)[0][5].startswith("(1, 1) (5, 0)"), "a corner at the edge")
        assert rows(page) != before
        playwright.expect(page.locator("[data-status]")).to_contain_text("does not work")


def test_numbers_that_are_typed_are_drawn_and_zoom_stays(world: World) -> None:
    with world.page(teacher=False) as page:
        enter(world, page, 7)
        page.goto(f"{world.base}/class/plan")
        page.get_by_text("The plan in numbers").click()
        first = page.locator("[data-row]").first
        first.get_by_label("Zone").select_option("dock")
        for label, value in (("from the left", "2"), ("from the top", "3"), ("width", "4.5"), ("depth", "5")):
            first.get_by_label(label, exact=True).fill(value)
        playwright.expect(page.locator("[data-piece] polygon")).to_have_attribute("points", "2,3 6.5,3 6.5,8 2,8")
        whole = page.locator("[data-drawing]").get_attribute("viewBox")
        page.get_by_role("button", name="Zoom in").click()
        playwright.expect(page.locator("[data-drawing]")).not_to_have_attribute("viewBox", whole)
        page.get_by_role("button", name="Whole").click()
        playwright.expect(page.locator("[data-drawing]")).to_have_attribute("viewBox", whole)
        page.get_by_role("button", name="Save").click()  # leaving with unsaved changes would ask


def test_everything_works_without_a_script(world: World) -> None:
    with world.page("phone", teacher=False, java_script_enabled=False) as page:
        enter(world, page, 8)
        page.get_by_role("link", name="Draw a plan").click()
        first = page.locator("[data-row]").first
        first.get_by_label("Zone").select_option("market")
        for label, value in (("from the left", "4"), ("from the top", "4"), ("width", "20"), ("depth", "20")):
            first.get_by_label(label, exact=True).fill(value)
        page.get_by_role("button", name="Check our plan").click()
        playwright.expect(page.locator("#checked")).to_contain_text("not met", timeout=CHECKED)
        playwright.expect(page.locator("[data-pieces] polygon")).to_have_count(1)
        page.get_by_role("link", name="Measure", exact=True).click()
        page.get_by_label("Zone", exact=True).select_option("market")
        page.get_by_label("Side number").fill("1")
        page.get_by_label("Your number").fill("a lot")
        page.get_by_role("button", name="Check my number").click()
        playwright.expect(page.locator("#value-wrong")).to_be_visible()
        assert all("400" in line for line in world.said)  # Chromium notes that the answer was one
        world.said.clear()
        page.get_by_label("Your number").fill("12.5")
        page.get_by_role("button", name="Check my number").click()
        playwright.expect(page.locator("#answer")).to_contain_text("checked when")

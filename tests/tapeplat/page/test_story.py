"""The teacher's story in a real browser: a challenge made, photos sent from a phone, models judged, repaired, compared.

Every page is checked by axe-core (WCAG 2.2 AA) in light and dark, at a phone's and a laptop's width, and may neither
say anything in the browser's console nor be wider than the screen.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

import pytest
from PIL import Image

from tapeplat.page.app import create_app
from tapeplat.page.base.settings import Settings
from tapeplat.page.jobs.solving_job import Question
from tapeplat.page.session.services import Services
from tests.helpers.page.chromium import CHROMIUM, MEASURED, WCAG, leave, started_browser, until
from tests.helpers.page.serving_page import free_port, on_socket
from tests.helpers.paths import SAMPLES

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-playwright-python is not installed")
pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="there is no Chromium (Debian: apt install chromium)")
SIZES = {
    "laptop": {"viewport": {"width": 1366, "height": 768}},
    "phone": {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True},
}
ZONES = ("orchard", "waterworks", "turbines", "landing", "greenhouse")
RULES = (
    "there are exactly 2 pieces of orchard",
    "landing covers at most 1/8 of the parcel",
    "greenhouse is at least 1 in from waterworks",
    "by eye: every street can be walked from end to end",
)


@dataclass
class World:
    """A running page, a browser, and everything that the browser complained about."""

    base: str
    house: Services
    chromium: Any
    said: list[str] = field(default_factory=list)
    state: Any = None

    @contextmanager
    def page(self, size: str = "laptop", *, teacher: bool = True, **more: Any) -> Iterator[Any]:
        known = {"storage_state": self.state} if teacher and self.state else {}
        context = self.chromium.new_context(**SIZES[size], **known, **more)
        page = context.new_page()
        page.on("console", lambda message: self.said.append(f"{page.url}: {message.type} {message.text}"))
        page.on("pageerror", lambda error: self.said.append(f"{page.url}: {error}"))
        page.on("request", lambda request: self._foreign(request.url))
        try:
            yield page
        finally:
            said = list(self.said)
            leave(context)
            self.said[:] = said  # what leaving breaks off is no complaint

    def _foreign(self, address: str) -> None:
        if not address.startswith((self.base, "blob:", "data:")):
            self.said.append(f"asked {address}")


@pytest.fixture(scope="module")
def world(tmp_path_factory: pytest.TempPathFactory) -> Iterator[World]:
    folder = tmp_path_factory.mktemp("story")
    port = free_port()
    app = create_app(Settings(folder / "data", folder / "archive", port, address=f"http://127.0.0.1:{port}"))
    house = app.extensions["tapeplat"]
    house.queue.start(1)
    with on_socket(app, port) as base, started_browser() as browser:
        made = World(base, house, browser)
        with made.page() as page:
            page.goto(f"{base}/start/{house.start_key.key}")
            made.state = page.context.storage_state()
        yield made
    house.close()


@pytest.fixture(autouse=True)
def _quiet(world: World) -> Iterator[None]:
    world.said.clear()
    yield
    assert world.said == []


def photo_again() -> bytes:
    """The sample photo as another photo: the same picture, coded anew."""
    out = io.BytesIO()
    with Image.open(SAMPLES / "quarry-lake-1.jpg") as image:
        image.save(out, "JPEG", quality=95, exif=image.getexif())
    return out.getvalue()


def make_challenge(page: Any) -> None:
    """Make the lake's challenge as a teacher does, with one slip on the way."""
    page.get_by_role("link", name="Make", exact=False).first.click()
    page.get_by_label("Name of the challenge").fill("Quarry Lake Village")
    page.get_by_label("Width", exact=True).first.fill("12")
    page.get_by_label("Depth", exact=True).first.fill("12")
    while page.get_by_label("Zone", exact=True).count() < len(ZONES):
        page.get_by_role("button", name="Add a zone").click()
    for at, zone in enumerate(ZONES):
        page.get_by_label("Zone", exact=True).nth(at).fill(zone)
    page.get_by_label("Rule", exact=True).first.fill("there are exactly 2 pieces of orchrd")
    playwright.expect(page.locator("#rules .wrong")).to_contain_text("orchard")
    playwright.expect(page.locator("#rules .caret")).to_contain_text("^^^^^^")
    page.locator("#rules .offers button").first.click()  # one click writes what was meant
    rule = page.get_by_label("Rule", exact=True).first
    playwright.expect(rule).to_have_value("there are exactly 2 pieces of orchard")
    playwright.expect(page.locator("#rules .reads")).to_have_count(1)
    page.get_by_label("Rule", exact=True).first.fill(RULES[0])
    for rule in RULES[1:]:
        page.keyboard.press("Enter")
        page.keyboard.type(rule)
    playwright.expect(page.locator("#together")).to_contain_text("Everything here can be read.")
    playwright.expect(page.locator("#rules .reads")).to_have_count(len(RULES))
    page.get_by_role("button", name="Save", exact=True).last.click()
    playwright.expect(page.get_by_role("heading", name="Rules and zones")).to_be_visible()


def send_from_phone(world: World, address: str) -> None:
    with world.page("phone", teacher=False) as phone:
        phone.goto(address)
        late: list[Any] = []
        # a pupil can be quicker than the page's script on a slow network
        phone.route("**/photo-upload.js", lambda route: late.append(route))
        phone.get_by_role("button", name="Use this phone").click()
        phone.get_by_label("Team").select_option("1")
        phone.set_input_files("#files", SAMPLES / "quarry-lake-1.jpg")
        assert late, "the page has its script under another name"
        late[0].continue_()
        playwright.expect(phone.locator("#chosen")).to_contain_text("quarry-lake-1.jpg")
        phone.get_by_role("button", name="Send and measure").click()
        playwright.expect(phone.locator("#sent-list")).to_contain_text("Team 1", timeout=MEASURED)  # in the background


def drag_first_corner(page: Any) -> None:
    """Choose an outline, and move its first corner outwards by the keyboard."""
    page.get_by_label("Outline", exact=True).select_option(label="landing")
    page.get_by_role("button", name="Corner 1 of landing, ").focus()
    for _ in range(3):
        page.keyboard.press("Shift+ArrowLeft")
    page.get_by_role("button", name="Save and measure again").first.click()
    playwright.expect(page.locator("[data-part=status]")).to_contain_text("Saved.")


def open_to_students(page: Any, what: str) -> None:
    page.get_by_label(what, exact=False).check()
    with page.expect_navigation():  # the tick was set by hand: only the page that comes back tells that it is kept
        page.get_by_role("button", name="Keep").first.click()
    playwright.expect(page.get_by_label(what, exact=False)).to_be_checked()


def measure_as_student(world: World, page: Any, code: str) -> None:
    """Come in by the class code, and measure a side that is surely not eleven inches long."""
    page.goto(world.base)
    page.get_by_label("Your class code").fill(code.lower())
    page.get_by_role("button", name="Go in").click()
    page.get_by_role("button", name="Team 1", exact=True).click()
    page.get_by_role("link", name="Measure", exact=True).click()
    page.get_by_label("Zone", exact=True).select_option("landing")
    page.get_by_label("Side number").fill("1")
    page.get_by_label("Your number").fill("11")
    page.get_by_role("button", name="Check my number").click()
    playwright.expect(page.locator("#answer")).to_contain_text("look again")


def test_the_whole_story(world: World) -> None:
    with world.page() as page:
        page.goto(world.base)
        make_challenge(page)
        page.get_by_role("link", name="Sheets", exact=True).click()
        page.wait_for_url("**/sheets")
        sheets = page.request.get(f"{page.url}.pdf?paper=a4&teams=4&only=card&only=rules")
        assert sheets.body().startswith(b"%PDF-")
        page.get_by_role("link", name="Photos", exact=True).click()
        page.wait_for_url("**/photos")
        photos = page.url
        page.get_by_role("button", name="Show the code").click()
        playwright.expect(page.locator("svg.qr")).to_be_visible()
        send_from_phone(world, page.locator("code").inner_text())
        page.goto(photos)
        page.get_by_role("link", name="See the result").click(timeout=MEASURED)
        playwright.expect(page.get_by_role("heading", name="Team 1, attempt 1")).to_be_visible()

        picture = page.locator("zoom-picture svg")
        whole = picture.get_attribute("viewBox")
        page.get_by_role("button", name="Enlarge the picture").click()
        playwright.expect(picture).not_to_have_attribute("viewBox", whole)
        eye = page.locator("#rule-4")
        eye.get_by_label("What you saw").fill("walked all of them")
        eye.get_by_role("button", name="It is met").click()
        playwright.expect(page.locator("#rule-4 .said").last).to_contain_text("met by hand")
        drag_first_corner(page)
        playwright.expect(page.get_by_text("the outline of landing was changed by hand")).to_be_visible()
        playwright.expect(page.locator("#rule-4 .said").last).to_contain_text("met by hand")
        playwright.expect(page.locator("zoom-picture svg")).to_be_visible()

        page.goto(photos)
        page.get_by_label("Team").select_option("1")
        page.set_input_files("#files", {"name": "b.jpg", "mimeType": "image/jpeg", "buffer": photo_again()})
        page.get_by_role("button", name="Send and measure").click()
        playwright.expect(page.get_by_role("link", name="See the result")).to_have_count(2, timeout=MEASURED)
        page.get_by_role("link", name="See the result").first.click()
        page.get_by_role("link", name="Compare with attempt 1").click()
        playwright.expect(page.get_by_role("heading", name="Team 1, attempt 1 and team 1, attempt 2")).to_be_visible()
        shown = page.locator("img.picture")
        playwright.expect(shown).to_have_js_property("complete", True)
        assert shown.evaluate("image => image.naturalWidth") > 0

        page.goto(photos.replace("/photos", "/results"))
        playwright.expect(page.get_by_role("link", name="Team 1")).to_be_visible()
        page.get_by_role("link", name="Students", exact=True).click()
        open_to_students(page, "Enter hand measurements")
        with world.page("phone", teacher=False) as student:
            measure_as_student(world, student, page.locator(".code-large").inner_text())
            open_to_students(page, "See their model's verdicts")
            student.goto(world.base)
            student.get_by_role("link", name="Results", exact=True).click()
            playwright.expect(student.get_by_text("landing covers at most 1/8 of the parcel")).to_be_visible()
            student.goto(photos)
            playwright.expect(student.get_by_role("heading", name="Teacher")).to_be_visible()
    assert world.house.classes.of("quarry-lake-village").opened >= {"entry", "verdicts"}
    assert len(world.house.archive.entries()) == 2
    assert world.house.archive.verify() == ()


def pages_of(world: World) -> list[str]:
    """Every address of the teacher's pages."""
    first, second = (entry.id for entry in world.house.archive.entries())
    key = world.house.solver.ask(Question(world.house.challenges.text("quarry-lake-village")))
    until(lambda: world.house.solver.said(key) is not None, "the answer whether the rules can be met", 120)
    of_challenge = (
        "",
        "/edit",
        "/text",
        "/sheets",
        "/photos",
        "/board",
        "/results",
        "/students",
        "/students/code",
        "/numbers",
        "/held",
        "/tapes",
    )
    return [
        "/teacher/", "/teacher/new", *(f"/teacher/challenge/quarry-lake-village{page}" for page in of_challenge),
        f"/teacher/model/{first}", f"/teacher/archive/compare?before={first}&after={second}", "/teacher/archive",
        "/teacher/settings", "/teacher/hand-over", "/teacher/camera", f"/teacher/solvable/{key}",
    ]  # fmt: skip


@pytest.mark.parametrize(("size", "scheme"), [("laptop", "dark"), ("phone", "light")])
def test_no_page_keeps_anybody_out(world: World, size: str, scheme: str) -> None:
    if not world.house.archive.entries():
        pytest.skip("the story did not get far enough")
    found = []
    with world.page(size, color_scheme=scheme, reduced_motion="reduce") as page:
        for path in pages_of(world):
            page.goto(world.base + path)
            found += _violations(page, path)
    with world.page(size, teacher=False, color_scheme=scheme) as page:
        page.goto(world.base + "/sign-in")
        found += _violations(page, "/sign-in")
        page.goto(f"{world.base}/phone/key/{world.house.upload_keys.make('quarry-lake-village')}")
        found += _violations(page, "phone's first page")
        page.get_by_role("button", name="Use this phone").click()
        found += _violations(page, "phone's photos")
    assert found == []


CUT = """[...document.querySelectorAll(".scroll")].filter(part => !part.querySelector(".grid, .entry"))
  .filter(part => part.scrollWidth > part.clientWidth).map(part => part.getAttribute("aria-label"))"""
"""Tables whose last columns are out of sight: all but the class's many rules and the form of structures fit."""


def _violations(page: Any, path: str) -> list[str]:
    page.evaluate("document.querySelectorAll('details').forEach(part => { part.open = true; })")
    found = axe.Axe().run(page, options=WCAG).response["violations"]
    said = [f"{path}: {item['id']}: {node['html'][:150]}" for item in found for node in item["nodes"]]
    wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    cut = page.evaluate(CUT)
    return [
        *said,
        *([f"{path}: {wide} px wider than the screen"] if wide > 0 else []),
        *(f"{path}: {name} is cut" for name in cut),
    ]


def test_without_a_script_the_same_is_done_by_plain_forms(world: World) -> None:
    with world.page(java_script_enabled=False) as page:
        page.goto(f"{world.base}/teacher/new")
        page.get_by_label("Name of the challenge").fill("Plain Forms")
        page.get_by_label("Width", exact=True).first.fill("12")
        page.get_by_label("Depth", exact=True).first.fill("12")
        page.get_by_label("Zone", exact=True).first.fill("orchard")
        page.get_by_label("Rule", exact=True).first.fill("there is an orchrd")
        page.get_by_role("button", name="See how it is understood").click()
        playwright.expect(page.locator("#rules .wrong")).to_contain_text("orchard")
        page.get_by_label("Rule", exact=True).first.fill("there is an orchard")
        page.get_by_role("button", name="Add a rule").click()
        playwright.expect(page.locator("#rules .reads")).to_contain_text("Read as")
        page.get_by_role("button", name="Save", exact=True).last.click()
        playwright.expect(page.get_by_role("heading", name="Rules and zones")).to_be_visible()
        page.get_by_role("link", name="Photos", exact=True).click()
        playwright.expect(page.get_by_role("button", name="Send and measure")).to_be_enabled()


def test_everything_is_reached_by_the_keyboard(world: World) -> None:
    with world.page() as page:
        page.goto(f"{world.base}/teacher/")
        page.keyboard.press("Tab")
        playwright.expect(page.locator(".skip")).to_be_focused()
        page.keyboard.press("Enter")
        playwright.expect(page.locator("#content")).to_be_focused()
        page.keyboard.press("Tab")
        playwright.expect(page.get_by_role("link", name="Make a challenge").first).to_be_focused()
        outline = page.evaluate("getComputedStyle(document.activeElement).outlineWidth")
        assert outline == "3px"

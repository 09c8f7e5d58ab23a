"""The outline editor in a real browser: by mouse, by keys alone, by touch, and as a form without any script."""

from __future__ import annotations

import json
import math
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from shapely.geometry import LineString, Polygon

import tapeplat
from measure.challenge import Challenge, parse_challenge, read_challenge
from measure.result.result import PieceResult, Result, read_result
from tapeplat.measuring.measured_model import RESULT_FILE
from tapeplat.output.result_folder import write_folder
from tests.helpers.page.chromium import CHROMIUM, WCAG, leave, started_browser, until
from tests.helpers.page.editor_page import editor_app, served
from tests.helpers.paths import SAMPLES

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-playwright-python is not installed")
pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="there is no Chromium (Debian: apt install chromium)")
LAPTOP = {"viewport": {"width": 1366, "height": 768}}
PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True, "device_scale_factor": 2}
INCH = 25.4


@dataclass
class Desk:
    """One model's editor in a page, and what the folder behind it holds."""

    page: Any
    folder: Path
    said: list[str] = field(default_factory=list)

    @property
    def result(self) -> Result:
        return read_result(self.folder)

    def pieces(self, zone: str) -> tuple[PieceResult, ...]:
        return next(z.pieces for z in self.result.zones if z.name == zone)

    def choose(self, name: str) -> None:
        self.page.get_by_label("Outline", exact=True).select_option(label=name)

    def corner(self, number: int, of: str) -> Any:
        return self.page.get_by_role("button", name=f"Corner {number} of {of}, ")

    def centre(self, corner: Any) -> tuple[float, float]:
        box = corner.locator(".oe-touch").bounding_box()
        return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2

    def at(self, across: float, down: float) -> tuple[float, float]:
        """A point of the screen, by its share of the picture's width and height."""
        picture = self.page.locator(".oe-picture")
        picture.scroll_into_view_if_needed()
        box = picture.bounding_box()
        return box["x"] + across * box["width"], box["y"] + down * box["height"]

    def click(self, name: str) -> None:
        self.page.get_by_role("button", name=name, exact=True).click()

    def press(self, *keys: str) -> None:
        for key in keys:
            self.page.keyboard.press(key)

    def drag(self, start: tuple[float, float], end: tuple[float, float]) -> None:
        mouse = self.page.mouse
        mouse.move(*start)
        mouse.down()
        mouse.move((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
        mouse.move(*end)
        mouse.up()

    def says(self, text: str) -> None:
        playwright.expect(self.page.get_by_role("status")).to_contain_text(text)

    def turn_wheel(self) -> None:
        """One step nearer; the browser would join several that come before it has drawn."""
        before = self.per_px()
        self.page.mouse.wheel(0, -100)
        until(lambda: self.per_px() < 0.9 * before, "a step nearer")

    def save(self) -> None:
        self.click("Save and measure again")
        self.says("Saved.")

    def per_px(self) -> float:
        """Inches of a screen pixel, from what the picture says that it shows."""
        svg = self.page.locator(".oe-picture")
        return float(svg.get_attribute("viewBox").split()[2]) / svg.bounding_box()["width"] / INCH


@pytest.fixture
def sample() -> int:
    """The sample photo: 1 has zones in one piece and in two, with three to six corners; 4 has a curve."""
    return 1


@pytest.fixture
def challenge(sample: int) -> Challenge:
    return read_challenge(SAMPLES / f"quarry-lake-{sample}.toml")


@pytest.fixture(scope="module")
def measured(tmp_path_factory: pytest.TempPathFactory) -> Callable[[int], Path]:
    @cache
    def folder(sample: int) -> Path:
        made = tmp_path_factory.mktemp("measured") / "model"
        photo = SAMPLES / f"quarry-lake-{sample}.jpg"
        write_folder(made, tapeplat.measure(photo.with_suffix(".toml"), [photo]).files)
        return made

    return folder


@pytest.fixture(scope="module")
def chromium() -> Iterator[Any]:
    with started_browser() as browser:
        yield browser


@pytest.fixture
def options() -> dict[str, Any]:
    return LAPTOP


@pytest.fixture
def desk(
    measured: Callable[[int], Path],
    sample: int,
    challenge: Challenge,
    chromium: Any,
    options: dict[str, Any],
    tmp_path: Path,
) -> Iterator[Desk]:
    """The editor of a fresh copy of the model; whatever the browser complains of fails the test."""
    folder = tmp_path / "model"
    shutil.copytree(measured(sample), folder)
    with opened(folder, challenge, chromium, options) as made:
        yield made


@contextmanager
def opened(folder: Path, challenge: Challenge, chromium: Any, options: dict[str, Any]) -> Iterator[Desk]:
    with served(editor_app(folder, challenge)) as address:
        context = chromium.new_context(**options)
        made = Desk(context.new_page(), folder)
        made.page.on("console", lambda message: made.said.append(f"{message.type}: {message.text}"))
        made.page.on("pageerror", lambda error: made.said.append(f"error: {error}"))
        made.page.goto(address)
        yield made
        said = list(made.said)
        leave(context)
    assert said == []


def corners_of(piece: PieceResult) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in piece.outline]


def test_a_corner_is_dragged_and_measurements_and_verdicts_follow(desk: Desk) -> None:
    """The waterworks are 6.98 sq in and should be 7 or more: 20 pixels to the right make them so."""
    before = corners_of(desk.pieces("waterworks")[0])
    assert [r.verdict for r in desk.result.rules if "at least 7 sq in" in r.text] == ["too close to call"]
    middle = desk.page.locator(".oe-name", has_text="waterworks").bounding_box()
    desk.page.mouse.click(middle["x"] + middle["width"] / 2, middle["y"] + middle["height"] / 2)
    desk.says("waterworks chosen: 3 corners")
    x, y = desk.centre(desk.corner(2, "waterworks"))
    moved = 20 * desk.per_px()
    desk.drag((x + 3, y - 4), (x + 23, y - 4))
    desk.says("Corner 2 of waterworks moved")
    playwright.expect(desk.page.locator(".oe-area")).to_contain_text("about")
    desk.save()
    desk.says("Rule 4, waterworks covers at least 7 sq in: met, before too close to call.")
    piece = desk.pieces("waterworks")[0]
    after = corners_of(piece)
    assert after[0] == before[0]
    assert after[2] == before[2]
    assert after[1][0] == pytest.approx(before[1][0] + moved, abs=0.02)
    assert after[1][1] == pytest.approx(before[1][1], abs=0.01)
    assert piece.repaired is not None
    assert (piece.repaired.by, piece.repaired.changes, piece.repaired.corners) == ("hand", ("outline",), (2,))
    assert piece.area is not None
    assert piece.area.value == pytest.approx(Polygon(after).area, rel=1e-3)
    playwright.expect(desk.page.get_by_text("met: waterworks covers at least 7 sq in", exact=True)).to_be_visible()
    assert "the outline of waterworks was changed by hand: corner 2" in desk.result.warnings


def test_everything_by_keys_alone(desk: Desk) -> None:
    page = desk.page
    page.locator("body").focus()
    steps = 0
    while page.evaluate("document.activeElement.id") != "oe-choose":
        desk.press("Tab")
        steps += 1
        assert steps < 20
    desk.press("l")  # typing in a list goes to the entry: landing
    playwright.expect(desk.corner(1, "landing")).to_be_attached()
    before = corners_of(desk.pieces("landing")[0])
    while "Corner 3 of landing" not in (page.evaluate("document.activeElement.getAttribute('aria-label')") or ""):
        desk.press("Shift+Tab")
        steps += 1
        assert steps < 40
    desk.press("ArrowRight", "ArrowRight", "ArrowDown", "Shift+ArrowRight")
    desk.says("Corner 3 of landing, ")
    desk.press("Insert")
    desk.says("Corner 4 added")
    desk.press("Shift+ArrowDown", "Delete")
    desk.says("Corner 4 of landing removed")
    desk.press("Tab", "Enter")  # from corner 3 to the middle of its side
    desk.says("Corner 4 added")
    desk.press("Control+z")
    desk.says("Taken back: new corner")
    while page.evaluate("document.activeElement.dataset.do") != "save":
        desk.press("Tab")
        steps += 1
        assert steps < 80
    desk.press("Enter")
    desk.says("Saved.")
    after = corners_of(desk.pieces("landing")[0])
    assert len(after) == 4
    assert after[2][0] == pytest.approx(before[2][0] + 2 / 64 + 1 / 8, abs=1e-4)
    assert after[2][1] == pytest.approx(before[2][1] + 1 / 64, abs=1e-4)
    playwright.expect(page.locator("#oe-choose")).to_be_focused()


def test_undo_and_redo_go_change_by_change(desk: Desk) -> None:
    desk.choose("greenhouse")
    for key in ("ArrowLeft", "ArrowLeft"):
        desk.corner(1, "greenhouse").press(key)
    desk.corner(4, "greenhouse").press("Delete")
    desk.click("Undo")
    desk.says("Taken back: removal of Corner 4 of greenhouse")
    desk.click("Undo")
    desk.says("Taken back: move of Corner 1 of greenhouse")
    playwright.expect(desk.page.locator(".oe-save")).to_contain_text("Nothing changed yet.")
    playwright.expect(desk.page.locator("[data-do=undo]")).to_have_attribute("aria-disabled", "true")
    desk.click("Redo")
    desk.says("Done again: move of Corner 1 of greenhouse")
    desk.save()
    piece = desk.pieces("greenhouse")[0]
    assert piece.repaired is not None
    assert (len(piece.outline), piece.repaired.corners) == (6, (1,))


def test_sides_that_cross_are_shown_and_refused(desk: Desk) -> None:
    desk.choose("turbines")
    first, third = (desk.centre(desk.corner(number, "turbines")) for number in (1, 3))
    mouse = desk.page.mouse
    mouse.move(*first)
    mouse.down()
    mouse.move(third[0] + 40, third[1] - 50)
    desk.says("The sides cross here")
    playwright.expect(desk.page.locator(".oe-crossing")).to_be_visible()
    playwright.expect(desk.page.locator(".oe-line.is-crossing")).to_be_visible()
    mouse.up()
    mouse.move(*first)
    desk.says("Not changed: its sides would cross.")
    assert desk.centre(desk.corner(1, "turbines")) == pytest.approx(first, abs=1)
    mouse.down()
    mouse.move(first[0] + 30, first[1])
    desk.press("Escape")
    mouse.up()
    desk.says("Left where it was.")
    desk.choose("waterworks")
    desk.corner(1, "waterworks").press("Delete")
    desk.says("An outline keeps at least three corners")
    playwright.expect(desk.page.locator(".oe-save")).to_contain_text("Nothing changed yet.")


def test_an_outline_that_was_missed_is_drawn_by_mouse(desk: Desk) -> None:
    desk.choose("turbines")
    desk.click("Remove outline")
    desk.save()
    assert desk.pieces("turbines") == ()
    assert "no outline of turbines was found" in desk.result.warnings
    desk.click("Draw a missed outline")
    playwright.expect(desk.page.get_by_label("Zone", exact=True)).to_have_value("turbines")  # it has no outline
    at = [desk.at(*share) for share in DRAWN]
    for place in at:
        desk.page.mouse.click(*place)
    desk.says("Corner 4 set")
    desk.page.mouse.click(at[0][0] + 5, at[0][1] - 5)
    desk.says("An outline of turbines with 4 corners drawn")
    per_px = desk.per_px()
    desk.save()
    (piece,) = desk.pieces("turbines")
    assert piece.repaired is not None
    assert (piece.repaired.changes, piece.repaired.was, piece.repaired.corners) == (("drawn",), None, (1, 2, 3, 4))
    assert piece.area is not None
    assert piece.area.value == pytest.approx(Polygon(at).area * per_px**2, rel=0.01)
    assert "turbines was drawn by hand" in desk.result.warnings
    assert "no outline of turbines was found" not in desk.result.warnings


DRAWN = ((0.4, 0.4), (0.5, 0.4), (0.5, 0.55), (0.4, 0.55))


def test_an_outline_is_drawn_by_keys_alone(desk: Desk) -> None:
    desk.page.locator("[data-do=draw]").focus()
    desk.press("Enter")
    for key in ("ArrowRight", "ArrowDown", "ArrowLeft"):
        desk.press(" ", *["Shift+" + key] * 12)
    desk.press(" ", "Shift+ArrowUp", "Shift+ArrowUp")
    desk.press("Shift+ArrowRight", "Shift+ArrowRight", " ")
    desk.says("Corner 5 set")
    desk.press("Backspace")
    desk.says("Corner 5 taken back")
    desk.press("Enter")
    desk.says("with 4 corners drawn")
    zone = desk.page.get_by_label("It belongs to").first.input_value()
    count = len(desk.pieces(zone))
    desk.save()
    drawn = [piece for piece in desk.pieces(zone) if piece.repaired]
    assert len(desk.pieces(zone)) == count + 1
    assert Polygon(drawn[0].outline).area == pytest.approx((12 / 8) ** 2, rel=1e-3)


def test_a_line_that_would_cross_itself_is_not_drawn(desk: Desk) -> None:
    desk.click("Draw a missed outline")
    for share in ((0.4, 0.4), (0.5, 0.4), (0.5, 0.5), (0.45, 0.3)):
        desk.page.mouse.click(*desk.at(*share))
    desk.says("Not set: the line would cross itself here.")
    desk.press("Escape")
    desk.says("Drawing given up")
    playwright.expect(desk.page.get_by_role("button", name="Draw a missed outline")).to_be_focused()


def test_a_piece_is_given_to_another_zone(desk: Desk) -> None:
    desk.choose("orchard 2")
    desk.page.get_by_label("It belongs to").first.select_option("landing")
    desk.says("orchard 2 is now an outline of landing")
    desk.save()
    assert (len(desk.pieces("orchard")), len(desk.pieces("landing"))) == (1, 2)
    assert any("was measured as orchard and was said by hand to be landing" in line for line in desk.result.warnings)


@pytest.fixture
def hidden(measured: Callable[[int], Path]) -> Iterator[None]:
    """As if most of the landing's tape could not be seen in the photo."""
    file = measured(1) / RESULT_FILE
    stored = file.read_text(encoding="utf-8")
    content = json.loads(stored)
    zone = next(zone for zone in content["zones"] if zone["name"] == "landing")
    zone["pieces"][0] |= {"status": "not measurable", "area": None, "perimeter": None, "bridged": 0.7}
    moves = content["uncertainty"]["pieces"]
    content["uncertainty"]["pieces"] = [piece for piece in moves if piece["zone"] != "landing"]
    file.write_text(json.dumps(content), encoding="utf-8")
    yield
    file.write_text(stored, encoding="utf-8")


def test_an_outline_that_could_not_be_measured_counts_once_somebody_says_that_it_is_right(
    hidden: None, desk: Desk
) -> None:
    desk.choose("landing")
    desk.click("It is right as it is")
    desk.says("landing is taken as it is")
    desk.save()
    piece = desk.pieces("landing")[0]
    assert (piece.status, piece.bridged) == ("measured", 0)
    assert piece.area is not None
    assert piece.area.u95 > 0.1
    assert piece.repaired is not None
    assert piece.repaired.corners == (1, 2, 3, 4)


def test_what_the_server_refuses_is_said_and_nothing_is_lost(desk: Desk) -> None:
    desk.choose("landing")
    desk.corner(1, "landing").press("ArrowLeft")
    (desk.folder / RESULT_FILE).write_text((desk.folder / RESULT_FILE).read_text() + "\n")
    desk.click("Save and measure again")
    playwright.expect(desk.page.get_by_role("alert")).to_contain_text("measured or changed again in the meantime")
    desk.says("Not saved.")
    playwright.expect(desk.page.locator(".oe-save")).to_contain_text("1 outline changed")
    playwright.expect(desk.page.get_by_role("alert")).to_contain_text("Your changes are still here.")
    refusals = [line for line in desk.said if "status of 400" in line]
    desk.said[:] = [line for line in desk.said if line not in refusals]  # the browser notes every such answer
    assert len(refusals) == 1


def test_zoom_by_wheel_keys_and_buttons_and_the_view_stays_when_saved(desk: Desk) -> None:
    whole = desk.per_px()
    desk.choose("landing")
    desk.at(0, 0)
    x, y = desk.centre(desk.corner(1, "landing"))
    desk.page.mouse.move(x, y)
    for _ in range(6):
        desk.turn_wheel()
    playwright.expect(desk.page.locator(".oe-picture")).not_to_have_class("is-whole")
    assert desk.per_px() < 0.5 * whole
    assert desk.centre(desk.corner(1, "landing")) == pytest.approx((x, y), abs=3)
    before = desk.per_px()
    desk.page.locator(".oe-picture").press("+")
    until(lambda: desk.per_px() == pytest.approx(before / 1.4, rel=0.01), "larger by a step")
    x, y = desk.centre(desk.corner(1, "landing"))
    desk.page.locator(".oe-picture").press("ArrowLeft")
    until(lambda: desk.centre(desk.corner(1, "landing")) == pytest.approx((x + 60, y), abs=1), "moved by a step")
    desk.corner(1, "landing").press("ArrowDown")
    view = desk.page.locator(".oe-picture").get_attribute("viewBox")
    desk.save()
    playwright.expect(desk.page.locator(".oe-picture")).to_have_attribute("viewBox", view)
    desk.page.locator(".oe-picture").press("0")
    until(lambda: desk.per_px() == pytest.approx(whole, rel=0.01), "the whole picture")


@pytest.mark.parametrize("sample", [4])
def test_a_point_of_a_curve_takes_its_neighbours_along(desk: Desk) -> None:
    desk.choose("lake")
    point = desk.page.get_by_role("button", name="Point 7 of lake, ")
    playwright.expect(desk.page.locator(".oe-corner")).to_have_count(24)
    playwright.expect(desk.page.locator(".oe-middle")).to_have_count(0)
    point.press("Shift+ArrowRight")
    point.press("Delete")
    desk.says("A curve’s points cannot be removed")
    before = corners_of(desk.pieces("lake")[0])
    desk.save()
    piece = desk.pieces("lake")[0]
    steps = sorted(x - y for (x, _), (y, _) in zip(corners_of(piece), before, strict=True))
    assert steps[-1] == pytest.approx(1 / 8, abs=1e-4)
    assert steps[0] == pytest.approx(0, abs=1e-6)
    assert 10 < sum(step > 0.001 for step in steps) < 40
    assert piece.curved
    assert piece.repaired is not None
    assert "the outline of lake was changed by hand" in desk.result.warnings


@pytest.mark.parametrize("options", [PHONE], ids=["phone"])
def test_fingers_tap_drag_and_pinch(desk: Desk) -> None:
    touch = desk.page.context.new_cdp_session(desk.page)

    def fingers(kind: str, *places: tuple[float, float]) -> None:
        points = [{"x": x, "y": y, "id": at} for at, (x, y) in enumerate(places)]
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    label = desk.page.locator(".oe-name", has_text="landing")
    label.scroll_into_view_if_needed()
    box = label.bounding_box()
    desk.page.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    desk.says("landing chosen")
    whole = desk.per_px()
    x, y = desk.centre(desk.corner(1, "landing"))
    fingers("touchStart", (x - 20, y - 60))
    fingers("touchStart", (x - 20, y - 60), (x + 20, y - 60))
    for apart in range(20, 81, 10):
        fingers("touchMove", (x - apart, y - 60), (x + apart, y - 60))
    fingers("touchEnd")
    until(lambda: desk.per_px() == pytest.approx(whole / 4, rel=0.35), "four times as large")
    before = corners_of(desk.pieces("landing")[0])
    x, y = desk.centre(desk.corner(1, "landing"))
    step = desk.per_px()
    fingers("touchStart", (x + 12, y + 12))  # beside the dot, within a fingertip
    for part in range(1, 5):
        fingers("touchMove", (x + 12 - 10 * part, y + 12))
    playwright.expect(desk.page.locator(".oe-loupe")).to_be_visible()
    fingers("touchEnd")
    desk.says("Corner 1 of landing moved")
    playwright.expect(desk.page.locator(".oe-loupe")).to_be_hidden()
    desk.save()
    after = corners_of(desk.pieces("landing")[0])
    assert after[0][0] == pytest.approx(before[0][0] - 40 * step, abs=0.03)
    assert after[1:] == before[1:]


@pytest.mark.parametrize("options", [{**LAPTOP, "java_script_enabled": False}], ids=["no-script"])
def test_without_a_script_corners_are_typed(desk: Desk) -> None:
    page = desk.page
    page.get_by_text("Type corners as numbers").click()
    field = page.get_by_label("Corners of waterworks")
    lines = field.input_value().split("\n")
    before = corners_of(desk.pieces("waterworks")[0])
    field.fill("\n".join([*lines[:2], "5 1/2, 6.25"]))
    page.get_by_label("Remove orchard 1").check()
    page.get_by_label("Corners of the new outline").fill("1; 1\n2; 1\n2; 2,5\n")
    page.get_by_label("Zone of the new outline").select_option("landing")
    page.locator("form .button").click()
    after = corners_of(desk.pieces("waterworks")[0])
    assert after[:2] == before[:2]
    assert after[2] == pytest.approx((5.5, 6.25), abs=1e-5)
    assert len(desk.pieces("orchard")) == 1
    assert desk.pieces("orchard")[0].repaired is None
    assert [Polygon(p.outline).area for p in desk.pieces("landing") if p.repaired] == pytest.approx([0.75], rel=1e-4)
    assert desk.pieces("greenhouse")[0].repaired is None


LOOKS = [
    pytest.param({**size, "color_scheme": scheme}, id=f"{name}-{scheme}")
    for name, size in (("laptop", LAPTOP), ("phone", PHONE))
    for scheme in ("light", "dark")
]


@pytest.mark.parametrize("options", LOOKS)
def test_nothing_bars_anybody(desk: Desk) -> None:
    """WCAG 2.2 AA and axe's best practices, in every state that the editor has."""

    def violations() -> list[tuple[str, Any]]:
        found = axe.Axe().run(desk.page, options=WCAG).response["violations"]
        return [(v["id"], [node["html"][:120] for node in v["nodes"]]) for v in found]

    assert violations() == []
    desk.choose("greenhouse")
    for summary in desk.page.locator("summary").all():
        summary.click()
    desk.corner(2, "greenhouse").press("Shift+ArrowLeft")
    assert violations() == []
    desk.click("Draw a missed outline")
    assert violations() == []


# ---- lines


LINES = """
[[line]]
name = "road"
colour = "black"

[[line]]
name = "pipe"
colour = "white"
"""
BOWED = [[1 + 0.05 * n, 6 + 0.5 * math.sin(0.05 * n * math.pi / 4)] for n in range(81)]
"""4 in across, bowed down by half an inch."""
STRAIGHT = [[6.0, 6.0], [11.0, 6.0]]


@pytest.fixture
def road_desk(measured: Callable[[int], Path], chromium: Any, tmp_path: Path) -> Iterator[Desk]:
    """A model with a road in two pieces, as a photo may show it, and a pipe that it does not show."""
    folder = tmp_path / "model"
    shutil.copytree(measured(1), folder)
    content = json.loads((folder / RESULT_FILE).read_text())
    width = {"value": 0.2, "u95": 0.02}
    pieces = [
        {"centreline": points, "length": {"value": LineString(points).length, "u95": 0.02}, "width": width, "ends": [
            {"at": points[0], "reaches": [], "how": "free"}, {"at": points[-1], "reaches": [], "how": "hidden"},
        ]} for points in (BOWED, STRAIGHT)
    ]  # fmt: skip
    content["lines"] = [{"name": "road", "pieces": pieces}, {"name": "pipe", "pieces": [], "length": None}]
    (folder / RESULT_FILE).write_text(json.dumps(content))
    task, rule = (SAMPLES / "quarry-lake-1.toml").read_text(), '  "the road is at most 11 in long",\n]'
    task = task.replace("]\n\n[parcel]", f"{rule}\n\n[parcel]")
    with opened(folder, parse_challenge(task + LINES), chromium, LAPTOP) as made:
        yield made


def test_lines_are_joined_moved_and_drawn(road_desk: Desk) -> None:
    desk, page = road_desk, road_desk.page
    desk.at(0, 0)  # scrolls there
    name = page.locator(".oe-name", has_text="road 1").bounding_box()
    page.mouse.click(name["x"] + name["width"] / 2, name["y"] - 4)
    desk.says("road 1 chosen: a line with 5 points, about 4.15 in long.")
    page.get_by_role("button", name="Point 5 of road 1, ").press("Shift+ArrowRight")
    desk.says("about 4.27 in long")
    page.get_by_label("It goes on as").select_option(label="road 2")
    desk.click("Join the two")
    desk.says("road 1 and road 2 are one piece now, about 10.1")
    desk.click("Undo")
    desk.says("Taken back: joining of road 1 and road 2.")
    desk.click("Redo")
    page.get_by_role("button", name="Add a point between points 6 and 7 of road").press("Enter")
    desk.says("Point 7 added")
    desk.press("ArrowDown", "Delete")
    desk.says("Point 7 of road removed.")
    desk.click("Draw a missed line")
    assert page.locator("#oe-draw-zone").input_value() == "pipe"
    for across in (0.3, 0.5, 0.6):
        page.mouse.click(*desk.at(across, 0.3))
    desk.press("Enter")
    desk.says("Say how wide pipe is, then end the line.")
    page.get_by_label("Its width (in)", exact=True).fill("0.25")
    desk.click("End the line")
    desk.says("A piece of pipe with 3 points drawn")
    problems = axe.Axe().run(page, options=WCAG).response["violations"]
    assert [problem["id"] for problem in problems] == []
    desk.save()
    (road,), (pipe,) = (line.pieces for line in desk.result.lines)
    assert road.repaired is not None
    assert pipe.repaired is not None
    assert (road.repaired.changes, pipe.repaired.changes) == (("middle", "joined"), ("drawn",))
    assert road.length.value == pytest.approx(LineString(road.centreline).length, abs=1e-3)
    assert list(road.centreline[-1]) == STRAIGHT[1]
    assert [end.how for end in road.ends] == ["free", "hidden"]
    assert (pipe.width.value, len(pipe.centreline)) == (0.25, 3)
    assert {"the middle of road was changed by hand", "pipe was drawn by hand"} <= set(desk.result.warnings)
    playwright.expect(page.get_by_text("met: the road is at most 11 in long", exact=True)).to_be_visible()


def test_lines_are_repaired_without_a_script(road_desk: Desk) -> None:
    page = road_desk.page
    page.get_by_text("Type corners as numbers").click()
    page.get_by_label("road 1 goes on as").select_option(label="road 2")
    page.get_by_label("Which line").select_option(label="pipe")
    page.get_by_label("Its points, along its middle").fill("2, 2\n4 1/2, 2")
    page.get_by_label("Its width (in), empty").fill("1/4")
    page.locator(".oe-numbers").get_by_role("button", name="Save and measure again").click()
    until(lambda: bool(road_desk.result.lines[1].pieces), "the form saved")
    (road,), (pipe,) = (line.pieces for line in road_desk.result.lines)
    assert road.repaired is not None
    assert road.repaired.changes == ("joined",)
    assert (pipe.length.value, pipe.width.value) == (2.5, 0.25)

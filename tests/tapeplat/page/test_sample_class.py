"""Two minutes to the first verdict: the first page offers a sample class, and leads to its verdicts while they come.

In a real browser, with the program's own workers.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tapeplat.api.samples import samples
from tapeplat.page.app import create_app
from tapeplat.page.base.settings import Settings
from tapeplat.page.session.services import Services
from tests.helpers.page.browser import CHALLENGE, Browser
from tests.helpers.page.chromium import CHROMIUM, MEASURED, WCAG, started_browser
from tests.helpers.page.serving_page import free_port, on_socket

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-playwright-python is not installed")
in_chromium = pytest.mark.skipif(CHROMIUM is None, reason="there is no Chromium (Debian: apt install chromium)")


TWO = list(samples())[:2]


@pytest.fixture(autouse=True)
def _two_tasks(monkeypatch: pytest.MonkeyPatch) -> None:
    """As many photos as show that one comes after the other."""
    monkeypatch.setattr("tapeplat.page.sample_class.samples", lambda: iter(TWO))


@pytest.fixture
def page(tmp_path: Path) -> Iterator[Any]:
    port = free_port()
    app = create_app(Settings(tmp_path / "data", tmp_path / "archive", port))
    house = app.extensions["tapeplat"]
    house.queue.start(1)
    with on_socket(app, port) as base, started_browser() as browser:
        made = browser.new_page(viewport={"width": 1366, "height": 768})
        made.goto(f"{base}/start/{house.start_key.key}")
        yield made
    house.close()


def accessible(page: Any) -> None:
    found = axe.Axe().run(page, options=WCAG).response["violations"]
    assert [(each["id"], [node["html"][:120] for node in each["nodes"][:2]]) for each in found] == [], page.url


@in_chromium
def test_the_first_page_leads_to_the_first_verdict(page: Any) -> None:
    accessible(page)
    page.get_by_role("button", name="Try a sample class").click()
    playwright.expect(page.locator("#steps")).to_contain_text("Look at the rules")
    accessible(page)
    page.get_by_role("link", name="See the model and its verdicts").click(timeout=MEASURED)
    playwright.expect(page.get_by_role("heading", name="Team 1, attempt 1")).to_be_visible()
    playwright.expect(page.locator(".rules .verdict").first).to_be_visible()
    page.go_back()
    playwright.expect(page.get_by_role("link", name="See the model of")).to_have_count(1, timeout=MEASURED)
    accessible(page)
    page.get_by_role("button", name="Remove the sample class").click()
    playwright.expect(page.get_by_role("heading", name="No challenge yet")).to_be_visible()


def test_it_is_taken_in_once_and_removed_without_a_trace(teacher: Browser, house: Services) -> None:
    own = house.challenges.create("Gull Point Harbour", CHALLENGE)
    for _ in range(2):
        assert teacher.post("/teacher/sample").status_code == 303
    assert len(house.challenges.all()) == 1 + len(TWO)
    assert "waits for its turn" in teacher.text("/teacher/sample")
    assert house.queue.work_off() == 2
    page = teacher.text("/teacher/sample")
    assert page.count("See the model") == 2
    assert "waits" not in page
    assert len(house.archive.entries()) == 2
    assert teacher.post("/teacher/sample/remove").status_code == 303
    assert [stored.slug for stored in house.challenges.all()] == [own]
    assert house.archive.entries() == house.archive.removed() == ()
    assert teacher.get("/teacher/sample").status_code == 404
    assert "Try a sample class" not in teacher.text("/teacher/"), "it has a challenge of its own"


def test_it_is_not_for_students(student: Browser) -> None:
    assert student.post("/teacher/sample").status_code == 403


def test_the_photo_itself_is_shown_with_the_card_in_it(teacher: Browser, house: Services) -> None:
    teacher.post("/teacher/sample")
    step = teacher.text("/teacher/sample").split("2. The photo")[1].split("</li>")[0]
    assert "/teacher/sample/photo.jpg" in step
    answer = teacher.get("/teacher/sample/photo.jpg")
    assert answer.mimetype == "image/jpeg"
    assert 5_000 < len(answer.data) < 120_000


def test_what_the_teacher_made_of_it_is_not_removed_unasked(teacher: Browser, house: Services) -> None:
    teacher.post("/teacher/sample")
    house.queue.work_off()
    changed, other = (stored.slug for stored in house.challenges.all())
    house.challenges.save(changed, house.challenges.text(changed) + "# our own\n")
    house.classes.name_teams(changed, {2: "Millers"})
    asked = teacher.post("/teacher/sample/remove")
    assert asked.status_code == 200
    assert "Keep what you made of the sample?" in asked.text
    assert "team 2 (Millers)" in asked.text
    assert len(house.challenges.all()) == 2, "nothing is gone before it is answered"
    assert teacher.post("/teacher/sample/remove", {"of": "untouched"}).status_code == 303
    assert [stored.slug for stored in house.challenges.all()] == [changed]
    assert [entry.class_id for entry in house.archive.entries()] == [house.classes.of(changed).id]
    assert other != changed


def test_numbers_of_other_teams_are_a_teachers_own_and_can_be_erased_with_it(teacher: Browser, house: Services) -> None:
    teacher.post("/teacher/sample")
    house.queue.work_off()
    slug = house.challenges.all()[0].slug
    house.classes.name_teams(slug, {3: "Herons"})
    assert "Keep what you made" in teacher.post("/teacher/sample/remove").text
    assert teacher.post("/teacher/sample/remove", {"of": "all"}).status_code == 303
    assert house.challenges.all() == []
    assert house.archive.entries() == ()

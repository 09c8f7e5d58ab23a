"""A better lens on the results page: what it would change is said, one button measures again; nothing by itself."""

from __future__ import annotations

import time
from pathlib import Path

import pytest
from flask import Flask

import tapeplat
from measure.file_content import FileContent
from measure.result.result import Result, read_result
from tapeplat.archive import Archive, Entry
from tapeplat.archive.judging import judge_again
from tapeplat.lens.class_lens_store import remember
from tapeplat.measuring.better_lens import better_lenses, measured_again
from tapeplat.page.jobs.filing_job import FilingJob
from tapeplat.page.session.services import Services
from tests.benchmarks.class_lens import with_lens
from tests.helpers.page.browser import Browser
from tests.helpers.page.chromium import CHROMIUM, MEASURED, WCAG, started_browser
from tests.helpers.page.serving_page import free_port, on_socket
from tests.helpers.scenes.draw import draw
from tests.helpers.scenes.files import encoded
from tests.helpers.scenes.village import village
from tests.tapeplat.classroom.test_class_lens import CHALLENGE, MOUSTACHE

SLUG = "lake"
RESULTS = f"/teacher/challenge/{SLUG}/results"
FRAGMENT = {"X-Fragment": "1"}


@pytest.fixture(scope="module")
def drawn(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """Three models' photos by one phone."""
    folder, photos = tmp_path_factory.mktemp("photos"), []
    for at in range(3):
        scene = village(tiles=False, thickness=5.08, tilt=3.0 + 4 * at, seed=at)
        photos.append(folder / f"{at}.jpg")
        photos[-1].write_bytes(encoded(draw(with_lens(scene, MOUSTACHE))))
    return photos


@pytest.fixture
def told(house: Services, drawn: list[Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Entry:
    """Team 1's model, measured when nothing was known of its phone; two more photos of it said something since.

    Its first rule's limit lies where the lens decides: too close to call as it was measured, met by the better lens.
    """
    monkeypatch.setenv("TAPEPLAT_CONFIG", str(tmp_path / "config"))
    text = CHALLENGE.format(share="1/5")
    house.challenges.save(SLUG, text)
    job = FilingJob(
        challenge=FileContent("lake.toml", text.encode()),
        team="1",
        photos=(drawn[0],),
        archive=house.settings.archive,
        data=house.settings.data,
        class_id=house.classes.of(SLUG).id,
    )
    assert job.run().measured
    (entry,) = house.archive.entries()
    alone = read_result(entry.folder)
    assert better_lenses(alone) == ()
    for photo in drawn[1:]:
        remember(tapeplat.measure(FileContent("lake.toml", text.encode()), [photo]).result.photos)
    model = tapeplat.check(entry.folder / "challenge.toml", entry.folder)
    sure = measured_again(model, better_lenses(alone)).result
    share = CHALLENGE.format(share=f"{between(alone, sure):.8f}")
    house.challenges.save(SLUG, share)
    judge_again(Archive(house.settings.archive), entry, FileContent("lake.toml", share.encode()))
    return house.archive.entries()[0]


def between(alone: Result, sure: Result) -> float:
    """A limit between what both take for sure: chance 0.95 lies 0.82 u95 from the limit."""
    reach = []
    for result in (alone, sure):
        rule = result.rules[0]
        assert rule.value is not None
        assert rule.u95 is not None
        reach.append(rule.value + 0.8225 * rule.u95)
    assert reach[1] < reach[0]
    return sum(reach) / 2


def test_the_results_say_what_a_better_lens_would_change_and_one_button_does_it(
    teacher: Browser, house: Services, told: Entry
) -> None:
    before = (told.folder / "result.json").read_bytes()
    assert read_result(told.folder).rules[0].verdict == "too close to call"
    assert f'data-address="{RESULTS.replace("results", "better-lens")}"' in teacher.text(RESULTS)
    said = teacher.client.get(RESULTS.replace("results", "better-lens"), headers=FRAGMENT).text
    assert "A better lens is known" in said
    assert "Measured again, these verdicts would change" in said
    assert "too close to call, would be met" in said
    assert "Measure 1 photo again" in said
    assert (told.folder / "result.json").read_bytes() == before, "nothing changes by itself"

    answer = teacher.post(RESULTS.replace("results", "measure-again"))
    deadline = time.monotonic() + 60
    while "turning" in (page := teacher.text(answer.location)):
        assert time.monotonic() < deadline
        time.sleep(0.05)
    assert "1 model measured again" in page
    assert "too close to call before, <strong>met</strong> now" in page
    after = read_result(told.folder)
    assert after.rules[0].verdict == "met"
    assert [file.read_bytes() for file in told.folder.glob("revisions/*/result.json")][-1] == before
    assert house.archive.verify() == ()
    record = after.photos[0].radial
    assert record is not None
    assert record.others == 2
    assert "2 other photos" in after.photos[0].lens
    assert "A better lens" not in teacher.client.get(RESULTS.replace("results", "better-lens"), headers=FRAGMENT).text
    assert teacher.post(RESULTS.replace("results", "measure-again")).status_code == 409


def test_it_comes_out_as_a_photo_that_is_measured_anew(told: Entry, drawn: list[Path]) -> None:
    """The filed result and what is known now give what the photo itself gives now."""
    model = tapeplat.check(told.folder / "challenge.toml", told.folder)
    again = measured_again(model, better_lenses(model.result)).result
    anew = tapeplat.measure(told.folder / "challenge.toml", [drawn[0]], team="1").result
    before = {zone.name: zone.area for zone in model.result.zones}
    for one, other in zip(again.zones, anew.zones, strict=True):
        was = before[one.name]
        assert one.area is not None
        assert other.area is not None
        assert was is not None
        assert one.area.value == pytest.approx(other.area.value, abs=0.05 * was.u95)
        assert one.area.u95 == pytest.approx(other.area.u95, rel=0.05)
        assert one.area.u95 < was.u95


playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-playwright-python is not installed")


@pytest.mark.skipif(CHROMIUM is None, reason="there is no Chromium (Debian: apt install chromium)")
def test_in_a_browser(app: Flask, house: Services, told: Entry) -> None:
    port = free_port()
    with on_socket(app, port) as base, started_browser() as browser:
        page = browser.new_page()
        complaints: list[str] = []
        page.on("console", lambda message: complaints.append(message.text))
        page.goto(f"{base}/start/{house.start_key.key}")
        page.goto(base + RESULTS)
        playwright.expect(page.get_by_text("too close to call, would be met")).to_be_visible(timeout=MEASURED)
        found = axe.Axe().run(page, options=WCAG).response["violations"]
        assert [(item["id"], node["html"]) for item in found for node in item["nodes"]] == []
        page.get_by_role("button", name="Measure 1 photo again").click()
        playwright.expect(page.get_by_role("heading", name="Measure again")).to_be_visible()
        playwright.expect(page.get_by_text("too close to call before, met now")).to_be_visible(timeout=MEASURED)
        page.get_by_role("link", name="To the results").click()
        playwright.expect(page.locator("poll-part")).to_have_count(0, timeout=MEASURED)
        playwright.expect(page.locator("body")).not_to_contain_text("A better lens is known")
        assert complaints == []
    assert read_result(told.folder).rules[0].verdict == "met"


def test_a_repaired_model_stays(teacher: Browser, house: Services, told: Entry) -> None:
    zone = read_result(told.folder).zones[0]
    change = {"do": "reshape", "zone": zone.name, "piece": 1, "outline": [[0.5, 0.5], [3, 0.5], [3, 3], [0.5, 3]]}
    made = tapeplat.repair(tapeplat.check(told.folder / "challenge.toml", told.folder), [change])
    house.archive.replace_result(told, {"result.json": made.files["result.json"]}, "outlines repaired by hand")
    said = teacher.text(RESULTS.replace("results", "better-lens"))
    assert "only a new photo helps" in said
    assert "again</button>" not in said
    assert teacher.post(RESULTS.replace("results", "measure-again")).status_code == 409

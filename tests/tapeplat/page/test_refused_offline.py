"""What was sent without a connection and is then refused is all still there, with the reason."""

from __future__ import annotations

from typing import Any

import pytest

from tests.helpers.page.chromium import CHROMIUM, follow, until
from tests.tapeplat.page.test_bad_wifi import (
    LATER,
    House,
    as_teacher,
    chromium,
    come_in,
    go_offline,
    house,
    numbers,
    photo,
    type_number,
)

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="there is no Chromium (Debian: apt install chromium)")
__all__ = ["chromium", "house"]


def sent_offline(page: Any, *typed: str) -> None:
    go_offline(page)
    for number in typed:
        type_number(page, number)
        page.get_by_role("button", name="Check my number").click()
        playwright.expect(page.get_by_label("Your number")).to_have_value("")


def test_two_numbers_that_the_page_refuses_are_both_given_back(house: House) -> None:
    expect = playwright.expect
    with house.browser() as page:
        come_in(house, page)
        follow(page.get_by_role("link", name="Measure", exact=True))
        sent_offline(page, "31.1x", "31.2y")
        page.context.set_offline(False)
        expect(page.locator("#kept")).to_contain_text("This cannot be read as a number", timeout=LATER)
        expect(page.locator("#kept .kept-line", has_text="was not taken")).to_have_count(2, timeout=LATER)
        page.goto(f"{house.base}/class/measure")
        expect(page.locator("#kept")).to_contain_text("“31.1x” was not taken. This cannot be read as a number")
        for refused, meant in (("31.1x", "31.1"), ("31.2y", "31.2")):
            expect(page.get_by_label("Your number")).to_have_value(refused)
            page.get_by_label("Your number").fill(meant)
            page.get_by_role("button", name="Check my number").click()
            expect(page.locator("#answer")).to_contain_text(meant)
        until(lambda: numbers(house) == ["31.1", "31.2"], "both numbers")


def test_a_photo_from_a_page_that_is_older_than_its_session_is_taken_in(house: House) -> None:
    with house.browser() as page:
        as_teacher(house, page)
        page.goto(f"{house.base}/teacher/challenge/gull-point-harbour/photos")
        page.wait_for_load_state("load")
        page.evaluate("document.querySelector('meta[name=csrf]').content = 'of an older session'")
        page.get_by_label("Team", exact=True).select_option("1")
        page.set_input_files("#files", photo(40))
        page.get_by_role("button", name="Send and measure").click()
        playwright.expect(page.locator("[data-busy]")).to_contain_text("Team 1", timeout=LATER)
        playwright.expect(page.locator("#sending")).not_to_contain_text("not taken in")


def test_a_choice_that_is_missing_is_asked_for_without_a_connection(house: House) -> None:
    expect = playwright.expect
    with house.browser() as page:
        come_in(house, page)
        follow(page.get_by_role("link", name="Measure", exact=True))
        page.get_by_role("radio", name="area", exact=True).check()
        page.get_by_label("Zone", exact=True).select_option("market")
        page.get_by_label("Your number").fill("60")
        go_offline(page)
        page.get_by_role("button", name="Check my number").click()
        expect(page.locator("#kept")).to_contain_text("One thing is missing: How did you measure?")
        expect(page.get_by_label("Your number")).to_have_value("60")
        page.get_by_role("radio", name="count squares", exact=True).check()
        page.get_by_role("button", name="Check my number").click()
        expect(page.locator("#kept")).to_contain_text("Measure.")
        expect(page.get_by_label("Your number")).to_have_value("")
        page.context.set_offline(False)
        until(lambda: numbers(house) == ["60"], "the number")
        expect(page.locator("#answer")).to_contain_text("60")

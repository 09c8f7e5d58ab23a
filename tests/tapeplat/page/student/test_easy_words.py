"""The students' pages are read by children of nine: measured by a published formula."""

from __future__ import annotations

from pathlib import Path

from flask import Flask

from tapeplat.page.session.services import Services
from tests.helpers.page.browser import Browser
from tests.helpers.page.student_world import ENTRY, file_attempt, joined, open_all
from tests.helpers.readability import blocks_of_html, check_easy, read

NAMES = ("Gull Point Harbour", "market", "dock", "library", "stables")


def test_every_page_of_a_team_is_easy_to_read(app: Flask, house: Services, tmp_path: Path) -> None:
    pages = {"code": Browser(app.test_client(), house).text("/class/code")}
    browser = joined(app, house, 3)
    pages |= {"home, closed": browser.text("/class/home")}
    open_all(house)
    file_attempt(house, tmp_path)
    wrong = browser.post("/class/measure", {**ENTRY, "value": "5"}).location.split("#")[0]
    pages |= {name: browser.text(f"/class/{name}") for name in ("home", "plan", "measure", "results")}
    pages |= {"a wrong number": browser.text(wrong)}
    texts = {name: read(blocks_of_html(page), NAMES) for name, page in pages.items()}
    assert sum(text.words for text in texts.values()) > 300
    for name, text in texts.items():
        check_easy(text, name)

"""Lines on a class's pages: lengths by string are answered, pages, tables and comparisons say lengths."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from flask import Flask

from tapeplat.archive.attempt_comparison import compare
from tapeplat.archive.comparison_words import quantities
from tapeplat.page.session.services import Services
from tests.helpers.page.browser import CHALLENGE, Browser
from tests.helpers.page.student_world import ROAD, SLUG, file_attempt, joined, open_all

TASK = CHALLENGE.replace('  "by eye', '  "the road joins market and dock",\n  "by eye') + ROAD
COURSE = [[14.0, 8.0], [17.0, 8.0], [17.0, 12.0], [20.0, 12.0]]
"""cm: 10 from the market to the dock."""
STRING = {"quantity": "length", "line": "road", "value": "10.1", "unit": "cm", "mark": "0.1 cm"}


@pytest.fixture
def team(app: Flask, house: Services, tmp_path: Path) -> Browser:
    browser = joined(app, house, 3)
    house.challenges.save(SLUG, TASK)
    open_all(house, "verdicts")
    file_attempt(house, tmp_path / "first", task=TASK, road=COURSE)
    return browser


def answer(browser: Browser, **cells: str) -> str:
    sent = browser.post("/class/measure", {**STRING, **cells})
    assert sent.status_code == 303, sent.text
    return browser.text(sent.location.split("#")[0])


def test_a_length_by_string_agrees_or_is_looked_at_again(team: Browser) -> None:
    assert 'value="length"' in team.text("/class/measure")
    page = answer(team, value="8")
    assert "look again" in page
    assert "You can try this one 2 times more." in page
    page = answer(team)
    assert "road: length: 10.1 cm" in page
    assert "Your number and the photo agree." in page
    assert '<option value="road" selected>' in page  # ready for the next piece


@pytest.mark.parametrize(
    ("cells", "field"), [({"line": "market"}, "line"), ({"line": ""}, "line"), ({"mark": ""}, "mark")]
)
def test_a_length_without_its_line_or_ruler_is_not_sent(team: Browser, cells: dict[str, str], field: str) -> None:
    sent = team.post("/class/measure", {**STRING, **cells})
    assert sent.status_code == 400
    assert f'id="{field}-wrong"' in sent.text


def test_without_lines_no_length_is_offered(app: Flask, house: Services) -> None:
    browser = joined(app, house, 3)
    open_all(house)
    assert 'value="length"' not in browser.text("/class/measure")


def test_the_picture_with_numbers_has_the_road_and_no_length(team: Browser) -> None:
    page = team.text("/class/results")
    assert '<polyline points="140.0,80.0 170.0,80.0 170.0,120.0 200.0,120.0"/>' in page
    assert ">road</text>" in page
    assert "10" not in page.split("<polyline")[1].split(">road</text>")[0].replace("120.0", "").replace(",80.0", "")


def test_lengths_stand_on_the_models_page_in_tables_and_comparisons(
    team: Browser, teacher: Browser, house: Services, tmp_path: Path
) -> None:
    first = house.archive.entries()[0]
    page = teacher.text(f"/teacher/model/{first.id}")
    assert "<h2>Lines</h2>" in page
    row = page.split('<th scope="row">road</th>')[1].split("</tr>")[0]
    assert [cell.split("</td>")[0].split(">")[-1] for cell in row.split("<td")[1:]] == [
        "10 cm",
        "1",
        "20",
        "market, dock",
    ]
    second = file_attempt(house, tmp_path / "second", task=TASK, road=[[14.0, 8.0], [20.0, 8.0]])
    (lengths,) = [table for table in quantities(compare(first, second)) if table.title == "Lines"]
    assert [row[0] for row in lengths.rows] == ["road"]
    assert lengths.rows[0][4] == "less"
    table = teacher.get(f"/teacher/challenge/{SLUG}/class.csv").data.decode("utf-8-sig")
    (newest,) = csv.DictReader(io.StringIO(table))
    assert float(newest["road (cm)"]) == pytest.approx(6.0)
    assert float(newest["road u95 (cm)"]) > 0

"""Plans: rows to outlines, the check against the same checker as everything else, versions."""

from __future__ import annotations

import json
import re
from fractions import Fraction
from pathlib import Path

import pytest
from flask import Flask
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon
from werkzeug.datastructures import MultiDict

import tapeplat
from measure.challenge import Challenge, Zone, parse_challenge
from tapeplat.page.plan.plan_check import check_plan
from tapeplat.page.plan.plan_drawing import drawing
from tapeplat.page.plan.plan_form import (
    Piece,
    PieceRow,
    number_text,
    places,
    read_rows,
    rows_from_browser,
    rows_from_json,
    rows_json,
)
from tapeplat.page.session.services import Services
from tests.helpers.examples import examples
from tests.helpers.page.browser import Browser
from tests.helpers.page.student_world import SLUG, joined, open_all

TEXT = """\
title = "Fern Ridge"
unit = "in"
rules = [
  "mill covers at most 1/6 of the parcel",
  "mill is at least 2 in from barn",
  "there is a pond",
  "mill is taller than 2 in",
  "by eye: it looks well kept",
]
[parcel]
width = 18
depth = 14
[[zone]]
name = "mill"
swatch = 1
[[zone]]
name = "barn"
swatch = 2
[[zone]]
name = "pond"
swatch = 3
[[zone]]
name = "rock"
swatch = 4
kind = "keep-clear"
place = [9, 7]
place_within = 0.5
size = [2, 2]
size_within = 0.5
"""
CHALLENGE = parse_challenge(TEXT)


def box(zone: str, left: str, top: str, width: str, depth: str) -> PieceRow:
    return PieceRow(zone, left, top, width, depth)


def verdicts(*rows: PieceRow, challenge: Challenge = CHALLENGE) -> dict[str, tuple[str, str]]:
    read = read_rows(rows, challenge)
    assert not read.wrong
    return {line.text: (line.word, line.look) for line in check_plan(read.pieces, challenge)}


def test_a_plan_is_judged_rule_by_rule_in_words() -> None:
    said = verdicts(box("mill", "1", "1", "7", "6"), box("barn", "9 1/2", "1", "4", "3"))
    assert said["mill covers at most 1/6 of the parcel"] == ("met", "")  # 42 of 252, a sixth exactly
    assert said["mill is at least 2 in from barn"] == ("not met", "Look at mill and barn.")
    assert said["there is a pond"] == ("not yet", "Draw pond first.")
    assert said["mill is taller than 2 in"][0] == "not yet"
    assert said["by eye: it looks well kept"][0] == "by eye"


def test_a_zone_on_what_lies_fast_breaks_the_rule_that_nobody_wrote() -> None:
    others = (box("barn", "13", "1", "2", "2"), box("pond", "13", "8", "2", "2"))
    clear = next(text for text in verdicts() if "rock" in text)
    assert verdicts(box("mill", "1", "1", "3", "3"), *others)[clear][0] == "met"
    assert verdicts(box("mill", "8", "6", "3", "3"), *others)[clear] == ("not met", "Look at mill and rock.")
    assert verdicts(box("mill", "1", "1", "3", "3"))[clear] == ("not yet", "Draw barn and pond first.")


def test_an_empty_plan_says_what_to_draw_first() -> None:
    said = verdicts()
    assert {word for word, _ in said.values()} <= {"not yet", "by eye", "met"}
    assert said["mill is at least 2 in from barn"][1] == "Draw mill and barn first."


@examples(40)
@given(
    st.lists(
        st.tuples(
            st.sampled_from(["mill", "barn", "pond"]), st.integers(0, 48), st.integers(0, 36), st.integers(1, 20),
            st.integers(1, 18),
        ),
        max_size=6,
    )
)  # fmt: skip
def test_the_check_agrees_with_the_checker_of_files(
    tmp_path_factory: pytest.TempPathFactory, drawn: list[tuple[str, int, int, int, int]]
) -> None:
    """The same outlines as a GeoJSON file through `tapeplat check` get the same words."""
    quarter = [
        (zone, *(str(n / 4) for n in (left, top, min(width, 72 - left), min(depth, 56 - top))))
        for zone, left, top, width, depth in drawn
    ]
    read = read_rows([PieceRow(*cells) for cells in quarter], CHALLENGE)
    assert not read.wrong
    rock = [[8, 6], [10, 6], [10, 8], [8, 8], [8, 6]]
    features = [
        {"type": "Feature", "properties": {"zone": zone}, "geometry": {"type": "Polygon", "coordinates": [ring]}}
        for zone, ring in (*places(read.pieces), ("rock", rock))
    ]
    folder = tmp_path_factory.mktemp("plat")
    (folder / "c.toml").write_text(TEXT)
    (folder / "plat.json").write_text(json.dumps({"type": "FeatureCollection", "features": features}))
    judged = json.loads(tapeplat.check(folder / "c.toml", folder / "plat.json").files["result.json"])["rules"]
    theirs = {rule["text"]: rule["verdict"] for rule in judged}
    for line in check_plan(read.pieces, CHALLENGE):
        assert line.verdict in (theirs[line.text], "not measured")
        assert line.verdict == theirs[line.text] or line.text == "there is a pond"


@given(st.integers(0, 16), st.integers(0, 13), st.integers(0, 16))
def test_rows_and_their_numbers_come_back_as_they_were(left: int, top: int, sixteenths: int) -> None:
    at = left + Fraction(sixteenths, 16)
    row = box("mill", number_text(at, "in"), str(top), "1", "1")
    assert rows_from_json(rows_json([row])) == (row,)
    assert read_rows([row], CHALLENGE).pieces[0].corners[0] == (at, top)


def test_corners_make_an_l_whose_area_is_that_of_its_squares() -> None:
    """Against shapely and by counting: 4 by 4 less 2 by 2 is 12 squares."""
    read = read_rows([PieceRow("mill", corners="(1, 1) (5, 1) (5, 3) (3, 3) (3, 5) (1, 5)")], CHALLENGE)
    assert Polygon([(float(x), float(y)) for x, y in read.pieces[0].corners]).area == 12


@pytest.mark.parametrize(
    ("row", "field"),
    [
        (PieceRow("moon", "1", "1", "2", "2"), "zone"),
        (PieceRow("rock", "1", "1", "2", "2"), "zone"),
        (box("mill", "", "1", "2", "2"), "left"),
        (box("mill", "a", "1", "2", "2"), "left"),
        (box("mill", "1", "1", "0", "2"), "width"),
        (box("mill", "1", "1", "2", "-2"), "depth"),
        (box("mill", "16", "1", "3", "2"), "left"),
        (box("mill", "1", "13", "3", "2"), "left"),
        (box("mill", "nan", "1", "inf", "2"), "width"),
        (PieceRow("mill", corners="(1, 1) (2, 2)"), "corners"),
        (PieceRow("mill", corners="1 1 2 2 3 3"), "corners"),
        (PieceRow("mill", corners="(1, 1) (5, 5) (5, 1) (1, 5)"), "corners"),
        (PieceRow("mill", corners="(1, 1) (5, 1) (9, 1)"), "corners"),
        (PieceRow("mill", corners="(1, 1) (5, 1) (19, 9)"), "corners"),
        (PieceRow("mill", corners="(1, 1)" * 100), "corners"),
    ],
)
def test_what_is_wrong_with_a_row_is_said_at_its_field(row: PieceRow, field: str) -> None:
    read = read_rows([box("barn", "1", "1", "2", "2"), row], CHALLENGE)
    assert f"piece_1_{field}" in read.wrong
    assert len(read.pieces) == 1


def test_rows_without_a_zone_stand_for_nothing() -> None:
    rows = {"zone": ("", "mill"), "left": ("9", "1"), "top": ("9", "1"), "width": ("9", "2"), "depth": ("", "2")}
    cells = {**rows, "corners": ("", "")}
    form = MultiDict([(f"piece_{name}", value) for name, values in cells.items() for value in values])
    assert rows_from_browser(form) == (box("mill", "1", "1", "2", "2"),)


def test_the_drawing_has_a_square_for_every_unit_and_shows_what_lies_fast() -> None:
    shown = drawing(
        CHALLENGE, [Piece("mill", ((Fraction(1), Fraction(1)), (Fraction(3), Fraction(1)), (Fraction(3), Fraction(4))))]
    )
    assert (len(shown.across), len(shown.down)) == (19, 15)
    assert shown.fast[0].points == "8,6 10,6 10,8 8,8"
    assert shown.pieces[0].zone == "mill"


def test_a_parcel_in_mm_has_squares_of_a_centimetre() -> None:
    in_mm = 'title = "A"\nunit = "mm"\nrules = []\n[parcel]\nwidth = 300\ndepth = 200\n'
    in_mm += '[[zone]]\nname = "a"\nswatch = 1\n'
    shown = drawing(parse_challenge(in_mm), [])
    assert (len(shown.across), shown.square) == (31, 10.0)


def test_a_keep_clear_zone_without_a_size_is_drawn_by_the_team() -> None:
    bare = Zone("rock", 4, kind="keep-clear", place=(100.0, 100.0))
    task = parse_challenge(TEXT)
    loose = Challenge(task.title, task.unit, task.parcel, (*task.zones[:3], bare), task.rules)
    assert read_rows([box("rock", "1", "1", "2", "2")], loose).wrong == {}
    assert [shape.zone for shape in drawing(loose, []).crosses] == ["rock"]


# The pages.

PLAN = {
    "piece_zone": "market", "piece_left": "4", "piece_top": "4", "piece_width": "10", "piece_depth": "6",
    "piece_corners": "",
}  # fmt: skip


@pytest.fixture
def team(app: Flask, house: Services) -> Browser:
    browser = joined(app, house, 3)
    open_all(house, "picture", "verdicts", "entry")
    return browser


def page_of_check(team: Browser, location: str) -> str:
    """The page with the check's answer; it is asked for again while that is being found."""
    page = "being checked"
    while "being checked" in page:
        page = team.text(location.split("#")[0])
    return page


def test_a_plan_is_saved_and_checked_without_a_script(team: Browser) -> None:
    answer = team.post("/class/plan", {**PLAN, "do": "check"})
    assert answer.status_code == 303
    page = page_of_check(team, answer.location)
    assert "What the check says" in page
    assert re.search(r"market covers at most 1/5 of the parcel</p>\s*<p class=\"verdict verdict-met\"", page)
    assert "Draw dock first." in page
    assert 'points="4,4 14,4 14,10 4,10"' in page


def test_the_check_tells_no_area_and_no_gap(team: Browser) -> None:
    page = page_of_check(team, team.post("/class/plan", {**PLAN, "do": "check"}).location)
    checked = page[page.index("What the check says") : page.index("The plan in numbers")]
    assert not re.search(r"\b60\b|\b5(\.0)? ?%|sq cm", checked)


def test_every_saved_state_is_kept_and_can_be_taken_up_again(team: Browser) -> None:
    team.post("/class/plan", PLAN)
    team.post("/class/plan", PLAN)
    team.post("/class/plan", {**PLAN, "piece_width": "12"})
    page = team.text("/class/plan")
    assert "Plan 2," in page
    assert "Plan 3," not in page
    assert 'value="12"' in page
    assert 'value="12"' not in team.text("/class/plan/1")
    assert team.get("/class/plan/9").status_code == 404


def test_a_plan_with_a_mistake_comes_back_as_it_was_typed(team: Browser) -> None:
    answer = team.post("/class/plan", {**PLAN, "piece_left": "a lot"})
    assert answer.status_code == 400
    assert 'value="a lot"' in answer.text
    assert 'id="piece_0_left-wrong"' in answer.text
    assert "Plan 1" not in team.text("/class/plan")


def test_plans_that_are_closed_have_no_address(team: Browser, house: Services) -> None:
    team.post("/class/plan", PLAN)
    open_all(house, "plan")
    for path in ("/class/plan", "/class/plan/1"):
        assert team.get(path).status_code == 403
    assert team.post("/class/plan", PLAN).status_code == 403


def test_a_plan_of_zones_that_the_challenge_lost_says_so(team: Browser, house: Services) -> None:
    team.post("/class/plan", PLAN)
    text = house.challenges.text(SLUG).replace("market", "bazaar")
    house.challenges.save(SLUG, text)
    assert "Choose a zone of this task." in team.text("/class/plan")


def test_a_team_keeps_its_newest_plans(team: Browser, house: Services, tmp_path: Path) -> None:
    from tapeplat.page.store.plans import MOST_PLANS, Plans

    plans = Plans(house.database)
    for number in range(MOST_PLANS + 5):
        plans.save(SLUG, 3, rows_json([box("market", "1", "1", str(number + 1), "1")]))
    stored = [plan.number for plan in plans.of(SLUG, 3)]
    assert stored == list(range(MOST_PLANS + 5, 5, -1))

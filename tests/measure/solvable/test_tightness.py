"""How tight: slack, what binds, what is committed, and changes of one limit, against values worked out by hand."""

from __future__ import annotations

import math
from fractions import Fraction
from pathlib import Path

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from measure.challenge import Challenge, read_challenge
from measure.solvable.answer import Answer, answer
from measure.solvable.problem.layout import Layout, Placed
from measure.solvable.problem.limit_changes import knobs, sentence
from measure.solvable.problem.problem import problem_of
from measure.solvable.problem.storeys import needed_heights
from measure.solvable.tightness import least_share, slacks_of
from tests.helpers.made.settlements import challenge_text, kept_clear

PAIR = ("library", "stables")


def written(rules: list[str], folder: Path, zones: tuple[str, ...] = PAIR, extra: str = "") -> Challenge:
    path = folder / "challenge.toml"
    path.write_text(challenge_text(zones, rules, extra=extra), encoding="utf-8")
    return read_challenge(path)


def solved(rules: list[str], folder: Path, **more: float) -> Answer:
    return answer(written(rules, folder), 20, **more)


def test_two_shares_that_take_nearly_all_have_the_room_that_is_left(tmp_path: Path) -> None:
    # 40 % and 50 % leave 10 % of the parcel: both can be larger by a ninth of themselves, 11.1 %.
    found = solved(["library covers at least 40% of the parcel", "stables cover at least 1/2 of the parcel"], tmp_path)
    assert found.tight is not None
    assert found.tight.least == pytest.approx(1 / 9, abs=0.011)
    assert found.tight.binding == (1, 2)
    assert found.tight.committed == pytest.approx(0.9, abs=1e-6)
    assert found.tight.word == "fair"


def test_a_distance_across_the_parcel_has_the_room_of_the_diagonal(tmp_path: Path) -> None:
    found = solved(["library is at least 20 in from stables"], tmp_path)
    assert found.tight is not None
    assert 0.1 < found.tight.least <= math.hypot(18, 14) / 20 - 1


def test_slack_of_limits_in_a_layout_known_exactly(tmp_path: Path) -> None:
    rules = [
        "library covers at least 20 sq in", "stables cover between 10 and 20 sq in",
        "stables are at most 4 in from library",
        "library is at least 1/2 in from the edge",
    ]  # fmt: skip
    challenge = written(rules, tmp_path)
    inch = 25.4
    pieces = (
        Placed("library", ((1 * inch, 1 * inch, 6 * inch, 6 * inch),)),
        Placed("stables", ((9 * inch, 1 * inch, 13 * inch, 4 * inch),)),
    )
    slacks = slacks_of(problem_of(challenge), Layout(457.2, 355.6, pieces))
    assert slacks == pytest.approx({1: 0.25, 2: 0.2, 3: 0.25, 4: 1.0})


def test_the_least_land_counts_what_is_kept_clear(tmp_path: Path) -> None:
    challenge = written(
        ["library covers at least 25% of the parcel"], tmp_path, PAIR, kept_clear("rock", (9, 7), (6, 4.2))
    )
    assert least_share(problem_of(challenge)) == pytest.approx(0.35, abs=1e-6)


def test_looser_reaches_the_wanted_room_with_one_change(tmp_path: Path) -> None:
    rules = ["library covers at least 40% of the parcel", "stables cover at least 1/2 of the parcel"]
    found = solved(rules, tmp_path, looser_to=0.2)
    assert {change.number for change in found.changes} == {1, 2}
    # In steps of a twentieth of the parcel the first that give a fifth more room are 30 % and 50 %, or 40 % and 40 %:
    # both take 80 %, so that all can be larger by a quarter of themselves.
    for change in found.changes:
        assert change.slack == pytest.approx(1 / 4, abs=0.011)


def test_tighter_leaves_the_wanted_room(tmp_path: Path) -> None:
    found = solved(
        ["library covers at least 20% of the parcel", "stables cover at least 1/5 of the parcel"],
        tmp_path,
        tighter_to=0.1,
    )
    assert len(found.changes) == 2
    for change in found.changes:
        assert 0.098 <= change.slack <= 0.2
    assert found.changes[0].after != found.changes[0].before


def test_a_new_limit_is_said_in_the_teachers_own_words(tmp_path: Path) -> None:
    rules = [
        "Library covers at most 1/5 of the parcel.", "stables are at least 4 1/2 in from library",
        "library covers at least 40% more than stables", "stables cover up to 30 per cent of the parcel",
        "library covers exactly 1/6 of the parcel, within 2%",
    ]  # fmt: skip
    challenge = written(rules, tmp_path)
    new = (Fraction(25), Fraction(4), Fraction(13, 10), Fraction(35), Fraction(5))
    said = [
        sentence(challenge, number, knobs(number, challenge.rules[number - 1].rule)[0].turned(value))
        for number, value in enumerate(new, 1)
    ]
    assert said == [
        "Library covers at most 1/4 of the parcel.", "stables are at least 4 in from library",
        "library covers at least 30% more than stables", "stables cover up to 35 per cent of the parcel",
        "library covers exactly 1/6 of the parcel, within 5%",
    ]  # fmt: skip


def test_people_as_a_height_on_the_land(tmp_path: Path) -> None:
    # 800 people at 4 per cubic in are 200 cubic in; on 5 x 5 in that is 8 in, and 7 are allowed.
    rules = ["library houses at least 800 people at 4 people per cubic in", "no structure is taller than 7 in"]
    layout = Layout(457.2, 355.6, (Placed("library", ((0.0, 0.0, 127.0, 127.0),)),))
    (needed,) = needed_heights(written(rules, tmp_path), layout)
    assert needed.height == pytest.approx(8 * 25.4)
    assert needed.reasonable is False


@given(st.floats(10, 100), st.floats(10, 100), st.floats(0.05, 0.45))
def test_a_piece_with_cut_corners_has_the_octagons_area_and_perimeter(width: float, depth: float, share: float) -> None:
    # Checked with shapely.
    cut = share * min(width, depth)
    octagon = shapely.Polygon(Placed("lake", ((0.0, 0.0, width, depth),), cut).outline())
    assert octagon.area == pytest.approx(width * depth - 2 * cut**2)
    assert octagon.length == pytest.approx(2 * (width + depth) - (8 - 4 * math.sqrt(2)) * cut)

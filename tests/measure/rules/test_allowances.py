"""What the teacher allows beside a limit: which rules it widens and by how much, and what is said of it."""

from __future__ import annotations

import json

import numpy as np
import pytest
import shapely

from measure.challenge import Challenge, parse_challenge
from measure.errors import InputMistakes
from measure.plat.plat import Plat
from measure.result.result import parse_result, result_text
from measure.result.result_making import result_of
from measure.rules.allowance import allowance_of
from measure.rules.evaluation.evaluate import evaluate_all
from measure.rules.verdict import Outcome
from measure.solvable.cpsat.search import Deadline
from measure.solvable.decide import decide
from measure.solvable.problem.problem import problem_of
from tapeplat.wording.wording import detail_of
from tests.helpers.made.plats import Model, exact, moved_polygons, plat, rectangle
from tests.measure.rules.test_rules_monte_carlo import draws, sampling_error

INCH = 25.4
ZONES = ("library", "stables", "school")


def posed(*rules: str, allow: str = "", tables: str = "") -> Challenge:
    zones = "".join(f'[[zone]]\nname = "{name}"\nswatch = {at}\n' for at, name in enumerate(ZONES, 1))
    said = ", ".join(json.dumps(rule) for rule in rules)
    head = f'title = "Made"\nunit = "in"\ntouch_gap = 0.1\nrules = [{said}]\n' + (
        f'allow = "{allow}"\n' if allow else ""
    )
    return parse_challenge(f"{head}[parcel]\nwidth = 18\ndepth = 14\n{tables}\n{zones}")


def inches(*sides: float) -> list[tuple[float, float]]:
    x, y, width, depth = (INCH * side for side in sides)
    return list(rectangle(x, y, width, depth))


# Library 4 x 5 in, stables 4.04 x 5 in, 2.95 in apart; the school touches the stables.
PLAT = Plat(18 * INCH, 14 * INCH, (
    exact("library", inches(1, 1, 4, 5)), exact("stables", inches(7.95, 1, 4.04, 5)),
    exact("school", inches(7.95, 6, 2, 2.02)),
), (), "given")  # fmt: skip


def judged(challenge: Challenge, model: Plat = PLAT) -> Outcome:
    return evaluate_all(challenge, challenge.measures(model))[0]


# What is measured, what is allowed; met without it, with it.
JUDGED = [
    ("library is at least 3 in from stables", "1/16 in", "not met", "met"),
    ("library is at least 3 in from stables", "1/32 in", "not met", "not met"),
    ("library is at least 3 in from stables", "2%", "not met", "met"),
    ("library is at least 3 in from stables", "1%", "not met", "not met"),
    ("library is at most 2.9 in from stables", "1/16 in", "not met", "met"),
    ("library is at most 3 in from stables", "1/16 in", "met", "met"),
    ("library is at least 1 1/16 in from the edge", "1/16 in", "not met", "met"),
    ("the perimeter of library is at most 17.9 in", "1/8 in", "not met", "met"),
    ("the perimeter of library is at most 17.9 in", "1/16 in", "not met", "not met"),
    # Half of the library's perimeter, 9 in, times 1/16 in is 0.5625 sq in, or 0.223 % of the parcel.
    ("library covers at most 19.5 sq in", "1/16 in", "not met", "met"),
    ("library covers at most 19.4 sq in", "1/16 in", "not met", "not met"),
    ("library covers at most 7.75% of the parcel", "1/16 in", "not met", "met"),
    ("library covers at most 7.7% of the parcel", "1/16 in", "not met", "not met"),
    ("library covers at most 19.7 sq in", "2%", "not met", "met"),
    ("library covers exactly 1/12 of the parcel", "5%", None, "met"),
    ("library covers exactly 1/12 of the parcel", "4%", None, "not met"),
    # 20 / 20.2 is 0.990; each may be 0.0281 of itself off.
    ("library covers as much as stables", "2%", None, "met"),
    ("library is the same size as stables", "0.5%", None, "not met"),
    ("library is the same size as stables", "1/16 in", None, "met"),
    ("stables cover at least 1.06 times library", "1/16 in", "not met", "met"),
    ("stables cover at least 1.08 times library", "1/16 in", "not met", "not met"),
    ("stables are exactly 3 in from library", "1/16 in", None, "met"),
    ("every zone covers at least 1.65% of the parcel", "3%", "not met", "met"),
    ("no piece of stables covers more than 20 sq in", "2%", "not met", "met"),
    ("at least 1 piece of library covers more than 20.1 sq in", "1%", "not met", "met"),
]  # fmt: skip


@pytest.mark.parametrize(("rule", "allow", "without", "verdict"), JUDGED)
def test_a_rule_is_judged_with_what_is_allowed(rule: str, allow: str, without: str | None, verdict: str):
    if without is not None:
        assert judged(posed(rule)).verdict == without
    found = judged(posed(rule, allow=allow))
    assert (found.verdict, found.allowed) == (verdict, allow)
    assert found.met_without == (None if verdict != "met" else without == "met")
    assert found.chance == (1.0 if verdict == "met" else 0.0)


NEVER = [
    "library covers exactly 1/12 of the parcel, within 2%",
    "library covers less than stables",
    "school touches stables",
    "no zones overlap",
    "there are at least 2 libraries",
    "library is nearer to stables than to school",
    "by eye: it is pretty",
]


@pytest.mark.parametrize("rule", NEVER)
@pytest.mark.parametrize("allow", ["1/16 in", "5%"])
def test_what_has_a_within_or_no_measured_number_is_not_widened(rule: str, allow: str):
    plain, found = judged(posed(rule)), judged(posed(rule, allow=allow))
    assert (found.verdict, found.chance, found.allowed, found.met_without) == (plain.verdict, plain.chance, "", None)


def test_a_length_is_not_allowed_of_a_volume_and_a_per_cent_is():
    rule = "library holds at least 20 cubic in"
    assert posed(rule, allow="1/16 in").rules[0].allowance is None
    assert posed(rule, allow="5%").rules[0].allowance == allowance_of("5%")


@pytest.mark.parametrize("allow", ["", "0.4%", "0.5 mm"])
def test_the_chance_is_against_the_limit_with_what_is_allowed(allow: str):
    made = Model(3, noise=0.3)
    model = Plat(18 * INCH, 14 * INCH, plat(
        made.piece("library", inches(1, 1, 4, 5)), made.piece("stables", inches(8, 1, 4, 5)),
    ).pieces, (), "given")  # fmt: skip
    library, stables = (moved_polygons(piece.ring, draws()) for piece in model.pieces)
    distance = posed("library is at least 3.02 in from stables", allow=allow)
    widened = {"": 0.0, "0.4%": 0.004 * 3.02 * INCH, "0.5 mm": 0.5}[allow]
    expected = (shapely.distance(library, stables) >= 3.02 * INCH - widened).mean()
    assert 0.01 < expected < 0.999
    assert judged(distance, model).chance == pytest.approx(expected, abs=sampling_error(expected))
    size = posed("library covers at most 19.95 sq in", allow=allow)
    widened = {"": 0.0, "0.4%": 0.004 * 19.95 * INCH**2, "0.5 mm": 0.5 * 9 * INCH}[allow]
    expected = (shapely.area(library) <= 19.95 * INCH**2 + widened).mean()
    assert judged(size, model).chance == pytest.approx(expected, abs=sampling_error(expected) + 0.002)
    assert np.isfinite(judged(size, model).u95 or np.nan)


def test_the_most_particular_allowance_counts():
    rules = [
        "library is at least 3 in from stables",
        "library is at least 3 in from school",
        "library covers 5 sq in or more",
    ]
    tables = (
        '[allow]\nevery = "3%"\ndistance = "1/8 in"\n[allow.rule]\n"Library is at least 3 in from school." = "1/4 in"\n'
    )
    lines = posed(*rules, tables=tables).rules
    assert [line.allowance.text for line in lines if line.allowance] == ["1/8 in", "1/4 in", "3%"]
    assert lines[0].reads_as() == "the distance from library to stables is at least 3 in (1/8 in allowed)"
    assert lines[0].told == "library is at least 3 in from stables (1/8 in allowed)"


@pytest.mark.parametrize(
    ("head", "tables", "said"),
    [
        ('allow = "1/16"', "", "write a length with its unit or a per cent, such as 1/16 in or 2%"),
        ('allow = "0 in"', "", "nothing is allowed then"),
        ('allow = "80%"', "", "write 50% at most"),
        ('allow = "one in"', "", "is not a number"),
        ("allow = 2", "", "`allow` is a text"),
        ("", '[allow]\ndistanse = "1/8 in"\n', "`distanse` is no kind of rule here; did you mean `distance`?"),
        ("", "[allow]\ndistance = 3\n", "`distance` of [allow] is a text"),
        ("", '[allow.rule]\n"library is at least 2 in from school" = "1/8 in"\n', 'did you mean "library is at'),
        ("", '[allow.rule]\n"there is a library" = "5%"\n', "`5%` cannot be allowed here: the rule has no measured"),
    ],
)  # fmt: skip
def test_what_cannot_be_allowed_is_said(head: str, tables: str, said: str):
    rules = '["library is at least 3 in from school", "there is a library"]'
    zones = '[[zone]]\nname = "library"\nswatch = 1\n[[zone]]\nname = "school"\nswatch = 2\n'
    text = f'title = "Made"\nunit = "in"\nrules = {rules}\n{head}\n[parcel]\nwidth = 18\ndepth = 14\n{tables}{zones}'
    with pytest.raises(InputMistakes) as wrong:
        parse_challenge(text)
    assert said in str(wrong.value)
    assert len(wrong.value.mistakes) == 1


@pytest.mark.parametrize("rule", ["library covers 1/12 of the parcel", "library covers exactly a lot"])
def test_a_number_alone_is_still_refused(rule: str):
    with pytest.raises(InputMistakes):
        posed(rule, allow="5%")


def test_the_result_file_says_what_is_allowed_and_that_it_is_not_met_without():
    challenge = posed("library is at least 3 in from stables", "library is at most 3 in from stables", allow="1/16 in")
    measures = challenge.measures(PLAT)
    outcomes = evaluate_all(challenge, measures)
    text = result_text(result_of(challenge, measures, outcomes, lambda notice: notice.code))
    first, second = json.loads(text)["rules"]
    assert (first["verdict"], first["allowed"], first["met_without"], first["limit"]) == ("met", "1/16 in", False, 3.0)
    assert (second["verdict"], second["met_without"]) == ("met", True)
    assert parse_result(text).rules[0].met_without is False
    assert "1/16 in is allowed, so it is met." in detail_of(outcomes[0])
    assert "allowed" not in detail_of(outcomes[1])


def test_a_rule_that_is_not_met_even_so_says_so():
    challenge = posed("library is at least 4 in from stables", allow="1/16 in")
    assert "1/16 in is allowed, and that is not enough." in detail_of(judged(challenge))


def test_a_layout_is_found_for_exactly_with_what_is_allowed():
    challenge = posed("library covers exactly 1/7 of the parcel", "school is exactly 3 in from library", allow="2%")
    assert decide(problem_of(challenge), Deadline(10)).layout is not None


# ---- formulas: library 4 x 5, stables 4.04 x 5, school 2 x 2.02 in

FORMULAS = [
    ("the perimeter of library plus the perimeter of stables is at most 36 in", "1/8 in", "met"),
    ("the perimeter of library plus the perimeter of stables is at most 36 in", "1/16 in", "not met"),
    ("the perimeter of library plus the perimeter of stables is at most 36 in", "1%", "met"),
    ("the area of library plus the area of school is at least 1.4 times the area of stables", "20%", "met"),
    ("for every zone: the area of that zone is at least 4.1 sq in", "2%", "met"),
    ("for every zone: the width of that zone is at least 2.05 in", "1/16 in", "met"),
    ("for at least 3 zones: the width of that zone is at least 2.05 in", "1/16 in", "met"),
    ("not: the gap from library to stables is less than 3 in", "1/16 in", "met"),
    ("for no zone: the width of that zone is less than 2.05 in", "1/16 in", "met"),
    ("for at most 2 zones: the area of that zone is more than 4 sq in", "2%", "met"),
    ("for at most 2 zones: the area of that zone is more than 4 sq in", "0.5%", "not met"),
]  # fmt: skip


@pytest.mark.parametrize(("rule", "allow", "verdict"), FORMULAS)
def test_the_comparisons_of_a_formula_are_widened_so_that_the_whole_is_easier_to_keep(rule, allow, verdict):
    assert posed(rule).rules[0].rule.kind.name == "formula"
    plain, found = judged(posed(rule)), judged(posed(rule, allow=allow))
    assert plain.verdict == "not met"
    assert (found.verdict, found.allowed, found.limit) == (verdict, allow, plain.limit)
    assert found.met_without is (False if verdict == "met" else None)


@pytest.mark.parametrize(
    ("rule", "allow"),
    [
        ("the number of sides of library is exactly 4", "2%"),
        ("homes are connected".replace("homes", "library"), "2%"),
        ("the area of library plus the area of school is more than the area of stables", "2%"),
        ("for every zone: the area of that zone is at least 4.1 sq in", "1/16 in"),
        ("if the gap from library to stables is at most 2.9 in, then there is no school", "1/16 in"),
    ],
)
def test_what_is_counted_or_only_a_condition_is_not_widened(rule: str, allow: str):
    plain, found = judged(posed(rule)), judged(posed(rule, allow=allow))
    assert posed(rule).rules[0].rule.kind.name == "formula"
    assert (found.verdict, found.value) == (plain.verdict, plain.value)


@pytest.mark.parametrize(
    ("shape", "corners", "allow", "verdict"),
    [
        ("square", [(0, 0), (40, 0), (40, 43), (0, 43)], "", "not met"),
        ("square", [(0, 0), (40, 0), (40, 43), (0, 43)], "1/16 in", "met"),
        ("square", [(0, 0), (40, 0), (40, 43), (0, 43)], "3%", "met"),
        ("square", [(0, 0), (40, 0), (40, 46), (0, 46)], "1/16 in", "not met"),
        ("rectangle", [(0, 0), (100, 0), (111.5, 100), (0, 100)], "", "not met"),
        ("rectangle", [(0, 0), (100, 0), (111.5, 100), (0, 100)], "1/8 in", "met"),
        ("rectangle", [(0, 0), (100, 0), (130, 100), (0, 100)], "1/8 in", "not met"),
    ],
)
def test_a_shape_is_judged_with_what_is_allowed(
    shape: str, corners: list[tuple[float, float]], allow: str, verdict: str
):
    model = Plat(18 * INCH, 14 * INCH, (exact("school", [(x + 50, y + 50) for x, y in corners]),), (), "given")
    assert judged(posed(f"school is a {shape}", allow=allow), model).verdict == verdict

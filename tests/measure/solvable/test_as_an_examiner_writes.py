"""Challenges as a teacher or an examiner writes them, with answers worked out by hand beside each."""

from __future__ import annotations

from pathlib import Path

import pytest

from measure.challenge import read_challenge
from measure.solvable.conflict import conflict_of
from measure.solvable.cpsat.search import Deadline
from measure.solvable.decide import decide, passes
from measure.solvable.problem.problem import Problem, problem_of
from tests.helpers.made.settlements import challenge_text, kept_clear

ROCK = kept_clear("rock", (6, 4.5), (4, 3))
AWAY = ["lodge is at least 1 in from rock", "barn is at least 1 in from rock"]


def problem(folder: Path, names: str, rules: list[str], size: tuple[float, float], unit: str, extra: str) -> Problem:
    path = folder / "challenge.toml"
    path.write_text(challenge_text(names.split(), rules, size, unit, extra), encoding="utf-8")
    return problem_of(read_challenge(path))


@pytest.mark.parametrize(
    ("names", "rules", "size", "unit", "extra"),
    [
        # 1.2 x 1.1 x 0.755 = 0.9966 < 1: the ring closes.
        ("farm school pond", ["farm covers at least 1.2 times school", "school covers at least 10% more than pond",
                              "pond covers at least 0.755 times farm"], (60, 40), "cm", ""),
        # Two strips of 2 x 4 in at the ends of 24 in leave 20.
        ("depot clinic", ["depot covers at least 8 sq in", "clinic covers at least 8 sq in",
                          "depot is at least 19.9 in from clinic"], (24, 4), "in", ""),
        # The diagonal is 15 in.
        ("depot clinic", ["depot is at least 14.5 in from clinic"], (12, 9), "in", ""),
        # Inside the margin there are 300 x 200 mm, half of the parcel.
        ("farm school", ["every zone is at least 50 mm from the edge", "farm covers at least 30% of the parcel",
                         "school covers at least 1/5 of the parcel"], (400, 300), "mm", ""),
        # A circle of 18 in has 25.8 sq in, a square 20.25.
        ("pond", ["pond covers at least 21 sq in", "the perimeter of pond is at most 18 in"], (18, 14), "in", ""),
        # An L along two sides of the rock: 3 x 9 and 9 x 2 in are 45 sq in.
        ("lodge", ["lodge is at least 1 in from rock", "lodge covers at least 44 sq in"], (12, 9), "in", ROCK),
        # Three boxes 3 in deep share 18 - 2 x 2 in: 42 sq in.
        ("p q r", ["every zone is at least 1 in from the edge", "p is at least 2 in from q",
                   "q is at least 2 in from r", "p is at least 2 in from r", "p covers at least 14 sq in",
                   "q covers at least 14 sq in", "r covers at least 13.9 sq in"], (20, 5), "in", ""),
    ],
)  # fmt: skip
def test_what_just_fits_is_found(
    names: str, rules: list[str], size: tuple[float, float], unit: str, extra: str, tmp_path: Path
) -> None:
    posed = problem(tmp_path, names, rules, size, unit, extra)
    found = decide(posed, Deadline(30))
    assert found.layout is not None
    assert passes(posed, found.layout)


@pytest.mark.parametrize(
    ("names", "rules", "size", "unit", "extra", "fight"),
    [
        # 1.2 x 1.1 x 0.8 = 1.056.
        ("farm school pond", ["farm covers at least 1.2 times school", "school covers at least 10% more than pond",
                              "no zones overlap", "pond covers at least 0.8 times farm"],
         (60, 40), "cm", "", {1, 2, 4}),
        # 2 + 6 + 2 + 6 + 1 = 17 in at most, as 12 in of perimeter span 6.
        ("gate plaza hall temple", ["gate is at most 2 in from plaza", "plaza is at most 2 in from hall",
                                    "the perimeter of plaza is at most 12 in", "the perimeter of hall is at most 12 in",
                                    "hall is at most 1 in from temple", "gate is at least 17.5 in from temple"],
         (36, 24), "in", "", {1, 2, 3, 4, 5, 6}),
        # 12 x 9 less 6 x 5 in round the rock are 78 sq in; rounded corners give less than 1 more.
        ("lodge barn", [*AWAY, "lodge covers at least 39.6 sq in", "barn covers at least 39.6 sq in"],
         (12, 9), "in", ROCK, {1, 2, 3, 4}),
        # 33 % and 33 % are more than 65 %.
        ("alpha beta", ["alpha covers exactly 1/3 of the parcel, within 1%", "there is a beta",
                        "beta covers exactly 1/3 of the parcel, within 1%",
                        "alpha and beta together cover at most 65% of the parcel"], (70, 50), "cm", "", {1, 3, 4}),
    ],
)  # fmt: skip
def test_what_just_does_not_fit_is_proved_with_the_rules_that_fight(
    names: str, rules: list[str], size: tuple[float, float], unit: str, extra: str, fight: set[int], tmp_path: Path
) -> None:
    posed = problem(tmp_path, names, rules, size, unit, extra)
    decision = decide(posed, Deadline(30), other_shapes=False)
    assert decision.solvable is False
    conflict = conflict_of(posed, decision, Deadline(30), lambda _: None)
    assert set(conflict.numbers) == fight
    assert conflict.minimal
    assert conflict.loosenings


def test_beside_a_keep_clear_zone_off_the_grid_the_proof_is_for_the_grid_only(tmp_path: Path) -> None:
    # The rock's sides lie 0.03 in off every grid: what the loose search moves would not be moved enough.
    off = kept_clear("rock", (6.03, 4.53), (4, 3))
    rules = ["lodge is at least 1 in from rock", "lodge covers at least 85 sq in"]
    reaches = [
        decide(problem(tmp_path, "lodge", rules, (12, 9), "in", rock), Deadline(30), other_shapes=False).reach
        for rock in (ROCK, off)
    ]
    assert reaches == ["rectangles and Ls", "grid"]

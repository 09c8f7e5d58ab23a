"""Every kind of sentence that a layout decides: kept by a layout, and in contradiction with another sentence."""

from __future__ import annotations

from pathlib import Path

import pytest

from measure.challenge import Challenge, read_challenge
from measure.solvable.answer import answer
from measure.solvable.cpsat.search import Deadline
from measure.solvable.decide import decide, passes
from measure.solvable.problem.problem import problem_of
from tapeplat.solving.solvable_words import report
from tests.helpers.made.settlements import challenge_text, kept_clear

ZONES = ("library", "stables", "school", "market")
# A rule, and others with which it cannot be kept on a parcel of 18 x 14 in.
PAIRS = [
    ("there is a school", ["there is no school"]),
    ("there are at least 2 markets", ["there is exactly 1 piece of market"]),
    ("there are exactly 3 pieces of stables", ["there are at most 2 pieces of stables"]),
    ("library covers at most 1/5 of the parcel", ["library covers at least 60 sq in"]),
    ("school covers between 20% and 30% of the parcel", ["school covers at most 40 sq in"]),
    ("market covers exactly 1/6 of the parcel, within 2%", ["market covers at least 43 sq in"]),
    ("library and school together cover at most 50% of the parcel", ["each of library and school covers at least 26%"]),
    ("all zones together cover at least 90% of the parcel", ["every zone covers at most 22% of the parcel"]),
    ("market covers at least 12 sq in", ["the perimeter of market is at most 12 in"]),
    ("the perimeter of school is at least 40 in", ["the perimeter of school is at most 39 in"]),
    ("library covers less than market", ["library covers more than market"]),
    ("market covers at least 40% more than stables", ["stables cover at least 3/4 of market"]),
    ("school covers at least 1.4 times library", ["library covers at least 1.4 times school"]),
    ("school covers half as much as market, within 10%", ["school covers at least 0.6 times market"]),
    ("market covers at least 3 sq in more than stables", ["market covers at most 2 sq in more than stables"]),
    ("market is the largest zone", ["school covers more than market"]),
    ("stables are at least 4 1/2 in from library", ["stables are at most 4 in from library"]),
    ("school is within 4 in of market", ["school is at least 5 in from market"]),
    ("stables are exactly 3 in from library, within 1/4 in", ["stables touch library"]),
    ("every zone is at least 1/2 in from every other zone", ["school touches market"]),
    ("every zone is at least 1 in from the edge", ["market is at most 1/2 in from the edge"]),
    ("library does not touch school", ["library touches school"]),
    ("no zones touch", ["library is within 0.1 in of school"]),
    ("nothing overlaps rock", ["market covers at least 95% of the parcel"]),
    ("no zones overlap", ["library overlaps school"]),
    ("library overlaps school", ["library is at least 1/4 in from school"]),
    ("every zone is inside the parcel", ["library is more than 23 in from market"]),
    (
        "school is within 1 in of the centre of the parcel",
        ["school is more than 2 in from the centre of the parcel"],
    ),
    ("school is at least 6 in from the centre of the parcel", ["school is within 5 in of the centre of the parcel"]),
    (
        "school is nearer to market than to stables",
        ["school is at least 3 in from market", "school is within 2 in of stables"],
    ),
    ("school is in the north half", ["school is south of market", "market is in the south half"]),
    ("market is in the south-east corner", ["market covers at least 64 sq in"]),
    ("library is east of market", ["market is east of library"]),
]  # fmt: skip
ROCK = kept_clear("rock", (9, 7), (3.1, 2.3))


def read(rules: list[str], folder: Path, extra: str = "", zones: tuple[str, ...] = ZONES) -> Challenge:
    path = folder / "challenge.toml"
    path.write_text(challenge_text(zones, rules, extra=extra), encoding="utf-8")
    return read_challenge(path)


def extra_for(rules: list[str]) -> str:
    return ROCK if any("rock" in rule for rule in rules) else ""


@pytest.mark.parametrize(("rule", "against"), PAIRS)
def test_a_rule_is_kept_and_what_contradicts_it_is_found(rule: str, against: list[str], tmp_path: Path) -> None:
    alone = problem_of(read([rule], tmp_path, extra_for([rule])))
    found = decide(alone, Deadline(20))
    assert found.layout is not None
    assert passes(alone, found.layout)
    both = problem_of(read([rule, *against], tmp_path, extra_for([rule])))
    assert decide(both, Deadline(20), other_shapes=False).solvable is False


def test_rules_that_no_layout_decides_are_named_and_left_out(tmp_path: Path) -> None:
    rules = ["by eye: streets can be walked", "there are at least 2 cylinders", "library holds at least 20 cubic cm"]
    found = answer(read(rules, tmp_path), 10)
    assert found.decision.solvable is True
    assert found.elsewhere == (1, 2, 3)


def test_formulas_that_the_layout_found_keeps_are_told_from_those_that_it_does_not(tmp_path: Path) -> None:
    never = "the area of library plus the area of market is at least 1.1 times the area of the parcel"
    found = answer(read(["the area of library plus the area of market is at most 251 sq in", never], tmp_path), 10)
    assert found.decision.solvable is True
    assert (found.elsewhere, found.kept) == ((1, 2), (1,))
    said = report(found)
    assert "kept by the layout found: rule 1." in said
    assert "Not decided: rule 2." in said


def test_no_limit_of_0_is_suggested_since_it_asks_for_nothing(tmp_path: Path) -> None:
    found = answer(read(["school touches library", "school is at least 2 in from library"], tmp_path), 10)
    assert found.conflict is not None
    assert found.conflict.loosenings == ()


def test_an_l_is_found_where_no_rectangle_does(tmp_path: Path) -> None:
    # A rectangle beside the rock has at most 6 x 14 or 18 x 4.5 of 252 sq in, 33 %; an L round it 54 %.
    rock = kept_clear("rock", (9, 7), (6, 5))
    challenge = read(["library covers at least 50% of the parcel"], tmp_path, rock, ("library",))
    found = answer(challenge, 20)
    assert found.layout is not None
    assert [len(piece.boxes) for piece in found.layout.pieces if piece.zone == "library"] == [2]


def test_a_rounder_zone_is_found_where_a_perimeter_is_too_short_for_a_square(tmp_path: Path) -> None:
    # A square of perimeter 20 in has 25 sq in, a regular octagon 30.2.
    rules = ["the perimeter of market is at most 20 in", "market covers at least 29 sq in"]
    found = answer(read(rules, tmp_path), 20)
    assert found.decision.solvable is True


def test_more_pieces_are_told_as_a_way_round(tmp_path: Path) -> None:
    rules = [
        "school is at most 1 in from library", "market is at most 1 in from library",
        "school is at least 12 in from market", "the perimeter of library is at most 12 in",
    ]  # fmt: skip
    found = answer(read(rules, tmp_path), 3)
    assert found.decision.solvable is False
    assert found.loopholes.pieces


def test_overlapping_zones_are_told_as_a_way_round_unless_a_rule_forbids_them(tmp_path: Path) -> None:
    rules = [f"{zone} covers at least 30% of the parcel" for zone in ZONES]
    rules += [f"there is exactly 1 piece of {zone}" for zone in ZONES]
    assert answer(read(rules, tmp_path), 3).loopholes.overlaps
    assert not answer(read([*rules, "no zones overlap"], tmp_path), 3).loopholes.overlaps


def test_a_zone_that_a_rule_wants_away_is_left_out(tmp_path: Path) -> None:
    found = decide(problem_of(read(["there is no market", "library covers at least 20 sq in"], tmp_path)), Deadline(20))
    assert found.layout is not None
    assert "market" not in {piece.zone for piece in found.layout.pieces}


def test_a_zone_that_subtracts_what_is_inside_may_lie_round_a_keep_clear_zone(tmp_path: Path) -> None:
    # 60 % is more than any rectangle or L beside the rock has; round it there is room for 92 %.
    rules = ["no zones overlap", "library covers at least 60% of the parcel"]
    rock = kept_clear("rock", (9, 7), (5, 4))
    text = challenge_text(("library",), rules, extra=rock)
    path = tmp_path / "round.toml"
    path.write_text(text.replace("tile = 50", 'tile = 50\ninside = "subtract"'), encoding="utf-8")
    round_it = problem_of(read_challenge(path))
    found = decide(round_it, Deadline(20))
    assert found.layout is not None
    assert passes(round_it, found.layout)
    assert (
        decide(problem_of(read(rules, tmp_path, rock, ("library",))), Deadline(20), other_shapes=False).solvable
        is False
    )

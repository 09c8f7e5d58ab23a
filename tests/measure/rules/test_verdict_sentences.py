"""Every verdict as a sentence with its limit, in the class's numbers."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from measure.challenge import Parcel
from measure.plat.plat import Piece, Plat, Source
from measure.quantity import Quantity
from measure.rules.allowance import allowance_of
from measure.rules.kinds.kind_registry import kinds
from measure.rules.rule import Kind
from tests.helpers.made.challenges import challenge, outcomes
from tests.helpers.made.drawn_plats import ring

IN = 25.4
ZONES = ("library", "stables", "homes", "market")
BY_EYE_OR_FORMULA = {"SeenByEye", "FormulaRule"}


def rectangle(zone: str, x: float, y: float, width: float, depth: float) -> Piece:
    """In inches, with a source that widens it to the right by 0.01 in."""
    corners = np.array([[x, y], [x + width, y], [x + width, y + depth], [x, y + depth]]) * IN
    made = ring(corners)
    moves = np.zeros((4, 2, 1))
    moves[1:3, 0, 0] = 0.01 * IN
    return Piece(zone, type(made)(corners, moves), Quantity(6.0))


PIECES = (
    rectangle("library", 1, 1, 4, 2),
    rectangle("stables", 8, 1, 3, 3),
    rectangle("homes", 1, 5, 3, 2),
    rectangle("homes", 4.5, 5, 2, 2),
    rectangle("market", 9.0, 3, 2, 3),
)


def told(rule: str, numbers: str = "eighth", allow: str = "") -> str:
    parcel = Parcel(12 * IN, 8 * IN)
    task = challenge(rule, zones=ZONES, parcel=parcel, unit="in", numbers=numbers)
    if allow:
        task = replace(task, rules=tuple(replace(line, allowance=allowance_of(allow)) for line in task.rules))
    plat = Plat(parcel.width, parcel.depth, PIECES, (Source("edge", "edge"),), "tiles")
    return outcomes(task, plat)[rule].sentence


@pytest.mark.parametrize(
    ("rule", "sentences"),
    [
        (
            "library covers at most 1/5 of the parcel",
            "The library covers 1/12 of the parcel. It must cover at most 1/5.",
        ),
        (
            "library covers at most 20% of the parcel",
            "The library covers 8.3% of the parcel. It must cover at most 20%.",
        ),
        (
            "homes cover at least 1.4 times library",
            "The homes are 1 1/4 times as large as the library. They must be at least 1 2/5 times.",
        ),
        ("library covers less than stables", "The library is 7/8 times as large as the stables. It must be smaller."),
        (
            "stables cover at least 3 sq in more than library",
            "The stables cover 1 sq in more than the library. It must be at least 3 sq in more.",
        ),
        (
            "library and stables together cover at most half of the parcel",
            "The library and the stables together cover a little over 1/6 of the parcel. They must cover at most 1/2.",
        ),
        ("stables cover at least 12 sq in", "The stables cover 9 sq in. They must cover at least 12 sq in."),
        (
            "the perimeter of library is at most 40 in",
            "The perimeter of the library is 12 in. It must be at most 40 in.",
        ),
        (
            "stables are at least 4 1/2 in from library",
            "The stables are 3 in from the library. They must be at least 4 1/2 in away.",
        ),
        (
            "every zone is at least 1 in from the edge",
            "The stables are 1 in from the edge. Each must be at least 1 in away.",
        ),
        ("homes touch library", "The homes are 1 3/4 in from the library, tape to tape. They must touch."),
        ("market does not touch stables", "The market touches the stables. They must not touch."),
        (
            "no zones overlap",
            "The stables and the market overlap by 1 in. They must not overlap; up to 1/8 in does not count.",
        ),
        ("library does not overlap homes", "The library and the homes do not overlap. They must not overlap."),
        ("there are at least 3 pieces of homes", "The homes have 2 pieces. They must have at least 3."),
        ("there is a library", "There is a library. There must be one."),
        (
            "library is nearer to homes than to stables",
            "The library is 1 in nearer to the homes than to the stables. It must be nearer to the homes.",
        ),
        ("library is in the north half", "The library is all in the north half. It must be in the north half."),
        (
            "library is in the south half",
            "The library reaches 3 in out of the south half. It must be in the south half;"
            " up to 1/8 in does not count.",
        ),
        (
            "every piece of homes is at least 1/4 in from library",
            "Piece 1 of the homes is 2 in from the library. Each must be at least 1/4 in away.",
        ),
        (
            "empty land covers at least 25% of the parcel",
            "Empty land covers 67.7% of the parcel. It must cover at least 25%.",
        ),
        (
            "library covers exactly 1/12 of the parcel, within 2%",
            "The library covers 1/12 of the parcel. It must cover exactly 1/12, give or take 2%.",
        ),
        ("nothing overlaps library", "Nothing overlaps the library."),
        ("there is no market", "There is a market. There must be none."),
        ("by eye: every street can be walked", ""),
    ],
)
def test_a_verdict_is_a_sentence_with_its_limit(rule: str, sentences: str) -> None:
    assert told(rule) == sentences


@pytest.mark.parametrize(
    ("rule", "sentences"),
    [
        (
            "if homes cover more than 1/50 of the parcel then market covers more than 1/50 of the parcel",
            "The market covers 1/16 of the parcel. It must cover more than 1/50.",
        ),
        (
            "if homes cover more than 1/2 of the parcel then market covers more than 1/50 of the parcel",
            "The homes cover a little over 1/10 of the parcel. So nothing more is asked.",
        ),
        (
            "the area of homes plus the area of market is at most 1/5 of the area of the parcel",
            "The area of the homes plus the area of the market is 1/6 of the parcel. It must be at most 1/5.",
        ),
        (
            "either library touches market, or library covers at least 12 sq in",
            "The library does not touch the market: the gap is 3 3/4 in, tape to tape. It must touch the market. "
            "One part of the rule is enough.",
        ),
        (
            "either library touches market, or library covers at least 2 sq in",
            "The library covers 8 sq in. One part of the rule is enough.",
        ),
        (
            "for every piece of homes: the area of that piece is at least 5 sq in",
            "Piece 2 of the homes covers 4 sq in. It must cover at least 5 sq in.",
        ),
        (
            "for at least 2 pieces of homes: the area of that piece is at least 5 sq in",
            "This is so for 1 piece of the homes. It must be so for at least 2.",
        ),
        (
            "for every zone: the perimeter of that zone is at most 2.5 times the width of that zone",
            "The perimeter of the library is 12 in. It must be at most 2 1/2 times the width of the library. "
            "That is 5 in.",
        ),
        (
            "the smallest of the area of that zone over every zone is at least 7 sq in",
            "The smallest of the area of that zone over every zone is 6 sq in. It must be at least 7 sq in.",
        ),
        ("library is a square", "The library is not a square. It must be a square."),
        (
            "not: library is in the north half",
            "The library is in the north half. It must not be in the north half.",
        ),
        (
            "not: the perimeter of library is at least 10 in, and stables touch market",
            "The perimeter of the library is 12 in. It must be less than 10 in.",
        ),
        (
            "library is in the south half, and stables touch market",
            "The library is not in the south half: 3 in too far. It must be in the south half.",
        ),
        (
            "for no piece of homes: that piece touches the north edge",
            "Piece 1 of the homes does not touch the north edge. It must not touch the north edge.",
        ),
        (
            "stables are between library and market",
            "The stables are not between the library and the market. They must be between the library and the market.",
        ),
        (
            "if library touches market then homes are in the north half, otherwise homes are in the south half",
            "The library does not touch the market.",
        ),
    ],
)
def test_a_rule_put_together_of_others_is_told_by_its_deciding_part(rule: str, sentences: str) -> None:
    assert told(rule) == sentences


def test_what_is_allowed_beside_a_formula_s_limit_is_no_part_of_the_limit_that_is_told() -> None:
    rule = "for every piece of homes: the area of that piece is at least 5 sq in"
    assert told(rule, allow="25%") == told(rule)


def test_a_class_of_decimals_hears_decimals() -> None:
    rule = "homes cover at least 1.4 times library"
    assert told(rule, "decimal") == "The homes are 1.25 times as large as the library. They must be at least 1.4 times."
    assert told("library covers at most 1/5 of the parcel", "decimal") == (
        "The library covers 1/12 of the parcel. It must cover at most 1/5."
    ), "a share is said as its rule was written"
    assert told("library covers at most 0.2 of the parcel", "decimal") == (
        "The library covers 0.083 of the parcel. It must cover at most 0.2."
    )
    assert told("stables are at least 4 1/2 in from library", "decimal") == (
        "The stables are 3 in from the library. They must be at least 4.5 in away."
    )


def test_what_a_tolerance_still_allows_is_an_end_of_the_limit_too() -> None:
    assert told("homes are exactly 1 1/2 in from stables, within 1/4 in", "quarter") == (
        "The homes are just over 1 3/4 in from the stables. They must be exactly 1 1/2 in away, give or take 1/4 in."
    )


@pytest.mark.parametrize(
    ("rule", "sentences"),
    [
        (
            "homes cover as much as library, within 5%",
            "The homes are 1 1/4 times as large as the library. They must be just as large, give or take 5%.",
        ),
        (
            "there are at least 2 more pieces of homes than of library",
            "There is 1 more piece of the homes than of the library. There must be at least 2 more.",
        ),
        (
            "library touches at most 2 other zones",
            "This is so for no other zones. It must be so for at most 2.",
        ),
        (
            "at least 3 pieces of homes cover more than 5 sq in",
            "This is so for 1 piece of the homes. It must be so for at least 3.",
        ),
    ],
)
def test_nobody_hears_one_times_or_of_them(rule: str, sentences: str) -> None:
    assert told(rule) == sentences


def test_where_the_ruler_s_mark_would_be_beyond_the_limit_words_say_on_which_side_the_value_is() -> None:
    assert told("library is at most 1 2/5 in from homes", "whole") == (
        "The library is 2 in from the homes. It must be at most 1 2/5 in away."
    )
    assert told("homes are at least 1.9 in from stables", "whole") == (
        "The homes are just under 1 9/10 in from the stables. They must be at least 1 9/10 in away."
    )


def test_every_kind_has_words_of_its_own() -> None:
    silent = {type(kind).__name__ for kind in kinds() if type(kind).told is Kind.told}
    assert silent <= BY_EYE_OR_FORMULA

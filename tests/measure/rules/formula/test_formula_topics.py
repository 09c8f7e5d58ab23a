"""What a formula is about: its kind in results, what its question asks for, the number that can be another."""

from __future__ import annotations

import pytest

from measure.rules.language.rule_reader import read_rule
from measure.rules.language.zone_names import ZoneNames
from measure.rules.rule import Rule
from tests.helpers.made.challenges import challenge

ZONES = ("homes", "park", "school", "lake", "shops")
NAMES = ZoneNames(dict.fromkeys(ZONES, ()))


def rule(text: str) -> Rule:
    return read_rule(text, NAMES, "in")[0]


TOPICS = {
    "the area of homes plus the area of shops is at most 4 sq in": "size",
    "the area of homes plus the area of shops is more than the area of park": "comparison",
    "the area of homes plus the area of shops is more than 1/4 of the area of the parcel": "share",
    "the area of the empty land is at least 2 times the area of park": "empty land",
    "for every piece of homes: the gap from that piece to the park is at most 6 in": "distance",
    "for at least 50% of the pieces of homes: that piece touches the park": "touching",
    "homes are connected": "touching",
    "the lake touches the west edge": "place",
    "not: homes overlaps the lake": "place",
    "school is a rectangle": "shape",
    "if homes touches the lake, then there is a park": "presence",
    "the number of pieces of homes where that piece touches the park is at least 3": "count",
    "the height of homes is at most the height of school": "structures",
    "the volume of homes plus the volume of shops is at most 9 cubic in": "volume",
    "the people in homes is at least the number of pieces of shops": "formula",
    "either the lake touches the park, or the area of lake plus the area of park is at least 9 sq in": "formula",
}


@pytest.mark.parametrize(("text", "kind"), TOPICS.items(), ids=list(TOPICS))
def test_a_formula_bears_the_kind_that_all_its_parts_are_of(text: str, kind: str):
    assert rule(text).kind_name == kind


def test_its_question_asks_what_must_be_measured():
    made = rule("for every piece of homes: (that piece touches park, and the area of that piece is at most 9 sq in)")
    asked = made.kind.question(made, challenge(zones=ZONES))
    assert asked is not None
    assert asked.answer == "whether that piece touches park; the area of that piece"


LIMITS = {
    "for every piece of homes: the gap from that piece to the park is at most 6 in": "at most 6 in",
    "the mean of the area of that zone over every zone is between 4 sq in and 6 sq in": "between 4 sq in and 6 sq in",
    "for at least 3 pieces of homes: that piece touches park": "at least 3",
    "not: the area of homes plus the area of park is at most 6 sq in": "None",
    "the area of homes plus the area of park is at most 6 sq in, and the lake touches the west edge": "at most 6 sq in",
    "the area of homes plus the area of park is at most 6 sq in, and the lake covers at least 4 sq in": "None",
}


@pytest.mark.parametrize(("text", "limit"), LIMITS.items(), ids=list(LIMITS))
def test_the_only_number_that_could_be_another(text: str, limit: str):
    made = rule(text)
    assert str(made.kind.stated_limit(made)) == limit

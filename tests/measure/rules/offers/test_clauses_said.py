"""Clauses that one pattern takes word for word, asked in many ways; and what a changed word makes of them."""

from __future__ import annotations

import re

import pytest

from measure.rules.language.rule_reader import read_rules
from measure.rules.language.zone_names import ZoneNames
from measure.rules.offers.clause_form import in_one_form
from measure.rules.sentences.rule_mistake import RuleMistake

ZONES = ZoneNames(dict.fromkeys(("homes", "school", "park", "lake", "river", "shops"), ()))
READ = {
    "Please make the lake without corners, round like a coin or an egg.": "lake is an oval",
    "The lake should be egg-shaped.": "lake is an oval",
    "Every corner of the school has to be a right angle.": "school is a right-angled shape",
    "The park must have only straight sides.": "park is a straight-sided shape",
    "The river should separate the homes from the school.": "river separates homes from school",
    "Homes and school must be on opposite sides of the river.": "river separates homes from school",
    "The school lies on the same side of the river as the shops.": "not: river separates school from shops",
    "The school's across the river from the shops.": "river separates school from shops",
    "The river stretches right across the board.": (
        "either (river touches the north edge, and river touches the south edge), "
        "or (river touches the west edge, and river touches the east edge)"
    ),
    "Only the river may touch the edge.": "for every zone except river: not: that zone touches the edge",
    "Every building in the school must be taller than every building in the shops.": (
        "the smallest of the height of that structure over every structure in school is more than the height of shops"
    ),
    "The school's buildings may not overtop the tallest shops building by more than 3 in.": (
        "the height of school minus the height of shops is at most 3 in"
    ),
    "Homes must house 120 residents at 3 cubic inches per person.": (
        "the volume of homes is at least 120 times 3 cubic in"
    ),
    "No side of the park may be shorter than 2 inches.": (
        "for every piece of park: the shortest side of that piece is at least 2 in"
    ),
    "For 24 colonists at 2 cubic inches apiece, you will need enough homes volume.": (
        "the volume of homes is at least 24 times 2 cubic in"
    ),
    "At 1 person per 2 cubic inches, the school must hold a crew of no fewer than 40.": (
        "the volume of school is at least 40 times 2 cubic in"
    ),
    "The school may have up to 5 stories, with one story = 3/4 inch.": (
        "for every structure in school: the height of that structure is at most 5 times 0.75 in"
    ),
    "The park is a square with sides between 3 and 4 inches.": (
        "park is a square, and (for every piece of park: the longest side of that piece is between 3 in and 4 in)"
    ),
    "At least 80 % of all buildings shall stand in the school.": (
        "the number of structures in school is at least 0.8 times the number of structures on the parcel"
    ),
    "No structure outside the school may stand higher than 7 in.": (
        "for every zone except school: the height of that zone is at most 7 in"
    ),
    "Keep all buildings 4 inches or more away from the lake.": (
        "the distance from every structure to lake is at least 4 in"
    ),
    "The river enters on the north edge and leaves on the south edge.": (
        "river touches the north edge, and river touches the south edge"
    ),
    "The school is a rectangle with the long side at least 2 times the short side.": (
        "school is a rectangle, and "
        "(for every piece of school: the length of that piece is at least 2 times the width of that piece)"
    ),
    "If the lake touches the school, there must be a park.": "if lake touches school, then there is a park",
    "If the lake isn't within 4 inches of the school, it's a penalty.": (
        "not: the gap from lake to school is more than 4 in"
    ),
    "If the lake is within 4 inches of the homes, you lose a point.": "not: the gap from lake to homes is at most 4 in",
}


def readings(sentence: str) -> tuple[str, ...]:
    try:
        return tuple(part.rule.reads_as() for part in read_rules(sentence, ZONES, "in"))
    except RuleMistake:
        return ()


@pytest.mark.parametrize(("sentence", "meant"), READ.items())
def test_a_clause_in_many_words_is_read_as_its_rule(sentence: str, meant: str) -> None:
    assert " & ".join(readings(sentence)) == meant


@pytest.mark.parametrize("sentence", READ)
def test_a_denial_or_another_zone_or_amount_is_another_rule_or_none(sentence: str) -> None:
    read = readings(sentence)
    for changed in (
        re.sub(r"\b(must|should|has to|have to|may)\b(?! not)", r"\1 not", sentence, count=1),
        re.sub(r"\b(?:3|4|2|120)\b", "7", sentence),
        re.sub(r"\bschool\b", "shops", sentence) if "shops" not in sentence else sentence,
        f"It is not true that {sentence[0].lower()}{sentence[1:]}",
        f"{sentence.rstrip('.')}, but this is optional.",
    ):
        assert changed == sentence or readings(changed) != read


@pytest.mark.parametrize(
    "sentence",
    [
        "The lake does not have to be round like a coin.",
        "The lake need not be an oval.",
        "The river might separate the homes from the school.",
        "Some sides of the park are straight.",
        "The river should separate the homes from the school if you like.",
        "The school buildings may be 3 in wide.",
        "Homes and school should usually be on opposite sides of the river.",
        "The lake is almost never an oval.",
        "Every building outside the school is at least 7 in tall.",
        "Every home must hold 4 people at 2 cubic inches each.",
        "Buildings up to 5 stories need no elevator, one story = 3/4 inch.",
    ],
)
def test_what_is_not_asked_for_is_no_rule(sentence: str) -> None:
    assert readings(sentence) == ()


def test_a_limit_of_no_named_zone_behind_a_zone_is_of_that_zone() -> None:
    assert readings("One school, max height 4 in.") == (
        "there is exactly 1 piece of school",
        "every structure in school is at most 4 in tall",
    )


@pytest.mark.parametrize(
    ("text", "form"),
    [
        ("put the Z0 in a R1", "Z0 is in R1"),
        ("the Z0 must not be placed in the R1", "Z0 not is in R1"),
        ("do not put the Z0 in R1", "Z0 not is in R1"),
        ("the Z0 does not have to be in R1", "Z0 does optionally is in R1"),
    ],
)
def test_one_form_keeps_what_is_denied_and_what_is_free(text: str, form: str) -> None:
    assert in_one_form(text) == form

"""What can be taken in two ways is refused, or read with a warning that names both; its plain neighbour is read."""

from __future__ import annotations

import pytest

from measure.rules.language.rule_reader import read_rules
from measure.rules.language.zone_names import ZoneNames
from measure.rules.sentences.rule_mistake import RuleMistake

ZONES = ZoneNames(dict.fromkeys(("homes", "shops", "park", "lake", "factory", "school", "high school", "library"), ()))
REFUSED = {  # and a neighbour that stays read
    "Homes may come within 3 in of the lake.": "Homes may not come within 3 in of the lake.",
    "Homes are allowed to be closer than 3 in to the lake.": "The school may be at most 6 in from the park.",
    "You may put homes within 3 in of the lake.": "You must put the school within 3 in of the lake.",
    "There may be homes within 3 in of the lake.": "There may be at most 3 homes.",
    "No zone lies completely inside another zone.": "No zones overlap.",
    "No zone is inside another zone.": "No zone may overlap another zone.",
    "The school touches the park and the lake or the shops.": "The school touches the park, and the lake or the shops.",
    "The school touches the park or the lake and the shops.": "The school touches either the lake or the park.",
    "Both schools touch the park.": "Both high schools touch the park.",
    "The schools touch the park.": "The school touches the park.",
}
TOLD = {
    "The school is further north than the lake.": ("wholly north", "The school is north of the lake."),
    "Try to keep the factory at least 6 in from the homes.": (
        "`Try to`",
        "Keep the factory at least 6 in from the homes.",
    ),
    "The park must be 20% of the board, give or take 5%.": (
        "taken as 5 points",
        "The park must be 20% of the board, give or take 5 points.",
    ),
    "The park gets the north half.": ("lying in", "The park is in the north half."),
    "Any of the homes touches the lake.": ("one is enough", "Every home touches the lake."),
    "The homes are within 3 in of the park or the lake.": (
        "nearest",
        "Each home is within 3 in of the park or the lake.",
    ),
    "The homes are in the north half or the west half.": (
        "the other",
        "The school is in the north half or the west half.",
    ),
    "Put the school next to the park. It must be at least 10 sq in.": (
        "taken as school",
        "The school must be next to the park. The school must be at least 10 sq in.",
    ),
    "If the lake is bigger than the park, it touches the school.": (
        "taken as lake",
        "If the lake is bigger than the park, the lake touches the school.",
    ),
    "If there are 4 homes, there are 2 shops.": (
        "exactly 4",
        "If there are exactly 4 homes, there are exactly 2 shops.",
    ),
    "If the park and the lake cover more than 20 sq in, there is a school.": (
        "park and lake together",
        "If the park and the lake together cover more than 20 sq in, there is a school.",
    ),
}
NO_WRONG_OFFER = {  # and what no offer may begin with or hold
    "The park or lake must not cover more than 12 sq in.": "either",
    "At least two homes are within 5 in of each shop.": "of shops",
    "A factory is allowed in the north half.": "factory is",
    "The old rule was that the park must touch the lake.": "park touches",
    "We hope that the park touches the lake.": "park touches",
    "Pretend that the factory touches the lake.": "factory touches",
    "Bonus: the park touches the lake.": "park touches",
    "The lake must be at least 10 sq in. Just kidding.": "lake covers",
    "The school is in the north-east half.": "east half",
    "Homes and shops touch the park and the lake, in that order.": "each of",
    "School and library must be 3 in or more apart, but they must be within 6 in of the park.": "from school to park",
}


@pytest.mark.parametrize(("sentence", "neighbour"), REFUSED.items())
def test_two_meanings_are_refused_and_the_plain_neighbour_is_read(sentence: str, neighbour: str) -> None:
    with pytest.raises(RuleMistake):
        read_rules(sentence, ZONES, "in")
    assert read_rules(neighbour, ZONES, "in")


@pytest.mark.parametrize(("sentence", "warning", "neighbour"), [(a, *b) for a, b in TOLD.items()])
def test_a_reading_that_was_chosen_is_told(sentence: str, warning: str, neighbour: str) -> None:
    told, plain = (
        " ".join(said for part in read_rules(text, ZONES, "in") for said in part.warnings)
        for text in (sentence, neighbour)
    )
    assert warning in told
    assert warning not in plain


@pytest.mark.parametrize(("sentence", "wrong"), NO_WRONG_OFFER.items())
def test_no_offer_says_the_opposite_or_loses_a_word_that_matters(sentence: str, wrong: str) -> None:
    with pytest.raises(RuleMistake) as raised:
        read_rules(sentence, ZONES, "in")
    measured = [str(offer) for offer in raised.value.offers if not str(offer).startswith("by eye")]
    assert not any(wrong in offer for offer in measured)


def test_the_least_that_may_be_is_a_demand_and_no_sentence_is_offered_twice() -> None:
    (found,) = read_rules("10% of the parcel is the least the park may cover.", ZONES, "in")
    assert found.rule.reads_as() == "the area of park is at least 10% of the parcel"
    with pytest.raises(RuleMistake) as raised:
        read_rules("Give the homes at least 40 sq in.", ZONES, "in")
    assert raised.value.message.count("`the area of homes is at least 40 sq in`") == 1

"""Everyday sentences: one meaning, two (then both are offered), or none, since a word is not understood."""

from __future__ import annotations

import pytest

from measure.rules.language.rule_reader import read_rules
from measure.rules.language.zone_names import ZoneNames
from measure.rules.sentences.rule_mistake import RuleMistake
from measure.rules.speech.speech import meanings

ZONES = ZoneNames(dict.fromkeys(("homes", "park", "school", "lake", "factory", "market", "farm"), ()))

ONE = {
    "Put the farm in the north half and keep it at least 3 in from the lake.": (
        "farm is in the north half",
        "farm is at least 3 in from lake",
    ),
    "The lake takes up no more than an eighth of the board, and the park is bigger than the school.": (
        "lake covers at most 0.125 of the parcel",
        "park covers more than school",
    ),
    "Don't build more than six homes.": ("there are at most 6 pieces of homes",),
    "Kids, listen: the school must touch the park so everyone can play.": ("school touches park",),
    "Rule 3: the market is no bigger than the school.": ("market covers at most as much as school",),
    "Every home has a park within 5 in.": ("every piece of homes is within 5 in of park",),
    "Apart from the park, nothing may touch the lake.": ("every zone except park does not touch lake",),
    "Only the park may touch the lake.": ("every zone except park does not touch lake",),
    "Your parcel must have a school, a park and at least 3 homes.": (
        "there is a school",
        "there is a park",
        "there are at least 3 pieces of homes",
    ),
}

ONE |= {
    "If a home is bigger than 5 sq in, it must touch the park.": (
        "for every piece of homes: if the area of that piece of homes is more than 5 sq in, "
        "then that piece of homes touches park",
    ),
    "Any home bigger than 5 sq in must touch the park.": (
        "for every piece of homes: if the area of that piece of homes is more than 5 sq in, "
        "then that piece of homes touches park",
    ),
    "There must be a home next to the school.": ("at least 1 pieces of homes touches school",),
    "Nothing may touch the lake except the park.": ("every zone except park does not touch lake",),
    "The market must touch the farm but not the lake.": ("market touches farm", "market does not touch lake"),
    "The market must be at least 6 inches long and 4 inches wide.": (
        "the length of market is at least 6 in",
        "the width of market is at least 4 in",
    ),
}

ONE |= {
    "Everything you build must be at least 1 inch from the property line.": (
        "every zone is at least 1 in from the edge",
    ),
    "Here is a tricky one: the park touches the lake.": ("park touches lake",),
    "School to market: under 10 inches.": ("school is less than 10 in from market",),
    "Lake: top right": ("lake is in the top-right corner",),
    "Homes: 6+ pieces": ("there are at least 6 pieces of homes",),
    "School 10 cm from edge or more, all sides": ("school is at least 10 cm from the edge",),
    "The school goes inside the farm or touches it.": ("either school is inside farm, or school touches farm",),
    "Each house must have a farm or park touching it.": (
        "for every piece of homes: either that piece of homes touches farm, or that piece of homes touches park",
    ),
    "The school must have a larger area but a shorter perimeter than the market.": (
        "school covers more than market",
        "the perimeter of school is less than the perimeter of market",
    ),
    "The largest home must not be more than double the size of the smallest.": (
        "the area of the largest piece of homes is at most 2 times the area of the smallest piece of homes",
    ),
    "Zones that touch the lake may not be taller than 5 cm.": (
        "for every zone except lake: if that zone touches lake, then the height of that zone is at most 5 cm",
    ),
    "Nothing is allowed to stick out over the edge of the board.": ("every zone is inside the parcel",),
    "The sum of the areas of all zones other than the homes must not exceed 60% of the parcel.": (
        "the area of all zones except homes together is at most 60% of the area of the parcel",
    ),
    "At least half the farm's perimeter runs along the lake.": (
        "the common border of farm and lake is at least 0.5 times the perimeter of farm",
    ),
    "The school touches the lake but the factory does not.": ("school touches lake", "factory does not touch lake"),
    "Park: one third of the size of the farm, max., and next to the factory.": (
        "park covers at most 1/3 times farm",
        "park touches factory",
    ),
}

TWO = {
    "All the homes can't touch the lake.": {"no piece of homes touches lake"},
    "No home may touch the lake and the factory.": {
        "for no piece of homes: that piece of homes touches lake, and that piece of homes touches factory"
    },
    "The school is within 5 in of any home.": {"school is within 5 in of every piece of homes"},
    "A home must touch the lake.": {"every piece of homes touches lake", "at least 1 pieces of homes touches lake"},
}

NONE = (
    "The park must not be inside the farm or touch the lake.",
    "No home may touch the lake or be within 3 in of the factory.",
    "The lake may stick out over the edge.",
    "Nothing may stick out over the edge except the lake.",
    "Broken rule: the park touches the lake.",
    "Lake: not top right",
    "The park is at most 1 in from the edge on all sides.",
    "The smallest home is at least half the size of the smallest.",
    "The village may not be larger than 30 sq in.",
    "Zones that touch the lake or the park may not be taller than 5 cm.",
    "Not all zones that touch the lake must touch the park.",
    "The homes must be pretty.",
    "Ideally, the park touches the lake.",
    "If possible, the park touches the lake.",
    "The school does not have to touch the park.",
    "The park is at least 20 sq in, unlike the lake.",
    "More than half of the park has to be in the southern half.",
    "The factory is loud, so it is sometimes 5 in from the school.",
    "Maybe the park touches the lake.",
    "The park must almost touch the lake.",
)


@pytest.mark.parametrize(("sentence", "meant"), ONE.items(), ids=list(ONE))
def test_one_meaning(sentence: str, meant: tuple[str, ...]):
    assert meanings(sentence, ZONES) == (meant,)


@pytest.mark.parametrize(("sentence", "among"), TWO.items(), ids=list(TWO))
def test_two_meanings_are_both_kept(sentence: str, among: set[str]):
    found = meanings(sentence, ZONES)
    assert len(found) > 1
    assert among <= {part for meaning in found for part in meaning}


@pytest.mark.parametrize("sentence", NONE)
def test_a_word_that_is_not_understood_leaves_no_meaning(sentence: str):
    assert meanings(sentence, ZONES) == ()


REFUSED = (
    "Most homes must touch the park.",
    "The school must be over the park.",
    "The school must be above the park.",
    "The school must be on top.",
    "The school must be on top of the park.",
    "If the park touches the lake, the school must not.",
    "The school must be bigger than two homes.",
    "All zones must touch.",
    "The nearest home must be at least 5 sq in.",
    "Rarely, the park touches the lake.",
    "The park touches the lake. Rarely.",
    "The school must be farther from the factory than the lake.",
    "You need one school for every three homes.",
    "Not all homes must touch the park.",
    "The homes may or may not touch the park.",
    "No school is needed.",
    "Nothing may touch anything except the park.",
    "The park is at least 10 sq in, the lake at most 5.",
    "A school is allowed.",
    "At least 3 homes are allowed.",
    "The school might touch the park.",
    "You don't need a school if the park is at least 20 sq in.",
)


@pytest.mark.parametrize("sentence", REFUSED)
def test_a_guess_is_never_made(sentence: str):
    with pytest.raises(RuleMistake) as caught:
        read_rules(sentence, ZONES, "in")
    assert caught.value.offers

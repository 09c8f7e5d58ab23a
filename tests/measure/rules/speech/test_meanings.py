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

TWO = {
    "All the homes can't touch the lake.": {"no piece of homes touches lake"},
    "No home may touch the lake and the factory.": {
        "for no piece of homes: that piece of homes touches lake, and that piece of homes touches factory"
    },
    "The school is within 5 in of any home.": {"school is within 5 in of every piece of homes"},
    "A home must touch the lake.": {"every piece of homes touches lake", "at least 1 pieces of homes touches lake"},
}

NONE = (
    "The homes must be pretty.",
    "On average, a home should measure 8 square inches or more.",
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

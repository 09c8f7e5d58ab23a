"""A sentence that a way of speaking says from its first word to its last is read; with any other word in it, not."""

from __future__ import annotations

import pytest

from measure.rules.language.rule_reader import read_rules
from measure.rules.language.zone_names import ZoneNames
from measure.rules.sentences.rule_mistake import RuleMistake

ZONES = ZoneNames(dict.fromkeys(("homes", "park", "school", "lake", "factory", "market"), ()))

READ = {
    "Teams without a lake must leave 30 % of the board empty.": (
        "if there is no lake, then the area of the empty land is at least 0.3 times the area of the parcel"
    ),
    "The market is the northernmost zone.": (
        "for every zone except market: the gap from that zone to the north edge is more than the gap from market "
        "to the north edge"
    ),
    "Lake not in the same half as park": ("for no half of the parcel: lake is in that half, and park is in that half"),
    "More of the park has to be in the north half than in the south half.": (
        "the area of park in the north half is more than the area of park in the south half"
    ),
    "The parks' count must be a multiple of three.": None,
    "The home count must be a multiple of three.": "the number of pieces of homes is a multiple of 3",
    "Nobody gets a home bigger than the school.": (
        "for every piece of homes: the area of that piece is at most the area of school"
    ),
    "The school is as wide as the park.": None,
    "Plans with a park smaller than 25 sq in will be turned down.": "the area of park is at least 25 sq in",
    "Setback rule: nothing but the factory comes closer than 1.5 inches to the property line.": (
        "the distance from every zone except factory to the edge is at least 1.5 in"
    ),
    "The clinic, at least one home must be within 5 inches of every school.": None,
}


@pytest.mark.parametrize(("sentence", "reads_as"), READ.items(), ids=list(READ))
def test_what_is_said_wholly_is_read(sentence: str, reads_as: str | None):
    assert read(sentence) == reads_as


@pytest.mark.parametrize("word", ["not", "red", "mostly"])
@pytest.mark.parametrize("sentence", [sentence for sentence, meant in READ.items() if meant and ":" not in sentence])
def test_with_a_word_that_is_not_understood_it_is_not_read_as_the_same(sentence: str, word: str):
    words = sentence.split()
    for at in range(1, len(words), 2):
        assert read(" ".join((*words[:at], word, *words[at:]))) != READ[sentence]


def test_what_it_was_taken_for_is_told():
    (found,) = read_rules("No empty land!", ZONES, "in")
    assert found.warnings == ("read with 1% of the parcel as near enough to none",)


def test_an_amount_alone_is_no_limit():
    said = "The distance from the school to the park plus the distance from the school to the lake is {} 10 inches."
    assert read(said.format("at most")) is not None
    assert read(said.format("")) is None


def test_what_holds_of_one_is_not_read_of_all():
    assert read("At least one school must be within 5 inches of every home.") is None


def read(sentence: str) -> str | None:
    """What the sentence is read as; None where it is refused."""
    try:
        return " ;; ".join(part.rule.reads_as() for part in read_rules(sentence, ZONES, "in"))
    except RuleMistake:
        return None

"""What is read by what a sentence names: as it is meant, with a warning; and no word that turns it is passed over."""

from __future__ import annotations

import re

import pytest

from measure.rules.language.rule_reader import read_rules
from measure.rules.language.zone_names import ZoneNames
from measure.rules.sentences.rule_mistake import RuleMistake
from measure.rules.slots.named.echoed import echoes

NAMES = ("cottages", "penguin house", "lion den", "pond", "kiosk", "meadow")
ZONES = ZoneNames(dict.fromkeys(NAMES, ()))
READ = {
    "The kiosk shall be located no closer than 5 in to any cottage module.": (
        "the distance from kiosk to every piece of cottages is at least 5 in",
    ),
    "Y'all need 2 or 3 clusters of cottages.": ("there are between 2 and 3 pieces of cottages",),
    "Meadow: minimum 18% of the site, divided into no more than 2 plots.": (
        "the area of meadow is at least 18% of the parcel",
        "there are at most 2 pieces of meadow",
    ),
    "You'll need between four and six plots of cottages, none of them under 6 square inches.": (
        "there are between 4 and 6 pieces of cottages",
        "the area of every piece of cottages is at least 6 sq in",
    ),
    "The kiosk mustn't be next to the pond; leave a gap of at least 2 in.": (
        "kiosk does not touch pond",
        "the distance from kiosk to pond is at least 2 in",
    ),
    "The ratio of meadow to pond must be at least 3:2 by area.": (
        "the area of meadow is at least 1.5 x the area of pond",
    ),
    "Around the kiosk there must be 3 in free on all sides.": (
        "the distance from kiosk to every other zone is at least 3 in",
    ),
    "Use 20 squares or fewer for the kiosk (1 square = 1 square inch).": ("the area of kiosk is at most 20 sq in",),
    "Center of the pond to center of the kiosk: under 9 inches.": (
        "the distance between the centres of pond and kiosk is less than 9 in",
    ),
    "The meadow is the star of the show, so I want it to fill at least a third of your whole board, maybe even more!": (
        "the area of meadow is at least 33 1/3% of the parcel",
    ),
    "At least 3 inches of the pond must touch the meadow.": ("the common border of pond and meadow is at least 3 in",),
    "Each cottage plot shall be at least 3 in from the next.": (
        "the distance from every piece of cottages to every piece of cottages is at least 3 in",
    ),
    "It is not allowed that the pond touches the kiosk.": ("pond does not touch kiosk",),
    "The pond can't beat the meadow in size, period.": ("the area of pond is at most the area of meadow",),
    "There are 5 cottages and no two of them are closer than 4 inches.": (
        "there are exactly 5 pieces of cottages",
        "the distance from every piece of cottages to every piece of cottages is at least 4 in",
    ),
}


def read(sentence: str) -> tuple[str, ...] | None:
    try:
        return tuple(part.rule.reads_as() for part in read_rules(sentence, ZONES, "in"))
    except RuleMistake:
        return None


@pytest.mark.parametrize("sentence", READ)
def test_a_sentence_is_read_by_what_it_names(sentence: str):
    assert read(sentence) == READ[sentence]


@pytest.mark.parametrize("sentence", READ)
def test_how_it_was_read_is_told(sentence: str):
    told = " ".join(each for part in read_rules(sentence, ZONES, "in") for each in part.warnings)
    assert all(f"`{rule}`" in told for rule in READ[sentence])


TURNED = {
    "not": (r"\b(?:must|shall|should|is|are)\b(?! not)", r"\g<0> not"),
    "not really": (r"\b(?:must|shall|should|is|are)\b", r"\g<0> not really"),
    "except": (r"[.!]$", r" except the lion den."),
    "except at": (r"[.!]$", r", except at night."),
    "only": (r"^", "Only "),
    "only if": (r"[.!]$", r" only if it rains."),
    "another amount": (r"[.!]$", r" and 7 inches."),
    "another zone": (r"[.!]$", r" or the lion den."),
    "unless": (r"[.!]$", r" unless it rains."),
    "each": (r"^(?:The )?", "Each second "),
    "most of": (r"^(?:The )?", "Most of the "),
    "may": (r"\b(?:must|shall|should)(?: not|n't)?\b", "may or may not"),
    "a question": (r"[.!]$", r", doesn't it?"),
    "wrong": (r"^", "This is wrong: "),
    "was": (r"\b(?:is|are)\b", "used to be"),
    "second": (r"[.!]$", r" for the second prize."),
    "some teams": (r"^", "Some teams: "),
    "half of the others": (r"[.!]$", r" more than half of the others."),
}


@pytest.mark.parametrize("word", TURNED)
def test_no_word_that_turns_a_sentence_is_passed_over(word: str):
    pattern, put = TURNED[word]
    tried = 0
    for sentence, meant in READ.items():
        turned = re.sub(pattern, put, sentence, count=1)
        if turned != sentence:
            tried += 1
            assert read(turned) != meant, turned
    assert tried


def swapped(text: str, names: list[str]) -> str:
    return re.sub("|".join(names), lambda found: names[1 - names.index(found[0])], text)


def test_zones_that_change_places_change_what_is_read():
    for sentence, meant in READ.items():
        names = [name for name in NAMES if name in " ".join(meant)]
        if len(names) == 2 and all(re.search(rf"\b{name}\b", sentence) for name in names):
            assert read(swapped(sentence, names)) in (None, tuple(swapped(each, names) for each in meant)), sentence


@pytest.mark.parametrize(
    "sentence",
    [
        "The door of the kiosk must be at least 3 in from the pond.",
        "We don't want: the kiosk touches the pond module.",
        "The kiosk module should be far from the pond: 4 in at most.",
        "The cottage modules may or may not touch the pond.",
        "Not all cottage modules must touch the pond.",
        "The kiosk touches the pond. Rarely.",
        "There are at least 4 clusters of cottages; it must be at least 5 sq in.",
        "Everyone on the team must build at least one cluster of cottages.",
        "A big part of the meadow shall occupy no more than 5 sq in.",
        "The nearest cottage module must be at least 5 sq in.",
        "Isn't the meadow area bigger than the pond area?",
        "Cottage modules are 2 in from the pond.",
        "Use 75% to 90% of the parcel; the rest stays empty for paths.",
        "The meadow makes up more than a third of the land you have taped.",
        "There must be a meadow standing between the pond and every group of cottages.",
        "A minimum gap of 12 in is required between the kiosk and the pond in the north half.",
        "Make the kiosk so inviting that you would want to go in yourself.",
        "The kiosk no wider than 1 in, at least 20 in long overall.",
        "Around the pond, the meadow must be 2 inches wide.",
        "There must be room for 3 clusters of cottages.",
        "The kiosk module must be at least 5 sq in, better 10.",
        "The clusters of cottages shall be at least 2 in from each other and from the pond.",
        "Keep the pond 2 inches or more away from the kiosk so nobody splashes in. Rarely.",
        "Some teams: Our guests dislike noise, so no cottage module may be nearer than 5 in to the kiosk.",
    ],
)
def test_what_may_mean_something_else_is_refused(sentence: str):
    assert read(sentence) is None


def test_lengths_are_never_areas():
    assert not any("area" in rule for rule in read("Keep the meadow square, between 5 and 6 inches on a side.") or ())
    assert not any("area" in rule for rule in read("The meadow is between 5 and 6 inches on each side.") or ())


@pytest.mark.parametrize(
    "sentence",
    [
        "No building in town can be taller than the one on the kiosk lot.",
        "Density check: in the meadow, building footprints may cover at most 40% of the zone.",
        "No single cottage may contain more than 40% of the total cottage area.",
        "Together, the pond and the meadow must take up at most 50% of the land you tape.",
        "The pond takes up at most a third of the meadow and of the zones around it.",
        "The widest cottages take up at most 9 square inches.",
    ],
)
def test_what_a_sentence_is_about_has_to_stand_in_what_it_is_read_as(sentence: str):
    assert read(sentence) is None


def test_a_zones_name_is_no_subject():
    assert echoes(
        "the high street covers at most 10% of the board",
        "the area of high street is at most 10% of the parcel",
        ["high street"],
    )
    assert not echoes("the high park covers at most 10%", "the area of park is at most 10% of the parcel", ["park"])


@pytest.mark.parametrize(
    ("sentence", "meaning"),
    [
        (
            "The kiosk ought to be within 10 in of every group of cottages.",
            "the distance from kiosk to every piece of cottages is at most 10 in",
        ),
        (
            "The kiosk is at most 10 in from each cluster of cottages.",
            "the distance from kiosk to every piece of cottages is at most 10 in",
        ),
        ("No patch of cottages touches the pond.", "no piece of cottages touches pond"),
    ],
)
def test_a_group_of_a_zone_is_a_piece_of_it(sentence: str, meaning: str):
    assert read(sentence) == (meaning,)


def test_the_volume_of_each_building_is_not_that_of_all():
    assert read("No cottage you build gets to be more than 6 cubic inches.") is None

"""Sentences read by their concepts, their neighbours that mean something else, and words that turn them."""

from __future__ import annotations

from functools import cache

import pytest

from measure.rules.frames.framing import framed
from measure.rules.language.rule_reader import read_rules
from measure.rules.language.zone_names import ZoneNames
from measure.rules.sentences.rule_mistake import RuleMistake

ZONES = ZoneNames(dict.fromkeys(("homes", "factory", "park", "lake", "school", "lab"), ()))

READ = {
    "A gap of 5 in or more has to be there from the factory to any home": (
        "the distance from factory to every piece of homes is at least 5 in"
    ),
    "Students must separate factory and homes by a minimum of 7 inches": (
        "the distance from factory to homes is at least 7 in"
    ),
    "Between the park and the lake there shall be 3 in of open ground at the least": (
        "the distance from park to lake is at least 3 in"
    ),
    "Factory | homes - 8 in. apart or more": "the distance from factory to homes is at least 8 in",
    "Labs spaced a minimum of 3 cm from one another": (
        "the distance from every piece of lab to every piece of lab is at least 3 cm"
    ),
    "The school and the lake must under no circumstances share a border": "school does not touch lake",
    "Stop the school and factory overlapping": "school does not overlap factory",
    "The area allotted to the park shall constitute not less than 1/4 and not more than 2/5 of the parcel": (
        "the area of park is between 25% and 40% of the parcel"
    ),
    "Students must reserve at least 30% of the parcel for homes": "the area of homes is at least 30% of the parcel",
    "Altogether the homes shouldn't cover more than 15% of the board": "the area of homes is at most 15% of the parcel",
    "Keep the lake to two thirds the size of the park, or smaller": (
        "the area of lake is at most 2/3 x the area of park"
    ),
    "The park shall be confined to the western half": "park is in the west half",
    "No school shall lie nearer the factory than 10 in": (
        "the distance from every piece of school to factory is at least 10 in"
    ),
    "Keep 2 in of bare ground all the way around the lake": (
        "the distance from lake to every other zone is at least 2 in"
    ),
    "The park must run from the north edge to the south edge": (
        "for some piece of park: that piece touches the north edge, and that piece touches the south edge"
    ),
    "Village law: no home rises above 5 in": "every structure in homes is at most 5 in tall",
    "Your team needs to put the park on the edge of the board": "park touches the edge",
}
REFUSED = (
    "4 in of the park at least 2 homes within",
    "Students must not reserve at least 30% of the parcel for homes",
    "Students may reserve at least 30% of the parcel for homes",
    "A gap of 5 in or more need not be there from the factory to any home",
    "A gap of 5 in or more has to be there from the factory to some home",
    "A gap of 5 in or less has to be there from the factory to any home",
    "Keep the lake to two thirds the size of the park, or the school",
    "The park shall be confined to the western half or the northern half",
    "Stop the school and factory overlapping the lake and the park",
    "The park belongs to the lake",
    "The factory has a park",
    "Both homes border the factory together with the lake",
    "Homes: a minimum of 2 and 1 school",
    "The park and the lake are 3 in or more apart, and the school too",
    "Keep the homes 3 in from each other and from the lake",
    "Park - lake - school: at least 3 in apart",
    "The park and lake share tape, the school as well",
    "The northern half must be park",
    "No more than 30% of the parcel need be reserved for homes",
    "Keep the factory at least 5 in from the lake or the school",
    "Include a lake and a park next to the school",
    "There is room for six homes and two labs",
    "Neither the school nor the park has to touch the lake",
)
TURNING = (
    "not",
    "only",
    "except",
    "unless",
    "but",
    "than",
    "nor",
    "respectively",
    "if",
    "never",
    "no",
    "half",
    "about",
    "less",
    "need not",
    "outside",
    "or",
    "without",
    "neither",
)
TURNED = [sentence for sentence in READ if ":" not in sentence][::2]
HARMLESS = frozenset(
    {
        "Your team needs to put the park on the outside edge of the board",
        "The park must run from the north outside edge to the south edge",
        "The park must run from the north edge to the south outside edge",
    }
)
"""Sentences with a turning word in a place where it says what the sentence says without it."""


def read(sentence: str) -> tuple[str, ...] | None:
    """The rules that a sentence is read as; None where it is refused."""
    try:
        return tuple(part.rule.reads_as() for part in read_rules(sentence, ZONES, "in"))
    except RuleMistake:
        return None


@pytest.mark.parametrize(("sentence", "rule"), READ.items(), ids=list(READ))
def test_what_no_grammar_has_an_order_for_is_read_by_its_concepts(sentence: str, rule: str):
    assert read(sentence) == (rule,)


@pytest.mark.parametrize("sentence", REFUSED)
def test_no_frame_takes_what_its_concepts_leave_open(sentence: str):
    assert of_frame(sentence) is None


@pytest.mark.parametrize("word", TURNING)
def test_a_word_that_turns_a_sentence_never_leaves_its_reading_as_it_was(word: str):
    for sentence in TURNED:
        meant = of_frame(sentence)
        assert meant is not None, sentence
        words = sentence.split()
        for at in range(len(words) + 1):
            said = " ".join((*words[:at], word, *words[at:]))
            assert of_frame(said) != meant or said in HARMLESS, said


@cache
def of_frame(sentence: str) -> tuple[str, ...] | None:
    """What the one frame that it fits makes of it."""
    return framed(sentence, ZONES)


@pytest.mark.parametrize(
    "sentence", ["No home has to touch the lake.", "Neither the park nor the lake needs to touch the lab."]
)
def test_what_nobody_has_to_do_asks_for_nothing(sentence: str):
    assert read(sentence) is None

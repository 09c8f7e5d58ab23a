"""What is offered by what a sentence names: in any order, among unknown words, and never against what was said."""

from __future__ import annotations

import json
import re
from fractions import Fraction

import pytest

from measure.rules.language.rule_reader import read_rules
from measure.rules.language.zone_names import ZoneNames
from measure.rules.sentences.rule_mistake import Offer, RuleMistake
from measure.rules.slots.named.names_in_part import named_in_part
from measure.rules.slots.slot_reader import slot_offers
from measure.rules.speech.speech import spoken
from measure.rules.speech.words.lexicon import amounts_at, spelled_out, words_of, zone_at, zone_of
from tests.helpers.paths import ROOT

ZONES = ZoneNames(dict.fromkeys(("cottages", "penguin house", "lion den", "pond", "kiosk", "meadow"), ()))

FIRST_OFFERED = {
    "It would be lovely to see the pond 4 inches or more away from the kiosk.": (
        "the distance from pond to kiosk is at least 4 in"
    ),
    "Squawk! 3 1/2 inches of peace minimum, lions to penguins.": (
        "the distance from lion den to penguin house is at least 3.5 in"
    ),
    "A whopping quarter of all our land, or more, shall become a sunny meadow.": (
        "the area of meadow is at least 25% of the parcel"
    ),
    "Our budget stretches to cottages: 5 min, 9 max.": "there are between 5 and 9 pieces of cottages",
    "Noise carries, so hold off on putting cottages within 3 in of the kiosk.": (
        "the distance from cottages to kiosk is more than 3 in"
    ),
    "Somewhere between 10 and 15% of land shall squish to meadow.": (
        "the area of meadow is between 10% and 15% of the parcel"
    ),
    "Tuck the squishy kiosk into a corner.": (
        "either (kiosk touches the north edge, and kiosk touches the west edge), "
        "or (kiosk touches the north edge, and kiosk touches the east edge), "
        "or (kiosk touches the south edge, and kiosk touches the west edge), "
        "or (kiosk touches the south edge, and kiosk touches the east edge)"
    ),
    "The kiosk is tiny, which means that none of them should be more than 6 cubic inches.": (
        "the volume of kiosk is at most 6 cubic in"
    ),
    "The squishy kiosk may rise to 4 inches, no higher.": "every structure in kiosk is at most 4 in tall",
    "The squishy kiosk's area can't top 30 sq in.": "the area of kiosk is at most 30 sq in",
    "Ducks adore it when the meadow hugs the pond.": "",
    "The meadow, our pride, must be gigantic: 30 square inches at the very least!": (
        "the area of meadow is at least 30 sq in"
    ),
    "Kindly shrink the kiosk's gigantic footprint to 8 square inches at most.": "the area of kiosk is at most 8 sq in",
}


@pytest.mark.parametrize(("sentence", "first"), FIRST_OFFERED.items(), ids=list(FIRST_OFFERED))
def test_what_is_named_is_offered_whatever_stands_around_it(sentence: str, first: str):
    *offers, _ = refused(sentence)
    assert (str(offers[0]) if offers else "") == first


def refused(sentence: str) -> tuple[Offer, ...]:
    with pytest.raises(RuleMistake) as caught:
        read_rules(sentence, ZONES, "in")
    return caught.value.offers


def test_where_the_direction_was_not_said_both_are_offered():
    *offers, _ = refused("Cheerful puzzling kiosk 6 square inches")
    assert {f"the area of kiosk is at {way} 6 sq in" for way in ("least", "most")} <= set(map(str, offers))


def test_words_that_were_not_understood_are_told():
    with pytest.raises(RuleMistake) as caught:
        read_rules("Squishily wedge the pond 4 inches or more away from the kiosk.", ZONES, "in")
    assert caught.value.why.startswith("not understood: `Squishily wedge`")


@pytest.mark.parametrize(
    "sentence",
    [
        "The pond may not cost more than 200 dollars.",
        "Fluffy pond unless 4 in from the kiosk.",
        "Was the pond 4 inches from the kiosk wobbly?",
        "Zany pond at least -3 sq in.",
        "If it wobbles, the pond must be 4 in from the kiosk.",
        "The wobbly cottages are 2 inches tall at one end and 4 inches tall at another end.",
        "Pond to be of bent shape, i.e. not a rectangle.",
    ],
)
def test_nothing_is_offered_where_what_is_left_would_be_another_rule(sentence: str):
    assert [str(offer) for offer in refused(sentence)] == [f"by eye: {sentence.rstrip('.')}"]


ENTRIES = [
    json.loads(line)
    for file in sorted((ROOT / "tests" / "measure" / "rules" / "corpus").glob("*.jsonl"))
    for line in file.read_text("utf-8").splitlines()
]
_DENIAL = re.compile(
    r"\b(?:no|not|none|never|nothing|nobody|neither|cannot|without|avoid|stop|keep|hates?|only|ban\w*|forbid\w*|hold|"
    r"out\w*|free|off)\b|n't\b",
    re.IGNORECASE,
)


def test_no_offer_names_a_zone_or_a_number_that_was_not_said_nor_turns_a_limit_round():
    offered = 0
    for entry in ENTRIES:
        zones = ZoneNames(dict.fromkeys(entry["zones"], ()))
        sentence = entry["sentence"]
        try:
            stated = list(slot_offers(sentence, zones, "in"))
        except RuleMistake:
            continue
        numbers = _numbers(spelled_out(spoken(sentence, zones)))
        plain = not _DENIAL.search(sentence)
        for texts, _ in stated:
            offered += 1
            text = ", and ".join(texts)
            bare = re.sub(r", within 5%|at least 1 piece of|\w+ (?:half|third|quarter)\b", "", text)
            assert _zones(bare, zones) <= _zones(sentence, named_in_part(zones)), (sentence, text)
            assert _numbers(bare) <= _made_of(numbers), (sentence, text)
            for number in re.findall(r"\bat least (\d+)\b", sentence) if plain else ():
                assert f"at most {number} " not in f"{bare} ", (sentence, text)
    assert offered > 500


def _zones(text: str, zones: ZoneNames) -> set[str]:
    places = (found.start() for found in re.finditer(r"(?<!\w)\w", text))
    return {zone_of(zone[0], zones) for zone in (zone_at(text, at, zones) for at in places) if zone}


def _numbers(text: str) -> set[Fraction]:
    made = set()
    for word in words_of(text):
        for _, amount in amounts_at(text, word.start):
            made.add(getattr(amount, "amount", amount).number)
    return made


def _made_of(numbers: set[Fraction]) -> set[Fraction]:
    """The numbers, parts in per cent, so much more or less as a ratio, and ratios of two."""
    made = numbers | {100 * number for number in numbers}
    made |= {100 * number % 1 for number in numbers}  # the fraction of `16 2/3%`
    made |= {1 + way * number / part for number in numbers for way in (1, -1) for part in (1, 100)}
    return made | {one / two for one in numbers for two in numbers if two}

"""What is offered in the place of a refused sentence: what was meant, with what it leaves out; never its opposite."""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path

import pytest

from measure.rules import offers
from measure.rules.amounts import Amount
from measure.rules.language.rule_reader import read_rules
from measure.rules.language.zone_names import ZoneNames
from measure.rules.offers.gist import Much, Who, gist_of
from measure.rules.offers.said_otherwise import filled
from measure.rules.sentences.rule_mistake import Offer, RuleMistake
from measure.rules.speech.words.meanings import Bound

NAMES = ("homes", "park", "school", "lake", "factory", "market")
ZONES = ZoneNames(dict.fromkeys(NAMES, ()))


ROWS = (Path(offers.__file__).parent / "said_otherwise.txt").read_text("utf-8").splitlines()
LINES = [line for line in ROWS if line and not line.startswith("#")]


def offered(sentence: str) -> tuple[Offer, ...]:
    """Without the way out, which is always the last."""
    with pytest.raises(RuleMistake) as refused:
        read_rules(sentence, ZONES, "in")
    *found, last = refused.value.offers
    assert last.text.startswith("by eye: ")
    return tuple(found)


MEANT = {
    "All pieces of the market must be of the same size.": [
        "the range of the area of that piece over every piece of market is at most 5% of "
        "the mean of the area of that piece over every piece of market"
    ],
    "The factory may touch the lake or the park but each home must have the same height.": [],
    "The park is five times bigger than the lake.": [
        "the area of park is exactly 5 times the area of lake, within 5%",
        "the area of park minus the area of lake is exactly 5 times the area of lake, within 5%",
        "the area of park is at least 5 times the area of lake",
        "the area of park minus the area of lake is at least 5 times the area of lake",
    ],
    "The park must be three times larger than the lake at least.": [
        "the area of park is at least 3 times the area of lake",
        "the area of park minus the area of lake is at least 3 times the area of lake",
    ],
    "Avoid that the school touches the lake.": ["school does not touch lake"],
    "It must not be the case that the school touches the lake.": ["school does not touch lake"],
    "The school must not touch the park but may touch the lake.": ["school does not touch park"],
    "The lake must be 2 inches wide and 5 inches long.": [
        "the width of lake is exactly 2 in, within 5%, and the length of lake is exactly 5 in, within 5%",
        *(
            f"the width of every piece of lake is {two}, and the length of every piece of lake is {five}"
            for two, five in (
                ("at least 2 in", "at least 5 in"),
                ("at most 2 in", "at most 5 in"),
                ("exactly 2 in, within 5%", "exactly 5 in, within 5%"),
            )
        ),
    ],
}


@pytest.mark.parametrize(("sentence", "meant"), MEANT.items(), ids=list(MEANT))
def test_what_was_meant_is_offered(sentence: str, meant: list[str]):
    assert [offer.text for offer in offered(sentence)] == meant


def test_what_an_offer_leaves_out_is_told():
    (offer,) = offered("Nobody likes it, so none of the homes can touch the factory.")
    assert offer == Offer("no piece of homes touches factory", ("Nobody likes it, so",))
    assert offer.note == "this leaves out `Nobody likes it, so`"


def test_cubes_are_asked_for_by_what_the_offer_takes_them_to_be():
    (offer,) = offered("No building may be taller than 5 cubes.")
    assert offer.text == "every structure is at most 5 in tall"
    assert "where one cube or floor is 1 in high" in offer.note


def test_a_word_of_the_class_for_its_land_is_taken_for_the_parcel_and_told():
    (offer,) = offered("The park must cover at least 1/10 of the quagmire.")
    assert offer == Offer("park covers at least 0.1 of the parcel", (), "where `quagmire` is the whole parcel")


def test_a_slip_is_offered_put_right():
    (offer,) = offered("the school covres at least 12 sq in")
    assert offer.text == "the school covers at least 12 sq in"


def test_a_slip_that_is_none_is_not_asked_again_without_end():
    with pytest.raises(RuleMistake) as refused:
        read_rules("The park is 8 squares long and 5 squares wide.", ZONES, "in")
    assert refused.value.offers


def test_a_formula_about_touching_has_no_subject_of_its_own():
    (read,) = read_rules("The lake and the park share a border at least 3 inches long.", ZONES, "in")
    assert read.rule.kind_name == "touching"
    assert read.rule.sentence_kind == "formula"


def test_what_two_rules_ask_is_offered_together_with_each_tolerance():
    with pytest.raises(RuleMistake) as refused:
        read_rules("The market must touch the homes, and it must be 4 sq in.", ZONES, "in")
    assert [offer.text for offer in refused.value.offers] == [
        f"market touches homes, and the area of market is {limit}"
        for limit in ("exactly 4 sq in, within 5%", "at least 4 sq in", "at most 4 sq in")
    ]


def test_or_taller_is_a_lower_limit_in_what_is_offered():
    with pytest.raises(RuleMistake) as refused:
        read_rules("The homes must be 4 in tall or taller.", ZONES, "in")
    assert refused.value.offers
    assert all("at least 4 in" in offer.text for offer in refused.value.offers)


def test_the_message_says_the_offers_and_what_they_leave_out_and_why_is_without_them():
    with pytest.raises(RuleMistake) as refused:
        read_rules("Nobody likes it, so none of the homes can touch the factory.", ZONES, "in")
    assert "write `no piece of homes touches factory` (this leaves out `Nobody" in refused.value.message
    assert "write" not in refused.value.why


@pytest.mark.parametrize(
    "sentence",
    [
        "It would be nice if the park touches the lake, but it is not compulsory.",
        "The school rarely touches the lake.",
        "It is false that the school touches the lake.",
        "If the school touches the lake, the park must touch it too.",
        "All homes other than the largest must be in the east half.",
        "There must not be a factory and a lake.",
        "At least one of the park and the lake must touch the school.",
        "If the school touches the park and the lake, there must be a market.",
        "Besides the park, the school must touch the lake.",
        "The homes need not touch the lake.",
        "Unless it rains the park touches the lake.",
        "Not more than 5 people may live in homes that touch the factory.",
        "The school is about 2 in closer to the park than the lake.",
    ],
)
def test_no_offer_is_made_that_says_something_else(sentence: str):
    assert offered(sentence) == ()


@pytest.mark.parametrize("sentence", ["For every home: the park.", "Either lake", "Length divided by width: 2"])
def test_no_sign_of_a_grammar_is_asked_for(sentence: str):
    with pytest.raises(RuleMistake) as refused:
        read_rules(sentence, ZONES, "in")
    assert "must stand" not in refused.value.message


SIGNS: dict[str, object] = {
    "L": Much(Bound("at least", Amount(Fraction(5), "length", "in")), "in"),
    "A": Much(Bound("at least", Amount(Fraction(5), "area", "in")), "in"),
    "V": Much(Bound("at least", Amount(Fraction(5), "volume", "in")), "in"),
    "N": Much(Bound("at least", Amount(Fraction(5))), "in"),
    "D": Much(Bound("between", Amount(Fraction(2)), Amount(Fraction(3))), "in"),
    "F": Much(Bound("at least", Amount(Fraction(1, 2))), "in"),
    "P": Much(Bound("at least", Amount(Fraction(20), "percent")), "in"),
    "T": Much(Bound("at least", Amount(Fraction(2)), times=True), "in"),
    "R": "north half",
    "E": "the north edge",
}


@pytest.mark.parametrize("line", LINES, ids=lambda line: line[:60])
def test_every_way_of_speaking_says_something_that_can_be_read(line: str):
    pattern, sentences = re.split(r" ==?> ", line, maxsplit=1)
    names = iter((*NAMES[1:], "farm", "library"))
    signs = [Who(next(names)) if kind == "Z" else SIGNS[kind] for kind in re.findall(r"\b[A-WYZ]\b", pattern)]
    zones = ZoneNames(dict.fromkeys((*NAMES, "farm", "library"), ()))
    for sentence in sentences.split(" | "):
        text = filled(sentence, signs, {"u": "in", "zones": "homes, park and school"}).partition(" // ")[0]
        assert any(is_read(said, zones) for said in (text, f"{text}, within 5%")), text


def is_read(sentence: str, zones: ZoneNames) -> bool:
    try:
        read_rules(sentence, zones, "in")
    except RuleMistake:
        return False
    return True


@pytest.mark.parametrize("sentence", ["3,5 in of park", "park 1/0", "-3 homes and 1,5 parks are nice"])
def test_what_holds_a_number_that_cannot_be_read_is_refused_in_words(sentence: str):
    with pytest.raises(RuleMistake):
        read_rules(sentence, ZONES, "in")
    with pytest.raises(RuleMistake):
        read_rules(sentence, ZoneNames({}), "in")


def test_the_gist_names_zones_amounts_and_places_in_order():
    gist = gist_of("Every home within 5 inches of the north edge, at most 20% of the park", ZONES, "in")
    assert gist.text == "every Z0 within L1 of the E2 , P3 of the Z4"
    assert gist.words("within L1 of") == "within 5 inches of"

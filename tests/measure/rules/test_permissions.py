"""What a clause only allows is refused; an upper limit, a denial in the same clause, and a reason are not."""

from __future__ import annotations

import pytest

from measure.rules.language.rule_reader import read_rules
from measure.rules.language.zone_names import ZoneNames
from measure.rules.sentences.rule_mistake import RuleMistake

ZONES = ZoneNames(dict.fromkeys(("homes", "park", "school", "lake", "solar field"), ()))

ASKS = {
    "The school must be next to the park so kids can walk to play.": ["school touches park"],
    "The solar field may overlap the homes by 5 square inches at most.": [
        "the overlap of solar field and homes is at most 5 sq in"
    ],
    "The park may cover up to 20% of the parcel and the lake must touch the school.": [
        "the area of park is at most 20% of the parcel",
        "lake touches school",
    ],
    "The park may touch the lake but not the school.": ["park does not touch school"],
    "No home may touch the lake.": ["no piece of homes touches lake"],
}
ALLOWS = [
    "The park may touch the lake.",
    "The park must be at least 10 sq in, and the lake may touch the school.",
    "The park must not touch the lake, and the lake may touch the school.",
    "The homes may be at least 3 in from the lake.",
]


@pytest.mark.parametrize(("sentence", "meant"), ASKS.items(), ids=list(ASKS))
def test_what_may_be_is_a_rule_where_its_clause_limits_or_denies_it(sentence: str, meant: list[str]):
    assert [part.rule.reads_as() for part in read_rules(sentence, ZONES, "in")] == meant


@pytest.mark.parametrize("sentence", ALLOWS)
def test_what_a_clause_only_allows_is_refused(sentence: str):
    with pytest.raises(RuleMistake, match="allows it and asks for nothing"):
        read_rules(sentence, ZONES, "in")


def test_must_is_offered_where_nothing_else_is_said():
    with pytest.raises(RuleMistake) as refused:
        read_rules("The park may touch the lake.", ZONES, "in")
    assert refused.value.offers[0].text == "The park must touch the lake."


def test_beside_another_rule_nothing_is_offered_that_asks_for_what_is_allowed():
    with pytest.raises(RuleMistake, match="leave that part out") as refused:
        read_rules("The park must not touch the lake, and the lake may touch the school.", ZONES, "in")
    assert [offer.text for offer in refused.value.offers if not offer.text.startswith("by eye")] == [
        "park does not touch lake"
    ]

"""Sizes, counts and lists as questions, notes, limits and comparisons, and the words that turn them."""

from __future__ import annotations

import pytest

from measure.rules.language.rule_reader import read_rules
from measure.rules.language.zone_names import ZoneNames
from measure.rules.sentences.rule_mistake import RuleMistake

NAMES = ("homes", "shops", "school", "park", "lake", "north farm", "south farm")
ZONES = ZoneNames(dict.fromkeys(NAMES, ()))

READ = {
    "Is the park at least twice the size of the lake?": ["the area of park is at least 2 x the area of lake"],
    "Are there at least six homes?": ["there are at least 6 pieces of homes"],
    "How many shops? Two, three or four.": ["there are between 2 and 4 pieces of shops"],
    "How tall can homes be? At most 5 in.": ["the tallest structure in homes is at most 5 in tall"],
    "Your plan must include the following: a lake, a park, and no fewer than four homes.": [
        "there is at least 1 piece of lake",
        "there is at least 1 piece of park",
        "there are at least 4 pieces of homes",
    ],
    "The queen must have a lake": ["there is at least 1 piece of lake"],
    "Homes (at least 6)": ["there are at least 6 pieces of homes"],
    "Homes: between 2 and 4 of them": ["there are between 2 and 4 pieces of homes"],
    "Park : lake = 3 : 1 (within 10%)": ["the area of park is exactly 3 x the area of lake, within 10%"],
    "The park's area has to be less than the lake's.": ["the area of park is less than the area of lake"],
    "The park is larger than the lake, which is larger than the school.": [
        "the area of park is more than the area of lake",
        "the area of lake is more than the area of school",
    ],
    "The school shall have a minimum area of 6 sq in": ["the area of school is at least 6 sq in"],
    "Limit the lake to 10% of the board": ["the area of lake is at most 10% of the parcel"],
    "Half the park is the most the lake can have": ["the area of lake is at most 0.5 x the area of park"],
    "The two farms together must cover at least 20% of the board": [
        "the area of north farm and south farm together is at least 20% of the parcel"
    ],
    "Add up the park and the lake: the answer must be more than 20 sq in": [
        "the area of park and lake together is more than 20 sq in"
    ],
    "3 out of every 10 square inches must be park": None,
    "At least 3 out of every 10 square inches must be park": ["the area of park is at least 30% of the parcel"],
    "The lake must not be the smallest zone": [
        "for at least 1 zone except lake: the area of that zone is less than the area of lake"
    ],
    "Fence off no more than 24 inches around the lake": ["the perimeter of lake is at most 24 in"],
    "There must be twice as many homes as shops, at the very least": [
        "there are at least 2 times as many pieces of homes as of shops"
    ],
    "Nothing in the shops should go above 3 inches.": ["every structure in shops is at most 3 in tall"],
    "Homes must have room for 40 people at least at 10 people per cubic in.": [
        "homes house at least 40 people at 10 people per cubic in"
    ],
    "A town with no lake isn't complete": ["there is at least 1 piece of lake"],
    "You can have as many shops as you like but never fewer than four.": ["there are at least 4 pieces of shops"],
    "What's the smallest the school can be? 10 square inches.": ["the area of school is at least 10 sq in"],
    "How much of the board can the homes take? A quarter at most.": ["the area of homes is at most 25% of the parcel"],
    "The lake? Half the size of the park or less.": ["the area of lake is at most 0.5 x the area of park"],
    "The lake should be roomy: 14 square inches at the very least.": ["the area of lake is at least 14 sq in"],
    "The school's roof may be no higher than 4 in.": ["the tallest structure in school is at most 4 in tall"],
    "The edge of the lake measures 18 in or more all the way round.": ["the perimeter of lake is at least 18 in"],
    "park > lake > school": [
        "the area of park is more than the area of lake",
        "the area of lake is more than the area of school",
    ],
    "Give the school half again as much space as the lake, or more.": [
        "the area of school is at least 1.5 x the area of lake"
    ],
    "Homes of fewer than 2 square inches are not permitted.": ["the area of every piece of homes is at least 2 sq in"],
    "The homes can't differ in size by more than 1 sq in.": [
        "the range of the area of that piece over every piece of homes is at most 1 sq in"
    ],
    "School: 2 in x 3 in or larger.": [
        "the length of every piece of school is at least 3 in",
        "the width of every piece of school is at least 2 in",
    ],
    "No building in the shops may exceed the height of the school.": [
        "the height of shops is at most the height of school"
    ],
    "The shops need 2 to 3 tenths of the board.": ["the area of shops is between 20% and 30% of the parcel"],
    "Is there a lake? Is there a park?": ["there is at least 1 piece of lake", "there is at least 1 piece of park"],
    "The town can't do without at least 4 homes": ["there are at least 4 pieces of homes"],
    "The lake's a must-have, and so is the park.": [
        "there is at least 1 piece of lake",
        "there is at least 1 piece of park",
    ],
    "Don't leave the lake out": ["there is at least 1 piece of lake"],
    "5 homes plus or minus 1": ["there are between 4 and 6 pieces of homes"],
    "Shops: three of them, no fewer.": ["there are at least 3 pieces of shops"],
    "Fewer shops than homes is not OK.": ["there are at least 1 times as many pieces of shops as of homes"],
    "Take the lake away from the park, and there must be at least 4 square inches left": None,
    "If you take the lake away from the park, there must be at least 4 square inches left": [
        "the area of park is at least 4 sq in more than the area of lake"
    ],
    "We only have 30 inches of fencing for the park.": ["the perimeter of park is at most 30 in"],
    "The lake should measure no more than 12 inches around.": ["the perimeter of lake is at most 12 in"],
    "School: height at most 5 in, length at most 12 cm": [
        "the tallest structure in school is at most 5 in tall",
        "the length of every piece of school is at most 12 cm",
    ],
    "The school cannot be any smaller than 5 sq in or any bigger than 9 sq in.": [
        "the area of school is between 5 sq in and 9 sq in"
    ],
    "School no longer nor wider than 5 inches.": [
        "the length of every piece of school is at most 5 in",
        "the width of every piece of school is at most 5 in",
    ],
    "Area of park: at least twice that of lake": ["the area of park is at least 2 x the area of lake"],
    "The homes must average at least 4 sq in.": [
        "the mean of the area of that piece over every piece of homes is at least 4 sq in"
    ],
    "How many homes can there be? 6.": ["there are at most 6 pieces of homes"],
    "You may use 3 shops.": ["there are at most 3 pieces of shops"],
    "park => 20 sq in": ["the area of park is at least 20 sq in"],
    "The park and the school must each touch the lake or the homes.": [
        "either park touches lake, or park touches homes",
        "either school touches lake, or school touches homes",
    ],
    # a word that turns the meaning
    "Homes and shops must each touch the park or the lake.": None,
    "Homes and shops touch the park and the lake respectively.": None,
    "There are at least 4 homes. They are at least 5 sq in.": None,
    "There are at least 4 homes; it must be at least 5 sq in.": None,
    "The park and the lake touch. They are at least 10 sq in.": None,
    "The lake is at least 6 in from the homes. They must touch the park.": None,
    "The school touches the park, and they are in the north half.": None,
    "The homes must touch the park. It covers at least 20 sq in.": None,
    "Every home touches the park. It is at least 20 sq in.": None,
    "If the lake touches the homes, they must touch the park.": None,
    "If the park and the lake touch the homes, they are at least 10 sq in.": None,
    "If the park and the lake touch the school, there is a shop.": None,
    "The lake is at least 6 in from the homes. It must touch the park.": [
        "the distance from lake to homes is at least 6 in",
        "lake touches park",
    ],
    "Is there a lake? Is there no school?": None,
    "Is the park bigger than the lake? Is the school not?": None,
    "More shops than homes is allowed": None,
    "We have 30 inches of fencing for the park": None,
    "The homes do not average 4 sq in": None,
    "5 homes plus or minus 1 from the lake": None,
    "Don't leave the lake out of the park": None,
    "The lake's a must-have, and so is the park, but not the school": None,
    "School must be longer or wider than 5 inches.": None,
    "The lake is the only zone that may not touch the park": None,
    "Only the lake may not touch the park": None,
    "What's the smallest the school can't be? 10 sq in": None,
    "The lake is not big: at most 10 sq in": None,
    "Don't give the school more space than the park": ["the area of school is at most the area of park"],
    "Two lakes, more is fine": None,
    "park > lake, not school": None,
    "The school's roof must be red": None,
    "Is there no lake?": None,
    "Do any homes touch the lake?": None,
    "Isn't the park bigger than the lake?": None,
    "Is the park not at least twice the size of the lake?": None,
    "Is the lake at most 10 sq in or not?": None,
    "How big is the lake? Not as big as the park.": None,
    "The queen must have at least 4 homes or a lake": None,
    "Don't limit the lake to 10% of the board": None,
    "The maximum for the lake is not 10 sq in": None,
    "The three farms must be under 5 sq in": None,
    "The lake touches the park and the school, which must be at least 5 sq in": None,
    "You need one school for every three homes.": None,
}


@pytest.mark.parametrize("sentence", READ)
def test_a_size_or_a_count_is_read_as_meant_or_refused(sentence: str):
    try:
        said = [part.rule.reads_as() for part in read_rules(sentence, ZONES, "in")]
    except RuleMistake:
        said = None
    assert said == READ[sentence]


def test_what_was_taken_for_the_settlement_or_for_several_zones_is_told():
    (rule,) = read_rules("The queen must have a lake", ZONES, "in")
    assert "`queen` was taken as the whole settlement" in rule.warnings
    (rule,) = read_rules("Both farms must touch the lake", ZONES, "in")
    assert "`farms` was taken as north farm and south farm" in rule.warnings

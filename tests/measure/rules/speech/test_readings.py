"""Everyday sentences and what they are read as, with what is told of them."""

from __future__ import annotations

import pytest

from measure.rules.language.rule_reader import read_rules
from measure.rules.language.zone_names import ZoneNames
from measure.rules.sentences.rule_mistake import RuleMistake

NAMES = ("homes", "shops", "school", "park", "lake", "factory", "market", "bike shed")
ZONES = ZoneNames(dict.fromkeys(NAMES, ()))

READ = {
    "Your town has to have at least one school and at least two shops.": [
        "there is at least 1 piece of school",
        "there are at least 2 pieces of shops",
    ],
    "Include a school, shops and a park.": [
        "there is at least 1 piece of school",
        "there is at least 1 piece of shops",
        "there is at least 1 piece of park",
    ],
    "The school must be closer to the park than it is to the factory.": ["school is nearer to park than to factory"],
    "The school and the park must share at least 3 inches of border.": [
        "the common border of school and park is at least 3 in"
    ],
    "The lake has to run along the south edge for at least 8 inches.": [
        "the common border of lake and the south edge is at least 8 in"
    ],
    "There is one school, and it's on the edge of the zoo.": [
        "there is exactly 1 piece of school",
        "school touches the edge",
    ],
    "The school should be a hexagon.": [
        "for every piece of school: the number of sides of that piece of school is exactly 6"
    ],
    "The school must be a rectangle with a perimeter of at least 40 cm.": [
        "for every piece of school: that piece of school is a rectangle",
        "the perimeter of school is at least 40 cm",
    ],
    "No building may be taller than the school.": [
        "for every zone except school: the height of that zone is at most the height of school"
    ],
    "The school is partly in the north half.": ["school is partly in the north half"],
    "The school is in the middle third of the parcel, from left to right.": [
        "school is in the middle third from west to east"
    ],
    "Leave at least sixty per cent as park!": ["the area of park is at least 60% of the parcel"],
    "Park + lake together: less than the homes.": ["the area of park and lake together is less than the area of homes"],
    "The ratio of lake to park is 5:2, give or take 10%.": [
        "the area of lake is exactly 2.5 x the area of park, within 10%"
    ],
    "The lake should be no more than half as wide as it is long.": [
        "for every piece of lake: the width of that piece of lake is at most 0.5 times the length of that piece of lake"
    ],
    "Could the school please be the northernmost zone?": [
        "for every zone except school: the gap from that zone to the north edge is more than the gap from school to "
        "the north edge"
    ],
    "At least two thirds of the parcel must be used up by zones.": [
        "the area of all zones together is at least 66 2/3% of the parcel"
    ],
    "Leave a 1-inch border around the outside of your parcel with nothing in it.": [
        "the distance from every zone to the edge is at least 1 in"
    ],
    "The lake goes from one side of the board to the opposite side.": [
        "either (lake touches the north edge, and lake touches the south edge), "
        "or (lake touches the west edge, and lake touches the east edge)"
    ],
    "The school must touch the park so that children can walk from the homes to the school.": ["school touches park"],
}


READ |= {
    "The school must not touch the lake nor the factory.": [
        "school does not touch lake",
        "school does not touch factory",
    ],
    "The school is between 10 and 15 sq in but does not touch the homes.": [
        "the area of school is between 10 sq in and 15 sq in",
        "school does not touch homes",
    ],
    "Keep the west half free of homes.": ["for no piece of homes: that piece is partly in the west half"],
    "Homes may touch the park only.": ["every zone except homes and park does not touch homes"],
    "The homes must be under 20 square inches in total.": ["the area of homes is less than 20 sq in"],
    "The homes must be under 8 square inches each.": ["the area of every piece of homes is less than 8 sq in"],
    "The school is at the north edge.": ["school touches the north edge"],
    "No two homes may be closer together than 3 in.": [
        "the distance from every piece of homes to every piece of homes is at least 3 in"
    ],
    "No home may be taller than the school.": ["the height of homes is at most the height of school"],
    "The north half must contain at least two homes.": [
        "the number of pieces of homes where (that piece is in the north half) is at least 2"
    ],
    "Bike sheds should be placed right up against a shop.": ["every piece of bike shed touches shops"],
    "Measured centre to centre, the school is to lie at most 15cm from the park.": [
        "the distance between the centres of school and park is at most 15 cm"
    ],
    "Homes need to sit between 6 cm and 10 cm from the nearest shop.": [
        "the distance from every piece of homes to shops is between 6 cm and 10 cm"
    ],
    "We do not want the school to touch the lake.": ["school does not touch lake"],
    "Part of the school must be in the north half.": ["school is partly in the north half"],
    "The school must be north of every other zone except the park.": [
        "for every zone except school and park: school is north of that zone"
    ],
    "The homes may not cover less than 10% nor more than 30% of the parcel.": [
        "the area of homes is between 10% and 30% of the parcel"
    ],
    "The park must be at least a third more than the lake.": ["the area of park is at least 1 1/3 x the area of lake"],
    "The park is at least half again as big as the lake.": ["the area of park is at least 1.5 x the area of lake"],
    "The school must touch only the park.": [
        "school touches park",
        "every zone except school and park does not touch school",
    ],
    "The school may touch only the park.": ["every zone except school and park does not touch school"],
    "Unless it touches the park, the school must touch the lake.": [
        "if not: school touches park, then school touches lake"
    ],
    "The areas of park and lake must be in the ratio 2:1, within 10%.": [
        "the area of park is exactly 2 x the area of lake, within 10%"
    ],
    "All but the lake must be smaller than the park.": [
        "the area of every zone except lake and park is less than the area of park"
    ],
    "Keep a strip 1 inch wide along the edge of the parcel free.": [
        "the distance from every zone to the edge is at least 1 in"
    ],
    "Any home must be at least 1 inch away from any other home.": [
        "the distance from every piece of homes to every piece of homes is at least 1 in"
    ],
    "The school must be within 3 in of either the park or the lake.": [
        "either the gap from school to park is at most 3 in, or the gap from school to lake is at most 3 in"
    ],
    "The school must touch at least one of the park, the lake and the market.": [
        "either school touches park, or school touches lake, or school touches market"
    ],
    "The number of homes must not be more than the number of shops.": [
        "there are at most 1 times as many pieces of homes as of shops"
    ],
    "No home may be bigger than 6 sq in or smaller than 2 sq in.": [
        "the area of every piece of homes is between 2 sq in and 6 sq in"
    ],
    "No home may be closer to the factory than to the park.": [
        "for every piece of homes: the gap from that piece of homes to factory is at least the gap from that piece of "
        "homes to park"
    ],
    "At most one of the zones may touch the lake.": ["for at most 1 zone except lake: that zone touches lake"],
    "The school must be surrounded by at least 1 inch of empty land.": [
        "the distance from school to every other zone is at least 1 in"
    ],
}


@pytest.mark.parametrize(("sentence", "meant"), READ.items(), ids=list(READ))
def test_a_sentence_is_read_and_its_reading_reads_as_itself(sentence: str, meant: list[str]):
    found = [part.rule for part in read_rules(sentence, ZONES, "in")]
    assert [rule.reads_as() for rule in found] == meant
    assert [read_rules(rule.reads_as(), ZONES, "in")[0].rule for rule in found] == found


TOLD = {
    "The homes must be bigger than the shops.": "all of homes together are compared",
    "All zones except the park must cover at most 30% of the parcel.": "read of each of them",
    "Nobody likes living next to noisy machines, so none of the homes can touch the factory.": "`Nobody likes living",
    "Your lake can't touch the school, we don't want wet feet!": "`we don't want wet feet` was left out",
    "Don't let the lake be bigger than the park, ok?": "`ok` was left out",
    "Bike sheds should be placed right up against the school.": "the nearest piece of bike shed decides",
    "The lake must be no wider than 3 inches.": "the sides of the rectangle around each piece",
    "The park may touch the lake but not the factory.": "what it may do asks for nothing",
    "Keep the factory at least 5 in from the homes because the factory is loud.": "`because the factory is loud`",
}


@pytest.mark.parametrize(("sentence", "told"), TOLD.items(), ids=list(TOLD))
def test_what_was_inferred_is_told(sentence: str, told: str):
    assert told in " ".join(text for part in read_rules(sentence, ZONES, "in") for text in part.warnings)


@pytest.mark.parametrize(
    "sentence",
    [
        "The school must be within 5 in of the homes so that the homes touch the school.",
        "The school must touch the park so that it can not touch the lake.",
        "The school must be on the lake.",
        "If it rains, so the school must touch the park.",
        "The school must not be in the park.",
        "Build the school at least 5 storeys high.",
        "No building may have more than 4 floors.",
        "We don't want: the school touches the park.",
        "If the school touches the lake, the park must touch it too.",
        "The school must not touch the lake and the park must touch it.",
        "No home touches the lake and is smaller than 3 sq in.",
        "Homes must touch the park or a shop.",
        "The school must not be outside the park.",
        "No zone is nearer to the park than to the lake.",
        "The homes must touch the park in total.",
        "The north half must contain two homes.",
        "The school is not in the east half.",
        "All of the school must be within 10 in of the lake.",
        "No part of the school may be more than 10 in from the lake.",
        "No home may be within 2 in of the lake and the park.",
        "It is forbidden, so the school must touch the park.",
        "The park may touch the lake but not all of the homes.",
        "Build homes, shops and a park or a lake.",
        "No buffer: the school must touch the park.",
        "The zoo covers at most 1/5 of the parcel.",
        "The school is in the middle third of the parcel.",
    ],
)
def test_what_a_guess_would_be_is_refused(sentence: str):
    with pytest.raises(RuleMistake):
        read_rules(sentence, ZONES, "in")

"""Sentences that were read as something else are refused; those beside them that are plain stay read."""

import pytest

from measure.rules.language.rule_reader import read_rules
from measure.rules.language.zone_names import ZoneNames
from measure.rules.sentences.rule_mistake import RuleMistake

ZONES = ZoneNames(dict.fromkeys(("homes", "park", "school", "lake", "factory", "shops", "farm", "library"), ()))

REFUSED = """
The whole school must be within 5 in of the park.
No team must put a factory next to the park.
When a school holds more than 50 people, it must touch the park.
The total footprint of all zones must be at most 70% of the parcel.
The park must not touch the lake and the school must.
The park cannot touch the lake and the school has to.
The park may not touch the lake and the school can.
The park must be within 3 in of the lake and the school must.
The park must not be bigger than the lake and the school must.
Every home must touch the park if it is bigger than 5 sq in.
No home may touch the factory unless it touches the park.
Unless it touches the lake, each home must touch the park.
A home must touch the park unless it touches the lake.
Homes must touch the park unless they touch the lake.
Homes next to the school and the park must be at most 4 sq in.
Shops that touch the lake and homes that touch the park must be at most 4 sq in.
Zones next to the lake and the park must be at least 5 sq in.
The park and the lake touch the north edge.
If the park and the lake are within 3 in of the school, there is a factory.
The park and the lake cover the centre.
The school touches the park, or at least the lake.
Every home touches the park, or at least a shop.
The school touches the park, that is, at least 2 in of border.
The size of the school is between the lake and the park.
The park is bigger than both the lake and the school together.
Both lake and park are bigger than the school together.
The park is bigger than a home.
The park is at least twice as big as a home.
No zone is smaller than a home.
There is a home that touches all shops.
There are at least 3 homes, covering 20 sq in or more.
There are at least 3 homes, which touch the park.
The park is at least 20% of the other zones.
The park is within 3 in of any zone.
Both homes touch the park.
The park is bigger than all homes.
Nothing says the school must touch the park.
Not a rule: the school must touch the park.
The park must be up to the lake.
Homes more than shops.
At least 3 homes more than shops.
No home is required to touch the park.
No more than 3 shops are required.
The school gets to be larger than the park.
The homes can go up to 3 in from the lake.
Where homes touch the factory, they must be at least 6 sq in.
Every home and every shop must be at least 4 sq in.
Every home plus every shop must be at least 40 sq in.
A home and a shop must each be at least 4 sq in.
One home must be the largest zone.
The farm must be larger than one of the lakes.
The rest of the board must be at least 20% park.
At least 20% of the built land must be park.
The park must cost less than the lake.
Each student must lay out at least 1 home.
The school must touch the park, and the library too.
The lake was larger than the park.
The park should have been larger than the lake.
There were 3 homes.
Keep the number of homes from going over 6.
Keep the park and lake from being more than 3 in apart.
Keep the number of shops from exceeding 4.
No homes each may touch the factory.
Everybody in the homes must be within 5 in of the park.
Let's say the lake is bigger than the park.
Prevent flooding: homes within 3 in of the lake.
The homes must reach at least 3 in into the lake.
The school must be fully within 5 in of the park.
The homes must use at most half of the taped land.
The park must overlook the lake.
The park must leave at least 20% of the board.
The homes must stop within 3 in of the lake.
The park must separate the homes and the factory by at least 3 in.
"""
READ = """
The park must not touch the lake and must touch the school. | school
The school must be within 3 in of the lake and the park. | each of lake and park
If a home is bigger than 5 sq in, it must touch the park. | for every piece of homes
The park must touch the lake if it is bigger than 5 sq in. | if the area of park
Homes next to the school must be at most 4 sq in. | if that piece of homes touches school
The park and the lake touch the school. | school
The park and the lake together touch the north edge. | together
The school touches the park and is at least the size of the lake. | area of lake
Park and lake hold at least 26 cubic cm. | together
The school is between the lake and the park. | is between
The park is bigger than the lake and the school together. | together
The park is bigger than the school. | area of school
The park is bigger than every home. | every piece of homes
The park is within 3 in of a home. | distance
There are at least 3 homes that touch the park. | at least 3 pieces
The park is at least 20% of the parcel. | of the parcel
Both the lake and the park touch the school. | school
Keep homes from touching the lake. | do not touch
Prevent homes within 3 in of the lake. | more than 3 in
The school is required to touch the park. | touches
Keep the homes from covering more than 20% of the board. | at most 20%
Keep the park from being larger than the lake. | at most the area
Every home must be within 5 in of the park. | at most 5
At least 3 shops are required. | at least 3 pieces
The park must be up to 20 sq in. | at most 20
Every home and every shop must touch the park. | every piece of
The park must touch a home and a shop. | touches
The farm must be within 3 in of one of the homes. | distance
The school must be within 5 in of the park so that no bus is needed. | at most 5
The park must touch the school so every child has a place to play. | touches
The park must be larger than the lake because land costs money. | area of lake
"""
TURNED = """
Danger: the park touches the lake.
Penalty: the park must touch the lake.
Team A: the park must touch the lake.
Boys: the park must touch the lake.
For big teams, the park must touch the lake.
In theory, the park touches the lake.
On request, the park must touch the lake.
The park must touch the lake, for big teams.
Fish die because the factory touches the lake.
The park touches the lake. No way!
The park must touch the lake. Little kids are excused.
The park must touch the lake. That would be a shame.
People complain. The factory touches the lake.
Stop! The park touches the lake.
The park must touch the lake (maybe).
"""
BESIDE = """
Water rule: the park must touch the lake.
Irrigation: the park touches the lake.
For safety reasons, the park must touch the lake.
For the sake of the ducks, the park must touch the lake.
Kids love to swim! The park must touch the lake.
The park touches the lake because kids love to swim.
The park must touch the lake. Kids love to swim.
"""


def lines(table: str) -> list[str]:
    return table.strip().splitlines()


@pytest.mark.parametrize("sentence", lines(REFUSED))
def test_what_was_read_as_something_else_is_refused_and_nothing_but_the_eye_is_offered(sentence: str) -> None:
    with pytest.raises(RuleMistake) as caught:
        read_rules(sentence, ZONES, "in")
    assert all(offer.text.startswith("by eye") for offer in caught.value.offers)


@pytest.mark.parametrize(
    "sentence",
    [
        "Keep from building homes within 3 in of the lake.",
        "Hold off on putting homes within 3 in of the lake.",
        "Homes within 3 in of the lake are off limits.",
    ],
)
def test_what_keeps_out_is_offered_as_what_keeps_out(sentence: str) -> None:
    with pytest.raises(RuleMistake) as caught:
        read_rules(sentence, ZONES, "in")
    *offers, _ = caught.value.offers
    assert [offer.text for offer in offers] == ["the distance from homes to lake is more than 3 in"]


@pytest.mark.parametrize("line", lines(READ))
def test_a_plain_sentence_beside_it_is_read(line: str) -> None:
    sentence, meant = line.split(" | ")
    assert any(meant in part.rule.reads_as() for part in read_rules(sentence, ZONES, "in"))


@pytest.mark.parametrize("sentence", lines(TURNED))
def test_words_that_may_turn_a_rule_round_are_not_left_out(sentence: str) -> None:
    with pytest.raises(RuleMistake):
        read_rules(sentence, ZONES, "in")


@pytest.mark.parametrize("sentence", lines(BESIDE))
def test_words_that_say_nothing_of_the_rule_are_left_out(sentence: str) -> None:
    (found,) = read_rules(sentence, ZONES, "in")
    assert found.rule.reads_as() == "park touches lake"
    assert any("left out" in warning for warning in found.warnings)


def test_some_pieces_that_cover_so_much_are_told_to_be_read_one_by_one() -> None:
    (some,) = read_rules("Shops in the north half cover at most 20 sq in.", ZONES, "in")
    (each,) = read_rules("Each shop in the north half covers at most 20 sq in.", ZONES, "in")
    assert any("read of each of them" in warning for warning in some.warnings)
    assert not any("read of each of them" in warning for warning in each.warnings)

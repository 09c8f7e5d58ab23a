"""Sentences that people take in two ways, or that ask for nothing, are refused; their clear neighbours are read.

Written from the list of an examiner who knew neither the grammar nor its docs.
"""

from __future__ import annotations

import pytest

from measure.rules.language.rule_reader import read_rules
from measure.rules.language.zone_names import ZoneNames
from measure.rules.sentences.rule_mistake import RuleMistake

ZONES = ZoneNames(dict.fromkeys(("homes", "park", "school", "shops", "factory", "lake"), ()))
REFUSED = """
The school does not need to touch the park | asks for nothing
The school does not have to touch the park | asks for nothing
The school doesn't have to be within 3 inches of the park | asks for nothing
The school needn't touch the park | asks for nothing
There are no more than 5 homes and shops | of all
There must be between 2 and 4 homes and shops | of all
There are at least 2 homes and 3 shops | of all
You must have at least 4 homes, 2 shops and a lake | of all
You may have at most 4 homes and 2 shops | of all
No home touches every other home | not all of them at once
No home touches all the shops | not all of them at once
No home is within 4 inches of every shop | not all of them at once
No zone touches every other zone | not all of them at once
No home is more than 4 inches from every other home | not all of them at once
The school does not touch both the park and the lake | not both at once
No zone touches both the factory and the lake | not both at once
The school does not touch everything | not everything
Zones cover at most three quarters of the parcel | all of them
All zones cover at most 27% of the parcel | all of them
Only two homes may touch the lake | exactly so many
Every home doesn't touch the lake | not all of them
The school touches any other zone | at least one
The total area of every zone is at least 50 sq in | all together
The total area of all zones except the park is at least half of the parcel | all together
Every home touches a home | another
Every home must have a home touching it | another
No, the school touches the lake | may deny
Only the park must touch the lake | no other has to
Only homes need to be bigger than 10 sq in | no other has to
The park does not touch the lake and the school does | stands for
"""
READ = """
The school must not touch the park | school does not touch park
The total area of all the zones must be at least 50 sq in | the area of all zones together is at least 50 sq in
You must have at least 4 homes and a lake | there are at least 4 pieces of homes
At most two homes may touch the lake | at most 2 pieces of homes touch lake
Every zone covers at most 27% of the parcel | the area of every zone is at most 27% of the parcel
The school touches every other zone | school touches every other zone
Every home touches another home | every piece of homes touches another piece of homes
Sum of the areas of all zones but park: 50 sq in max | the area of all zones except park together is at most 50 sq in
Only the park may touch the lake | every zone except park does not touch lake
The park touches the lake and the school does not | park touches lake
No zone touches the lake | nothing touches lake
The park must be between 1/4 and 30% of the board | the area of park is between 25% and 30% of the parcel
The park must be at least 1/10 and at most 15% of the board | the area of park is between 10% and 15% of the parcel
The park is 25% plus or minus 5% of the parcel | the area of park is exactly 25% of the parcel, within 5 points
The park is 25% of the parcel, give or take 5% | the area of park is exactly 25% of the parcel, within 5 points
The park must be the same size as the lake, give or take 5% | the area of park is exactly the area of lake, within 5%
Every zone must be bigger than the lake | the area of every zone except lake is more than the area of lake
No zone may be more than half as big as the park | the area of every zone except park is at most 0.5 x the area of park
There can be only one lake | there is at most 1 piece of lake
Nothing may go over the lake | nothing overlaps lake
"""


def cases(table: str) -> list[list[str]]:
    return [line.split(" | ") for line in table.strip().splitlines()]


@pytest.mark.parametrize(("sentence", "why"), cases(REFUSED))
def test_what_can_be_taken_in_two_ways_is_refused_with_the_reason(sentence: str, why: str) -> None:
    with pytest.raises(RuleMistake) as caught:
        read_rules(sentence, ZONES, "in")
    assert why in caught.value.message


@pytest.mark.parametrize(("sentence", "meant"), cases(READ))
def test_its_clear_neighbour_is_read(sentence: str, meant: str) -> None:
    assert read_rules(sentence, ZONES, "in")[0].rule.reads_as() == meant


def test_the_town_is_the_whole_parcel_and_the_teacher_is_told_so() -> None:
    (town,) = read_rules("The park should be a quarter of the town at least.", ZONES, "in")
    (parcel,) = read_rules("The park should be a quarter of the board at least.", ZONES, "in")
    assert town.rule == parcel.rule
    assert ["taken as the whole parcel" in warning for warning in town.warnings] == [True]
    assert parcel.warnings == ()


@pytest.mark.parametrize(
    ("sentence", "why"),
    [
        ("Homes must touch the park.", "nearest piece of homes"),
        ("The school must be at most 6 inches from the homes.", "nearest piece of homes"),
        ("The lake must not be smaller than the park and the school.", "together"),
        ("There must be twice as many homes as shops.", "exactly 2 times"),
        ("The park must be in the middle of the board.", "covering the centre"),
        ("The school must share a side with the park.", "common border"),
        ("Keep the park 6 in away from the lake.", "at least 6 in"),
        ("Two of the homes must touch the lake.", "at least 2"),
        ("The school is 2 to 4 inches from the homes.", "nearest piece of homes"),
        ("The school touches the park, the homes and the lake.", "nearest piece of homes"),
        ("The ratio of homes to shops is at least 2:1.", "areas are compared"),
        ("The school has to be in a corner.", "touching two edges that meet"),
        ("Nothing may be built on the lake.", "structures that are in the table"),
    ],
)
def test_what_was_taken_for_one_of_two_things_is_told(sentence: str, why: str) -> None:
    (found,) = read_rules(sentence, ZONES, "in")
    assert any(why in warning for warning in found.warnings)


PODS = ZoneNames(dict.fromkeys(("living pods", "dome", "mine", "homes", "chapel"), ()))


@pytest.mark.parametrize(
    ("sentence", "reading", "why"),
    [
        ("None of the pods may touch the mine.", "no piece of living pods touches mine", "taken as living pods"),
        ("The houses must not touch the mine.", "homes do not touch mine", "taken as homes"),
        (
            "At most one tenth of the zoo can be mine.",
            "the area of mine is at most 10% of the parcel",
            "`zoo` was taken as the whole parcel",
        ),
        (
            "The dome must be at least 3 in from the mine because of the dust.",
            "the distance from dome to mine is at least 3 in",
            "`because of the dust` was left out",
        ),
    ],
)
def test_a_name_or_a_land_that_is_meant_and_what_is_left_out_are_told(sentence: str, reading: str, why: str) -> None:
    (found,) = read_rules(sentence, PODS, "in")
    assert found.rule.reads_as() == reading
    assert any(why in warning for warning in found.warnings)


def test_a_word_in_a_zones_full_name_is_taken_for_nothing_else() -> None:
    """`farm` is a word for all the land, and `pods` for `living pods`; not where the full names stand."""
    zones = ZoneNames(dict.fromkeys(("solar farm", "living pods"), ()))
    for sentence in (
        "Between 10 and 20 percent of the land should be solar farm.",
        "The solar farm is at least 2 in from the living pods.",
    ):
        assert [part.warnings for part in read_rules(sentence, zones, "in")] == [()]


@pytest.mark.parametrize(
    "sentence", ["The dome is in the middle of the {}.", "The dome is in the north half of the {}."]
)
@pytest.mark.parametrize("land", ["town", "village", "camp"])
def test_the_middle_of_the_town_is_the_boards_only_where_no_zone_is_called_so(sentence: str, land: str) -> None:
    said = sentence.format(land)
    (found,) = read_rules(said, ZoneNames(dict.fromkeys(("dome", "well"), ())), "in")
    assert found.rule.reads_as() in ("dome covers the centre point", "dome is in the north half")
    with pytest.raises(RuleMistake):
        read_rules(said, ZoneNames(dict.fromkeys(("dome", land), ())), "in")


def test_no_offer_leaves_out_a_zone_that_a_comparison_is_with() -> None:
    with pytest.raises(RuleMistake) as refused:
        read_rules("The school must be closer to the park than the school is to the factory.", ZONES, "in")
    assert all("factory" in offer.text for offer in refused.value.offers)


def test_a_common_border_of_so_much_is_no_touching() -> None:
    (found,) = read_rules("The school and the park share a border at least 3 inches long.", ZONES, "in")
    assert found.rule.reads_as() == "the common border of school and park is at least 3 in"

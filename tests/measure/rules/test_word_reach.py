"""A word that reaches all of a sentence is not lost where the sentence is read part by part.

The sentences are those of an examiner who knew neither the grammar nor the code: each was read as something else.
"""

from __future__ import annotations

import pytest

from measure.rules.language.rule_reader import read_rules
from measure.rules.language.zone_names import ZoneNames
from measure.rules.sentences.rule_mistake import RuleMistake

ZONES = ZoneNames(dict.fromkeys(("homes", "shops", "park", "lake", "factory", "school", "farm", "library"), ()))
REFUSED = """
No home, shop or school may be within 4 inches of the factory.
No home, shop or library may touch the factory.
No school, library or home can be closer than 4 inches to the factory.
No shop, school or farm may be in the north half.
No park, lake or farm may cover more than 20% of the board.
No home, no shop and no school may touch the lake.
The school must touch at least one home but no more than three homes.
The school must touch at least two homes and at most four homes.
The lake must touch the park and at least one home.
The park must be within 4 inches of at least one shop and no factory.
No more than 3 homes and shops may touch the factory.
Two homes and the school must touch the park.
At least four homes and the school must be in the north half.
No home but at least one shop must touch the factory.
The factory must be at least 5 inches from the school and at least one home.
The park must be bigger than the school and no shop.
The park must cover at least 20% of the board and at least one shop.
All homes must touch the park and no shops.
The farm may not touch the lake but can touch the park.
The park may not touch the lake and may touch the school.
Shops may be bigger than homes but not bigger than the school.
The park may be larger than the lake but no larger than the school.
The park must be wider than 3 inches but not longer than 9.
The school must be taller than 3 inches but no wider than 5.
The school must be wider than 2 inches but not taller than 5.
There must be more park than shops.
There must be more lake than park.
There must be less factory than farm.
There is more farm than lake.
The lake's longest side must not be over 6 inches.
The park's shortest side must be at least 3 inches.
The shortest side of every shop must be at least 1 inch.
The longest side of the park must be at least twice the shortest side.
Homes or shops must cover at least 20% of the board.
The park, the lake or the farm must cover at least 10% of the board.
The park must not be within 5 inches of every home.
The homes must cover at least 10 percent more of the board than the shops.
There must be more shops than park.
There should be at least 2 shops and a school in the north half.
There must be two shops and a library in the north half.
You must have a school, a lake and at least 4 homes in the west half.
The school must not touch the lake and overlap the park.
The school must not be inside the park and touch the lake.
The park must not be under 10% and over 30%.
The park may not be smaller than 10 sq in and bigger than 20 sq in.
The park may not be smaller than the lake and bigger than the school.
The school can't be closer than 3 inches to the lake and farther than 6 inches from the park.
The school is not to be less than 3 in from the lake and more than 5 in from the park.
The lake can't be wider than 4 in and longer than 9 in.
At least one shop must be within 5 inches of every home.
There must be at least two shops within 5 inches of every home.
At least one home must touch every shop.
The homes should be fewer than the shops.
The homes should be more than the shops.
Every zone must be within 4 inches of every other zone except the factory.
The homes and shops must be at least 15% and 10% of the parcel.
The park and the lake must be at least 20% and at most 10% of the parcel.
No zone may touch the lake and the factory.
No home may touch the lake and be under 4 sq in.
The lake must not touch the park and be larger than it.
At most 2 zones may not touch the lake.
"""
READ = """
There are exactly 5 homes, and each is at least 2 sq in.
No home may touch the factory.
The park may not touch the lake and it must touch the school.
There are more homes than shops.
The school must be at least 6 inches long and 4 inches wide.
The school must not touch the lake and must be within 3 inches of the park.
The school must not touch the lake and has to cover at least 12 sq in.
The park may touch the lake but not the factory.
The homes may be next to the park or the lake, but not next to the factory.
The park can be next to the school, but not next to the factory.
The lake can touch the park but must not touch the school.
The lake may touch the park and the school but not the homes.
"""


def lines(table: str) -> list[str]:
    return table.strip().splitlines()


@pytest.mark.parametrize("sentence", lines(REFUSED))
def test_a_part_read_without_the_word_that_reaches_it_is_refused(sentence: str) -> None:
    with pytest.raises(RuleMistake):
        read_rules(sentence, ZONES, "in")


@pytest.mark.parametrize("sentence", lines(READ))
def test_parts_that_stand_for_themselves_are_read(sentence: str) -> None:
    assert read_rules(sentence, ZONES, "in")

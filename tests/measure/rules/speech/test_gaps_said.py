"""Gaps and places in many orders of words; a word that turns them is never lost."""

import pytest

from measure.rules.language.rule_reader import read_rules
from measure.rules.language.zone_names import ZoneNames
from measure.rules.sentences.rule_mistake import RuleMistake

NAMES = ("homes", "shops", "factory", "school", "park", "dump", "lake", "archery range")
ZONES = ZoneNames(dict.fromkeys(NAMES, ()))

READ = """
The homes can be anywhere you like, as long as none of them touches the factory. -> no piece of homes touches factory
Every home must have another home no farther than 2 inches off. -> \
the distance from every piece of homes to another piece of homes is at most 2 in
Lake: northern half only. -> lake is in the north half
Park - school: 25 cm min. -> the distance from park to school is at least 25 cm
Stages - park. -> refused
School ↔ park: max. 3 in -> the distance from school to park is at most 3 in
Distance (school, park) ≥ 12 cm -> the distance from school to park is at least 12 cm
I'd like to see the school closer to the lake than the park is. -> \
the gap from school to lake is less than the gap from park to lake
Is the dump farther from the homes than from the lake? -> dump is nearer to lake than to homes
Does the school touch the park? It must. -> school touches park
Does the school touch the park? It must not. -> refused
Leave a 1 inch strip clear all the way round the outside of the camp. -> \
the distance from every zone to the edge is at least 1 in
The dump stands at a distance of 25 cm or more from the school. -> the distance from dump to school is at least 25 cm
The lake is to be found in the southern part of the garden. -> lake is in the south half
At least a third of the garden has to be left unplanted, with nothing on it. -> \
empty land covers at least 33 1/3% of the parcel
The shortest distance from lake to park shall be greater than 7 cm. -> the distance from lake to park is more than 7 cm
A minimum clearance of 4 cm shall be maintained between the lake and all other areas. -> \
the distance from lake to every other zone is at least 4 cm
The school isn't allowed to come any closer than 3 inches to the lake. -> \
the distance from school to lake is at least 3 in
Nothing can hang off the edge of the mat. -> every zone is inside the parcel
No two zones may touch each other except the school and the park. -> \
every zone except school and park does not touch any other zone
No two zones may touch each other except the school. -> refused
From the school, you should be able to reach the park in 4 inches or less. -> \
the distance from school to park is at most 4 in
From the school, you should not be able to reach the park in 4 inches or less. -> refused
Make the distance between the factory and the nearest home bigger than 8 inches. -> \
the distance from factory to homes is more than 8 in
Please place the school so that its distance from the park is no less than 12 cm. -> \
the distance from school to park is at least 12 cm
Do not place the school so that it touches the park. -> refused
At least 2 of the 5 zones must touch the edge of the base. -> for at least 2 zones: that zone touches the edge
Between the lake and the park there must not be more than 3 cm of space. -> \
the distance from lake to park is at most 3 cm
The school should be as far from the dump as from the factory, or farther. -> \
the gap from school to dump is at least the gap from school to factory
The school should be as far from the dump as from the factory, or closer. -> refused
The dump has to be all by itself: no other zone within 4 inches. -> \
the distance from every zone except dump to dump is more than 4 in
No school needs a gap of 2 in from the park. -> refused
In the north-east corner put the park. -> park is in the north-east corner
The archery range is not in a corner of the map. -> refused
The dump should be far from the school: 20 cm at least. -> the distance from dump to school is at least 20 cm
The dump should be far from the school: 20 cm at most. -> refused
I don't want to see the dump anywhere near the school; at least 9 inches, please. -> \
the distance from dump to school is at least 9 in
The school must be near the park, i.e. no more than 2 inches away. -> the distance from school to park is at most 2 in
School, park: at least 2 inches apart. -> the distance from school to park is at least 2 in
School -> within 4 in of park -> the distance from school to park is at most 4 in
School + park: not touching -> school does not touch park
Keep 5 inches from school to park -> the distance from school to park is at least 5 in
East of the lake you'll find the park. -> park is east of lake
The centre of the parcel must be covered by the park. -> park covers the centre point
The centre of the parcel must not be covered by the park. -> refused
3 inches is the least distance allowed between the school and the park. -> \
the distance from school to park is at least 3 in
The distance from one home to the next should never be below 1 cm. -> \
the distance from every piece of homes to every piece of homes is at least 1 cm
The school must stay clear of every zone by at least 1 1/2 inches. -> \
the distance from school to every other zone is at least 1.5 in
The lake touches the park and the school, which must be at least 5 sq in. -> refused
Can the school touch the park? No, never. -> school does not touch park
Can the school touch the park? Yes. -> refused
Can no home touch the park? No. -> refused
Should every home touch the park? No. -> refused
Is it OK for the school to overlap the park? No. -> school does not overlap park
The lake has to have the park on its east side. -> park is east of lake
Every home must have the school within a 6-inch walk. -> \
the distance from every piece of homes to school is at most 6 in
It should never be more than 6 inches from a home to the school. -> \
the distance from every piece of homes to school is at most 6 in
There shouldn't be anything within 2 inches of the lake. -> the distance from every zone to lake is more than 2 in
There shouldn't be anything but the park within 2 inches of the lake. -> refused
Around the lake, 2 inches must be left free. -> the distance from lake to every other zone is at least 2 in
The nearest thing to the lake must be the park. -> \
for every zone except park and lake: the gap from park to lake is less than the gap from that zone to lake
The park should be the farthest zone from the dump. -> \
for every zone except park and dump: the gap from that zone to dump is less than the gap from park to dump
Most of the park must lie in the north half. -> park is mostly in the north half
Most of the homes must lie in the north half. -> refused
The park may not extend into the north half. -> not: park is partly in the north half
The park must extend into the north half. -> refused
Keep lake and park apart. -> lake does not touch park
The school must be halfway between the park and the lake, to within 1 cm. -> \
the gap from school to park is exactly the gap from school to lake, within 1 cm
Except for the park, keep everything an inch or more from the lake. -> \
the distance from every zone except park to lake is at least 1 in
Measure from the school to the park: it must be 3 inches or less. -> the distance from school to park is at most 3 in
Measure from the school to the park: it must not be 3 inches or less. -> refused
How close can the school be to the lake? Not closer than 4 in. -> the distance from school to lake is at least 4 in
Did you put the school next to the park? You have to. -> school touches park
Did you put the school next to the park? No. -> refused
The park stays out of the east half. -> not: park is partly in the east half
The park does not stay out of the east half. -> refused
The park must cross the lake. -> refused
No home at all may touch the lake. -> no piece of homes touches lake
You may put the school anywhere but the edge of the town. -> not: school touches the edge
The school may be anywhere except next to the lake. -> school does not touch lake
The school may not be anywhere except next to the lake. -> refused
A safe zone of 5 cm has to be kept around the dump. -> the distance from dump to every other zone is at least 5 cm
The school must touch one of the edges. -> school touches the edge
The school must not touch one of the edges. -> refused
If the school is north of the archery range, the park must be south of it. -> refused
No home may be more than 6 in from the school or the park. -> refused
The school mustn't be any closer to the lake than 8 cm. -> the distance from school to lake is at least 8 cm
Every home shall stand at least 2 cm from its neighbours. -> \
the distance from every piece of homes to every piece of homes is at least 2 cm
From the park to the school: 5 cm at the most. -> the distance from park to school is at most 5 cm
Half the homes should touch the park. -> for at least 50% of the pieces of homes: that piece of homes touches park
Fit the school at least 3 in from the range of the archery. -> refused
"""


@pytest.mark.parametrize("line", READ.strip().splitlines())
def test_a_gap_or_place_is_read_or_refused(line: str) -> None:
    sentence, _, meant = line.rpartition(" -> ")
    if meant == "refused":
        with pytest.raises(RuleMistake):
            read_rules(sentence, ZONES, "in")
        return
    assert [part.rule.reads_as() for part in read_rules(sentence, ZONES, "in")] == [meant]


def test_an_own_word_for_the_land_is_none_where_a_zone_bears_it() -> None:
    zones = ZoneNames({"herb garden": (), "lake": ()})
    with pytest.raises(RuleMistake):
        read_rules("At least a third of the garden has to be left empty.", zones, "in")

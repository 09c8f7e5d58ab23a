"""Who is addressed, and whole families of words: giving land, reaching, keeping from, and how near is near enough."""

import pytest

from measure.rules.language.rule_reader import read_rules
from measure.rules.language.zone_names import ZoneNames
from measure.rules.sentences.rule_mistake import RuleMistake

ZONES = ZoneNames(dict.fromkeys(("homes", "park", "school", "lake", "factory", "shops"), ()))

READ = """
Students must reserve at least 30% of the parcel for homes. -> the area of homes is at least 30% of the parcel
Each team needs to put the school on the edge of the board. -> school touches the edge
Every group uses no more than 12% of the board for shops. -> the area of shops is at most 12% of the parcel
Rule 2: No team may place the factory next to the lake. -> factory does not touch lake
Pupils may use 3 shops. -> there are at most 3 pieces of shops
I want you to keep the park 3 in from the lake. -> the distance from park to lake is at least 3 in
Students should not put the park next to the lake. -> park does not touch lake
Students must show that no home surpasses five inches in height. -> every structure in homes is at most 5 in tall
Everyone, keep the lake under 20 sq in! -> the area of lake is less than 20 sq in
Spend at most 10% of the land on shops. -> the area of shops is at most 10% of the parcel
Don't cover more than 20% of the board with homes. -> the area of homes is at most 20% of the parcel
Give each home an area of at least 6 sq in. -> the area of every piece of homes is at least 6 sq in
The area allotted to the park shall constitute not less than one quarter of the parcel. -> \
the area of park is at least 25% of the parcel
Limit the park and the school to 45 square inches in total. -> the area of park and school together is at most 45 sq in
Limit the number of shops to 3. -> there are at most 3 pieces of shops
Keep the school to two thirds the size of the park, or smaller. -> the area of school is at most 2/3 x the area of park
The park must reach 20 sq in. -> the area of park is at least 20 sq in
The park must not reach 20 sq in. -> the area of park is less than 20 sq in
The park may not dip under 20 sq in. -> the area of park is at least 20 sq in
Don't let any home drop below 4 sq in. -> the area of every piece of homes is at least 4 sq in
The lake must not surpass the park. -> the area of lake is at most the area of park
Separate factory and homes by a minimum of 7 inches. -> the distance from factory to homes is at least 7 in
Stop the park and school overlapping. -> park does not overlap school
Prevent the factory from touching the homes. -> factory does not touch homes
Avoid making the park smaller than the lake. -> the area of park is at least the area of lake
The park is confined to the western half. -> park is in the west half
Draw the park as a rectangle. -> for every piece of park: that piece of park is a rectangle
Show us a park with exactly five sides. -> \
for every piece of park: the number of sides of that piece of park is exactly 5
Include one school, one lake, and either a park or a factory. -> there is exactly 1 piece of school; \
there is exactly 1 piece of lake; either there is a park, or there is a factory
The park is 20 sq in (a difference of up to 2 sq in is fine). -> the area of park is exactly 20 sq in, within 2 sq in
The school is 10 cm from the lake, with an allowance of 1 cm either way. -> \
the distance from school to lake is exactly 10 cm, within 1 cm
The park is twice as big as the lake, and I accept 5% error. -> \
the area of park is exactly 2 x the area of lake, within 5%
The park is to be half the size of the lake, plus or minus 5%. -> \
the area of park is exactly 0.5 x the area of lake, within 5%
Since a town this size can't afford two, build only one factory. -> there is exactly 1 piece of factory
The wind blows from the west, so the factory goes in the eastern half, where its smoke is carried away. -> \
factory is in the east half
To let sunlight in, the park must touch the lake. -> park touches lake
Keep the factory 6 in or more from the school, so that noise stays away from napping kids. -> \
the distance from factory to school is at least 6 in
We're limiting shops to two. -> there are at most 2 pieces of shops
You may choose where the park goes, as long as it touches the lake. -> park touches lake
Every home is within 5 in of at least two shops. -> for every piece of homes: \
the number of pieces of shops where \
(the gap from that piece of shops to that piece of homes is at most 5 in) is at least 2
Nobody puts the park next to the lake. -> park does not touch lake
Every home has to reach the lake. -> every piece of homes touches lake
You're not allowed to leave more than 30% of the land empty. -> empty land covers at most 30% of the parcel
The lake is 24 sq in. You may be off by 2 sq in. -> the area of lake is exactly 24 sq in, within 2 sq in
The park's area can't be over a third of the lake's. -> the area of park is at most 1/3 x the area of lake
Students will design a town with three to five homes. -> there are between 3 and 5 pieces of homes
Our rules say that the park touches the lake. -> park touches lake
A home without a school within 6 in is not allowed. -> the distance from every piece of homes to school is at most 6 in
The park must not be overlapped by anything. -> park does not overlap any other zone
Anything except the factory can touch the lake. -> factory does not touch lake
The park may be as big as you like but not bigger than the lake. -> the area of park is at most the area of lake
The lake is 20 sq in, though 1 sq in more or less does not matter. -> \
the area of lake is exactly 20 sq in, within 1 sq in
The park takes up a third of the board, give or take 3%. -> \
the area of park is exactly 33 1/3% of the parcel, within 3 points
""".replace("\\\n", "")
REFUSED = """
Students may put the park next to the lake.
To earn a bonus star, the park must touch the lake.
To touch the lake, the park must be in the north half.
North is left, so the park must be in the north half.
You may skip this, so the park must touch the lake.
The park must touch the lake so that they touch the school.
The park must touch the lake so keep it small.
The park must not touch the lake just because kids like it.
Since it must touch the lake, the park is in the north half.
Because there are 3 teams, the park must touch the lake.
Every home has at least two sides in contact with the park.
The school passes the lake.
The park does not just touch the lake.
The park must not always touch the lake.
The park must not really touch the lake.
The park should not be obviously bigger than the lake.
We joke, so the park must touch the lake.
Skip this one, so the park must touch the lake.
You're allowed to put the park next to the lake.
The lake is 24 sq in. You may not be off by 2 sq in.
The old rules said that the park touches the lake.
Our rule is not that the park touches the lake.
A home without a school within 6 in is allowed.
The park may be as big as you like.
The lake is 20 sq in, though 1 sq in more or less matters.
Some students must put the park next to the lake.
Big teams must put the park next to the lake.
Each team of boys must put the park next to the lake.
Only teams without a lake must put the park next to the school.
Students do not have to put the park next to the lake.
Students must not avoid putting the park next to the lake.
Children must have a park within 5 in.
Nobody wants you to put the park next to the lake.
I don't want you to keep the park 3 in from the lake.
Don't stop the park from touching the lake.
Stop at least 2 homes from touching the factory.
Prevent the homes and shops from touching the factory.
Don't limit the park to 20 sq in.
Limit the park to at least 20 sq in.
The lake is 20 sq in, 5% off is not fine.
The lake is 20 sq in (up to 22 is fine).
The lake is 20 sq in, and a difference of 30 sq in is fine.
The lake is at least 20 sq in, 2 sq in off is fine.
The lake is 20 sq in and the park is 5 sq in, give or take 1 sq in.
The park must not be confined to the western half.
""".strip().splitlines()


@pytest.mark.parametrize("line", READ.strip().splitlines())
def test_words_of_a_family_are_read_alike(line: str):
    sentence, _, meaning = line.partition(" -> ")
    assert "; ".join(part.rule.reads_as() for part in read_rules(sentence, ZONES, "in")) == meaning


@pytest.mark.parametrize("sentence", REFUSED)
def test_what_turns_such_a_sentence_is_never_lost(sentence: str):
    with pytest.raises(RuleMistake):
        read_rules(sentence, ZONES, "in")

"""Talk beside a rule is left out and told; what could carry a condition is never taken for talk."""

import pytest

from measure.rules.language.rule_reader import read_rules
from measure.rules.language.zone_names import ZoneNames
from measure.rules.sentences.rule_mistake import RuleMistake

ZONES = ZoneNames(dict.fromkeys(("homes", "shops", "factory", "school", "park", "dump", "lake"), ()))

BESIDE = [
    ("Arrows fly a long way! The school must be at least 10 inches from the factory.", "at least 10 in"),
    (
        "Nobody wants smoke in their sleeping bag. Keep at least 3 in. between the factory and any home.",
        "at least 3 in",
    ),
    ("No home may be more than 8 in from the lake (campers love to swim before breakfast).", "at most 8 in"),
    ("Who wants to live next to a dump? Not me! No home can be closer than 7 in. to the dump.", "at least 7 in"),
    ("Little kids can't walk far, so the school must be within 5 inches of every home.", "at most 5 in"),
    ("Horses are nervous animals, which is why the park can't be right next to the factory.", "does not touch"),
    ("The king wants to see his whole lake: keep the lake south of the school.", "is south of school"),
    ("Don't put homes within three inches of the factory; nobody likes smoke.", "more than 3 in"),
    ("Each shop has to touch another shop so that shoppers can walk between them.", "touches another piece"),
    ("You can't build anything on top of the lake - it's water, silly!", "nothing overlaps lake"),
    ("Trucks are heavy and they can't turn easily, so the factory must touch the south edge.", "south edge"),
    ("The lake is home to turtles. It is not allowed to touch any other zone.", "lake does not touch"),
    ("The dump stinks, so keep it at least 3 in from the school.", "from dump to school is at least 3 in"),
    ("Because the factory is noisy, it has to be at least 3 in from the school.", "from factory to school"),
    ("The factory is loud. The school must be 3 in or more from it.", "from school to factory is at least 3 in"),
    ("Since storms come from the east, the lake has to be along the eastern edge.", "lake touches the east edge"),
    ("Nobody should have to wait in the rain: put the school next to the park.", "school touches park"),
    ("Sick people can't walk very far. Therefore: school to park, 3 in max.", "at most 3 in"),
    ("Do frogs and owls get along? No! So the school and the park can't touch.", "does not touch"),
    ("Homes like cold, so put them in the north.", "homes are in the north half"),
    ("The school closes early, so put it 3 in or more from the lake.", "from school to lake is at least 3 in"),
    ("Toddlers go to the park. It shouldn't be next to the factory.", "park does not touch factory"),
    ("When rockets land they blow dust around. The lake must touch the park.", "lake touches park"),
    ("The lake must touch the park, because people like to swim and nobody should have to walk far.", "touches park"),
]


@pytest.mark.parametrize(("sentence", "meant"), BESIDE)
def test_talk_is_left_out_and_told(sentence: str, meant: str) -> None:
    (found,) = read_rules(sentence, ZONES, "in")
    assert meant in found.rule.reads_as()
    assert any("left out" in warning for warning in found.warnings)


@pytest.mark.parametrize(
    "beside",
    [
        "Nobody may build here.",
        "Teams may skip this.",
        "Grown-ups can forget about the next sentence.",
        "Kids should not follow this:",
        "It is false:",
        "People say no:",
        "The mayor says no.",
        "Nobody wants the school near the dump.",
        "The mayor wants the lake to touch the park.",
        "Unless kids want to swim,",
        "The lake is crooked.",
        "Nobody has to do this:",
        "Since no home touches the park,",
        "Requirement (optional):",
        "When kids play,",
        "Toddlers must avoid the lake.",
        "Do you have to? No.",
        "Is this needed? No.",
        "The school surrounds the lake.",
        "The dump is dirty unless it is closed.",
        "Most families must live by the lake.",
    ],
)
def test_what_may_carry_a_condition_is_no_talk(beside: str) -> None:
    with pytest.raises(RuleMistake):
        read_rules(f"{beside} The dump must be at least 3 in from the homes.", ZONES, "in")


@pytest.mark.parametrize(
    "beside",
    [
        "Teams can choose.",
        "Nobody has to do it.",
        "The mayor wants it next to the park.",
        "Ducks must be able to walk from it to the park.",
        "Kids can swim there only in summer.",
        "They must be red.",
        "Exceptions are for teachers.",
    ],
)
def test_what_may_go_on_with_the_rule_is_no_talk(beside: str) -> None:
    with pytest.raises(RuleMistake):
        read_rules(f"The dump must be at least 3 in from the homes. {beside}", ZONES, "in")

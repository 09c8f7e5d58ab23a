"""`left` and the like are of the picture: formulas take them for edges and directions as plain rules do for halves."""

from __future__ import annotations

import pytest

from measure.rules.language.rule_reader import read_rule
from measure.rules.language.zone_names import ZoneNames

ZONES = ZoneNames(dict.fromkeys(("school", "park"), ()))


@pytest.mark.parametrize(
    ("sentence", "reads_as"),
    [
        ("the school must touch the left edge of the board", "school touches the left edge"),
        ("the school touches the bottom edge", "school touches the bottom edge"),
        ("the school is to the right of the park", "school is right of park"),
        ("put the school in the upper left corner", "school is in the top-left corner"),
    ],
)
def test_a_side_of_the_picture_stays_one(sentence: str, reads_as: str):
    rule, _ = read_rule(sentence, ZONES, "in")
    assert rule.reads_as() == reads_as
    assert read_rule(reads_as, ZONES, "in")[0] == rule

"""Structures that photos show: in the result, in the zone that they stand in, on the picture, and read again."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest

import tapeplat
from measure.challenge import Challenge
from measure.notices import Notice
from measure.plat.plat import Plat
from measure.plat.seen_solid import SeenSolid
from measure.quantity import Quantity
from measure.result.result import parse_result, result_text
from measure.result.result_plat import plat_of
from tapeplat.measuring.measured_model import MeasuredModel, judged
from tests.helpers.made.drawn_plats import corrected
from tests.helpers.made.plats import exact, plat, rectangle

CHALLENGE = """title = "Quarry Lake Village"
unit = "cm"
rules = ["no structure is taller than 2 cm", "library covers at most 1/5 of the parcel"]
[parcel]
width = 40
depth = 30
[[zone]]
name = "library"
swatch = 1
[[zone]]
name = "stables"
swatch = 2
"""


def solid(x: float, y: float, height: float | None = 40.0) -> SeenSolid:
    """A box of 30 by 20 mm around a place."""

    def known(value: float, u: float) -> Quantity | None:
        return None if height is None else Quantity(value, np.array([u]))

    tall = height or 0.0
    return SeenSolid(
        "box", np.array(rectangle(x - 15, y - 10, 30, 20)), Quantity(600.0, np.array([10.0])), known(tall, 0.5),
        known(600 * tall, 500.0), known(1200 + 100 * tall, 60.0), known(100 * tall, 50.0),
    )  # fmt: skip


@pytest.fixture
def challenge() -> Challenge:
    return tapeplat.read_challenge(CHALLENGE)


def built(*solids: SeenSolid) -> Plat:
    pieces = exact("library", rectangle(50, 50, 80, 60)), exact("stables", rectangle(200, 50, 80, 60))
    return replace(plat(*pieces, frame="tiles"), solids=solids)


def model(challenge: Challenge, *solids: SeenSolid) -> MeasuredModel:
    return judged(challenge, built(*solids), corrected(700))


def test_the_file_has_them_among_the_structures(challenge: Challenge) -> None:
    written = json.loads(result_text(model(challenge, solid(90, 80)).result))["structures"]
    assert written == [
        {
            "from": "photos", "zone": "library", "solid": "box", "centre": [9.0, 8.0],
            "footprint": [[7.5, 7.0], [10.5, 7.0], [10.5, 9.0], [7.5, 9.0]], "floor": {"value": 6.0, "u95": 0.2},
            "height": {"value": 4.0, "u95": 0.1}, "volume": {"value": 24.0, "u95": 1.0},
            "surface": {"value": 52.0, "u95": 1.2}, "side_surface": {"value": 40.0, "u95": 1.0},
        }
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("x", "zone"), [(90.0, "library"), (128.0, "library"), (132.0, None), (165.0, None), (210.0, "stables")]
)
def test_its_zone_is_the_one_that_most_of_it_stands_in(challenge: Challenge, x: float, zone: str | None) -> None:
    assert [s.zone for s in model(challenge, solid(x, 80)).result.seen] == [zone]


def test_they_are_read_again_as_they_were(challenge: Challenge) -> None:
    result = model(challenge, solid(90, 80), solid(240, 80, None)).result
    again = parse_result(result_text(result))
    assert again == result
    assert judged(challenge, plat_of(again)).result.seen == result.seen


def test_what_is_not_known_of_one_is_null(challenge: Challenge) -> None:
    (seen,) = model(challenge, solid(90, 80, None)).result.seen
    assert (seen.height, seen.volume, seen.surface, seen.side_surface) == (None, None, None, None)
    assert seen.floor.value == 6.0


def test_rules_on_structures_do_not_take_them_for_all_that_there_are(challenge: Challenge) -> None:
    made = model(challenge, solid(90, 80))
    assert [rule.verdict for rule in made.rules] == ["not measured", "met"]
    assert made.structures == ()


def test_they_are_drawn_where_they_stand(challenge: Challenge) -> None:
    bare, drawn = model(challenge).annotated, model(challenge, solid(200, 200)).annotated
    differs = np.argwhere((bare != drawn).any(axis=-1))
    picture = corrected(700)
    low, high = picture.to_px(np.array([[180.0, 185.0], [220.0, 215.0]]))
    assert len(differs) > 100
    assert (differs.min(axis=0) > low[::-1] - 60).all()
    assert (differs.max(axis=0) < high[::-1] + 60).all()


def test_how_tall_one_is_stands_in_words(challenge: Challenge) -> None:
    known, unknown = (note.text for note in model(challenge, solid(90, 80), solid(240, 80, None)).notes.solids)
    assert known == "box, 4 cm tall"
    assert unknown == "box, height not measurable"


def test_that_rules_are_judged_by_the_table_is_said() -> None:
    from tapeplat.wording.notice_words import words

    one, two = (words(Notice("structures-shown", facts={"count": count})) for count in (1, 2))
    assert one.startswith("1 structure is measured from the photos; ")
    assert two.startswith("2 structures are measured from the photos; ")
    assert "judged by the structures' table alone" in one

"""Structures that photos show: in the result, in the zone that they stand in, on the picture, and read again."""

from __future__ import annotations

import json
from dataclasses import replace

import cv2
import numpy as np
import pytest

import tapeplat
from calib.camera import CAMERA_PARAMETERS, Camera
from measure.challenge import Challenge
from measure.errors import InputMistakes
from measure.file_content import FileContent
from measure.notices import Notice
from measure.plat.plat import CameraRecord, PhotoRecord, Plat
from measure.plat.seen_solid import HeightMark, SeenSolid
from measure.quantity import Quantity
from measure.result.result import RuleResult, parse_result, result_text
from measure.result.result_plat import plat_of
from measure.structures.structures_table import read_structures
from tapeplat.measuring.marked_heights import Place, with_mark, with_marks_of, without_mark
from tapeplat.measuring.measured_model import MeasuredModel, judged
from tapeplat.wording.notice_words import words
from tests.helpers.made.drawn_plats import corrected
from tests.helpers.made.plats import exact, plat, rectangle
from tests.helpers.scenes.view import looking

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
    low, high = (model(challenge, solid(90, 80, height)) for height in (15.0, 40.0))
    assert [rule.verdict for rule in low.rules] == ["not measured", "met"]
    assert "the photos need not show all" in low.rules[0].note
    assert high.rules[0].verdict == "not met"
    assert high.rules[0].measured_by == ("photos",)
    assert high.structures == ()


def test_they_are_drawn_where_they_stand() -> None:
    challenge = tapeplat.read_challenge(CHALLENGE.replace('"no structure is taller than 2 cm", ', ""))
    bare, drawn = model(challenge).annotated, model(challenge, solid(200, 200)).annotated
    differs = np.argwhere((bare != drawn).any(axis=-1))
    picture = corrected(700)
    low, high = picture.to_px(np.array([[180.0, 185.0], [220.0, 215.0]]))
    assert len(differs) > 100
    assert (differs.min(axis=0) > low[::-1] - 60).all()
    assert (differs.max(axis=0) < high[::-1] + 60).all()


def test_how_tall_one_is_stands_in_words(challenge: Challenge) -> None:
    known, unknown = (note.text for note in model(challenge, solid(90, 80), solid(240, 80, None)).notes.solids)
    assert known == "1: box, 4 cm tall"
    assert unknown == "2: box, height not measurable"


def test_how_many_there_are_is_said_and_that_others_may_be_there(challenge: Challenge) -> None:
    from tapeplat.wording.notice_words import words

    one, two = (words(Notice("structures-shown", facts={"count": count})) for count in (1, 2))
    assert (one, two) == (
        "1 structure is measured from the photos",
        "2 structures are measured from the photos",
    )
    assert any("say that those are all" in warning for warning in model(challenge, solid(90, 80)).warnings)


# ---- with a table, and by themselves

TABLE = "zone,solid,length,width,height,diameter,unit,count,division\n"


def with_table(rules: str, rows: str, *solids: SeenSolid, said: str = "", complete: bool = False) -> MeasuredModel:
    """Of the library, 8 by 6 cm at (5, 5), and the stables, as large at (20, 5)."""
    text = CHALLENGE.replace('rules = ["no structure is taller than 2 cm", ', f"rules = [{rules}, ")
    challenge = tapeplat.read_challenge(text.replace("[parcel]", f"{said}\n[parcel]"))
    table = read_structures(FileContent("built.csv", (TABLE + rows).encode()), challenge) if rows else None
    return judged(challenge, replace(built(*solids), solids_complete=complete), table=table)


BOX = "library,box,3,2,{},,cm,1,0.1\n"


def test_a_hand_value_judges_and_says_so_unless_the_photos_shall() -> None:
    rules, row, seen = '"the tallest structure is at least 3.8 cm tall"', BOX.format("3.95"), solid(90, 80, 37.0)
    by_hand = with_table(rules, row, seen).rules[0]
    assert (by_hand.verdict, by_hand.value, by_hand.measured_by) == ("met", pytest.approx(3.95), ("hand",))
    by_photos = with_table(rules, row, seen, said='[structures]\njudge = "photos"').rules[0]
    assert (by_photos.verdict, by_photos.value, by_photos.measured_by) == ("not met", pytest.approx(3.7), ("photos",))


def test_values_that_disagree_are_a_warning_on_the_rule_and_of_the_model() -> None:
    """En by hand: reading to 1 mm is u95 0.816 mm, the photos' 1 mm; 4 mm apart are 3.1 of them, 1 mm is 0.8."""
    rules = '"library holds at least 10 cubic cm"'
    apart = with_table(rules, BOX.format("4.4"), solid(90, 80, 40.0))
    (said,) = [doubt for doubt in apart.rules[0].doubts if "tall" in doubt]
    assert said == (
        "the box in library (row 2 of the table) is 4.4 cm tall by hand and 4 cm by the photos: they disagree (En 3.1)"
    )
    assert said in apart.warnings
    assert apart.result.seen[0].row == 2
    assert apart.result.seen[0].en_height == pytest.approx(4 / np.hypot(0.8165, 1.0), rel=1e-3)
    near = with_table(rules, BOX.format("4.1"), solid(90, 80, 40.0))
    assert not [doubt for doubt in near.rules[0].doubts if "tall" in doubt]


def test_what_photos_alone_show_counts_beside_the_table_with_a_warning() -> None:
    rules = '"there are exactly 2 structures", "library holds at least 40 cubic cm"'
    made = with_table(rules, BOX.format("4"), solid(80, 80), solid(110, 80))
    assert [(rule.verdict, rule.value) for rule in made.rules[:2]] == [("met", 2), ("met", pytest.approx(48))]
    assert made.rules[1].measured_by == ("hand", "photos")
    assert any("the photos show a box in library that the table does not have" in said for said in made.warnings)


def test_one_that_stands_elsewhere_than_the_table_says_is_counted_once() -> None:
    made = with_table('"there is exactly 1 structure"', BOX.format("4"), solid(240, 80, 40.2))
    assert made.rules[0].verdict == "met"


@pytest.mark.parametrize(
    ("rule", "alone", "all_of_them"),
    [
        ("library holds at least 20 cubic cm", "met", "met"),
        ("library holds at least 30 cubic cm", "not measured", "not met"),
        ("library holds at most 20 cubic cm", "not met", "not met"),
        ("library holds at most 30 cubic cm", "not measured", "met"),
        ("library houses at least 190 people at 8 people per cubic cm", "too close to call", "too close to call"),
        ("library houses at least 150 people at 8 people per cubic cm", "met", "met"),
        ("the surface area of library is at most 60 sq cm", "not measured", "met"),
        ("no structure is taller than 5 cm", "not measured", "met"),
        ("no structure is taller than 3 cm", "not met", "not met"),
        ("the tallest structure is at least 3 cm tall", "met", "met"),
        ("the tallest structure is at least 5 cm tall", "not measured", "not met"),
        ("the tallest structure is at most 3 cm tall", "not met", "not met"),
        ("there is a box", "met", "met"),
        ("there is no cone", "not measured", "met"),
        ("there are at most 2 structures in library", "not measured", "met"),
        ("the height of library is at least 3 cm", "met", "met"),
        ("for every structure in library: the height of that structure is at most 5 cm", "not measured", "met"),
    ],
)
def test_without_a_table_what_else_may_stand_there_matters(rule: str, alone: str, all_of_them: str) -> None:
    """One box of 24 cubic cm, 4 cm tall, in the library."""
    found = [with_table(f'"{rule}"', "", solid(90, 80), complete=word).rules[0] for word in (False, True)]
    if alone == "too close to call":
        alone = "not measured"
    assert [one.verdict for one in found] == [alone, all_of_them]
    assert found[1].measured_by == ("photos",)


def test_the_challenge_may_say_that_photos_show_all() -> None:
    said = "[structures]\nphotos_show_all = true"
    made = with_table('"no structure is taller than 5 cm"', "", solid(90, 80), said=said)
    assert made.rules[0].verdict == "met"
    again = parse_result(result_text(made.result))
    assert plat_of(again).solids_complete


def test_one_without_its_height_leaves_what_hangs_on_it_open() -> None:
    rules = '"no structure is taller than 5 cm", "there are at most 2 structures", "library holds at least 20 cubic cm"'
    made = with_table(rules, "", solid(80, 80), solid(110, 80, None), complete=True)
    assert [rule.verdict for rule in made.rules[:3]] == ["not measured", "met", "met"]
    assert made.zones[0].volume is None


def test_a_doubtful_place_leaves_its_zone_open_alone() -> None:
    challenge = tapeplat.read_challenge(
        CHALLENGE.replace('"no structure is taller than 2 cm"', '"library holds at most 30 cubic cm", '
        '"stables hold at most 30 cubic cm"')
    )  # fmt: skip
    notice = Notice("doubtful-structure", facts={"x": 240.0, "y": 80.0, "width": 20.0})
    made = judged(challenge, replace(built(solid(90, 80)), solids_complete=True, notices=(notice,)))
    assert [rule.verdict for rule in made.rules[:2]] == ["met", "not measured"]
    assert "something stands there" in made.rules[1].note


# ---- where they stand

LAND = """title = "Quarry Lake Village"
unit = "in"
rules = ["{}"]
[parcel]
width = 16
depth = 12
[[zone]]
name = "homes"
swatch = 1
[[zone]]
name = "lake"
swatch = 2
[[zone]]
name = "rock"
swatch = 8
kind = "keep-clear"
"""


def placed(rule: str, *solids: SeenSolid, complete: bool = True) -> RuleResult:
    """Homes 80 by 60 mm at (50, 50), a lake as large at (200, 50), a rock of 60 by 60 at (200, 200)."""
    homes, lake = exact("homes", rectangle(50, 50, 80, 60)), exact("lake", rectangle(200, 50, 80, 60))
    rock = exact("rock", rectangle(200, 200, 60, 60))
    land = plat(homes, lake, rock, frame="tiles", width=406.4, depth=304.8)
    found = judged(tapeplat.read_challenge(LAND.format(rule)), replace(land, solids=solids, solids_complete=complete))
    return found.rules[0]


def test_a_building_in_no_measured_zone_may_stand_in_one_that_is_not_measured() -> None:
    challenge = tapeplat.read_challenge(LAND.format("every building stands inside its zone"))
    land = plat(exact("homes", rectangle(50, 50, 80, 60)), frame="tiles", width=406.4, depth=304.8)
    made = judged(challenge, replace(land, solids=(solid(240, 80),), solids_complete=True))
    assert made.rules[0].verdict == "not measured"
    assert "lake" in made.rules[0].note


@pytest.mark.parametrize(
    ("rule", "where", "verdict", "value"),
    [
        ("every building stands inside its zone", (90, 80), "met", 0.0),
        ("every building stands inside its zone", (118, 80), "not met", 3.0),  # 103 to 133 mm, the tape at 130
        ("every building stands inside its zone", (115, 80), "too close to call", 0.0),  # its edge on the tape's middle
        ("every building stands inside its zone", (170, 80), "not met", 45.0),  # in no zone; the lake from 200 mm on
        ("every building in homes stands inside its zone", (118, 80), "not met", 3.0),
        ("no building is within 1 in of the lake", (150, 80), "met", 35.0),
        ("no building is within 1 in of the lake", (165, 80), "not met", 20.0),
        ("no building is within 1 in of the lake", (240, 80), "not met", 0.0),
        ("every building is within 1 in of the lake", (165, 80), "met", 20.0),
        ("every building is at least 1 in from the edge", (90, 30), "not met", 20.0),
        ("every building is at least 1 in from the edge", (90, 80), "met", 70.0),
        ("no building stands on the rock", (230, 230), "not met", 20.0),
        ("no building stands on the rock", (230, 191), "met", 1.0),  # one millimetre: less than touch_gap
        ("nothing is built on the rock", (230, 230), "not met", 20.0),
        ("nothing is built on the rock", (90, 80), "met", 0.0),
    ],
)
def test_rules_on_where_they_stand(rule: str, where: tuple[float, float], verdict: str, value: float) -> None:
    """A building of 30 by 20 mm around a place."""
    found = placed(rule, solid(*where))
    assert found.verdict == verdict, found
    assert found.value == pytest.approx(value / 25.4, abs=1e-6)


@pytest.mark.parametrize(
    "rule",
    [
        "every building stands inside its zone",
        "no building is within 1 in of the lake",
        "no building stands on the rock",
    ],
)
def test_where_others_may_stand_is_not_guessed(rule: str) -> None:
    assert placed(rule, solid(90, 80), complete=False).verdict == "not measured"
    assert placed(rule).verdict == "not measured"
    assert placed(rule, solid(230, 215), complete=False).verdict == (
        "not met" if "lake" not in rule else "not measured"
    )


def test_a_row_of_the_table_has_a_zone_and_no_place() -> None:
    made = with_table('"every building stands inside its zone"', BOX.format("4"))
    assert made.rules[0].verdict == "not measured"
    assert "where some of the structures of the table stand" in made.rules[0].note
    seen = with_table('"every building stands inside its zone"', BOX.format("4"), solid(90, 80))
    assert seen.rules[0].verdict == "met"


def test_a_footprint_reads_and_is_told_in_words() -> None:
    found = placed("no building is within 1 in of the lake", solid(165, 80))
    assert found.sentence.startswith("One structure")
    assert "from the lake" in found.sentence
    assert found.measured_by == ("photos",)
    across = placed("every building stands inside its zone", solid(118, 80))
    assert across.sentence.startswith("One structure in homes reaches")


# ---- marked in one photo


def in_view(height: float, *solids: SeenSolid, at: tuple[float, float] = (90.0, 80.0)) -> tuple[Plat, Place, Place]:
    """A plat with one photo, taken from 30 degrees aside, and the marks of an edge of a height at a place."""
    view = looking((3264, 2448), np.array(rectangle(0, 0, 400, 300)), tilt=30.0, azimuth=40.0, focal=2450.0)
    vector = np.zeros(len(CAMERA_PARAMETERS))
    vector[:3] = cv2.Rodrigues(view.rotation)[0][:, 0]
    vector[3:6] = view.translation
    vector[6], vector[7:9] = np.log(view.focal), view.centre
    known = CameraRecord(tuple(vector), tuple(map(tuple, np.zeros((len(vector), len(vector))))), view.size)
    foot, top = (Camera(vector, view.size).project(np.array([at]), tall)[0] for tall in (0.0, height))
    photos = (PhotoRecord("a.jpg", "00", 0.2, 30.0, camera=known),)
    return replace(built(*solids), photos=photos), tuple(foot), tuple(top)


def test_a_marked_height_judges_rules_on_height_and_says_so() -> None:
    land, foot, top = in_view(45.0)
    challenge = tapeplat.read_challenge(
        CHALLENGE.replace("no structure is taller", "no structure in library is taller")
    )
    made = judged(challenge, with_mark(land, 0, foot, top))
    assert made.rules[0].verdict == "not met"
    assert made.rules[0].value == pytest.approx(4.5, abs=1e-3)
    assert made.rules[0].measured_by == ("marked photo",)
    assert "on a marked photo" in made.notes.rules[0].detail
    (written,) = json.loads(result_text(made.result))["structures"]
    assert (written["from"], written["zone"], written["floor"], written["solid"]) == (
        "marked photo",
        "library",
        None,
        "other",
    )
    assert plat_of(parse_result(result_text(made.result))).solids[0].origin == "marked photo"


def test_a_mark_gives_a_structure_the_height_that_the_photos_do_not_tell() -> None:
    land, foot, top = in_view(45.0, solid(90, 80, None))
    (known,) = with_mark(land, 0, foot, top).solids
    assert (known.kind, known.origin) == ("box", "marked photo")
    assert known.volume is not None
    assert known.volume.value == pytest.approx(600 * 45, rel=1e-3)
    assert without_mark(replace(land, solids=(known,)), 1).solids[0].height is None
    measured, foot, top = in_view(45.0, solid(90, 80))
    with pytest.raises(InputMistakes, match="by themselves"):
        with_mark(measured, 0, foot, top)


def test_marks_come_back_with_their_photo_or_it_is_said_why_not(challenge: Challenge) -> None:
    land, foot, top = in_view(45.0)
    earlier = parse_result(result_text(judged(challenge, with_mark(land, 0, foot, top, 3.0)).result))
    (again,) = with_marks_of(land, earlier).solids
    assert again.mark == HeightMark("00", foot, top, 3.0)
    assert again.height is not None
    assert again.height.value == pytest.approx(45.0, abs=1e-6)
    other = replace(land, photos=(replace(land.photos[0], sha256="11"),))
    assert with_marks_of(other, earlier) is other
    measured, _, _ = in_view(45.0, solid(90, 80))
    told = with_marks_of(measured, earlier)
    assert [one.mark for one in told.solids] == [None]
    assert words(told.notices[-1]).startswith("a height marked in a.jpg does not count any more: the photos measure")


def test_what_no_marks_tell_is_refused_in_words() -> None:
    land, foot, top = in_view(45.0)
    with pytest.raises(InputMistakes, match="no higher than the foot"):
        with_mark(land, 0, top, foot)
    with pytest.raises(InputMistakes, match="measure the model again"):
        with_mark(replace(land, photos=()), 0, foot, top)
    again = with_mark(with_mark(land, 0, foot, top), 0, foot, top)
    assert len(again.solids) == 1

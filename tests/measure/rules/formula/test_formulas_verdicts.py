"""Verdicts of formulas: what is unknown, what is reported and marked, what stands on the land, and where they go."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import ClassVar

import numpy as np
import pytest

from measure.plat.plat import Piece, Plat, Ring
from measure.quantity import Quantity
from measure.rules.rule_context import Built as Known
from measure.rules.rule_context import Footprints, Heights
from measure.rules.verdict import Origin, Outcome
from tests.helpers.made.challenges import challenge, outcomes
from tests.helpers.made.plats import Model, exact, plat, rectangle, regular

ZONES = ("homes", "shops", "park", "lake")


def judged(sentence: str, on: Plat, structures: object = None) -> Outcome:
    return outcomes(challenge(sentence, zones=ZONES), on, structures)[sentence]  # type: ignore[arg-type]


def model(*more: Piece) -> Plat:
    """Three homes: 400, 900 and 1600 mm2; the park, 4 mm from the second; no shops and no lake."""
    homes = [rectangle(20, 20, 20, 20), rectangle(100, 20, 30, 30), rectangle(300, 20, 40, 40)]
    return plat(*(exact("homes", corners) for corners in homes), exact("park", rectangle(134, 20, 60, 60)), *more)


def hidden(zone: str) -> Piece:
    """A piece whose outline could not be measured."""
    return replace(exact(zone, rectangle(200, 200, 30, 30)), status="not measurable")


# ---- what is reported


def test_the_piece_that_fails_is_named_marked_and_reported():
    found = judged("for every piece of homes: the area of that piece is at least 5 sq cm", model())
    assert (found.verdict, found.value, found.unit, found.limit) == ("not met", 4.0, "sq cm", 5.0)
    assert found.over == ("homes, piece 1",)
    assert [(mark.kind, mark.pieces, mark.label) for mark in found.where] == [("piece", (("homes", 1),), "4 sq cm")]


def test_of_several_that_fail_the_worst_is_reported_and_all_are_marked():
    found = judged("for every piece of homes: the area of that piece is at least 10 sq cm", model())
    assert found.value == 4.0
    assert found.over == ("homes, piece 1", "homes, piece 2")


def test_a_count_reports_how_many_and_marks_those_that_are_missing():
    found = judged(
        "the number of pieces of homes where the area of that piece is at least 8 sq cm is at least 3", model()
    )
    assert (found.verdict, found.value, found.limit) == ("not met", 2.0, 3.0)
    assert found.over == ("homes, piece 1",)


def test_a_count_that_is_too_large_marks_those_that_hold():
    found = judged("for at most 1 piece of homes: the area of that piece is at least 8 sq cm", model())
    assert (found.verdict, found.value) == ("not met", 2.0)
    assert found.over == ("homes, piece 2", "homes, piece 3")


def test_a_gap_is_drawn_between_the_pieces_that_have_it():
    found = judged("not: the gap from homes to park is at most 5 mm", model())
    assert found.verdict == "not met"
    assert [(mark.kind, mark.pieces, mark.label) for mark in found.where] == [
        ("gap", (("homes", 2), ("park", 1)), "4 mm")
    ]


def test_of_a_condition_what_should_follow_is_to_blame():
    then, otherwise = "the area of park is at most 10 sq cm", "the area of park is at most 12 sq cm"
    said = f"if homes touches park, then {then}, otherwise {otherwise}"
    found = judged(said, model())
    assert (found.verdict, found.value, found.limit, found.over) == ("not met", 36.0, 10.0, ("park",))


def test_of_either_or_the_one_that_holds_is_reported():
    said = "either the area of park is at most 10 sq cm, or the area of homes is at least 20 sq cm"
    found = judged(said, model())
    assert (found.verdict, found.value) == ("met", 29.0)


# ---- what is unknown


@pytest.mark.parametrize(
    ("sentence", "verdict"),
    [
        ("for every piece of lake: that piece touches park", "not measured"),
        ("the number of pieces of lake where that piece touches park is at most 0", "met"),
        ("either lake touches park, or the area of homes is at least 20 sq cm", "met"),
        ("either lake touches park, or the area of homes is at least 30 sq cm", "not measured"),
        ("the area of lake is at least 1 sq cm, and the area of homes is at least 30 sq cm", "not met"),
        ("if there is a lake, then lake touches park, otherwise homes are connected", "not met"),
        ("for some zone: that zone is in the east half", "not met"),
        ("for every zone: that zone is in the north half", "not measured"),
        ("the area of homes divided by the number of pieces of lake is at most 4 sq cm", "not measured"),
        ("not: the gap from park to the largest piece of lake is at least 4 cm", "not measured"),
        ("for every zone: the gap from that zone to park is at least 1 cm", "not met"),
        ("for every zone: the gap from that zone to park is at least 1 mm", "not measured"),
        ("the length of homes is at least 1 times the width of homes", "not measured"),
        ("the people in homes is at least 3", "not measured"),
    ],
)
def test_what_is_unknown_matters_only_where_it_could_change_the_verdict(sentence: str, verdict: str):
    found = judged(sentence, model())
    assert found.verdict == verdict
    assert (found.note != "") == (verdict == "not measured"), found.note


@pytest.mark.parametrize(
    ("sentence", "verdict"),
    [
        ("the sum of the area of that piece over every piece of homes is at least 25 sq cm", "met"),
        ("the sum of the area of that piece over every piece of homes is at least 35 sq cm", "not measured"),
        ("the number of pieces of homes where that piece is in the north half is at least 3", "met"),
        ("the number of pieces of homes where that piece is in the north half is at most 2", "not met"),
        ("the number of pieces of homes where that piece is in the north half is exactly 3", "not measured"),
        ("for every piece of homes: that piece is in the north half", "not measured"),
        ("for some piece of homes: that piece is in the north half", "met"),
        ("not: the area of homes is at least 40 sq cm", "not measured"),
    ],
)
def test_a_piece_that_was_not_measured_counts_with_what_it_may_be(sentence: str, verdict: str):
    assert judged(sentence, model(hidden("homes"))).verdict == verdict


def test_without_a_place_on_the_parcel_what_needs_none_is_judged():
    on = replace(model(), frame="card")
    assert judged("for every piece of homes: that piece is in the north third", on).verdict == "not measured"
    assert judged("for every edge of the parcel: not: park touches that edge", on).verdict == "not measured"
    assert judged("park covers the centre point", on).verdict == "not measured"
    assert (
        judged("for every two pieces of homes: the gap from the first to the second is at least 5 cm", on).verdict
        == "met"
    )


# ---- shapes as hand-laid tape shows them


@pytest.mark.parametrize(
    ("corners", "holds", "fails"),
    [
        ([(0, 0), (60, 2), (58, 41), (1, 40)], ["rectangle", "parallelogram", "trapezoid"], ["square", "rhombus"]),
        ([(0, 0), (50, 1), (51, 50), (0, 51)], ["square", "rectangle", "rhombus"], ["triangle", "circle"]),
        ([(0, 0), (60, 10), (58, 50), (1, 40)], ["parallelogram"], ["rectangle"]),
        ([(0, 0), (60, 0), (45, 30), (12, 30)], ["trapezoid"], ["parallelogram", "rectangle"]),
        ([(0, 0), (60, 0), (2, 40)], ["triangle", "right triangle"], ["rectangle"]),
        ([(0, 0), (60, 0), (30, 50)], ["triangle"], ["right triangle"]),
        ([(0, 0), (60, 0), (60, 20), (21, 20), (20, 60), (0, 60)], ["L-shape"], ["rectangle"]),
        ([(0, 0), (60, 0), (60, 20), (80, 60), (20, 60), (0, 40)], [], ["L-shape"]),
        (regular(24, 30, (100, 100)), ["circle", "oval"], ["square", "straight-sided shape"]),
        (regular(6, 30, (100, 100)), ["regular polygon", "straight-sided shape"], ["oval", "right-angled shape"]),
        ([(x * 1.7, y) for x, y in regular(24, 30, (100, 100))], ["oval"], ["circle", "rectangle"]),
        (
            [(0, 0), (90, 0), (90, 40), (60, 40), (60, 20), (30, 20), (30, 40), (0, 40)],
            ["right-angled shape"],
            ["oval"],
        ),
        ([(0, 0), (60, 8), (60, 40), (0, 40)], ["straight-sided shape"], ["right-angled shape", "regular polygon"]),
    ],
)
def test_a_shape_is_judged_within_what_hands_lay(corners, holds: list[str], fails: list[str]):
    on = plat(exact("park", corners))
    said = {
        shape: judged(f"park is {'an' if shape in ('L-shape', 'oval') else 'a'} {shape}", on).verdict
        for shape in holds + fails
    }
    assert said == dict.fromkeys(holds, "met") | dict.fromkeys(fails, "not met")


def test_the_corner_that_is_off_is_said_in_degrees():
    found = judged("park is a rectangle", plat(exact("park", [(0, 0), (60, 8), (60, 40), (0, 40)])))
    assert (found.verdict, found.unit, found.limit) == ("not met", "degrees", (85.0, 95.0))
    assert found.where[0].label == f"{found.value:.0f} degrees"


# ---- land that lies across


@pytest.mark.parametrize(
    ("river", "verdict"),
    [
        ([[(0, 140), (400, 140), (400, 160), (0, 160)]], "met"),
        ([[(0, 140), (200, 140), (200, 160), (0, 160)], [(200, 140), (400, 140), (400, 160), (200, 160)]], "met"),
        ([[(0, 140), (380, 140), (380, 160), (0, 160)]], "not met"),  # open to the east
        ([[(0, 140), (150, 140), (150, 160), (0, 160)], [(190, 140), (400, 140), (400, 160), (190, 160)]], "not met"),
        ([[(0, 0), (15, 0), (400, 290), (400, 300), (385, 300), (0, 12)]], "met"),  # from corner to corner
    ],
)
def test_what_lies_across_leaves_no_way_between_its_pieces_or_along_the_edge(river, verdict: str):
    lands = [exact("lake", corners) for corners in river]
    north, south = exact("park", rectangle(250, 20, 60, 60)), exact("shops", rectangle(60, 220, 60, 60))
    found = judged("lake separates park from shops", plat(north, south, *lands))
    assert found.verdict == verdict
    turned = {"met": "not met", "not met": "met"}[verdict]
    assert judged("not: lake separates park from shops", plat(north, south, *lands)).verdict == turned


def test_land_on_both_sides_is_not_parted():
    lake = exact("lake", rectangle(0, 140, 400, 20))
    on = plat(lake, exact("park", rectangle(20, 20, 60, 60)), exact("shops", rectangle(200, 100, 60, 100)))
    assert judged("lake separates park from shops", on).verdict == "not met"


# ---- what stands on the land


class Built:
    """Structures of a team: heights in mm and volumes in mm3 by zone."""

    heights_of: ClassVar = {"homes": (20.0, 30.0), "shops": (50.0,)}
    volumes: ClassVar = {"homes": 8000.0, "shops": 4000.0}

    def count(self, zone: str | None, solid: str | None) -> Known:
        count = sum(len(several) for name, several in self.heights_of.items() if zone in (None, name))
        return Known(Quantity(float(count)))

    def different_solids(self, zone: str | None) -> Known:
        return Known(Quantity(1.0))

    def heights(self, zone: str | None, solid: str | None) -> Heights:
        found = [h for name, several in self.heights_of.items() if zone in (None, name) for h in several]
        return Heights(tuple(Quantity(height, np.array([0.5])) for height in found))

    def volume(self, zone: str | None) -> Known:
        return Known(Quantity(self.volumes.get(zone or "", 0.0), np.array([100.0])))

    def surface(self, zone: str | None, *, sides_only: bool) -> Known:
        return Known(None, "the surface is not known")

    def footprints(self, zone: str | None) -> Footprints:
        return Footprints(())

    def origins(self, zones: Sequence[str]) -> tuple[Origin, ...]:
        return ()

    def doubts(self, zones: Sequence[str]) -> tuple[str, ...]:
        return ()


@pytest.mark.parametrize(
    ("sentence", "verdict"),
    [
        ("for every structure in homes: the height of that structure is at most 4 cm", "met"),
        ("for every structure on the parcel: the height of that structure is at most 4 cm", "not met"),
        ("the height of shops is at least 1 times the height of homes", "met"),
        ("the volume of homes is at least 3 times the volume of shops, and homes touch park", "not met"),
        ("the volume of homes plus the volume of shops is at least 11 cubic cm", "met"),
        (
            "the people in homes at 2 people per cubic cm is more than the people in shops at 1 people per cubic cm",
            "met",
        ),
        ("the number of structures in homes is exactly 2 times the number of structures in shops", "met"),
        ("the number of structures on the parcel is a multiple of 2", "not met"),
        ("the number of cubes in homes plus the number of cubes in shops is at most 3", "met"),
        ("the number of different solids in homes is at least 1 times the number of different solids in shops", "met"),
        ("the mean of the height of that structure over every structure in homes is between 2 cm and 3 cm", "met"),
    ],
)
def test_structures(sentence: str, verdict: str):
    on = model(exact("shops", rectangle(20, 200, 30, 30)))
    assert judged(sentence, on, Built()).verdict == verdict
    assert judged(sentence, on).verdict == "not measured" or "homes touch park" in sentence


# ---- uncertainty


def test_what_two_areas_share_drops_out_of_what_compares_them():
    """The scale moves both areas alike, so that their ratio is known far better than either."""
    made = Model(3, scale=0.02, noise=0.02)
    on = plat(made.piece("homes", rectangle(20, 20, 100, 100)), made.piece("park", rectangle(200, 20, 100, 104)))
    apart = judged("not: the area of homes is at least 102 sq cm", on)
    together = judged("the area of park is more than 1 times the area of homes, and homes is a square", on)
    assert apart.verdict == "too close to call"
    assert together.verdict == "met"


def test_a_ring_is_connected_where_its_pieces_touch_in_a_chain():
    strip = [exact("homes", rectangle(20 + 40 * at, 20, 28, 20)) for at in range(3)]
    assert judged("homes are connected", plat(*strip)).verdict == "met"
    far = plat(*strip, exact("homes", rectangle(300, 200, 20, 20)))
    found = judged("homes are connected", far)
    assert found.verdict == "not met"
    assert [mark.kind for mark in found.where] == ["gap"]


def test_a_common_border_runs_where_outer_edges_nearly_meet():
    """Two rectangles whose tapes lie 2 mm apart along 40 mm, with their tapes' corners another 12 mm."""
    on = plat(exact("homes", rectangle(20, 20, 40, 40)), exact("park", rectangle(74, 20, 60, 40)))
    found = judged("not: the common border of homes and park is at least 10 cm", on)
    assert found.verdict == "met"
    assert found.value == pytest.approx(5.2 + 2 * 0.1, abs=0.25)


def test_the_border_with_an_edge_is_the_extent_along_it():
    """The outer edge of the tape runs from 44 to 156 mm along the top edge; what leads to it does not count."""
    on = plat(exact("park", rectangle(50, 6, 100, 40)))
    found = judged("the common border of park and the north edge is at least 20 cm", on)
    assert (found.verdict, found.value) == ("not met", pytest.approx(11.2))
    assert judged("the common border of park and the west edge is at most 1 mm", on).verdict == "met"
    assert judged("the common border of park and the edge is at least 11 cm", on).verdict == "met"
    every = "for some edge of the parcel: the common border of park and that edge is at least 11 cm"
    assert judged(every, on).verdict == "met"


def test_a_curved_outline_has_no_sides():
    ring = Ring(np.array(regular(40, 30, (100, 100))), np.zeros((40, 2, 0)), curved=True)
    on = plat(Piece("park", ring, Quantity(12.0)))
    assert judged("park is a circle", on).verdict == "met"
    assert judged("park is a square", on).verdict == "not met"
    assert judged("the longest side of park is at least 1 cm", on).verdict == "not measured"

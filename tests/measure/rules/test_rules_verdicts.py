"""What every kind of rule says of plats whose truth is known: met, not met, too close, not measured, and why."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
import pytest

from measure.challenge import Parcel, Zone
from measure.plat.plat import Piece, Plat, Ring
from measure.quantity import Quantity
from measure.rules.measured_sizes import NO_STRUCTURES
from measure.rules.rule_context import Built, Footprints, Heights
from measure.rules.verdict import Outcome, set_by_hand, verdict_of
from tests.helpers.made.challenges import challenge, outcomes
from tests.helpers.made.plats import exact, plat, rectangle

ZONES = ("library", "stables", "market", "orchard")
ROCK = Zone("rock", 8, kind="keep-clear", place=(200, 150), place_within=5, size=(40, 30), size_within=2)

PLAT = plat(
    exact("library", rectangle(20, 20, 100, 60)),
    exact("stables", rectangle(140, 20, 50, 60)),
    exact("market", rectangle(30, 200, 40, 50)),
    exact("market", rectangle(30, 100, 40, 50)),
    exact("orchard", rectangle(250, 200, 120, 80)),
)


def judged(sentence: str, on: Plat = PLAT, **more) -> Outcome:
    return outcomes(challenge(sentence, zones=ZONES, **more), on)[sentence]


# value and limit in the rule's own unit; the parcel is 400 x 300 mm = 120 000 mm2
@pytest.mark.parametrize(
    ("sentence", "verdict", "value", "unit", "limit"),
    [
        ("there is a library", "met", 1, "", 1),
        ("there is no library", "not met", 1, "", 0),
        ("there are exactly 2 markets", "met", 2, "", 2),
        ("there are at least 3 pieces of market", "not met", 2, "", 3),
        ("market has between 2 and 4 pieces", "met", 2, "", (2, 4)),
        ("every zone is present", "met", 1, "", 1),
        ("library covers at most 1/20 of the parcel", "met", 0.05, "", 0.05),
        ("library covers less than 1/20 of the parcel", "not met", 0.05, "", 0.05),
        ("library covers between 4% and 6% of the parcel", "met", 0.05, "", (0.04, 0.06)),
        ("library covers exactly 1/19 of the parcel, within 2%", "not met", 0.05, "", (0.98 / 19, 1.02 / 19)),
        ("library covers exactly 1/19 of the parcel, within 2 points", "met", 0.05, "", (1 / 19 - 0.02, 1 / 19 + 0.02)),
        ("library and stables together cover at least 7.5% of the parcel", "met", 0.075, "", 0.075),
        ("market covers at least 40 sq cm", "met", 40, "sq cm", 40),
        ("the perimeter of market is at most 14 in", "not met", 360 / 25.4, "in", 14),
        ("library covers at least twice as much as stables", "met", 2, "", 2),
        ("library covers at least 101% more than stables", "not met", 2, "", 2.01),
        ("stables cover half as much as library, within 1%", "met", 0.5, "", (0.495, 0.505)),
        ("stables cover less than library", "met", 0.5, "", 1),
        ("library covers at least 30 sq cm more than stables", "met", 30, "sq cm", 30),
        ("orchard is the largest zone", "met", 1.6, "", 1),
        ("library is at least 2 cm from stables", "met", 2, "cm", 2),
        ("library is more than 2 cm from stables", "not met", 2, "cm", 2),
        ("library is within 1 in of market", "met", 20 / 25.4, "in", 1),
        ("market is at least 50 mm from the edge", "not met", 30, "mm", 50),
        ("every zone is at least 2 cm from the edge", "met", 2, "cm", 2),
        ("every zone is at least 15 mm from every other zone", "met", 20, "mm", 15),
        ("orchard is within 125 mm of the centre of the parcel", "not met", float(np.hypot(110, 90)), "mm", 125),
        ("library touches stables", "not met", 8, "mm", 3),
        ("library does not touch stables", "met", 8, "mm", 3),
        ("no zones touch", "met", 8, "mm", 3),
        ("no zones overlap", "met", 0, "mm", 3),
        ("every zone is inside the parcel", "met", 0, "mm", 0),
    ],
)
def test_verdict_value_and_limit(sentence, verdict, value, unit, limit):
    found = judged(sentence)
    assert (found.verdict, found.unit) == (verdict, unit)
    assert found.value == pytest.approx(value)
    assert found.limit == pytest.approx(limit)
    assert found.u95 == pytest.approx(0, abs=1e-9)
    assert found.chance in (0.0, 1.0)


CALLS = {
    1.0: "met",
    0.95: "met",
    0.9499: "too close to call",
    0.0501: "too close to call",
    0.05: "not met",
    0.0: "not met",
}


@pytest.mark.parametrize(("chance", "verdict"), CALLS.items())
def test_where_one_verdict_ends(chance, verdict):
    assert verdict_of(chance) == verdict


# Handbook shapes (Machinery's Handbook, 31st edition, pages 76 and 77, printed values): a right triangle of 6 and 8 has
# area 24; a trapezoid of sides 23 and 32, height 12, has 330; four-sided a 10, b 2, c 3, h 8, H 12 has 126.
def test_ratios_and_gaps_of_handbook_polygons():
    triangle = [(0, 0), (60, 0), (60, 80)]
    trapezoid = [(100, 0), (420, 0), (375, 120), (145, 120)]
    odd = [(0, 300), (20, 380), (120, 420), (150, 300)]
    on = plat(
        exact("library", [(x + 10, y + 10) for x, y in triangle]),
        exact("stables", trapezoid),
        exact("market", odd),
        width=500,
        depth=500,
    )
    size = {"zones": ZONES, "parcel": Parcel(500, 500)}
    tasks = [
        "library covers exactly 24 sq cm, within 0.001%",
        "stables cover exactly 330 sq cm, within 0.001%",
        "market covers exactly 126 sq cm, within 0.001%",
        "stables cover exactly 13.75 times library, within 0.001%",
        "market covers exactly 5.25 times library, within 0.001%",
        "the perimeter of library is exactly 24 cm, within 0.001%",
        "market is exactly 180 mm from stables, within 0.001%",
    ]
    found = outcomes(challenge(*tasks, **size), on)
    assert [found[task].verdict for task in tasks] == ["met"] * len(tasks)


def test_a_gap_between_slanted_sides_is_the_perpendicular_one():
    """From (0, 0) the line 3x + 4y = 250 is 50 away (the distance formula of any analytic geometry)."""
    on = plat(
        exact("library", [(-40, 0), (-40, -40), (0, -40), (0, 0)]), exact("stables", [(90, -5), (30, 40), (120, 90)])
    )
    assert judged("library is at least 50 mm from stables", on).value == pytest.approx(50)


# ---- what was not measured


def test_a_zone_without_any_piece():
    on = replace(PLAT, pieces=PLAT.pieces[:4])
    assert judged("there is an orchard", on).verdict == "not met"
    assert judged("there are at least 2 pieces of orchard", on).verdict == "not met"
    for sentence in (
        "orchard covers at least 1 sq cm",
        "library covers less than orchard",
        "library and orchard together cover at most half of the parcel",
        "orchard is at least 1 mm from library",
        "orchard does not touch library",
        "every zone is inside the parcel",
        "no zones overlap",
    ):
        found = judged(sentence, on)
        assert (found.verdict, found.value, found.chance) == ("not measured", None, None)
        assert found.note == "no outline of orchard was found"
        assert found.over == ("orchard",)


def test_a_rule_about_all_that_is_broken_already_is_not_met_whatever_is_missing():
    on = replace(PLAT, pieces=PLAT.pieces[:4])
    found = judged("every zone is at least 25 mm from the edge", on)
    assert (found.verdict, found.value) == ("not met", pytest.approx(20))
    assert found.over == ("library", "stables")
    assert found.note == "no outline of orchard was found"


def unmeasurable(piece: Piece) -> Piece:
    return replace(piece, status="not measurable")


def test_a_piece_that_is_not_measurable():
    on = replace(PLAT, pieces=(*PLAT.pieces[:3], unmeasurable(PLAT.pieces[3]), PLAT.pieces[4]))
    assert judged("market covers at least 1 sq cm", on).note == "a piece of market could not be measured"
    assert judged("market is at least 1 mm from library", on).verdict == "not measured"
    assert judged("there is a market", on).verdict == "met"
    assert judged("there are exactly 2 pieces of market", on).verdict == "not measured"
    assert judged("there are at most 2 pieces of market", on).verdict == "met"
    assert judged("library covers at least 1 sq cm", on).verdict == "met"


def test_what_may_be_there_unseen_decides_nothing():
    """A piece without outline says that the zone may be there or not; what is seen of it counts."""
    nothing = Piece("orchard", Ring(np.zeros((0, 2)), PLAT.pieces[0].ring.sensitivity[:0]), Quantity(0.0))
    nothing = unmeasurable(nothing)
    none = replace(PLAT, pieces=(*PLAT.pieces[:4], nothing))
    for sentence in ("there is an orchard", "there is no orchard", "there are at most 2 pieces of orchard"):
        assert judged(sentence, none).verdict == "not measured"
    three = replace(PLAT, pieces=(*PLAT.pieces[:4], *[PLAT.pieces[4]] * 3, nothing))
    found = judged("there are at least 2 pieces of orchard", three)
    assert (found.verdict, found.value) == ("met", 3)
    assert judged("there are at most 2 pieces of orchard", three).verdict == "not met"
    assert judged("there are exactly 3 pieces of orchard", three).verdict == "not measured"
    assert judged("there are at least 4 pieces of orchard", three).verdict == "not measured"


@pytest.mark.parametrize(
    ("sentence", "verdict"),
    [
        ("library is at least 1 mm from the edge", "not measured"),
        ("every zone is inside the parcel", "not measured"),
        ("library is within 10 mm of the centre of the parcel", "not measured"),
        ("library covers at most 1/20 of the parcel", "met"),
        ("library is at least 1 mm from stables", "met"),
        ("no zones overlap", "met"),
    ],
)
def test_without_a_frame_only_rules_about_places_on_the_parcel_are_not_measured(sentence, verdict):
    found = judged(sentence, replace(PLAT, frame="card"))
    assert found.verdict == verdict
    assert ("corner tiles" in found.note) == (verdict == "not measured")


def test_reasons_that_are_the_same_are_said_once_with_all_their_zones():
    on = replace(PLAT, pieces=PLAT.pieces[:2])
    assert judged("no zones overlap", on).note == "no outline of market and orchard was found"


def test_by_eye_waits_for_the_teacher():
    found = judged("by eye: every street can be walked from end to end")
    assert (found.verdict, found.kind, found.value, found.chance) == ("by eye", "by eye", None, None)


# ---- which line of the tape


def test_area_is_along_tape_edge_and_overlap_along_the_middle():
    on = plat(exact("library", rectangle(20, 20, 100, 60)), exact("stables", rectangle(126, 20, 50, 60)))
    inner = {"tape_edge": "inner"}
    assert judged("library covers at most 100 sq cm", on, **inner).value == pytest.approx(0.88 * 48)
    assert judged("library is at least 1 mm from stables", on, **inner).value == pytest.approx(18)
    assert judged("library is at least 1 mm from stables", on, tape_edge="outer").value == pytest.approx(0)
    assert judged("library does not overlap stables", on, tape_edge="outer").verdict == "met"
    assert judged("library touches stables", on, **inner).verdict == "met"


@pytest.mark.parametrize(("deep", "verdict"), [(2.9, "met"), (3.1, "not met")])
def test_penetration_up_to_touch_gap_is_no_overlap(deep, verdict):
    on = plat(exact("library", rectangle(20, 20, 100, 60)), exact("stables", rectangle(120 - deep, 20, 50, 60)))
    found = judged("library does not overlap stables", on)
    assert (found.verdict, found.value, found.limit) == (verdict, pytest.approx(deep), 3)
    assert [mark.kind for mark in found.where] == ["overlap"]
    assert found.over == ("library", "stables")


def test_the_marks_say_where():
    found = judged("library is at least 3 cm from stables")
    (mark,) = found.where
    assert (mark.kind, mark.pieces) == ("gap", (("library", 1), ("stables", 1)))
    assert abs(mark.ends[0][0] - mark.ends[1][0]) == pytest.approx(20)
    assert mark.label == "2 cm"
    (mark,) = judged("orchard covers at most 1 sq cm").where
    assert (mark.kind, mark.pieces) == ("zone", (("orchard", 0),))


# ---- keep-clear zones


def rock(x: float, y: float, width: float = 40, height: float = 30) -> Piece:
    return exact("rock", rectangle(x - width / 2, y - height / 2, width, height))


def implied(on: Plat) -> list[Outcome]:
    found = outcomes(challenge(zones=ZONES, keep_clear=[ROCK]), on).values()
    return [outcome for outcome in found if outcome.kind == "keep-clear"]


@pytest.mark.parametrize(
    ("piece", "verdicts"),
    [
        (rock(203, 154), ["met", "met", "met"]),
        (rock(203, 155), ["met", "not met", "met"]),
        (rock(200, 150, 41, 32.5), ["met", "met", "not met"]),
        (rock(200, 150, 38, 28), ["met", "met", "met"]),
        (rock(200, 150, 37.9, 30), ["met", "met", "not met"]),
        (rock(240, 205), ["not met", "not met", "met"]),
    ],
)
def test_keep_clear_zones_are_clear_in_place_and_as_large_as_stated(piece, verdicts):
    found = implied(replace(PLAT, pieces=(*PLAT.pieces, piece)))
    assert [outcome.reads_as for outcome in found] == [
        "nothing overlaps rock",
        "the centre of rock is where the challenge puts it, within 5 mm",
        "rock is as large as the challenge says, within 2 mm",
    ]
    assert [outcome.verdict for outcome in found] == verdicts


def test_a_keep_clear_zone_that_is_not_there_is_not_measured():
    assert [outcome.verdict for outcome in implied(PLAT)] == ["not measured"] * 3


def test_what_a_sentence_says_of_a_keep_clear_zone_is_not_said_twice():
    task = challenge("nothing overlaps rock", zones=ZONES, keep_clear=[replace(ROCK, place=None, size=None)])
    assert list(outcomes(task, PLAT)) == ["nothing overlaps rock"]


def test_every_zone_leaves_keep_clear_zones_out_and_overlaps_count_them():
    on = replace(PLAT, pieces=(*PLAT.pieces, rock(20, 150)))
    task = challenge("every zone is at least 2 cm from the edge", "no zones overlap", zones=ZONES, keep_clear=[ROCK])
    found = outcomes(task, on)
    assert found["every zone is at least 2 cm from the edge"].verdict == "met"
    assert found["no zones overlap"].verdict == "not met"
    assert set(found["no zones overlap"].over) == {"market", "rock"}


# ---- structures, from whatever table gives them


@dataclass(frozen=True)
class Table:
    """Boxes by zone: (solid, height mm, volume mm3)."""

    rows: dict[str, list[tuple[str, float, float]]] = field(default_factory=dict)

    def _of(self, zone):
        return [row for name, rows in self.rows.items() for row in rows if zone in (None, name)]

    def count(self, zone, solid):
        return Built(Quantity(float(sum(solid in (None, row[0]) for row in self._of(zone)))))

    def different_solids(self, zone):
        return Built(Quantity(float(len({row[0] for row in self._of(zone)}))))

    def heights(self, zone, solid):
        return Heights(tuple(Quantity(row[1], np.array([1.0])) for row in self._of(zone) if solid in (None, row[0])))

    def volume(self, zone):
        return Built(Quantity(sum(row[2] for row in self._of(zone)), np.array([1000.0])))

    def surface(self, zone, *, sides_only):
        return Built(Quantity(5000.0 if sides_only else 9000.0))

    def footprints(self, zone):
        return Footprints(())

    def origins(self, zones):
        return ()

    def doubts(self, zones):
        return ()


TABLE = Table({"library": [("cylinder", 100, 60_000), ("cone", 40, 20_000)], "stables": [("cylinder", 178, 150_000)]})


@pytest.mark.parametrize(
    ("sentence", "verdict", "value", "unit"),
    [
        ("there are at least 2 cylinders", "met", 2, ""),
        ("there are at least 2 cylinders in library", "not met", 1, ""),
        ("there are exactly 3 structures", "met", 3, ""),
        ("there is no box", "met", 0, ""),
        ("library uses at least 2 different solids", "met", 2, ""),
        ("there are at least 3 different solids", "not met", 2, ""),
        ("no structure is taller than 7 in", "too close to call", 178 / 25.4, "in"),
        ("no structure in library is taller than 7 in", "met", 100 / 25.4, "in"),
        ("every structure is at least 4 cm tall", "too close to call", 4, "cm"),
        ("the tallest structure in library is at least 9 cm tall", "met", 10, "cm"),
        ("library holds at least 75 cubic cm", "met", 80, "cubic cm"),
        ("library and stables together hold at most 228 cubic cm", "too close to call", 230, "cubic cm"),
        ("the volume of all structures is at least 200 cubic cm", "met", 230, "cubic cm"),
        ("the surface area of library is at most 80 sq cm", "not met", 90, "sq cm"),
        ("the side surface area of library is at most 80 sq cm", "met", 50, "sq cm"),
        ("library houses at least 600 people at 8 people per cubic cm", "met", 640, "people"),
    ],
)
def test_rules_about_structures(sentence, verdict, value, unit):
    task = challenge(sentence, zones=ZONES)
    found = outcomes(task, PLAT, TABLE)[sentence]
    assert (found.verdict, found.unit) == (verdict, unit)
    assert found.value == pytest.approx(value)
    without = outcomes(task, PLAT)[sentence]
    assert (without.verdict, without.note) == ("not measured", NO_STRUCTURES)


# ---- the teacher's word


def test_a_verdict_by_hand_stands_beside_the_measured_one():
    found = tuple(outcomes(challenge("no zones overlap", "by eye: tidy", zones=ZONES), PLAT).values())
    changed = set_by_hand(found, "by eye: tidy", "met", " seen on Friday ")
    assert changed[1].by_hand == ("met", "seen on Friday")
    assert changed[1].verdict == "by eye"
    assert changed[0] == found[0]
    changed = set_by_hand(changed, "no zones overlap", "not met", "the tape came off")
    assert (changed[0].verdict, changed[0].by_hand) == ("met", ("not met", "the tape came off"))


@pytest.mark.parametrize(
    ("text", "verdict", "reason", "message"),
    [
        ("no such rule", "met", "why", 'there is no rule "no such rule"'),
        ("by eye: tidy", "met", "  ", "needs a reason"),
        ("by eye: tidy", "not measured", "why", 'is "met" or "not met"'),
    ],
)
def test_a_verdict_by_hand_needs_a_rule_a_verdict_and_a_reason(text, verdict, reason, message):
    found = tuple(outcomes(challenge("by eye: tidy", zones=ZONES), PLAT).values())
    with pytest.raises(ValueError, match=message):
        set_by_hand(found, text, verdict, reason)

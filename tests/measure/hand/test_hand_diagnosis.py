"""The mistakes one by one, on a model small enough to work them out on paper."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from measure.errors import InputMistakes
from measure.hand.hand_comparison import compare
from measure.hand.mistakes.digits import meanings
from measure.hand.mistakes.hints import HINTS, MEANINGS, NO_MISTAKE_FOUND, hints_for, meaning
from measure.hand.mistakes.mistake_codes import CODES
from measure.hand.values.hand_table import COLUMNS, read_hand
from measure.hand.values.hand_uncertainty import RULER_SCALE
from measure.hand.values.true_values import ModelTruth, Target
from measure.plat.plat import Source
from measure.result.built_results import StructureResult
from measure.result.result import DistanceResult, ParcelResult, PieceMoves, PieceResult, Result, Uncertainty, ZoneResult
from measure.result.result_values import Value

TAPE = 0.4
"""cm."""


def piece(points, *, curved=False, area=None, perimeter=None) -> PieceResult:
    ring = np.array(points, float)
    after = np.roll(ring, -1, axis=0)
    found = abs((ring[:, 0] * after[:, 1] - ring[:, 1] * after[:, 0]).sum()) / 2
    around = np.hypot(*(after - ring).T).sum()
    return PieceResult(
        tuple((float(x), float(y)) for x, y in ring),
        "measured",
        area=Value(area or float(found), 0.05),
        perimeter=Value(perimeter or float(around), 0.02),
        tape_width=Value(TAPE, 0.01),
        curved=curved,
    )


def box(x, y, w, h):
    return [(x, y), (x + w, y), (x + w, y + h), (x, y + h)]


def zone(name, *pieces) -> ZoneResult:
    total = Value(sum(p.area.value for p in pieces), 0.05)
    return ZoneResult(name, "zone", total, pieces)


TURN = np.linspace(0, 2 * np.pi, 90, endpoint=False)
POND = np.column_stack([30 + 3.3 * np.cos(TURN), 20 + 3.3 * np.sin(TURN)])
TRIANGLE = [(14, 15), (21, 15), (16, 22)]


def result(team="", scale=1.0, unit="cm") -> Result:
    """library 13.7 x 6.3; stables 5 x 4.1 and 9.4 x 3.3; a triangle, market; a round pond; a cylinder in market."""
    return Result(
        "tapeplat/result-1",
        "Quarry Lake Village",
        unit,
        "middle",
        ParcelResult(45, 35, 45 * 35),
        (
            zone("library", piece(box(1, 1, 13.7 * scale, 6.3))),
            zone("stables", piece(box(20, 1, 5, 4.1)), piece(box(30, 8, 9.4, 3.3))),
            zone("market", piece(TRIANGLE)),
            zone("pond", piece(POND, curved=True)),
        ),
        team=team,
        distances=(DistanceResult(("library", "stables"), 5.3, 0.03),),
        structures=(StructureResult(2, "market", "cylinder", 1, Value(5.7, 0.05), None, Value(31.9, 0.3)),),
    )


@pytest.fixture
def check(tmp_path):
    def made(cells, *results, unit="cm"):
        usual = {"team": "", "zone": "library", "unit": unit, "method": "formula", "division": "0.1"}
        usual |= {"method": "ruler"} if cells["quantity"] in ("side", "perimeter", "gap", "height") else {}
        path = tmp_path / "hand.csv"
        path.write_text(
            f"{','.join(COLUMNS)}\n{','.join(str((usual | cells).get(c, '')) for c in COLUMNS)}\n", encoding="utf-8"
        )
        results = results or (result(unit=unit),)
        zones = [z.name for z in results[0].zones]
        return compare(read_hand(path, zones, unit), results).rows[0]

    return made


WHOLE = {"quantity": "area"}
CASES = [
    ("unit-swap", {"quantity": "side", "other": "1", "value": "5.4"}),  # 13.7 / 2.54
    ("unit-swap", WHOLE | {"value": "13.4"}),  # 86.31 / 6.4516
    ("perimeter-for-area", WHOLE | {"value": "40"}),
    ("area-for-perimeter", {"quantity": "perimeter", "value": "86.3"}),
    ("halved", WHOLE | {"value": "43.2"}),
    ("doubled", WHOLE | {"value": "172.6"}),
    ("sides-added", WHOLE | {"value": "20"}),
    ("side-missed", {"quantity": "perimeter", "value": "33.7"}),
    ("extra-side", {"quantity": "perimeter", "value": "53.7"}),
    ("bounding-box", WHOLE | {"zone": "market", "value": "49"}),
    ("diameter-for-radius", WHOLE | {"zone": "pond", "value": "136.8"}),
    ("diameter-for-radius", {"quantity": "perimeter", "zone": "pond", "value": "41.5"}),
    ("diameter-for-radius", {"quantity": "volume", "zone": "market", "value": "127.6"}),
    ("inner-edge", {"quantity": "perimeter", "value": "38.4", "division": "0.1"}),  # four corners, 2 x 0.4 less each
    ("outer-edge", WHOLE | {"value": "94.5"}),  # 14.1 x 6.7
    ("ruler-offset", {"quantity": "gap", "other": "stables", "value": "6.3"}),
    ("ruler-offset", {"quantity": "height", "zone": "market", "value": "6.7"}),
    ("other-zone", WHOLE | {"value": "24.5", "zone": "pond"}),  # market's
    ("other-piece", WHOLE | {"zone": "stables", "piece": "1", "value": "31.0"}),
    ("digits-swapped", {"quantity": "side", "other": "1", "value": "17.3"}),
    ("digits-swapped", {"quantity": "perimeter", "value": "04.0"}),
    ("decimal-slip", WHOLE | {"value": "863"}),
]


@pytest.mark.parametrize(("code", "cells"), CASES)
def test_a_mistake_is_named(check, code, cells):
    found = check(cells)
    assert found.agrees is False
    assert any(code in place for place in found.candidates[:2]), found.candidates


@pytest.mark.parametrize("value", ["12", "12.5", "14"])
def test_length_and_width_of_a_slanted_shape_added(check, value):
    """A parallelogram of 8 by 4 whose sides are 8 and 4.5: side and height, two sides, the box around it."""
    slanted = [(2, 2), (10, 2), (12, 6), (4, 6)]
    model = replace(result(), zones=(zone("library", piece(slanted)),), distances=(), structures=())
    found = check(WHOLE | {"value": value}, model)
    assert "sides-added" in found.candidates[0]


def test_only_the_whole_squares(check):
    """Squares of 1 cm on 13.7 x 6.3, along its long side from a corner: 13 x 5 whole ones if the rows start amiss."""
    found = check(WHOLE | {"value": "65", "method": "squares", "division": "1"})
    assert found.candidates[0] == ("whole-squares",)


@pytest.mark.parametrize(
    ("written", "division", "meant"),
    [("5.38", 0.125, 5.375), ("5.14", 0.25, 5.25), ("5.516", 0.0625, 5.3125), ("5.3", 0.125, 5.375), (".12", 0.1, 0.5)],
)
def test_what_a_fraction_written_as_a_decimal_meant(written, division, meant):
    found = [m.number for m in meanings(written, division) if m.code == "fraction-as-decimal"]
    assert meant in [pytest.approx(number) for number in found]


@pytest.mark.parametrize("value", ["1", "2", "3"])
def test_squares_that_are_too_large_agree_with_nothing(check, value):
    """5 x 4.1 cm are 20.5; in squares of 4 cm each way that is one and a bit."""
    found = check(WHOLE | {"zone": "stables", "piece": "1", "value": str(16 * int(value)), "method": "squares",
                           "division": "4"})  # fmt: skip
    assert found.agrees is not True
    assert found.too_coarse == (abs(found.en) <= 1)
    assert bool(found.note) == found.too_coarse


def test_squares_that_are_small_enough_agree(check):
    found = check(WHOLE | {"zone": "stables", "piece": "1", "value": "20", "method": "squares", "division": "1"})
    assert (found.agrees, found.too_coarse, found.note) == (True, False, "")


def test_a_fraction_written_as_a_decimal(check):
    """13.7 in reads 13 3/4 on a ruler of quarters."""
    found = check({"quantity": "side", "other": "1", "value": "13.34", "division": "1/4"}, unit="in")
    assert "fraction-as-decimal" in found.candidates[0]  # tied: the inner edge is 0.4 in shorter


def test_another_teams_number(check):
    found = check(WHOLE | {"team": "1", "value": "97.2"}, result("1"), result("2", 1.126))
    assert found.candidates[0] == ("other-team",)


def test_codes_that_give_one_number_are_tied(check):
    """In centimetres, the number of millimetres is the decimal point slipped."""
    found = check({"quantity": "side", "other": "1", "value": "137"})
    assert set(found.candidates[0]) == {"unit-swap", "decimal-slip"}


@pytest.mark.parametrize("value", ["61.3", "299", "3.1", "119"])
def test_nothing_is_invented_where_nothing_explains_the_number(check, value):
    found = check(WHOLE | {"value": value})
    assert found.agrees is False
    assert found.candidates == ()


def test_a_value_just_outside_its_uncertainty_is_careless_not_mistaken(check):
    near = check(WHOLE | {"value": "90"})
    assert near.candidates == ()
    assert 1.0 < abs(near.en) < 2.0


def test_a_neighbouring_side_is_not_taken_for_another_zones(check):
    """Side 2 of library is 6.3; nothing in the list names that."""
    found = check({"quantity": "side", "other": "1", "value": "6.3"})
    assert "other-zone" not in [code for place in found.candidates[:1] for code in place]


@pytest.mark.parametrize(
    ("cells", "why"),
    [
        ({"quantity": "side", "other": "7", "value": "5"}, "has 4 sides in the photo, no side 7"),
        ({"quantity": "side", "other": "1", "zone": "pond", "value": "5"}, "curved"),
        ({"quantity": "side", "other": "1", "zone": "stables", "value": "5"}, "write in `piece` which one"),
        ({"quantity": "area", "piece": "3", "value": "5"}, "no piece 3"),
        ({"quantity": "volume", "value": "5"}, "--structures"),
    ],
)
def test_what_cannot_be_compared_says_why(check, cells, why):
    found = check(cells)
    assert (found.agrees, found.en, found.likely) == (None, None, ())
    assert why in found.note


def test_one_ruler_for_the_hand_and_for_the_printed_line():
    """The print's scale moves every corner by 0.15 %; of that the ruler's own 0.096 % is in the hand value, too."""
    known = result()
    corners = np.array(known.zones[0].pieces[0].outline) * 0.0015
    moves = PieceMoves("library", 1, (((0, 0, tuple(corners.ravel().tolist())),),))
    source = Source("reading the check lines", "print")
    known = replace(known, zones=known.zones[:1], uncertainty=Uncertainty((source,), (moves,)))
    target, area = Target("area", "library"), 137.0 * 63.0
    shared = [ModelTruth(known, same_ruler=same) for same in (False, True)]
    found = [truth.shared(truth.estimate(target), "area") for truth in shared]
    assert found == [0.0, pytest.approx((2 * RULER_SCALE * area) ** 2)]
    assert shared[1].estimate(target).print_u == pytest.approx(2 * 0.0015 * area)


def test_rows_of_other_teams_than_the_results_are_refused(check):
    with pytest.raises(InputMistakes, match="no rows of team 1"):
        check(WHOLE | {"team": "9", "value": "5"}, result("1"))
    with pytest.raises(InputMistakes, match="the team is missing"):
        check(WHOLE | {"value": "5"}, result("1"), result("2"))
    with pytest.raises(InputMistakes, match="two are of one team"):
        check(WHOLE | {"team": "1", "value": "5"}, result("1"), result("1"))


@pytest.mark.parametrize("value", ["12.3", "13.7", "12.9", "14.3"])
def test_length_and_width_only_of_a_slanted_quadrilateral(check, value):
    """Sides of 8.06, 4.24, 8.6 and 5.66: two that meet, in place of all four."""
    slanted = [(2, 2), (10, 3), (13, 6), (5, 9.2)]
    sides = np.hypot(*(np.roll(slanted, -1, axis=0) - np.array(slanted)).T)
    sums = sides + np.roll(sides, -1)
    nearest = sums[np.abs(sums - float(value)).argmin()]
    model = replace(result(), zones=(zone("library", piece(slanted)),), distances=(), structures=())
    found = check({"quantity": "perimeter", "value": f"{nearest:.1f}"}, model)
    assert any("side-missed" in place for place in found.candidates[:2]), found.candidates


def test_half_of_the_way_around_is_length_and_width_only():
    assert meaning("halved", "perimeter") == "length and width only: half of the way around"
    assert meaning("halved", "area") == "half of it"
    assert hints_for((("halved",),), "perimeter") == (HINTS["side-missed"],)
    assert hints_for((("halved",),), "area") == (HINTS["halved"],)


def test_every_code_has_a_hint_that_gives_nothing_away():
    assert set(HINTS) == set(MEANINGS) == set(CODES)
    assert all(not any(sign.isdigit() for sign in hint) for hint in HINTS.values())
    for one, other in [("halved", "doubled"), ("inner-edge", "outer-edge"), ("side-missed", "extra-side")]:
        assert HINTS[one] == HINTS[other]
    assert hints_for(()) == (NO_MISTAKE_FOUND,)


def test_every_hint_is_one_thing_to_do_in_short_sentences():
    for hint in (*HINTS.values(), NO_MISTAKE_FOUND):
        sentences = [part for part in re.split(r"[.?!](?:\s|$)", hint) if part]
        assert len(sentences) <= 3, hint
        assert sum(not re.match(r"Which|What|Is|Do|How", part) for part in sentences) <= 1, hint
        assert all(len(part.split()) <= 12 for part in sentences), hint

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from measure.errors import InputMistakes
from measure.quantity import Quantity
from measure.result.result import read_result
from measure.result.settlement import settlement_of
from measure.structures.people import Building, Housing, More, Settlement, Taller, from_u95, people, together, wanted

CUBIC_CM = 1000.0
EIGHT = 8 / CUBIC_CM


def house(volume: float, u95: float = 0.0, *, count: int = 1, floor: float | None = 500.0, row: int = 2) -> Building:
    """Volume in cubic cm, floor in mm2."""
    base = None if floor is None else Quantity(floor)
    return Building(row, "box", count, from_u95(volume * CUBIC_CM, u95 * CUBIC_CM), floor=base)


def zone(*buildings: Building) -> Housing:
    total = sum((b.volume for b in buildings if b.volume), Quantity(0.0))
    return Housing("cottages", total, buildings)


def test_people_are_volume_times_density() -> None:
    held = people(from_u95(60 * CUBIC_CM, 2 * CUBIC_CM), EIGHT)
    assert (held.value, held.u95) == (pytest.approx(480), pytest.approx(16))


def test_the_missing_volume_as_storeys_and_as_more_of_what_is_there() -> None:
    """600 people at 8 need 75 cubic cm; 60 are there; 15 more on 5 square cm are 3 cm, or one more of 60."""
    found = wanted(zone(house(60)), 600, EIGHT, 10.0)
    assert found is not None
    assert found.verdict == "not met"
    assert found.missing.value == pytest.approx(15 * CUBIC_CM)
    assert found.surely == pytest.approx(15 * CUBIC_CM)
    taller, more = found.ways
    assert isinstance(taller, Taller)
    assert (taller.by, taller.storeys) == (pytest.approx(30), 3)
    assert more == More(found.ways[1].building, 1)


def test_storeys_are_shared_by_all_of_a_row_and_sloping_solids_get_none() -> None:
    found = wanted(zone(house(60, count=3), house(20, count=2, floor=None, row=3)), 1000, EIGHT, 10.0)
    assert found is not None
    first, second, third = found.ways
    assert isinstance(first, Taller)
    assert isinstance(second, More)
    assert isinstance(third, More)
    assert (first.by, first.storeys) == (pytest.approx(45_000 / 1500), 3)
    assert (second.count, third.count) == (3, 5)  # 45 cubic cm: boxes of 20 each, others of 10 each, made whole


def test_exactly_enough_is_enough() -> None:
    """48 unit cubes at 12 people hold 576, and not 577."""
    cubes = zone(house(48))
    enough, not_enough = (wanted(cubes, number, 12 / CUBIC_CM, 10.0) for number in (576, 577))
    assert enough is not None
    assert not_enough is not None
    assert (enough.verdict, enough.missing.value, enough.ways) == ("met", 0.0, ())
    assert not_enough.verdict == "not met"


def test_too_close_to_call_asks_for_what_makes_sure() -> None:
    """75.5 +- 2 (u 1) where 75 are needed: 75 + 1.645 - 75.5 makes it 95 % sure (JCGM 106:2012, one-sided)."""
    found = wanted(zone(house(75.5, 2.0)), 600, EIGHT, 10.0)
    assert found is not None
    assert (found.verdict, found.missing.value) == ("too close to call", 0.0)
    assert found.surely == pytest.approx(1145, abs=1)
    assert isinstance(found.ways[0], Taller)
    assert found.ways[0].by == pytest.approx(1145 / 500, rel=0.001)


@given(st.floats(1, 500), st.floats(0, 20), st.floats(1, 5000))
def test_building_what_is_said_reaches_the_number(volume: float, u95: float, number: float) -> None:
    found = wanted(zone(house(volume, u95)), number, EIGHT, 10.0)
    assert found is not None
    added = from_u95((volume * CUBIC_CM) + found.surely * (1 + 1e-6), u95 * CUBIC_CM)
    again = wanted(Housing("cottages", added), number, EIGHT, 10.0)
    assert again is not None
    assert again.verdict == "met"
    asked = found.missing.value if found.verdict == "not met" else found.surely
    built = [way.count * volume * CUBIC_CM for way in found.ways if isinstance(way, More)]
    assert len(built) == (asked > 0)
    assert all(asked * (1 - 1e-5) <= more < asked + volume * CUBIC_CM * (1 + 1e-5) for more in built)


def test_a_zone_of_unknown_volume_is_not_known_and_neither_is_the_whole() -> None:
    unknown = Housing("workshops", None, (Building(3, "prism on outline", 1, None),))
    assert wanted(unknown, 10, EIGHT, 10.0) is None
    assert together(Settlement("", "", "cm", (zone(house(10)), unknown))).volume is None


def test_zones_together_add_up_as_independent_ones() -> None:
    both = together(Settlement("", "", "cm", (zone(house(10, 3.0)), zone(house(20, 4.0)))))
    assert both.volume is not None
    assert (both.volume.value, both.volume.u95) == (pytest.approx(30_000), pytest.approx(5000))
    assert len(both.buildings) == 2


# ---- the result file


def result(**changes: Any) -> dict[str, Any]:
    content: dict[str, Any] = {
        "format": "tapeplat/result-1",
        "title": "Quarry Lake Village",
        "team": "3",
        "unit": "in",
        "tape_edge": "middle",
        "parcel": {"width": 18, "depth": 14, "area": 252},
        "zones": [
            {"name": "cottages", "kind": "zone", "area": None, "volume": {"value": 2.0, "u95": 0.1}, "pieces": []},
            {"name": "crusher", "kind": "keep-clear", "area": None, "volume": {"value": 0.0, "u95": 0.0}},
        ],
        "structures": [
            {"row": 2, "zone": "cottages", "solid": "box", "count": 2, "volume": {"value": 2.0, "u95": 0.1},
             "floor": {"value": 1.0, "u95": 0.05}, "height": None, "surface": None},
        ],
    }  # fmt: skip
    return {**content, **changes}


BOXES = {"row": 2, "zone": "cottages", "solid": "box"}


def test_a_result_file_is_read_in_mm(tmp_path: Path) -> None:
    (tmp_path / "result.json").write_text(json.dumps(result()), encoding="utf-8")
    for named in (tmp_path, tmp_path / "result.json"):
        read = settlement_of(read_result(named))
        assert (read.title, read.team, read.unit) == ("Quarry Lake Village", "3", "in")
        (cottages,) = read.zones
        assert cottages.volume is not None
        assert cottages.volume.value == pytest.approx(2 * 16387.064)
        assert cottages.volume.u95 == pytest.approx(0.1 * 16387.064)
        assert cottages.buildings[0].floor is not None
        assert cottages.buildings[0].floor.value == pytest.approx(645.16)


def test_what_other_readers_of_a_result_take_is_taken_for_people_too(tmp_path: Path) -> None:
    """A mark at the file's start, as editors leave it, and a value whose uncertainty is left out: it is 0 then."""
    content = result()
    del content["zones"][0]["volume"]["u95"]
    (tmp_path / "result.json").write_text(json.dumps(content), encoding="utf-8-sig")
    cottages, *_ = settlement_of(read_result(tmp_path)).zones
    assert cottages.volume is not None
    assert cottages.volume.u95 == 0


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ("{", "this is no result file"),
        ("[1]", "its format is nothing of the kind"),
        (json.dumps({"format": "other"}), "its format is other"),
        (json.dumps(result(structures=[])), "there are no structures in this result; measure or check the model again"),
        (json.dumps(result(unit="furlong")), "result.json, unit: "),
        (
            json.dumps(result(structures=[{**BOXES, "count": 0}])),
            "structures.0.count",
        ),
    ],
)
def test_what_is_no_usable_result_file_is_said(tmp_path: Path, content: str, said: str) -> None:
    (tmp_path / "result.json").write_text(content, encoding="utf-8")
    with pytest.raises(InputMistakes, match=said.replace(".", r"\.")):
        settlement_of(read_result(tmp_path))

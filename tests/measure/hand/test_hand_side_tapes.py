"""Hand measurements of a zone that shares a neighbour's wide strip and lies open along the parcel's edge."""

from __future__ import annotations

import json
import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from measure.hand.values.hand_uncertainty import placing_u
from measure.hand.values.true_values import ModelTruth, Target
from measure.result.result import parse_result

PARCEL = 300.0


def truth(own: float, strip: float, edge: str = "middle") -> ModelTruth:
    """The meadow, open at the top, and the market right of it, 40 mm from its right side, which is a strip of its own.

    The result's values are shapely's.
    """
    meadow, market = shapely.box(20, 0, 120, 70), shapely.box(160, 0, 240, 90)
    inner = shapely.box(20 + own / 2, 0, 120 - strip / 2, 70 - own / 2)
    along = {"middle": meadow, "inner": inner}[edge]
    zones = [zone("meadow", meadow, along, own, [0, strip / own, 1, 1]), zone("market", market, market, 6.0, [])]
    made = {
        "format": "tapeplat/result-1", "title": "Quarry Lake Village", "team": "3", "unit": "mm", "tape_edge": edge,
        "parcel": {"width": PARCEL, "depth": PARCEL, "area": PARCEL**2}, "zones": zones,
    }  # fmt: skip
    return ModelTruth(parse_result(json.dumps(made)))


def zone(name: str, middle: shapely.Polygon, along: shapely.Polygon, width: float, taped: list[float]) -> dict:
    x1, y1, x2, y2 = middle.bounds
    area, around = ({"value": value, "u95": 1.0} for value in (along.area, along.length))
    piece = {
        "outline": [[x1, y1], [x2, y1], [x2, y2], [x1, y2]], "status": "measured", "area": area, "perimeter": around,
        "tape_width": {"value": width, "u95": 0.3}, "taped": taped,
    }  # fmt: skip
    return {"name": name, "kind": "zone", "area": area, "pieces": [piece]}


@given(st.floats(4, 20), st.floats(4, 30), st.sampled_from(["middle", "inner"]))
def test_every_line_of_the_tape_predicts_what_shapely_measures_there(own: float, strip: float, edge: str) -> None:
    model = truth(own, strip, edge)
    lines = {
        "inner": shapely.box(20 + own / 2, 0, 120 - strip / 2, 70 - own / 2),
        "middle": shapely.box(20, 0, 120, 70),
        "outer": shapely.box(20 - own / 2, 0, 120 + strip / 2, 70 + own / 2),
    }
    for line, there in lines.items():
        for quantity, value in (("area", there.area), ("perimeter", there.length)):
            found = model.estimate(Target(quantity, "meadow", edge=line))
            assert found is not None
            assert found.value == pytest.approx(value)
        x1, y1, x2, y2 = there.bounds
        sides = [model.estimate(Target("side", "meadow", side=n, edge=line)) for n in (1, 2, 3, 4)]
        assert [side and side.value for side in sides] == pytest.approx([x2 - x1, y2 - y1, x2 - x1, y2 - y1])
    gap = model.estimate(Target("gap", "meadow", other="market", edge="outer"))
    assert gap is not None
    assert gap.value == pytest.approx(max(0.0, 40 - strip / 2 - 3), abs=1e-6)


def test_a_gap_ends_on_the_strip_that_it_starts_from() -> None:
    """Its end on the meadow is placed on the neighbour's wide strip, not on the meadow's own narrow tape."""
    gap = truth(6.0, 24.0).estimate(Target("gap", "meadow", other="market"))
    assert gap is not None
    assert gap.value == pytest.approx(40)
    ends = placing_u(24.0, "middle"), placing_u(6.0, "middle")
    assert gap.gain * gap.placing == pytest.approx(math.hypot(*ends))

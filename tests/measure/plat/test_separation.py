"""The signed separation: shapely's distance where apart, a depth where not, one number through 0."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from measure.plat.measures import Measures
from measure.plat.plat import Piece, Ring
from measure.quantity import Quantity
from tests.helpers.examples import examples
from tests.helpers.made.plats import Corners, exact, plat, rectangle, regular


def apart(a: Corners, b: Corners, *, holes: tuple[Corners, ...] = ()) -> float:
    separation = Measures(plat(exact("a", a, holes=holes), exact("b", b))).separation("a", "b")
    assert separation is not None
    return separation.quantity.value


SQUARE = rectangle(0, 0, 100, 80)


@pytest.mark.parametrize(
    ("other", "value"),
    [
        (rectangle(110, 20, 50, 30), 10.0),
        (rectangle(103, 84, 50, 30), 5.0),  # corner to corner, 3-4-5
        (rectangle(100, 0, 50, 80), 0.0),  # a whole side in common
        (rectangle(100, 80, 50, 30), 0.0),  # a corner in common
        ([(100, 40), (150, 20), (150, 60)], 0.0),  # a corner on a side
        (rectangle(95, 0, 50, 80), -5.0),  # a strip of overlap, ends abreast
        (rectangle(95, 20, 50, 30), -5.0),
        (rectangle(97, 76, 50, 30), -3.0),  # corners overlap by 3 and 4
        ([(93, 40), (150, 20), (150, 60)], -7.0),
        (rectangle(-20, 30, 200, 20), -30.0),  # a bar across: its sides run 30 from the top or the bottom
        # A strip of overlap, and below it a part of the side in common: their shared land is a polygon and a line.
        ([(95, 0), (150, 0), (150, 80), (100, 80), (100, 40), (95, 40)], -5.0),
        (rectangle(40, 30, 20, 20), -40.0),  # nested: a corner lies 40 from the nearest side
    ],
)
def test_known_separations(other: Corners, value: float) -> None:
    assert apart(SQUARE, other) == pytest.approx(value, abs=1e-6)
    assert apart(other, SQUARE) == pytest.approx(value, abs=1e-6)


def test_a_zone_in_anothers_hole_is_apart() -> None:
    assert apart(SQUARE, rectangle(40, 30, 10, 10), holes=(rectangle(30, 20, 30, 30),)) == pytest.approx(10.0)


def test_a_sliver_of_overlap_all_around_a_bay_is_shallow() -> None:
    """A zone in another's hole, half a mm too large on every side: at its corners that deep, not the way out."""
    value = apart(SQUARE, rectangle(29.5, 19.5, 31, 31), holes=(rectangle(30, 20, 30, 30),))
    assert value == pytest.approx(-0.5 * math.sqrt(2), abs=1e-4)


def test_where_the_gap_is() -> None:
    separation = Measures(plat(exact("a", SQUARE), exact("b", [(110, 40), (150, 20), (150, 60)]))).separation("a", "b")
    assert separation is not None
    assert separation.between == ((100.0, 40.0), (110.0, 40.0))
    back = Measures(plat(exact("a", SQUARE), exact("b", [(110, 40), (150, 20), (150, 60)]))).separation("b", "a")
    assert back is not None
    assert back.between == ((110.0, 40.0), (100.0, 40.0))


def test_a_zone_has_no_separation_from_itself() -> None:
    with pytest.raises(ValueError, match="two zones"):
        Measures(plat(exact("a", SQUARE))).separation("a", "a")


shapes = st.builds(
    lambda sides, radius, flat, turn, x, y: [
        (
            x + radius * (math.cos(turn) * math.cos(a) - flat * math.sin(turn) * math.sin(a)),
            y + radius * (math.sin(turn) * math.cos(a) + flat * math.cos(turn) * math.sin(a)),
        )
        for a in 2 * np.pi * np.arange(sides) / sides
    ],
    st.integers(3, 8),
    st.floats(5, 60),
    st.floats(0.4, 1),
    st.floats(0, 3),
    st.floats(50, 200),
    st.floats(50, 200),
)


@given(shapes, shapes)
@examples(80)
def test_symmetric_and_shapelys_distance_where_apart(a: Corners, b: Corners) -> None:
    value = apart(a, b)
    assert apart(b, a) == pytest.approx(value, abs=1e-5)
    distance = shapely.Polygon(a).distance(shapely.Polygon(b))
    assert max(0.0, value) == pytest.approx(distance, abs=1e-9)
    # Where they overlap neither a point nor what both share is deeper than the largest circle in either.
    assert value >= -120.0


@given(shapes, shapes, st.floats(-1, 1), st.floats(-1, 1))
@examples(80)
def test_moves_no_faster_than_the_outline(a: Corners, b: Corners, right: float, down: float) -> None:
    moved = [(x + right, y + down) for x, y in b]
    assert abs(apart(a, moved) - apart(a, b)) <= math.hypot(right, down) + 1e-3


@given(shapes, st.floats(0, 2 * math.pi), st.floats(1e-4, 1.0))
@examples(60)
def test_runs_through_zero_without_a_jump(a: Corners, way: float, step: float) -> None:
    """Slide a square away until it just touches; a step further in or out changes the separation by a step at most."""
    b = np.array(rectangle(-10, -10, 20, 20)) + np.mean(a, axis=0)
    direction = np.array([math.cos(way), math.sin(way)])
    near, far = 0.0, 400.0
    for _ in range(60):
        middle = 0.5 * (near + far)
        touching = shapely.Polygon(b + middle * direction).intersects(shapely.Polygon(a))
        near, far = (middle, far) if touching else (near, middle)
    outside, inside = (apart(a, (b + (far + s) * direction).tolist()) for s in (step, -step))
    assert 0 <= outside <= step + 1e-6
    assert -step - 1e-6 <= inside <= 1e-9


def test_curves_that_touch() -> None:
    assert apart(regular(90, 30, (50, 50)), regular(90, 20, (100, 50))) == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize(("right", "depth"), [(0.0, 60.0), (2.0, 58.0), (10.0, 50.0), (-25.0, 35.0)])
def test_outlines_upon_each_other_overlap_as_deep_as_they_would_have_to_be_moved(right: float, depth: float) -> None:
    """Two squares of 60 mm: no point of either lies deep in the other where their sides run along each other."""
    assert apart(rectangle(50, 50, 60, 60), rectangle(50 + right, 50, 60, 60)) == pytest.approx(-depth, abs=0.02)


def test_the_depth_of_outlines_upon_each_other_moves_with_both() -> None:
    """Two strips upon each other, 8 mm wide; each one's upper side moves by 0.3 mm of its own."""

    def strip(zone: str, source: int) -> Piece:
        corners = np.array(rectangle(50, 50, 90, 8), float)
        moves = np.zeros((4, 2, 2))
        moves[[0, 1], 1, source] = 0.3
        return Piece(zone, Ring(corners, moves), Quantity(1.0))

    one, other = strip("a", 0), strip("b", 1)
    found = Measures(plat(one, other)).overlap("a", "b")
    assert found is not None
    assert found.quantity.value == pytest.approx(-8.0, abs=0.01)
    assert found.quantity.u <= np.hypot(0.3, 0.3) + 1e-9
    assert found.quantity.u >= 0.3 / np.sqrt(2) - 1e-9


def test_a_corner_on_a_slanted_side_touches_it_whatever_its_last_digit_is() -> None:
    inch = 25.4
    box = [(5.88 * inch, 4.9 * inch), (8.33 * inch, 4.9 * inch), (8.33 * inch, 7.84 * inch), (5.88 * inch, 7.84 * inch)]
    for x in (9.309999999999999, 9.31, 9.310000000000002):
        triangle = [(5.39 * inch, 1.96 * inch), (x * inch, 1.96 * inch), (x * inch, 5.88 * inch)]
        assert apart(box, triangle) == pytest.approx(0.0, abs=1e-6)

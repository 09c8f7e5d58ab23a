"""The normal form of outlines, their reading order, and rings within rings."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from measure.plat.measures import Measures
from measure.plat.plat import Piece, Ring, nested, normalised, ordered, signed_area
from measure.quantity import Quantity
from tests.helpers.made.plats import exact, plat, rectangle

CLOCKWISE = np.array(rectangle(10, 20, 30, 40), float)  # in the picture, y down


def marked(points: np.ndarray) -> np.ndarray:
    """A sensitivity that says which corner it belongs to."""
    return points[:, :, None] * np.ones(3)


def test_normal_form_is_clockwise_in_the_picture_from_the_corner_nearest_the_origin() -> None:
    for points in (CLOCKWISE, CLOCKWISE[::-1], np.roll(CLOCKWISE, 2, axis=0)):
        ring = normalised(points, marked(points))
        assert ring.points.tolist() == CLOCKWISE.tolist()
        assert np.array_equal(ring.sensitivity, marked(ring.points))


def test_of_corners_equally_near_the_upper_one_comes_first() -> None:
    points = np.array([(3, 4), (0, 5), (5, 0), (20, 20)], float)
    assert normalised(points, marked(points)).points[0].tolist() == [5, 0]


@given(st.integers(0, 3), st.booleans(), st.integers(0, 3), st.floats(0, 0.4), st.floats(0.6, 1))
def test_inferred_stretches_stay_in_their_place(roll: int, turn: bool, side: int, start: float, end: float) -> None:
    """The stretch's two ends lie on the same points of the outline, whichever way the ring came."""
    points = np.roll(CLOCKWISE, roll, axis=0)
    points = points[::-1] if turn else points
    ring = normalised(points, marked(points), inferred=((side, start, end),))

    def places(corners: np.ndarray, at: int, shares: tuple[float, float]) -> set[tuple[float, ...]]:
        a, b = corners[at], corners[(at + 1) % 4]
        return {tuple(np.round(a + share * (b - a), 9)) for share in shares}

    ((new_side, new_start, new_end),) = ring.inferred
    assert new_start <= new_end
    assert places(ring.points, new_side, (new_start, new_end)) == places(points, side, (start, end))


@given(st.lists(st.tuples(st.floats(-50, 50), st.floats(-50, 50)), min_size=3, max_size=8))
def test_normal_form_is_never_anticlockwise_and_stays(points: list[tuple[float, float]]) -> None:
    array = np.array(points)
    ring = normalised(array, marked(array))
    # A ring that runs back over itself encloses nothing; its area is rounding, of either sign.
    assert signed_area(ring.points) >= -1e-9
    assert normalised(ring.points, ring.sensitivity).points.tolist() == ring.points.tolist()
    assert sorted(ring.points.tolist()) == sorted(array.tolist())


# The origin lies at the top left: orientation is the sign of the shoelace sum, positive clockwise as y points down.
def test_signed_area() -> None:
    assert signed_area(CLOCKWISE) == 1200
    assert signed_area(CLOCKWISE[::-1]) == -1200
    assert signed_area(CLOCKWISE[:2]) == 0


def test_pieces_in_reading_order() -> None:
    right, left, top = (
        exact(name, rectangle(*at, 10, 10)) for name, at in (("r", (50, 30)), ("l", (0, 30)), ("t", (90, 0)))
    )
    unmeasured = Piece("none", Ring(np.zeros((0, 2)), np.zeros((0, 2, 0))), Quantity(0.0), status="not measurable")
    assert [piece.zone for piece in ordered([unmeasured, right, left, top])] == ["t", "l", "r", "none"]


def test_order_is_by_the_lands_centroid() -> None:
    """A triangle's corners average elsewhere than where an L's land does: corner (12, 0) twice does not pull it up."""
    crowded = exact("c", [(0, 0), (1, 0), (2, 0), (3, 0), (4, 0), (20, 0), (20, 30), (0, 30)])
    assert [piece.zone for piece in ordered([crowded, exact("p", rectangle(50, 9, 10, 10))])] == ["p", "c"]


def test_ring_in_a_ring_is_a_hole_and_a_ring_in_that_an_island() -> None:
    outer, hole, island = (exact("a", rectangle(at, at, size, size)) for at, size in ((0, 100), (20, 60), (40, 20)))
    other = exact("b", rectangle(22, 22, 5, 5))
    pieces = nested([island, hole, other, outer])
    assert [piece.zone for piece in pieces] == ["a", "b", "a"]
    assert [len(piece.holes) for piece in pieces] == [0, 0, 1]
    area = Measures(plat(*pieces)).area(["a"])
    assert area is not None
    assert area.value == pytest.approx(100**2 - 60**2 + 20**2)


def test_two_rings_apart_in_one_ring_are_two_holes() -> None:
    pieces = nested([exact("a", rectangle(0, 0, 100, 100)), *(exact("a", rectangle(x, 20, 20, 20)) for x in (10, 60))])
    assert [len(piece.holes) for piece in pieces] == [2]


def test_rings_side_by_side_or_crossing_stay_pieces() -> None:
    pieces = [exact("a", rectangle(x, 0, 20, 20)) for x in (0, 20, 35)]
    assert [piece.ring for piece in nested(pieces)] == [piece.ring for piece in pieces]

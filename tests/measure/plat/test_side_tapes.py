"""Outlines of which one side is a neighbour's strip, or the parcel's edge without tape."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from measure.plat.measures import Measures
from measure.plat.offset import TapeEdge, region
from measure.plat.plat import Piece, Plat, normalised
from measure.quantity import Quantity
from measure.repair.placed_rings import RingMaker
from measure.repair.pointing import PictureExtent

WIDTHS = st.floats(2.0, 20.0)
SIGNS: list[tuple[TapeEdge, int]] = [("inner", -1), ("outer", 1)]


def piece(points: np.ndarray, widths: tuple[float, ...], own: float, zone: str = "meadow") -> Piece:
    moves = np.zeros((len(points), 2, 1))
    moves[:, 0, 0] = 0.1
    taped = tuple(w / own for w in widths)
    return Piece(zone, normalised(points, moves, taped=taped), Quantity(own, np.array([0.2])))


@pytest.mark.parametrize(("edge", "sign"), SIGNS)
@given(WIDTHS, st.tuples(WIDTHS, WIDTHS, WIDTHS, st.one_of(st.just(0.0), WIDTHS)))
def test_a_rectangle_with_four_tapes(edge: TapeEdge, sign: int, own: float, widths: tuple[float, ...]) -> None:
    """Against the plain arithmetic of a rectangle, whichever way round its corners are given."""
    points = np.array([[10.0, 20], [110, 20], [110, 90], [10, 90]])
    top, right, bottom, left = (sign * w / 2 for w in widths)
    expected = (100 + left + right) * (70 + top + bottom)
    assert region(piece(points, widths, own), edge, 1).geometry.area == pytest.approx(expected)
    backwards = (widths[2], widths[1], widths[0], widths[3])
    assert region(piece(points[::-1], backwards, own), edge, 1).geometry.area == pytest.approx(expected)


@given(WIDTHS, WIDTHS, st.floats(-0.6, 0.6))
def test_a_slanting_side_against_shapely(own: float, other: float, slant: float) -> None:
    """Half-planes cut by shapely: the corner lies where both offset lines meet."""
    points = np.array([[0.0, 0], [100, 0], [100 + 60 * slant, 60], [0, 60]])
    inner = region(piece(points, (own, other, own, own), own), "inner", 1).geometry
    along = (points[2] - points[1]) / np.linalg.norm(points[2] - points[1])
    line = shapely.LineString([points[1] - 500 * along, points[1] + 500 * along])
    box = shapely.box(own / 2, own / 2, 400, 60 - own / 2) & shapely.Polygon(points)
    expected = box - shapely.buffer(line, other / 2, cap_style="flat")
    assert shapely.symmetric_difference(inner, expected).area < 1e-6 * expected.area


def test_the_width_s_uncertainty_counts_only_where_there_is_tape() -> None:
    points = np.array([[0.0, 0], [100, 0], [100, 60], [0, 60]])
    whole, open_ = (Measures(Plat(400, 300, (piece(points, w, 10.0),), (), "given"), "inner")
                    for w in ((10.0,) * 4, (0.0, 10.0, 10.0, 10.0)))  # fmt: skip
    areas = [m.piece_area("meadow", 1) for m in (whole, open_)]
    assert [a.value for a in areas if a] == pytest.approx([90 * 50, 90 * 55])
    # One half width a side: d area / d width = -(perimeter of the inner edge's taped sides) / 2.
    assert [float(a.sensitivity[0]) for a in areas if a] == pytest.approx([-0.2 * 140, -0.2 * (2 * 55 + 90) / 2])


def test_where_sides_vanish_the_rest_is_still_right() -> None:
    """A neck narrower than its tape closes along the inner edge; the open side stays where it is."""
    points = np.array([[0.0, 0], [100, 0], [100, 60], [56, 60], [56, 52], [44, 52], [44, 60], [0, 60]])
    found = region(piece(points, (0.0, *(14.0,) * 7), 14.0), "inner", 1).geometry
    assert found.bounds == pytest.approx((7, 0, 93, 53))


def test_zones_that_share_a_strip_touch_and_do_not_overlap() -> None:
    lender = piece(np.array([[0.0, 0], [100, 0], [100, 80], [0, 80]]), (12.0,) * 4, 12.0, "market")
    guest = piece(np.array([[100.0, 10], [180, 10], [180, 70], [100, 70]]), (8.0, 8.0, 8.0, 12.0), 8.0)
    measures = Measures(Plat(400, 300, (lender, guest), (), "given"), "inner")
    gap, middle = measures.separation("market", "meadow"), measures.overlap("market", "meadow")
    assert gap is not None
    assert gap.quantity.value == pytest.approx(12.0)
    assert middle is not None
    assert middle.quantity.value == pytest.approx(0.0)


def test_a_corner_placed_by_hand_keeps_the_other_sides_tapes() -> None:
    points = np.array([[0.0, 0], [100, 0], [100, 60], [0, 60]])
    known = piece(points, (0.0, 10.0, 10.0, 20.0), 10.0)
    moved = points.copy()
    moved[2] += 5.0
    maker = RingMaker(Plat(400, 300, (known,), (), "given"), PictureExtent(0.3, -10.0, -10.0, 410.0, 310.0))
    assert maker.changed(moved, known).taped == (0.0, 1.0, 1.0, 2.0)

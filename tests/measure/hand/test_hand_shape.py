"""Outlines along either edge of the tape, and squares counted on them, against shapely and drawn grids."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import affinity

from measure.hand.values.hand_uncertainty import placing_u
from measure.hand.values.squares import counts
from measure.hand.values.tape_lines import Outline
from measure.plat.plat import Piece, Ring
from measure.quantity import Quantity
from tests.helpers.examples import examples


def outline(points, width=12.0, holes=(), curved=False, taped=()) -> Outline:
    rings = [Ring(np.array(ring, float), np.zeros((len(ring), 2, 0)), curved) for ring in (points, *holes)]
    rings[0] = replace(rings[0], taped=tuple(taped))
    return Outline.of(Piece("library", rings[0], Quantity(width), tuple(rings[1:])))


L = [(0, 0), (120, 0), (120, 50), (60, 50), (60, 110), (0, 110)]
HOLE = [(20, 20), (45, 20), (45, 40), (20, 40)]


@pytest.mark.parametrize("edge", ["inner", "outer"])
@pytest.mark.parametrize("holes", [(), (HOLE,)])
def test_area_and_perimeter_along_an_edge_are_shapelys_mitred_buffers(edge, holes):
    made = outline(L, holes=holes)
    moved = shapely.buffer(made.polygon, {"inner": -6.0, "outer": 6.0}[edge], join_style="mitre")
    assert made.area_at(made.polygon.area, "middle", edge) == pytest.approx(moved.area)
    assert made.perimeter_at(edge) == pytest.approx(moved.length)
    assert made.area_at(moved.area, edge, "middle") == pytest.approx(made.polygon.area)


@examples(40)
@given(st.floats(0.3, 1.4), st.floats(60, 200), st.floats(60, 200), st.floats(1, 12))
def test_sides_along_the_outer_edge(lean, width, height, tape):
    points = [(0, 0), (width, 0), (width + height / math.tan(lean) / 3, height), (0, height)]
    made = outline(points, tape)
    around = shapely.buffer(made.polygon, tape / 2, join_style="mitre", mitre_limit=20)
    assert made.sides("outer").sum() == pytest.approx(around.length)
    top = max(y for _, y in around.exterior.coords)
    bottom = [x for x, y in around.exterior.coords if y == pytest.approx(top)]
    assert made.sides("outer")[2] == pytest.approx(max(bottom) - min(bottom))


WIDTHS = st.one_of(st.just(0.0), st.floats(2, 20))


@examples(60)
@given(st.floats(0.8, 2.2), st.floats(0.8, 2.2), st.tuples(WIDTHS, WIDTHS, WIDTHS, WIDTHS), st.booleans())
def test_sides_of_different_tapes_or_none_end_where_shapelys_offset_lines_meet(left, right, widths, mirrored):
    """A trapezoid of any slants; every side's line moved by shapely, neighbours' lines met by shapely."""
    points = np.array([(0, 0), (260, 0), (260 - 90 / math.tan(right), 90), (90 / math.tan(left), 90)])
    flip = np.array([-1.0, 1.0]) if mirrored else 1.0
    made = outline(points * flip, 10.0, taped=[width / 10 for width in widths])
    for edge, sign in (("outer", 1), ("inner", -1), ("middle", 0)):
        lines = [_moved(points, at, sign * width / 2) for at, width in enumerate(widths)]
        corners = [shapely.intersection(lines[at - 1], lines[at]) for at in range(4)]
        expected = shapely.Polygon(corners)
        lengths = [shapely.distance(corners[at], corners[(at + 1) % 4]) for at in range(4)]
        assert made.sides(edge) == pytest.approx(lengths)
        assert made.perimeter_at(edge) == pytest.approx(expected.length)
        assert made.area_at(made.polygon.area, "middle", edge) == pytest.approx(expected.area)
        box = (expected.bounds[2] - expected.bounds[0], expected.bounds[3] - expected.bounds[1])
        assert made.boxes(edge)[0] == pytest.approx(box)


def _moved(points, at, outwards) -> shapely.LineString:
    """The line through a side, far beyond both ends; shapely counts left of a line as positive, here: inwards."""
    start, end = points[at], points[(at + 1) % len(points)]
    along = (end - start) / np.linalg.norm(end - start)
    line = shapely.LineString([start - 900 * along, end + 900 * along])
    return shapely.offset_curve(line, -outwards) if outwards else line


def test_an_l_whose_notch_is_the_neighbours_strip():
    """By arithmetic: the notch's sides lie 5 mm nearer to the land along the inner edge, the others 2 mm."""
    made = outline(L, 4.0, taped=(1, 1, 2.5, 2.5, 1, 1))
    assert made.sides("inner") == pytest.approx([116, 43, 63, 63, 53, 106])
    assert made.sides("outer") == pytest.approx([124, 57, 57, 57, 67, 114])


def test_ends_are_placed_on_the_tapes_that_they_lie_on():
    made = outline([(0, 0), (100, 0), (100, 40), (0, 40)], 12.0, taped=(0, 1, 1, 2))
    assert [made.side_placing(at, lambda width: width) for at in range(4)] == pytest.approx(
        [math.sqrt((24**2 + 12**2) / 2), math.sqrt(72), math.sqrt((12**2 + 24**2) / 2), math.sqrt(72)]
    )
    moved = np.array([100 * 0, 40 * 12, 100 * 12, 40 * 24])
    assert made.area_gain() * made.area_placing(lambda width: width) == pytest.approx(np.linalg.norm(moved))
    assert made.width_at((50, 0), (50, -30)) == 0
    assert made.width_at((0, 20), (-40, 20)) == 24
    assert [made.width_at((0, 0), far) for far in ((-40, 0), (0, -40))] == [24, 0]


def test_an_end_off_the_tape_is_placed_as_on_a_drawn_line():
    """Against drawn readings: every end anywhere in the middle half of its own tape; numpy's own statistics."""
    made, random = outline([(0, 0), (100, 0), (100, 40), (0, 40)], 12.0, taped=(0, 1, 1, 2)), np.random.default_rng(5)
    drawn = random.uniform(-0.25, 0.25, (40_000, 2)) * [24, 12]  # side 1 runs from the left tape to the right one
    found = math.sqrt(2) * made.side_placing(0, lambda width: placing_u(width, "middle"))
    assert found == pytest.approx((drawn[:, 1] - drawn[:, 0]).std(), rel=0.03)
    assert made.side_placing(1, lambda width: placing_u(width, "inner")) == placing_u(0.0, "middle")


def test_a_rings_edges_as_a_school_book_has_them():
    """Machinery's Handbook, 31st ed., p. 79: a ring of diameters 12 and 8 cm has 62.83 cm2."""
    turn = np.linspace(0, 2 * np.pi, 720, endpoint=False)
    made = outline(np.column_stack([50 * np.cos(turn), 50 * np.sin(turn)]), width=20.0, curved=True)
    area = made.polygon.area
    ring = made.area_at(area, "middle", "outer") - made.area_at(area, "middle", "inner")
    assert ring / 100 == pytest.approx(62.83, abs=0.01)


def test_boxes_of_a_turned_rectangle_are_two():
    square = shapely.Polygon([(0, 0), (80, 0), (80, 40), (0, 40)])
    turned = outline(list(affinity.rotate(square, 30).exterior.coords)[:-1])
    upright, own = turned.boxes("middle")
    assert sorted(own) == pytest.approx([40, 80])
    cos, sin = math.cos(math.pi / 6), math.sin(math.pi / 6)
    assert upright == pytest.approx((80 * cos + 40 * sin, 80 * sin + 40 * cos))
    assert turned.is_box
    assert not outline(L).is_box


def test_a_sides_uncertainty_has_every_cause_in_it():
    """Against the spread of the side over outlines drawn with every cause moved at random; numpy's own statistics."""
    corners, random = np.array([(10, 20), (100, 20), (100, 60), (10, 60)], float), np.random.default_rng(3)
    none, scale, own = np.zeros((4, 2, 2)), 0.002 * corners[:, :, None], 0.05 * np.eye(8).reshape(4, 2, 8)
    moves = np.concatenate([none, scale, own], axis=2)
    found = Outline.of(Piece("library", Ring(corners, moves), Quantity(12.0)))
    drawn = corners + np.einsum("ndk,zk->znd", moves, random.standard_normal((20_000, moves.shape[2])))
    lengths = np.linalg.norm(np.roll(drawn, -1, axis=1) - drawn, axis=2)
    assert [found.side_u(at) for at in range(4)] == pytest.approx(lengths.std(axis=0), rel=0.03)


def test_counting_squares_is_right_on_average_and_scatters_as_drawn_grids_do():
    """Against grids drawn at random here, every square's cover worked out by shapely."""
    shape, random = affinity.scale(shapely.Polygon(L), 0.943, 0.961), np.random.default_rng(2)
    drawn = []
    for _ in range(150):
        laid = affinity.translate(shape, *random.uniform(0, 10, 2))
        x, y = np.meshgrid(np.arange(0, 140, 10), np.arange(0, 130, 10))
        cover = shapely.area(shapely.intersection(shapely.box(x, y, x + 10, y + 10), laid)) / 100
        drawn.append(100 * ((cover > 1 - 1e-9).sum() + 0.5 * ((cover > 1e-9) & (cover < 1 - 1e-9)).sum()))
    found = counts(shape, 10.0)
    assert np.mean(drawn) == pytest.approx(shape.area, rel=0.03)
    assert found.u(shape.area) == pytest.approx(np.sqrt(np.mean((np.array(drawn) - shape.area) ** 2)), rel=0.25)


def test_a_fine_grid_counts_better_than_a_coarse_one_and_whole_squares_alone_fall_short():
    shape = shapely.Point(0, 0).buffer(50)
    u = [counts(shape, side).u(shape.area) for side in (20.0, 10.0, 5.0, 2.0)]
    assert u == sorted(u, reverse=True)
    assert all((counts(shape, side).whole < shape.area).all() for side in (20.0, 10.0, 2.0))


def test_a_rectangle_of_whole_squares_laid_from_its_corner():
    found = counts(shapely.box(0, 0, 60, 40), 10.0)
    assert 2400.0 in found.whole
    assert found.whole.max() == 2400.0

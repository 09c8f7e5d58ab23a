"""Outlines along either edge of the tape, and squares counted on them, against shapely and drawn grids."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity

from measure.hand.shape import Outline
from measure.hand.squares import counts
from measure.plat import Piece, Ring
from measure.quantity import Quantity


def outline(points, width=12.0, holes=(), curved=False) -> Outline:
    rings = [Ring(np.array(ring, float), np.zeros((len(ring), 2, 0)), curved) for ring in (points, *holes)]
    return Outline.of(Piece("library", rings[0], Quantity(width), tuple(rings[1:])))


L = [(0, 0), (120, 0), (120, 50), (60, 50), (60, 110), (0, 110)]
HOLE = [(20, 20), (45, 20), (45, 40), (20, 40)]


@pytest.mark.parametrize("edge", ["inner", "outer"])
@pytest.mark.parametrize("holes", [(), (HOLE,)])
def test_area_and_perimeter_along_an_edge_are_shapelys_mitred_buffers(edge, holes):
    made = outline(L, holes=holes)
    moved = shapely.buffer(made.polygon, made.at(edge), join_style="mitre")
    assert made.area_at(made.polygon.area, "middle", edge) == pytest.approx(moved.area)
    assert made.perimeter_at(edge) == pytest.approx(moved.length)
    assert made.area_at(moved.area, edge, "middle") == pytest.approx(made.polygon.area)


@settings(max_examples=40, deadline=None)
@given(st.floats(0.3, 1.4), st.floats(60, 200), st.floats(60, 200), st.floats(1, 12))
def test_sides_along_the_outer_edge(lean, width, height, tape):
    points = [(0, 0), (width, 0), (width + height / math.tan(lean) / 3, height), (0, height)]
    made = outline(points, tape)
    around = shapely.buffer(made.polygon, tape / 2, join_style="mitre", mitre_limit=20)
    assert made.sides("outer").sum() == pytest.approx(around.length)
    top = max(y for _, y in around.exterior.coords)
    bottom = [x for x, y in around.exterior.coords if y == pytest.approx(top)]
    assert made.sides("outer")[2] == pytest.approx(max(bottom) - min(bottom))


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

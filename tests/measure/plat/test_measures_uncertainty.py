"""Every measure's standard uncertainty against Monte Carlo: 10 000 draws of the sources, each worked out by shapely.

JCGM 101:2008 is the authority for propagating distributions by draws.  Sampling error of a standard deviation from
10 000 draws is 0.7 %; 4 % also holds what is not linear.
"""

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from measure.plat.measures import Measures, Separation
from measure.plat.plat import Piece, Ring
from measure.quantity import Quantity
from tests.helpers.made.plats import (
    Array,
    Corners,
    Model,
    drawn,
    moved_points,
    moved_polygons,
    moved_value,
    plat,
    rectangle,
    regular,
)

TOLERANCE = 0.04
Z = drawn()
L_SHAPE: Corners = [(20, 20), (160, 24), (158, 90), (95, 88), (92, 150), (18, 148)]
QUAD: Corners = [(120, 70), (230, 78), (224, 170), (112, 160)]


def agree(measured: Quantity | None, draws: Array) -> None:
    assert measured is not None
    assert measured.u == pytest.approx(float(draws.std()), rel=TOLERANCE)
    assert measured.value == pytest.approx(float(draws.mean()), abs=0.1 * measured.u)


def buffered(piece: Piece, sign: float) -> NDArray[np.object_]:
    reach = sign * 0.5 * moved_value(piece.tape_width, Z)
    return np.asarray(shapely.buffer(moved_polygons(piece.ring, Z), reach, join_style="mitre"))


@pytest.mark.parametrize("corners", [L_SHAPE, QUAD, regular(7, 50, (100, 100))])
def test_area_perimeter_extent_and_edges(corners: Corners) -> None:
    piece = Model(1).piece("a", corners)
    measures, polygons = Measures(plat(piece)), moved_polygons(piece.ring, Z)
    agree(measures.area(["a"]), shapely.area(polygons))
    agree(measures.perimeter("a"), shapely.length(polygons))
    box = shapely.bounds(polygons)
    extent = measures.extent("a")
    assert extent is not None
    assert extent[0].u == pytest.approx(float((box[:, 2] - box[:, 0]).std()), rel=0.1)


@pytest.mark.parametrize(("edge", "sign"), [("inner", -1.0), ("outer", 1.0)])
@pytest.mark.parametrize("corners", [L_SHAPE, QUAD])
def test_area_and_perimeter_along_the_tapes_edges(corners: Corners, edge: str, sign: float) -> None:
    piece = Model(2).piece("a", corners)
    measures = Measures(plat(piece), edge)  # type: ignore[arg-type]
    agree(measures.area(["a"]), shapely.area(buffered(piece, sign)))
    agree(measures.perimeter("a"), shapely.length(buffered(piece, sign)))


def test_edges_where_sides_vanish() -> None:
    notched: Corners = [(0, 0), (100, 0), (100, 80), (60, 80), (60, 30), (52, 30), (52, 80), (0, 80)]
    piece = Model(3, noise=0.1).piece("a", notched)
    measures = Measures(plat(piece), "outer")
    agree(measures.area(["a"]), shapely.area(buffered(piece, 1.0)))


def test_curved_outline_and_its_edge() -> None:
    piece = Model(4, noise=0.05).piece("pond", regular(60, 40, (100, 100)), width=4.0, curved=True)
    for edge, reach in (("middle", 0.0), ("outer", 0.5)):
        lines = moved_points(piece.ring, Z)
        normal = lines - lines.mean(axis=1, keepdims=True)
        normal /= np.linalg.norm(normal, axis=2, keepdims=True)
        lines = lines + normal * (reach * moved_value(piece.tape_width, Z))[:, None, None]
        agree(Measures(plat(piece), edge).area(["pond"]), shapely.area(shapely.polygons(lines)))  # type: ignore[arg-type]


def test_union_of_zones_that_overlap() -> None:
    model = Model(5)
    first, second = model.piece("a", L_SHAPE), model.piece("b", QUAD)
    polygons = shapely.union(moved_polygons(first.ring, Z), moved_polygons(second.ring, Z))
    agree(Measures(plat(first, second)).area(["a", "b"]), shapely.area(polygons))


def test_union_of_zones_apart_adds_correlated_areas() -> None:
    model = Model(6, scale=0.01)
    first, second = model.piece("a", L_SHAPE), model.piece("b", rectangle(200, 200, 50, 60))
    total = shapely.area(moved_polygons(first.ring, Z)) + shapely.area(moved_polygons(second.ring, Z))
    agree(Measures(plat(first, second)).area(["a", "b"]), total)


def test_land_less_an_enclosed_zone() -> None:
    model = Model(7)
    meadow, pond = model.piece("meadow", rectangle(10, 10, 150, 120)), model.piece("pond", rectangle(50, 40, 50, 50))
    less = shapely.difference(moved_polygons(meadow.ring, Z), moved_polygons(pond.ring, Z))
    measures = Measures(plat(meadow, pond), subtract=frozenset({"meadow"}))
    agree(measures.area(["meadow"]), shapely.area(less))
    centres = shapely.get_coordinates(shapely.centroid(less))
    agree(measures.centre_offset("meadow", (30, 20)), np.hypot(*(centres - [30, 20]).T))


def test_a_shared_scale_cancels_in_a_ratio() -> None:
    """Two areas of one photo share the scale, so their ratio is far more certain than either."""
    model = Model(8, scale=0.02, noise=0.05)
    first, second = model.piece("a", L_SHAPE), model.piece("b", QUAD)
    measures = Measures(plat(first, second))
    a, b = measures.area(["a"]), measures.area(["b"])
    assert a is not None
    assert b is not None
    ratio = a / b
    assert ratio.u / ratio.value < 0.1 * a.u / a.value
    agree(ratio, shapely.area(moved_polygons(first.ring, Z)) / shapely.area(moved_polygons(second.ring, Z)))


def test_centre_right_on_target_has_the_mean_and_spread_of_the_draws() -> None:
    piece = Model(9).piece("a", rectangle(100, 100, 80, 60))
    centres = shapely.get_coordinates(shapely.centroid(moved_polygons(piece.ring, Z)))
    offset = Measures(plat(piece)).centre_offset("a", (140, 130))
    assert offset is not None
    distance = np.hypot(*(centres - [140, 130]).T)
    assert offset.value == pytest.approx(float(distance.mean()), rel=0.02)
    assert offset.u == pytest.approx(float(distance.std()), rel=TOLERANCE)


# A Rayleigh distribution has mean sigma sqrt(pi / 2) and variance (2 - pi / 2) sigma^2 (standard result, from memory).
def test_distance_from_its_own_place_is_rayleigh() -> None:
    ring = Ring(np.array(rectangle(0, 0, 10, 10), float), np.zeros((4, 2, 2)))
    ring.sensitivity[:, 0, 0] = ring.sensitivity[:, 1, 1] = 0.5
    offset = Measures(plat(Piece("a", ring, Quantity(1.0)))).centre_offset("a", (5, 5))
    assert offset is not None
    assert offset.value == pytest.approx(0.5 * np.sqrt(np.pi / 2), rel=0.005)
    assert offset.u == pytest.approx(0.5 * np.sqrt(2 - np.pi / 2), rel=0.01)


def joint_smallest(apart: Separation) -> Array:
    """The separation in every draw, as its candidates say it."""
    return np.asarray(np.min([moved_value(candidate, Z) for candidate in apart.candidates], axis=0))


# Gaps: a corner against a side, two sides that run parallel (both ends compete), a corner against a corner, curves.
@pytest.mark.parametrize(
    "other",
    [
        [(180, 60), (240, 20), (250, 100)],
        [(160, 20), (240, 20), (240, 120), (160, 120)],
        [(170, 140), (240, 150), (230, 200)],
        regular(40, 30, (200, 60)),
    ],
)
@pytest.mark.parametrize(("edge", "sign"), [("middle", 0.0), ("outer", 1.0)])
def test_gap(other: Corners, edge: str, sign: float) -> None:
    model = Model(10)
    first, second = model.piece("a", rectangle(20, 20, 120, 100)), model.piece("b", other)
    draws = shapely.distance(buffered(first, sign), buffered(second, sign))
    apart = Measures(plat(first, second)).separation("a", "b", edge=edge)  # type: ignore[arg-type]
    assert apart is not None
    joint = joint_smallest(apart)
    assert joint.mean() == pytest.approx(float(draws.mean()), abs=0.05 * apart.quantity.u)
    assert joint.std() == pytest.approx(float(draws.std()), rel=TOLERANCE)


def test_gap_of_several_pieces_is_the_smallest() -> None:
    model = Model(11)
    first = model.piece("a", rectangle(20, 20, 50, 50))
    others = [model.piece("b", rectangle(90, 20, 50, 50)), model.piece("b", rectangle(20, 90.2, 50, 50))]
    polygon = moved_polygons(first.ring, Z)
    draws = np.min([shapely.distance(polygon, moved_polygons(o.ring, Z)) for o in others], axis=0)
    apart = Measures(plat(first, *others)).separation("a", "b")
    assert apart is not None
    assert len(apart.candidates) >= 4
    assert joint_smallest(apart).mean() == pytest.approx(float(draws.mean()), abs=0.05 * apart.quantity.u)
    assert joint_smallest(apart).std() == pytest.approx(float(draws.std()), rel=TOLERANCE)


# Whether they overlap at all, of zones laid abutting: shapely's distance is 0 in the draws where they do.
@pytest.mark.parametrize("gap", [-0.4, -0.1, 0.0, 0.1, 0.4])
@pytest.mark.parametrize("shift", [0.0, 0.1, 20.0])
def test_chance_of_overlap_of_abutting_zones(gap: float, shift: float) -> None:
    model = Model(12)
    first, second = (
        model.piece("a", rectangle(20, 20, 80, 100)),
        model.piece("b", rectangle(100 + gap, 20 + shift, 80, 100)),
    )
    overlapping = (shapely.distance(moved_polygons(first.ring, Z), moved_polygons(second.ring, Z)) == 0).mean()
    apart = Measures(plat(first, second)).overlap("a", "b")
    assert apart is not None
    assert (joint_smallest(apart) <= 0).mean() == pytest.approx(float(overlapping), abs=0.05)


def test_depth_of_a_corner_that_pokes_into_a_side() -> None:
    model = Model(13)
    first, second = model.piece("a", rectangle(20, 20, 120, 100)), model.piece("b", [(135, 70), (200, 30), (210, 110)])
    tips = shapely.points(moved_points(second.ring, Z)[:, 0])
    draws = shapely.distance(tips, shapely.boundary(moved_polygons(first.ring, Z)))
    apart = Measures(plat(first, second)).overlap("a", "b")
    assert apart is not None
    agree(-apart.quantity, draws)


def test_depth_of_a_strip_of_overlap() -> None:
    """Deep along the whole side: the deepest of the points of either side, in every draw."""
    model = Model(14)
    first, second = model.piece("a", rectangle(20, 20, 120, 100)), model.piece("b", rectangle(134, 20, 60, 100))
    polygons = [moved_polygons(piece.ring, Z) for piece in (first, second)]
    deep = []
    for piece, (start, end), other in ((first, (1, 2), polygons[1]), (second, (3, 0), polygons[0])):
        corners = moved_points(piece.ring, Z)
        for share in np.linspace(0.07, 0.93, 9):
            place = shapely.points((1 - share) * corners[:, start] + share * corners[:, end])
            deep.append(shapely.distance(place, shapely.boundary(other)))
    apart = Measures(plat(first, second)).overlap("a", "b")
    assert apart is not None
    assert -joint_smallest(apart).mean() == pytest.approx(
        float(np.max(deep, axis=0).mean()), abs=0.1 * apart.quantity.u
    )
    assert joint_smallest(apart).std() == pytest.approx(float(np.max(deep, axis=0).std()), rel=0.06)


def test_clearance_from_a_parcel_of_uncertain_corners() -> None:
    model = Model(15)
    piece, parcel = model.piece("a", rectangle(20, 30, 120, 100)), model.piece("", rectangle(0, 0, 400, 300)).ring
    corners, outline = moved_points(piece.ring, Z), shapely.boundary(moved_polygons(parcel, Z))
    draws = np.min([shapely.distance(shapely.points(corners[:, at]), outline) for at in range(4)], axis=0)
    inside = Measures(plat(piece, parcel=parcel)).inside_parcel("a")
    assert inside is not None
    assert joint_smallest(inside).mean() == pytest.approx(float(draws.mean()), abs=0.05 * inside.quantity.u)
    assert joint_smallest(inside).std() == pytest.approx(float(draws.std()), rel=TOLERANCE)

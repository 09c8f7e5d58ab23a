"""Areas, perimeters, offsets and places against handbooks and reference libraries."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from measure.plat import outline
from measure.plat.measures import Measures
from measure.plat.offset import region
from measure.plat.plat import Piece, Plat, Ring
from measure.quantity import Quantity
from tests.helpers.examples import examples
from tests.helpers.made.plats import Corners, exact, plat, rectangle, regular


def area_of(corners: Corners) -> float:
    measured = Measures(plat(exact("a", corners))).area(["a"])
    assert measured is not None
    return measured.value


# Area by coordinates: Rosetta Code, "Shoelace formula" (30); J. Mahun, Open Access Surveying Library, XII COGO ch. H,
# Fig. H-2 and Traverse ch. G, Fig. G-7 (exact areas of the printed coordinates 140 493.1 and 102 935.72 ft2; the
# printed cross sums give 140 494 and 102 935.75); PolyCalc FE surveying notes (0.174 acre of 43 560 ft2); exam notes
# (60 000).
@pytest.mark.parametrize(
    ("corners", "area", "tolerance"),
    [
        ([(3, 4), (5, 11), (12, 8), (9, 5), (5, 6)], 30.0, 1e-12),
        (
            [(406.31, 1259.97), (235.12, 1489.47), (65.81, 1126.40), (317.89, 942.04), (675.32, 1282.54)],
            140_493.1,
            0.05,
        ),
        ([(500.000, 2000.000), (323.614, 1561.426), (526.996, 1488.321), (719.336, 1686.956)], 102_935.72, 0.005),
        ([(100, 200), (180, 250), (140, 320), (60, 270)], 0.174 * 43_560, 0.0005 * 43_560),
        ([(0, 0), (0, 300), (200, 300), (200, 0)], 60_000.0, 1e-9),
    ],
)
def test_area_by_coordinates(corners: Corners, area: float, tolerance: float) -> None:
    assert area_of(corners) == pytest.approx(area, abs=tolerance)
    assert area_of([(y, x) for x, y in corners]) == pytest.approx(area, abs=tolerance)  # the other way around


# Latitudes and departures, twice the area as printed: a surveying problem set (3 430 192.54) and MSTE problem 32 (24
# 932.34556, from a traverse that does not close by 0.002).
@pytest.mark.parametrize(
    ("courses", "twice", "tolerance"),
    [
        (
            [(490.71, 47.27), (587.12, 608.89), (-327.41, 786.78), (-1002.76, 218.32), (-122.67, -1116.62)],
            3_430_192.54,
            0.02,
        ),
        ([(104.096, 60.1), (18.754, 88.229), (-74.967, 46.845)], 24_932.34556, 0.002 * 250),
    ],
)
def test_area_by_double_meridian_distances(courses: Corners, twice: float, tolerance: float) -> None:
    corners = [(0.0, 0.0), *map(tuple, np.cumsum(np.array(courses), axis=0))]
    assert 2 * area_of(corners) == pytest.approx(twice, abs=tolerance)


# Machinery's Handbook, 31st ed. (2020), pp. 75-79, printed values to their last digit (its hexagon, 4156.8, comes from
# a rounded factor: the exact 4156.92 stands here).
@pytest.mark.parametrize(
    ("corners", "area", "tolerance"),
    [
        (rectangle(0, 0, 15, 15), 225, 1e-9),
        (rectangle(0, 0, 30.5, 11), 335.5, 1e-9),
        ([(0, 0), (6, 0), (0, 8)], 24, 1e-9),
        ([(0, 0), (10, 0), ((100 + 64 - 81) / 20, math.sqrt(64 - ((100 + 64 - 81) / 20) ** 2))], 34.20, 0.005),
        ([(0, 0), (5, 0), ((25 + 64 - 16) / 10, math.sqrt(64 - ((25 + 64 - 16) / 10) ** 2))], 8.18, 0.005),
        ([(0, 0), (32, 0), (25, 12), (2, 12)], 330, 1e-9),
        ([(0, 0), (2, 8), (2 + 10, 12), (2 + 10 + 3, 0)], 126, 1e-9),
        (regular(6, 40), 4156.92, 0.005),
        (regular(12, 8), 192.00, 0.005),
    ],
)
def test_plane_shapes_of_the_handbook(corners: Corners, area: float, tolerance: float) -> None:
    assert area_of(corners) == pytest.approx(area, abs=tolerance)


# Area over side squared of regular polygons as an engineering reference page prints it (the 12-gon cut off: 11.19615).
@pytest.mark.parametrize(
    ("sides", "factor"),
    [
        (3, 0.4330),
        (4, 1.0),
        (5, 1.7205),
        (6, 2.5981),
        (7, 3.6339),
        (8, 4.8284),
        (9, 6.1818),
        (10, 7.6942),
        (11, 9.3656),
        (12, 11.19615),
    ],
)
def test_regular_polygons(sides: int, factor: float) -> None:
    radius = 0.5 / math.sin(math.pi / sides)
    assert area_of(regular(sides, radius)) == pytest.approx(factor, abs=5e-5)


# Shapely's manual (a triangle's area 0.5 and length 3.414213562373095) and its front page ("an approximately circular
# patch", a 64-gon of radius 10: 313.65484905459385).
def test_areas_and_lengths_of_the_shapely_manual() -> None:
    measures = Measures(plat(exact("a", [(0, 0), (1, 1), (1, 0)]), exact("b", regular(64, 10, (50, 50)))))
    triangle, patch, around = measures.area(["a"]), measures.area(["b"]), measures.perimeter("a")
    assert triangle is not None
    assert patch is not None
    assert around is not None
    assert triangle.value == pytest.approx(0.5, rel=1e-12)
    assert around.value == pytest.approx(3.414213562373095, rel=1e-12)
    assert patch.value == pytest.approx(313.65484905459385, rel=1e-12)


# Machinery's Handbook, p. 79: an annulus of diameters 12 and 8 has 62.83; here between inscribed 720-gons.
def test_ring_in_a_ring_is_a_hole() -> None:
    measures = Measures(plat(exact("a", regular(720, 6), holes=[regular(720, 4)])))
    area, perimeter = measures.area(["a"]), measures.perimeter("a")
    assert area is not None
    assert perimeter is not None
    assert area.value == pytest.approx(62.83, abs=0.005)
    assert perimeter.value == pytest.approx(math.pi * 20, rel=1e-4)


# The L and the trapezoid of one of our ray-traced scenes, whose maker worked out the edges of 18 mm and 24 mm tape.
L_SHAPE = [
    (159.339939, 459.228996),
    (91.677861, 460.146515),
    (95.777248, 379.990318),
    (19.352435, 382.778382),
    (17.030632, 308.842381),
    (158.267803, 308.422196),
]
TRAPEZOID = [(224.865333, 307.890622), (315.141802, 310.888746), (355.918539, 457.6444), (191.209657, 456.639949)]


@pytest.mark.parametrize(
    ("corners", "width", "inner", "outer"),
    [(L_SHAPE, 18.0, 10339.724539, 20967.388257), (TRAPEZOID, 24.0, 12706.398257, 26143.104604)],
)
def test_edges_of_tape(corners: Corners, width: float, inner: float, outer: float) -> None:
    found = plat(exact("a", corners, width=width))
    for edge, area in (("inner", inner), ("outer", outer)):
        measured = Measures(found, edge).area(["a"])  # type: ignore[arg-type]
        assert measured is not None
        assert measured.value == pytest.approx(area, rel=1e-6)


NOTCHED = [(0, 0), (100, 0), (100, 80), (60, 80), (60, 30), (52, 30), (52, 80), (0, 80)]
SPIKE = [(0, 0), (200, 18), (0, 36)]
DUMBBELL = [
    (0, 0),
    (60, 0),
    (60, 28),
    (120, 28),
    (120, 0),
    (180, 0),
    (180, 70),
    (120, 70),
    (120, 38),
    (60, 38),
    (60, 70),
    (0, 70),
]


@pytest.mark.parametrize("corners", [L_SHAPE, TRAPEZOID, NOTCHED, SPIKE, DUMBBELL, rectangle(0, 0, 10, 50)])
@pytest.mark.parametrize("edge", ["inner", "outer"])
def test_offsets_are_those_of_shapely(corners: Corners, edge: str) -> None:
    """Sides that vanish, bays that close, necks that part, corners too sharp for a mitre: as shapely's buffer."""
    piece = exact("a", corners, width=12.0)
    reach = 6.0 if edge == "outer" else -6.0
    buffered = shapely.Polygon(corners).buffer(reach, join_style="mitre", mitre_limit=5.0)
    land = region(piece, edge, 0)  # type: ignore[arg-type]
    assert outline.area(land.sides).value == pytest.approx(buffered.area, abs=1e-6)
    assert shapely.symmetric_difference(land.geometry, buffered).area == pytest.approx(0, abs=1e-6)


def test_tape_that_covers_all_of_a_piece_leaves_nothing() -> None:
    measures = Measures(plat(exact("a", rectangle(0, 0, 10, 50)), exact("b", rectangle(100, 0, 50, 50))), "inner")
    area = measures.area(["a"])
    assert area is not None
    assert (area.value, area.u) == (0.0, 0.0)
    assert measures.separation("a", "b") is None
    assert measures.edge_outlines("a", 1) == ()


def test_edges_around_a_hole_bound_the_land() -> None:
    """Along the inner edge land shrinks at the outline and at the hole; shapely's buffer of the holed polygon."""
    holed = exact("a", rectangle(0, 0, 100, 80), holes=[rectangle(30, 30, 20, 20)], width=10.0)
    polygon = shapely.Polygon(rectangle(0, 0, 100, 80), [rectangle(30, 30, 20, 20)])
    for edge, reach in (("inner", -5.0), ("outer", 5.0)):
        area = Measures(plat(holed), edge).area(["a"])  # type: ignore[arg-type]
        assert area is not None
        assert area.value == pytest.approx(polygon.buffer(reach, join_style="mitre").area)


def test_curved_outline_is_offset_along_its_normals() -> None:
    area = Measures(plat(exact("pond", regular(180, 50, (80, 80)), width=4.0, curved=True)), "outer").area(["pond"])
    assert area is not None
    assert area.value == pytest.approx(area_of(regular(180, 52)), rel=1e-9)


# Areas of unions, shapely manual, "Cascading unions" in kind: two unit squares that overlap by a quarter cover 1.75.
def test_union_counts_common_land_once() -> None:
    measures = Measures(plat(exact("a", rectangle(0, 0, 1, 1)), exact("b", rectangle(0.5, 0.5, 1, 1))))
    together, alone = measures.area(["a", "b"]), measures.area(["a", "a"])
    assert together is not None
    assert alone is not None
    assert together.value == pytest.approx(1.75)
    assert alone.value == pytest.approx(1.0)


def test_pieces_that_touch_in_a_corner_add_up() -> None:
    measures = Measures(plat(exact("a", rectangle(0, 0, 10, 10)), exact("a", rectangle(10, 10, 10, 10))))
    area, perimeter = measures.area(["a"]), measures.perimeter("a")
    assert area is not None
    assert perimeter is not None
    assert (measures.count("a"), area.value, perimeter.value) == (2, 200, 80)


def test_pieces_of_one_zone_that_overlap_count_common_land_once() -> None:
    measures = Measures(plat(exact("a", rectangle(0, 0, 10, 10)), exact("a", rectangle(5, 0, 10, 10))))
    area = measures.area(["a"])
    assert area is not None
    assert area.value == pytest.approx(150)


def test_enclosed_zone_is_reported_and_subtracted_only_when_asked() -> None:
    pieces = (exact("meadow", rectangle(0, 0, 100, 100)), exact("pond", rectangle(20, 20, 10, 10)))
    plain, less = Measures(plat(*pieces)), Measures(plat(*pieces), subtract=frozenset({"meadow"}))
    assert plain.enclosed("meadow") == ("pond",)
    assert plain.enclosed("pond") == ()
    for measures, area in ((plain, 10_000), (less, 9_900)):
        measured, together = measures.area(["meadow"]), measures.area(["meadow", "pond"])
        assert measured is not None
        assert together is not None
        assert measured.value == pytest.approx(area)
        assert together.value == pytest.approx(10_000)
    apart = less.overlap("meadow", "pond")
    assert apart is not None
    assert apart.quantity.value == pytest.approx(0)
    assert plain.overlap("meadow", "pond").quantity.value == pytest.approx(-30)  # type: ignore[union-attr]


def test_zones_laid_on_the_same_line_do_not_enclose_each_other() -> None:
    pieces = (exact("a", rectangle(0, 0, 50, 50)), exact("b", rectangle(0, 0, 50, 50)))
    measures = Measures(plat(*pieces), subtract=frozenset({"a", "b"}))
    assert measures.enclosed("a") == measures.enclosed("b") == ()


def test_a_zone_without_measured_pieces_has_no_measures() -> None:
    broken = Piece("a", Ring(np.zeros((0, 2)), np.zeros((0, 2, 0))), Quantity(12.0), status="not measurable")
    measures = Measures(plat(broken, exact("b", rectangle(0, 0, 10, 10))))
    assert (measures.count("a"), measures.unmeasured("a"), measures.pieces("a")) == (1, 1, ())
    assert measures.area(["a"]) is measures.area(["b", "a"]) is measures.perimeter("a") is None
    assert measures.separation("a", "b") is measures.edge_clearance("a") is measures.inside_parcel("a") is None
    assert measures.centre_offset("a", (0, 0)) is measures.extent("a") is None
    assert measures.area(["nowhere"]) is measures.area([]) is None
    assert measures.count("nowhere") == 0


def test_measured_pieces_keep_the_number_that_the_picture_shows() -> None:
    broken = Piece("a", Ring(np.zeros((0, 2)), np.zeros((0, 2, 0))), Quantity(12.0), status="not measurable")
    measures = Measures(plat(broken, exact("a", rectangle(0, 0, 10, 10)), exact("b", rectangle(15, 0, 10, 10))))
    apart = measures.separation("a", "b")
    assert apart is not None
    assert apart.pieces == (("a", 2), ("b", 1))
    assert measures.piece_area("a", 1) is None
    assert measures.piece_area("a", 2).value == 100  # type: ignore[union-attr]


def test_place_on_the_parcel() -> None:
    measures = Measures(plat(exact("a", rectangle(30, 20, 100, 60), width=10)), "outer")
    clearance, within = measures.edge_clearance("a"), measures.inside_parcel("a")
    offset, extent = measures.centre_offset("a", (77, 46)), measures.extent("a")
    assert clearance is not None
    assert within is not None
    assert offset is not None
    assert extent is not None
    assert (clearance.quantity.value, within.quantity.value) == (15, 20)
    assert clearance.between[1][1] == 0
    assert offset.value == pytest.approx(5.0)
    assert (extent[0].value, extent[1].value) == (100, 60)


def test_outside_the_parcel_is_negative() -> None:
    within = Measures(plat(exact("a", rectangle(350, 20, 62, 60)))).inside_parcel("a")
    assert within is not None
    assert within.quantity.value == -12


def test_nothing_is_known_of_places_in_the_cards_frame() -> None:
    found: Plat = plat(exact("a", rectangle(30, 20, 100, 60)), frame="card")
    measures = Measures(found)
    assert measures.edge_clearance("a") is measures.inside_parcel("a") is None
    assert measures.centre_offset("a", (0, 0)) is measures.extent("a") is None
    assert measures.area(["a"]) is not None


sizes = st.floats(1, 100)
turns = st.floats(0, 2 * math.pi)


@given(st.integers(3, 9), sizes, sizes, sizes, turns, st.floats(0.1, 10))
@examples(60)
def test_area_is_moved_with_the_outline_and_grows_with_its_square(
    sides: int, radius: float, x: float, y: float, turn: float, factor: float
) -> None:
    corners = np.array(regular(sides, radius)) * [1.0, 0.6]
    rotation = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
    area = area_of(corners.tolist())
    assert area_of((corners @ rotation.T + [x, y]).tolist()) == pytest.approx(area, rel=1e-9)
    assert area_of((factor * corners).tolist()) == pytest.approx(factor**2 * area, rel=1e-9)
    assert area == pytest.approx(shapely.Polygon(corners).area, rel=1e-12)

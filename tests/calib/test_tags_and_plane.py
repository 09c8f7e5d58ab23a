"""Tags, edge shift, camera and plane on drawn photos of exactly known geometry, and on published values."""

from __future__ import annotations

import warnings
from dataclasses import replace
from functools import cache

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import chdtrc
from skimage.transform import ProjectiveTransform

from calib.camera import Camera
from calib.chi_square import tail
from calib.estimate.plane import Plane, StraightLine, estimate_plane
from calib.estimate.prior import print_scale
from calib.photo_setup import Lens, PhotoSetup, Priors
from calib.prints.edge_shift import EdgeShift, edge_shift
from calib.prints.tags import TagSquare, find_tags
from tests.helpers.scenes import printing
from tests.helpers.scenes.draw import draw
from tests.helpers.scenes.model import Film, Scene
from tests.helpers.scenes.view import halved
from tests.helpers.scenes.village import village
from vision.plane_remarks import WORST_TAG

EXACT = Priors(0, 0, 0, 0, 0)
Seen = tuple[Scene, tuple[TagSquare, ...], EdgeShift]


@cache
def seen(linear: bool = True, half: bool = False) -> Seen:
    scene = village(film=Film(linear=linear, read=0.0, shot=0.0, quality=100), k1=0.01)
    if half:
        scene = replace(scene, view=halved(scene.view))
    grey = np.asarray(cv2.cvtColor(draw(scene), cv2.COLOR_BGR2GRAY), dtype=np.uint8)
    tags = find_tags(grey)
    return scene, tags, edge_shift(grey, tags)


def plane_of(
    seen: Seen, *, tiles: bool = True, priors: Priors = EXACT, lens: Lens | None = None, **known: object
) -> Plane:
    scene, tags, shift = seen
    setup = PhotoSetup(scene.width, scene.depth, priors=priors, **known)  # type: ignore[arg-type]
    kept = [t for t in tags if tiles or t.tag == 0]
    return estimate_plane(kept, shift, scene.view.size, setup, Lens(scene.view.focal) if lens is None else lens)


def grown(corners: np.ndarray, by: float) -> np.ndarray:
    """A square's corners moved outwards so that every side moves by `by` px."""
    diagonal = corners - corners.mean(axis=0)
    return corners + by * np.sqrt(2) * diagonal / np.linalg.norm(diagonal, axis=1, keepdims=True)


@pytest.mark.parametrize("linear", [True, False], ids=["blurred as light", "blurred as encoded"])
def test_a_tags_corners_are_found_without_bias(linear: bool) -> None:
    """Less than 0.05 px of bias in place and in size, whichever way the lens's blur meets the tone curve."""
    scene, tags, shift = seen(linear)
    assert {t.tag for t in tags} == {0, 1, 2, 3, 4}
    places, sides = [], []
    for tag in tags:
        printed = next(p for p in scene.prints if p.tag == tag.tag)
        true = scene.view.project(printing.square(printed), printed.height)
        off = grown(tag.corners, shift.value) - true
        away = (true - true.mean(axis=0)) / np.linalg.norm(true - true.mean(axis=0), axis=1, keepdims=True)
        places.append(off.mean(axis=0))
        sides.append(float((off * away).sum(axis=1).mean()) / np.sqrt(2))  # a corner moves along the diagonal
        if tag.tag == 0:
            assert max(np.abs(places[-1]).max(), abs(sides[-1])) < 0.05
    assert np.abs(np.mean(places, axis=0)).max() < 0.05
    assert abs(np.mean(sides)) < 0.05
    assert max(np.abs(places).max(), np.abs(sides).max()) < 0.1  # a small tile's own noise


def test_blur_does_not_make_a_tile_look_smaller() -> None:
    """The cells' edges and the outer ones are shifted alike; they differed by up to 0.25 px, and areas were 1 % off."""
    scene = village(film=Film(blur=1.5, read=0.0, shot=0.0, quality=100), k1=0.01)
    tags = find_tags(np.asarray(cv2.cvtColor(draw(scene), cv2.COLOR_BGR2GRAY), dtype=np.uint8))
    assert len(tags) == 5
    for tag in tags:
        cells, printed = tag.cells, next(p for p in scene.prints if p.tag == tag.tag)
        assert cells is not None
        corner = printing.square(printed)
        places = corner[0] + cells.places @ np.array([corner[1] - corner[0], corner[3] - corner[0]])
        shift = np.sum((scene.view.project(places, printed.height) - cells.points) * cells.normals, axis=1)
        outer = (cells.places.min(axis=1) < 0.01) | (cells.places.max(axis=1) > 0.99)
        assert abs(shift[outer].mean() - shift[~outer].mean()) < 0.1


def test_light_blurred_before_the_tone_curve_shifts_edges_towards_the_ink() -> None:
    assert seen(True)[2].value > seen(False)[2].value + 0.1
    assert seen(True)[2].u < 0.05


def test_the_plane_places_points_within_its_uncertainty() -> None:
    scene = seen()[0]
    plane = plane_of(seen())
    places = np.array([[x, y] for x in np.linspace(10, 290, 6) for y in np.linspace(10, 240, 5)])
    got, sensitivity = plane.locate(scene.view.project(places))
    error, u = got - places, np.sqrt((sensitivity**2).sum(axis=2))
    assert np.abs(error).max() < 0.12
    assert np.sqrt((error**2).mean()) < 3 * np.sqrt((u**2).mean())


@pytest.mark.parametrize(
    ("less", "more"),
    [
        (lambda: plane_of(seen()), lambda: plane_of(seen(), tiles=False)),
        (lambda: plane_of(seen()), lambda: plane_of(seen(), priors=Priors())),
        (lambda: plane_of(seen()), lambda: plane_of(seen(half=True))),
        (lambda: plane_of(seen(), tiles=False), lambda: plane_of(seen(), tiles=False, lens=Lens(None, whole=False))),
    ],
    ids=["without tiles", "with the default priors", "photo halved", "without EXIF and cropped"],
)
def test_uncertainty_grows_with_what_is_not_known(less, more) -> None:  # type: ignore[no-untyped-def]
    def spread(plane: Plane) -> float:
        """Of a distance of 200 mm across the middle of the photo."""
        middle = np.array(plane.camera.size) / 2
        ends = plane.camera.project(plane.camera.locate(middle[None]) + np.array([[-100.0, 0], [100.0, 0]]))
        _, sensitivity = plane.locate(ends)
        return float(np.linalg.norm(sensitivity[1, 0] - sensitivity[0, 0]))

    assert spread(more()) > 1.15 * spread(less())


@pytest.mark.parametrize("times", [0.85, 1.2])
def test_the_estimate_is_the_same_wherever_it_starts(times: float) -> None:
    """From another focal length's fit; without EXIF, focal length and distance make up for each other.

    It stopped on the way, 1.6 standard uncertainties off.
    """
    scene, tags, shift = seen()
    corners = np.array([[0, 0], [scene.width, 0], [scene.width, scene.depth], [0, scene.depth]])
    rings = [corners, *(np.array(at) + 0.2 * corners for at in ([30, 30], [150, 40], [60, 120], [200, 150]))]
    lines = []
    for number, ring in enumerate(rings):
        for side, (start, end) in enumerate(zip(ring, np.roll(ring, -1, axis=0), strict=True)):
            places = start + np.linspace(0.02, 0.98, 40)[:, None] * (end - start)
            lines.append(StraightLine(scene.view.project(places), np.full(40, 0.2), 0.0, None if number else side))
    card = [t for t in tags if t.tag == 0]

    def fitted(lens: Lens, start: Plane | None = None) -> Plane:
        setup = PhotoSetup(scene.width, scene.depth)
        return estimate_plane(card, shift, scene.view.size, setup, lens, lines, start)

    unknown = Lens(None, whole=False)
    told = fitted(unknown)
    far = fitted(unknown, fitted(Lens(times * scene.view.focal, focal_spread=0.001)))
    for name in ("log_f", "tz", "k1", "k2"):
        assert abs(far.value(name) - told.value(name)) < 0.05 * told.spread(name)


@pytest.mark.parametrize(
    ("read", "u", "known"),
    [
        ((None, None), 0.15, ((1.0, 0.005), (1.0, 0.005))),  # never taken for read as 100 and 80
        ((99.0, 79.6), 0.15, ((0.99, 0.0015), (0.995, 0.001875))),
        ((99.0, None), 0.15, ((0.99, 0.0015), (0.99, 0.0025))),
        ((None, 79.2), 0.15, ((0.99, 0.0025), (0.99, 0.001875))),
        ((None, None), 0.0, ((1.0, 0.0), (1.0, 0.0))),
        ((None, None), 3.0, ((1.0, 0.03007), (1.0, 0.03007))),  # where the stated parcel says that it may be off
    ],
)
def test_what_is_known_of_a_prints_scale(read, u: float, known) -> None:
    found = print_scale(PhotoSetup(300.0, 200.0, printed_line=read, priors=Priors(printed_line=u)))
    assert np.array(found) == pytest.approx(np.array(known), abs=1e-5)


def test_the_printed_line_scales_every_length() -> None:
    """A card printed at 101 % measures 1 % too short unless its check lines say so."""
    by_nominal = plane_of(seen(), tiles=False)
    by_reading = plane_of(seen(), tiles=False, printed_line=(101.0, 80.8))
    pixels = np.array([[700.0, 500.0], [900.0, 500.0]])
    length = [float(np.linalg.norm(np.diff(p.locate(pixels)[0], axis=0))) for p in (by_nominal, by_reading)]
    assert length[1] / length[0] == pytest.approx(1.01, abs=2e-4)


def test_a_card_on_the_table_beside_a_thick_board() -> None:
    """Ignoring 5 mm of board would make lengths 0.9 % too long at this height; with it they are right."""
    scene = village(tiles=False, thickness=5.0)
    grey = np.asarray(cv2.cvtColor(draw(scene), cv2.COLOR_BGR2GRAY), dtype=np.uint8)
    tags = find_tags(grey)
    shift, ends = edge_shift(grey, tags), np.array([[60.0, 120.0], [260.0, 120.0]])
    length = []
    for surface, thickness in (("table", 5.0), ("parcel", None)):
        setup = PhotoSetup(scene.width, scene.depth, thickness, surface, priors=EXACT)  # type: ignore[arg-type]
        plane = estimate_plane(tags, shift, scene.view.size, setup, Lens(scene.view.focal))
        found, sensitivity = plane.locate(scene.view.project(ends))
        length.append(float(np.linalg.norm(found[1] - found[0])))
    u = float(np.linalg.norm(sensitivity[1, 0] - sensitivity[0, 0]))
    assert abs(length[0] - 200) < max(0.25, 3 * u)
    assert length[1] > 200 + 0.8


def test_tiles_of_another_parcel_disagree_with_the_card() -> None:
    scene, tags, shift = seen()
    wrong = PhotoSetup(scene.width * 1.05, scene.depth, priors=EXACT)
    plane = estimate_plane(tags, shift, scene.view.size, wrong, Lens(scene.view.focal))
    assert max(plane.tag_misfit.values()) > 4 * WORST_TAG
    assert max(plane_of(seen()).tag_misfit.values()) < WORST_TAG


VECTOR = st.tuples(
    st.floats(-0.6, 0.6), st.floats(-0.6, 0.6), st.floats(-3, 3), st.floats(-300, 300), st.floats(-300, 300),
    st.floats(400, 1500), st.floats(6.8, 8.2), st.floats(700, 900), st.floats(500, 700), st.floats(-0.03, 0.03),
    st.floats(-0.01, 0.01), st.floats(-0.005, 0.005), st.floats(-0.1, 0.1), st.floats(-0.1, 0.1),
)  # fmt: skip


@given(VECTOR, st.floats(0, 1599), st.floats(0, 1199), st.floats(-20, 20))
def test_locating_undoes_projecting(vector: tuple[float, ...], x: float, y: float, height: float) -> None:
    camera, pixel = Camera(np.array(vector), (1600, 1200)), np.array([[x, y]])
    place = camera.locate(pixel, height)
    if np.abs(place).max() < 3000 and (camera.rotation @ np.array([*place[0], -height]) + camera.vector[3:6])[2] > 50:
        assert camera.project(place, height) == pytest.approx(pixel, abs=0.02)


def test_a_homography_against_a_reference_librarys_own_data() -> None:
    """scikit-image, tests/skimage/transform/test_geometric.py (read): SRC -> DST; first four points, exact solution.

    The matrix is not printed there; it was computed from the four points (numpy), to ten digits.
    """
    source = np.array([[-12.3705, -10.5075], [-10.7865, 15.4305], [8.6985, 10.8675], [11.4975, -9.5715]], np.float32)
    target = np.array([[0, 0], [0, 5800], [4900, 5800], [4900, 0]], np.float32)
    expected = np.array(
        [
            [194.6690129078, -11.8881839944, 2283.2379308548],
            [-8.6910077539, 221.6206977256, 2221.1673699314],
            [-0.0126959667, -0.0096053624, 1],
        ]
    )
    matrix = cv2.getPerspectiveTransform(source, target)
    assert matrix / matrix[2, 2] == pytest.approx(expected, rel=2e-4)
    reference = ProjectiveTransform.from_estimate(source.astype(float), target.astype(float)).params
    assert reference / reference[2, 2] == pytest.approx(expected, rel=1e-6)


# The 5 % points of the chi-squared distribution as handbooks print them (from memory).
@pytest.mark.parametrize(("freedom", "point"), [(1, 3.841), (2, 5.991), (3, 7.815), (4, 9.488), (5, 11.07)])
def test_chi_squared_tail_at_the_printed_points(freedom: int, point: float) -> None:
    assert tail(point, freedom) == pytest.approx(0.05, abs=2e-5)


@given(st.integers(1, 7), st.floats(0, 200))
def test_chi_squared_tail_is_scipys(freedom: int, square: float) -> None:
    assert tail(square, freedom) == pytest.approx(float(chdtrc(freedom, square)), rel=1e-9, abs=1e-300)


def test_where_a_lens_folds_over_no_place_is_seen_and_nothing_overflows() -> None:
    """Newton's method runs away there: numbers grew until they were none, with warnings in the terminal."""
    vector = np.array([0, 0, 0, -100.0, -80, 400, np.log(1500), 799.5, 599.5, 0.3, -0.9, 0.2, 3, -4])
    camera = Camera(vector, (1600, 1200))
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        places = camera.locate(np.array([[0.0, 0.0], [-200, -200], [800, 600], [700, 500]]))
    assert np.isnan(places[:2]).all()
    assert camera.project(places[2:]) == pytest.approx(np.array([[800, 600], [700, 500]]), abs=1e-3)

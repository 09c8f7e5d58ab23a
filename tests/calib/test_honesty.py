"""Half-pixel conventions, the shift of edges, and whether stated uncertainties are as large as the errors."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.ops import unary_union

from calib.camera import Camera
from calib.estimate.plane import estimate_plane
from calib.photo_setup import Lens, PhotoSetup, Priors
from calib.prints.edge_shift import edge_shift
from calib.prints.tags import detect, find_tags, refine
from tests.helpers.scenes import printing
from tests.helpers.scenes.draw import draw, rings_of
from tests.helpers.scenes.model import Film, Print, Scene, Surface
from tests.helpers.scenes.raster import FloatArray, coverage
from tests.helpers.scenes.view import looking
from tests.helpers.scenes.village import village
from vision.picture.rectified import rectify

Grey = NDArray[np.uint8]


def grey_of(scene: Scene) -> Grey:
    return np.asarray(cv2.cvtColor(draw(scene), cv2.COLOR_BGR2GRAY), dtype=np.uint8)


def bare(seed: int, size: tuple[int, int] = (1100, 825)) -> tuple[Scene, PhotoSetup]:
    """Card and corner tiles on an empty board, everything off by as much as the default priors say."""
    random = np.random.default_rng(seed)
    width, depth = 304.8, 254.0
    scale = tuple(random.uniform(0.99, 1.01, 2))
    turned = random.normal(0, 0.3 / 32, 4)
    prints = [Print(0, "card", (330.0, 60.0), 0.05, 0.1 + random.normal(0, 0.3), scale)]
    for tag, (right, bottom), turn in zip((1, 2, 3, 4), ((0, 0), (1, 0), (1, 1), (0, 1)), turned, strict=True):
        local = np.array([32.0 * right, 32.0 * bottom]) * scale
        c, s = np.cos(turn), np.sin(turn)
        corner = np.array([width * right, depth * bottom]) + random.normal(0, 0.3, 2)
        place = corner - local @ np.array([[c, s], [-s, c]])
        prints.append(Print(tag, "corner", tuple(place), float(turn), scale=scale))
    at = np.array([[-5.0, -5], [520, -5], [520, depth + 5], [-5, depth + 5]])
    focal = 26 / np.hypot(36, 24) * np.hypot(*size)
    view = looking(
        size, at, tilt=float(random.uniform(0, 25)), azimuth=float(random.uniform(0, 360)),
        focal=focal * (1 + random.normal(0, 0.02)), k1=random.normal(0, 0.015), k2=random.normal(0, 0.004),
    )  # fmt: skip
    film = Film(seed=seed, blur=float(random.uniform(0.5, 0.9)))
    scene = Scene(width, depth, view, {}, (), (), tuple(prints), board=Surface((238, 238, 234)), film=film)
    line = tuple(s * n + random.normal(0, 0.15) for s, n in zip(scale, (100, 80), strict=True))
    stated = width + random.normal(0, 0.5), depth + random.normal(0, 0.5)
    return scene, PhotoSetup(*stated, printed_line=line)


def test_the_planes_covariance_is_honest() -> None:
    """Lengths across 16 photos: the root mean square of error over stated uncertainty is about one."""
    z: list[float] = []
    for seed in range(16):
        scene, setup = bare(seed)
        grey = grey_of(scene)
        tags = find_tags(grey)
        focal = 26 / np.hypot(36, 24) * np.hypot(*scene.view.size)
        plane = estimate_plane(tags, edge_shift(grey, tags), scene.view.size, setup, Lens(float(focal)))
        ends = np.array([[[50.0, 127], [255, 127]], [[152, 40], [152, 214]], [[60, 60], [245, 200]]])
        for pair in ends:
            place, sensitivity = plane.locate(scene.view.project(pair))
            way = (pair[1] - pair[0]) / np.linalg.norm(pair[1] - pair[0])
            error = float((place[1] - place[0]) @ way - np.linalg.norm(pair[1] - pair[0]))
            z.append(error / float(np.linalg.norm(way @ (sensitivity[1] - sensitivity[0]))))
    assert 0.6 < np.sqrt(np.mean(np.square(z))) < 1.4


@pytest.mark.parametrize("towards_ink", [-0.3, 0.0, 0.25, 0.5])
def test_a_known_shift_of_edges_is_recovered(towards_ink: float) -> None:
    """A tag whose every black area was drawn that many px smaller on all sides, blurred symmetrically."""
    printed = Print(0, "card", (0.0, 0.0))
    view = looking((700, 500), printing.paper(printed), tilt=6, azimuth=40)
    ink = unary_union([Polygon(view.project(r)).buffer(1e-6) for r in printing.black(printed)])
    picture = np.full((500, 700), 235.0)
    cover = coverage(rings_of(ink.buffer(-towards_ink, join_style="mitre")), (700, 500))
    assert cover is not None
    picture[cover.window] -= 200.0 * cover.share
    grey = np.rint(cv2.GaussianBlur(picture, (0, 0), 0.7)).astype(np.uint8)
    found = edge_shift(grey, find_tags(grey))
    assert found.value == pytest.approx(towards_ink, abs=0.03)
    assert abs(found.value - towards_ink) < 3 * found.u


@pytest.mark.parametrize("size", [(1600, 1200), (3000, 2250)], ids=["at full size", "detected in a reduced picture"])
def test_the_detectors_start_has_no_half_pixel_in_it(size: tuple[int, int]) -> None:
    """Rough corners lie about the true ones without a common displacement; a start half a pixel off changes nothing."""
    scene = village(size=size, film=Film(linear=False))
    grey = grey_of(scene)
    card = next(corners for tag, corners in detect(grey) if tag == 0)
    true = scene.view.project(printing.square(scene.prints[0]), scene.prints[0].height)
    assert np.abs((card - true).mean(axis=0)).max() < 0.45
    fitted = [refine(grey, 0, card + off) for off in (np.zeros(2), np.array([0.5, -0.5]))]
    assert fitted[0] is not None
    assert fitted[1] is not None
    assert fitted[1].corners == pytest.approx(fitted[0].corners, abs=0.02)


def test_the_corrected_picture_has_no_half_pixel_in_it() -> None:
    """Tags found in the corrected picture lie where the print lies, to a tenth of its pixels."""
    scene = village(film=Film(linear=False, read=0.0, shot=0.0), k1=0.01)
    view = scene.view
    vector = np.concatenate([
        cv2.Rodrigues(view.rotation)[0].ravel(), view.translation,
        [np.log(view.focal)], view.centre, [view.k1, view.k2, 0.0, 0.0, 0.0],
    ])  # fmt: skip
    camera = Camera(vector, view.size)
    low, high = np.array([-10.0, -10.0]), np.array([scene.width + 10.0, scene.depth + 10.0])
    picture = rectify(draw(scene), camera, low, high, 0.4)
    tags = find_tags(np.asarray(cv2.cvtColor(picture.bgr, cv2.COLOR_BGR2GRAY), dtype=np.uint8))
    tiles = {p.tag: p for p in scene.prints if p.kind == "corner"}
    assert {t.tag for t in tags} >= set(tiles)
    for tag in (t for t in tags if t.tag in tiles):
        # The tile's face lies 0.1 mm above the plane that is corrected.
        seen = camera.locate(view.project(printing.square(tiles[tag.tag]), 0.1))
        assert np.abs((picture.to_mm(tag.corners) - seen).mean(axis=0)).max() < 0.04


def test_a_camera_without_a_lens_is_the_closed_form_homography() -> None:
    """K [r1 r2 t] (Hartley and Zisserman, Multiple View Geometry, 2nd ed., 8.1; from memory)."""
    rotation = np.asarray(cv2.Rodrigues(np.array([0.2, -0.1, 0.4]))[0])
    vector = np.array([0.2, -0.1, 0.4, 10.0, -20.0, 700.0, np.log(1500.0), 799.5, 599.5, 0, 0, 0, 0, 0])
    matrix = np.array([[1500.0, 0, 799.5], [0, 1500.0, 599.5], [0, 0, 1]])
    homography = matrix @ np.column_stack([rotation[:, 0], rotation[:, 1], vector[3:6]])
    places = np.array([[0.0, 0], [300, 0], [300, 200], [0, 200], [120, 80]])
    mapped = np.column_stack([places, np.ones(5)]) @ homography.T
    assert Camera(vector, (1600, 1200)).project(places) == pytest.approx(mapped[:, :2] / mapped[:, 2:], abs=1e-9)


@settings(deadline=None)
@given(
    st.floats(-0.05, 0.17), st.floats(-2.8, -1.8), st.floats(-0.02, 0.02), st.floats(-0.5, 0.5), st.floats(-0.5, 0.5),
    st.floats(0, 1599), st.floats(0, 1199),
)  # fmt: skip
def test_undistorting_undoes_distorting(
    k1: float, ratio: float, corner: float, k4: float, k5: float, x: float, y: float
) -> None:
    """Phones' moustaches: k2 about -2.2 k1, and k3 such that the corners stay."""
    k2 = ratio * k1
    radial = (k1, k2, corner - k1 - k2, k4, k5)
    camera = Camera(np.array([0, 0, 0, 0, 0, 600.0, 7.0, 799.5, 599.5, *radial]), (1600, 1200))
    ideal: FloatArray = np.array([[x, y]])
    assert camera.undistort(camera.distort(ideal)) == pytest.approx(ideal, abs=0.01)


def test_a_wrong_focal_length_is_within_a_wider_uncertainty() -> None:
    """EXIF that no longer fits is left out: the length is less certain, and still right within its uncertainty."""
    scene = replace(village(tiles=False, thickness=5.0, tilt=12.0), film=Film(linear=False))
    grey = grey_of(scene)
    tags = find_tags(grey)
    shift, ends = edge_shift(grey, tags), np.array([[60.0, 120.0], [260.0, 120.0]])
    spread = []
    for lens in (Lens(scene.view.focal), Lens(None, whole=False)):
        setup = PhotoSetup(scene.width, scene.depth, 5.0, "table", priors=Priors(0, 0, 0, 0, 0))
        plane = estimate_plane(tags, shift, scene.view.size, setup, lens)
        found, sensitivity = plane.locate(scene.view.project(ends))
        way = (sensitivity[1] - sensitivity[0])[0]
        spread.append(float(np.linalg.norm(way)))
        assert abs(found[1, 0] - found[0, 0] - 200) < 3 * spread[-1] + 0.05
    assert spread[1] > 1.5 * spread[0]

"""The drawn photos themselves: coverage, projection and geometry against shapely and OpenCV."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Polygon, box

from tests.helpers.examples import examples
from tests.helpers.scenes.files import photo_of
from tests.helpers.scenes.random_scene import random_scene
from tests.helpers.scenes.raster import coverage
from tests.helpers.scenes.view import LEAST_AWAY, View, halved, looking

POINT = st.tuples(st.floats(-4, 14), st.floats(-4, 12))


@examples(60)
@given(st.tuples(POINT, POINT, POINT))
def test_coverage_is_the_area_inside_each_pixel(triangle: tuple[tuple[float, float], ...]) -> None:
    """Against shapely's intersection of the triangle with every pixel, which reaches half a pixel about its centre."""
    polygon = Polygon(triangle)
    if polygon.area < 0.01:
        return
    share = np.zeros((8, 10))
    cover = coverage([np.array(triangle)], (10, 8))
    if cover is not None:
        share[cover.window] = cover.share
    for y in range(8):
        for x in range(10):
            expected = polygon.intersection(box(x - 0.5, y - 0.5, x + 0.5, y + 0.5)).area
            assert share[y, x] == pytest.approx(expected, abs=1e-5)


def a_view(k1: float = 0.02, k2: float = -0.004) -> View:
    at = np.array([[0.0, 0], [300, 0], [300, 200], [0, 200]])
    return looking((1200, 900), at, tilt=25, azimuth=70, roll=12, k1=k1, k2=k2, off_centre=(6.0, -4.0))


def test_projection_against_opencv() -> None:
    """cv2.projectPoints takes the lens's terms per unit of X/Z, here they are per half diagonal."""
    view = a_view()
    spatial = np.array([[x, y, -h] for x in (0.0, 150, 300) for y in (0.0, 200) for h in (0.0, 40)])
    ratio = view.focal / view.half_diagonal
    matrix = np.array([[view.focal, 0, view.centre[0]], [0, view.focal, view.centre[1]], [0, 0, 1]])
    lens = np.array([view.k1 * ratio**2, view.k2 * ratio**4, 0, 0, 0])
    turned = cv2.Rodrigues(view.rotation)[0]
    expected, _ = cv2.projectPoints(spatial, turned, view.translation, matrix, lens)
    assert view.project(spatial[:, :2], -spatial[:, 2]) == pytest.approx(expected[:, 0], abs=1e-6)


def test_places_undo_projection_and_halving_keeps_the_scene() -> None:
    view, places = a_view(), np.array([[x, y] for x in np.linspace(0, 300, 7) for y in np.linspace(0, 200, 5)])
    pixels = view.project(places)
    assert view.places(pixels) == pytest.approx(places, abs=0.01)
    assert halved(view).project(places) == pytest.approx((pixels + 0.5) / 2 - 0.5, abs=1e-9)
    assert (pixels > -0.5).all()
    assert (pixels < (1199.5, 899.5)).all()


def test_random_scenes_are_drawn_the_same_again() -> None:
    one, again = (random_scene(12, size=(400, 300)) for _ in range(2))
    assert np.array_equal(photo_of(one).bgr, photo_of(again).bgr)
    assert not np.array_equal(photo_of(one).bgr, photo_of(random_scene(13, size=(400, 300))).bgr)


def test_only_what_lies_before_the_camera_is_drawn() -> None:
    """A ring that reaches behind the camera is cut; one in front stays as it is, and one behind leaves nothing."""
    view = looking((1200, 900), np.array([[0.0, 0], [300, 200]]), tilt=40)
    centre = -view.rotation.T @ view.translation
    ahead = view.rotation[2, :2] / np.linalg.norm(view.rotation[2, :2])
    beside = np.array([-ahead[1], ahead[0]])
    near, far = centre[:2] - 3000 * ahead, centre[:2] + 300 * ahead
    crossing = np.array([near - 20 * beside, near + 20 * beside, far + 20 * beside, far - 20 * beside])
    cut = view.in_front(crossing)
    away = cut @ view.rotation[2, :2] + view.translation[2]
    assert len(cut) == 4
    assert away.min() == pytest.approx(LEAST_AWAY * np.linalg.norm(view.translation))
    assert Polygon(crossing).buffer(1e-6).contains(Polygon(cut))
    whole = np.array([[0.0, 0], [300, 0], [150, 200]])
    assert np.array_equal(view.in_front(whole), whole)
    assert len(view.in_front(near + np.array([[0.0, 0], [5, 0], [0, 5]]))) == 0

"""Heights of upright edges marked in one photo, against exact truth and Monte Carlo."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from calib.camera import CAMERA_PARAMETERS, Camera
from calib.edges import FloatArray
from calib.estimate.marked_height import FLAT, MarksRefused, marked_height
from calib.estimate.parameters import NAMES
from calib.estimate.plane import Plane
from tests.helpers.scenes.view import View, looking

SIZE = (3264, 2448)
BOARD = np.array([[0.0, 0], [400, 0], [400, 300], [0, 300]])
K1, K2 = 0.06, -0.1


def _view(tilt: float) -> View:
    return looking(SIZE, BOARD, tilt=tilt, azimuth=40.0, roll=3.0, focal=2450.0, fill=0.85, k1=0.0, k2=0.0)


def _plane(view: View, spread: float = 0.0) -> Plane:
    """The plane of a camera that is known but for a spread of `spread` times what photos usually leave."""
    import cv2

    vector = np.zeros(len(CAMERA_PARAMETERS))
    vector[:3] = cv2.Rodrigues(view.rotation)[0][:, 0]
    vector[3:6] = view.translation
    vector[6], vector[7:9] = np.log(view.focal), view.centre
    known = dict.fromkeys(NAMES, 0.0) | dict.fromkeys(("rx", "ry", "rz"), 1e-3)
    known |= dict.fromkeys(("tx", "ty", "tz"), 0.4) | {"log_f": 2e-3, "cx": 3.0, "cy": 3.0}
    factor = spread * np.diag([known[name] for name in NAMES])
    whole = np.concatenate([vector, np.zeros(len(NAMES) - len(vector))])
    return Plane(
        Camera(vector, view.size), NAMES, whole, factor, NAMES, 1.0, "parcel", {}, (), {}, 1.0, 1.0, 0.5, 0.1, 1.0
    )


def _marks(view: View, at: tuple[float, float], height: float) -> tuple[FloatArray, FloatArray]:
    return view.project(np.array([at]))[0], view.project(np.array([at]), height)[0]


@pytest.mark.parametrize("tilt", [8.0, 25.0, 45.0])
@pytest.mark.parametrize("height", [15.0, 60.0, 140.0])
def test_exact_marks_tell_the_exact_height_and_place(tilt: float, height: float) -> None:
    view = _view(tilt)
    found = marked_height(_plane(view), *_marks(view, (90.0, 210.0), height), marking=0.2)
    assert found.height == pytest.approx(height, abs=1e-3)
    assert found.foot == pytest.approx((90.0, 210.0), abs=1e-3)
    assert found.aside == pytest.approx(0.0, abs=1e-3)


@pytest.mark.parametrize(("tilt", "height"), [(20.0, 40.0), (40.0, 90.0)])
def test_stated_uncertainty_is_what_marks_and_cameras_scatter(tilt: float, height: float) -> None:
    """Drawn anew: both marks, the camera, and how high the land lies there."""
    view, random = _view(tilt), np.random.default_rng(7)
    plane = _plane(view, spread=1.0)
    foot, top = _marks(view, (120.0, 90.0), height)
    heights, stated = [], []
    for _ in range(250):
        off = np.zeros(len(NAMES))
        off[: len(CAMERA_PARAMETERS)] = (plane.factor @ random.normal(size=len(NAMES)))[: len(CAMERA_PARAMETERS)]
        seen = replace(plane, camera=replace(plane.camera, vector=plane.camera.vector + off[: len(CAMERA_PARAMETERS)]))
        found = marked_height(seen, foot + random.normal(0, 2, 2), top + random.normal(0, 2, 2))
        heights.append(found.height + random.normal(0, FLAT))
        stated.append(found.u)
    error = np.array(heights) - height
    assert abs(error.mean()) < 0.25 * error.std()
    assert float(np.median(stated)) == pytest.approx(float(error.std()), rel=0.15)
    assert 0.92 < float(np.mean(np.abs(error) < 2 * np.array(stated))) < 0.99


def test_coarser_marks_are_less_certain() -> None:
    view = _view(30.0)
    marks = _marks(view, (120.0, 90.0), 50.0)
    fine, coarse = (marked_height(_plane(view), *marks, marking=m).u for m in (1.0, 6.0))
    assert coarse > 3 * fine


def test_marks_that_lie_on_no_upright_edge_are_refused() -> None:
    view = _view(35.0)
    foot, top = _marks(view, (120.0, 90.0), 60.0)
    aside = np.array([top[1] - foot[1], foot[0] - top[0]])
    with pytest.raises(MarksRefused) as refused:
        marked_height(_plane(view), foot, top + 0.4 * aside)
    assert refused.value.fault == "not-upright"


def test_an_edge_that_leans_a_little_is_measured_with_less_certainty() -> None:
    view = _view(35.0)
    foot, top = _marks(view, (120.0, 90.0), 60.0)
    aside = np.array([top[1] - foot[1], foot[0] - top[0]])
    upright, leaning = (marked_height(_plane(view), foot, top + share * aside) for share in (0.0, 0.15))
    assert leaning.aside != pytest.approx(0.0, abs=5.0)
    assert leaning.u > 1.5 * upright.u


def test_a_top_below_its_foot_is_refused() -> None:
    view = _view(35.0)
    foot, top = _marks(view, (120.0, 90.0), 60.0)
    with pytest.raises(MarksRefused) as refused:
        marked_height(_plane(view), top, foot)
    assert refused.value.fault == "not-above"


def test_an_edge_right_below_the_camera_tells_no_height() -> None:
    view = _view(0.0)
    below = (float(view.place[0]) + 2.0, float(view.place[1]))
    with pytest.raises(MarksRefused) as refused:
        marked_height(_plane(view), *_marks(view, below, 30.0))
    assert refused.value.fault == "seen-from-above"


def test_both_marks_on_one_place_tell_no_height() -> None:
    view = _view(30.0)
    foot, _ = _marks(view, (120.0, 90.0), 30.0)
    with pytest.raises(MarksRefused):
        marked_height(_plane(view), foot, foot)

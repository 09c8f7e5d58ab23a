"""The card's bare dots as points of known place: where they are found, and what they tell of curl and camera."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from calib.camera import Camera
from calib.card.bare_dots import bare_dots
from calib.card.card_view import CardView
from calib.estimate.parameters import CURL, PAPER
from calib.estimate.plane import Plane, estimate_plane
from calib.lens.lens_prior import radial_prior
from calib.photo_refused import PhotoRefused
from calib.photo_setup import Lens, PhotoSetup
from calib.printed import CARD, CARD_MARK, CARD_SQUARE, SWATCHES, swatch_dots
from calib.prints.card_dots import CardDots, measure_dots
from calib.prints.tag_cells import cell_edges
from calib.prints.tags import TagSquare
from tests.calib.test_self_check import FOCAL, SHIFT, SIZE, camera, square
from tests.helpers.scenes import printing
from tests.helpers.scenes.card_plane import plane_of
from tests.helpers.scenes.draw import draw
from tests.helpers.scenes.model import Scene
from tests.helpers.scenes.village import village
from vision.card_curl import check_curl
from vision.picture.seen_prints import SeenPrints

FloatArray = NDArray[np.float64]
FLAT = PhotoSetup(400.0, 300.0, printed_line=(100.0, 80.0))


def dotted_village(seed: int = 1) -> Scene:
    """Tape in boxes 1 to 3 of a dotted card that lies flat."""
    scene = village(tiles=False, size=(2400, 1800), tilt=8.0, seed=seed)
    return replace(scene, prints=(replace(scene.prints[0], dotted=True), *scene.prints[1:]))


@pytest.fixture(scope="module")
def found() -> tuple[Scene, CardDots]:
    scene = dotted_village()
    picture = draw(scene)
    plane = plane_of(picture)
    assert plane is not None
    grey = np.asarray(cv2.cvtColor(picture, cv2.COLOR_BGR2GRAY), dtype=np.uint8)
    dots = bare_dots(CardView(picture, plane), grey, plane)
    assert dots is not None
    return scene, dots


def test_dots_are_found_to_a_twentieth_of_a_pixel(found: tuple[Scene, CardDots]) -> None:
    scene, dots = found
    card = scene.prints[0]
    true = scene.view.project(printing.placed(card, dots.places), card.height)
    off = dots.points - true
    assert np.abs(off.mean(axis=0)).max() < 0.03
    assert np.sqrt(np.mean(off**2)) < 0.05
    assert np.abs(off).max() < 0.25
    assert dots.scatter < 0.1


def test_most_bare_dots_are_used_and_none_that_tape_hides(found: tuple[Scene, CardDots]) -> None:
    _, dots = found
    used = {tuple(np.round(place, 3)) for place in dots.places}
    for number, box in enumerate(SWATCHES, start=1):
        own = [tuple(np.round(place, 3)) in used for place in swatch_dots(number).reshape(-1, 2)]
        if number > 3:
            assert sum(own) > 40, number
        else:
            # Dots beside its edge may show: none does in the middle of the box.
            middle = (box.x + box.width / 2, box.y + box.height / 2)
            inner = np.abs(swatch_dots(number).reshape(-1, 2) - middle).max(axis=1) < 3.1
            assert not np.any(np.array(own)[inner]), number
    assert all(tuple(np.round(place, 3)) in used for place in CARD_MARK)


def test_a_dot_with_tape_at_its_side_is_left_out() -> None:
    """The tape's shade would draw its middle away."""
    places = np.array([[3.0 * i, 0.0] for i in range(12)])
    at, picture = places * 5 + 20, np.full((40, 215), 230, np.uint8)
    for x, y in at:
        cv2.circle(picture, (round(float(x)), round(float(y))), 3, 70, cv2.FILLED, cv2.LINE_AA)
    picture[:, 176:] = 120
    picture = np.asarray(cv2.GaussianBlur(picture, (0, 0), 0.8), dtype=np.uint8)
    one = np.zeros(len(at), dtype=np.intp)
    dots = measure_dots(picture, places, one, at + 0.3, np.full(len(at), 5.0))
    assert dots is not None
    assert list(dots.places[:, 0]) == list(places[:10, 0])
    assert np.abs(dots.points - at[:10]).max() < 0.05
    assert measure_dots(picture, places, one, at, np.full(len(at), 1.5)) is None


def curled(places: FloatArray, curl: FloatArray) -> FloatArray:
    """Height of a curled card, mm."""
    away = (places - (CARD.width / 2, CARD.height / 2)) / (CARD.width / 2, CARD.height / 2)
    return np.asarray(PAPER + away**2 @ curl[:2] + away[:, 0] * away[:, 1] * curl[2])


def curled_card(
    seed: int, tilt: float | None = None, curl: FloatArray | None = None
) -> tuple[Camera, TagSquare, CardDots, FloatArray]:
    """A card alone whose curl is drawn from the prior, its boxes 5 to 8 empty; the lens is drawn, too."""
    random = np.random.default_rng([seed, 3])
    prior = radial_prior()
    seen = camera(random, random.multivariate_normal(prior.mean, prior.covariance * 0.25))
    if tilt is not None:
        vector = seen.vector.copy()
        vector[:3] *= tilt / np.linalg.norm(vector[:3])
        seen = Camera(vector, SIZE)
    vector = seen.vector.copy()
    vector[3:6] = np.array([0, 0, 600.0]) - Camera(vector, SIZE).rotation @ np.array([120.0, 80.0, 0])
    seen = Camera(vector, SIZE)
    curl = random.normal(0, 0.3, 3) if curl is None else curl
    start, end, _ = cell_edges(0)
    cells = CARD_SQUARE.corners[0] + (start + end) / 2 * CARD_SQUARE.width
    tag = square(0, CARD_SQUARE.corners, seen, random, curled(cells, curl))
    places = np.concatenate([*(swatch_dots(n).reshape(-1, 2) for n in range(5, 9)), np.array(CARD_MARK)])
    part = np.repeat(np.arange(5), [66, 66, 66, 66, 5])
    own = random.normal(0, 0.05, places.shape) + random.normal(0, 0.1, (5, 2))[part]
    return seen, tag, CardDots(places, seen.project(places, curled(places, curl)) + own, part, 0.05, 0.1), curl


def refused(tag: TagSquare, dots: CardDots, monkeypatch: pytest.MonkeyPatch) -> bool:
    """Whether a card that has these dots is refused as bent."""
    prints = SeenPrints(np.zeros((SIZE[1], SIZE[0], 3), np.uint8), (tag,), SHIFT, FLAT, Lens(FOCAL))
    monkeypatch.setattr(SeenPrints, "with_dots", lambda self, *_: replace(self, tags=(replace(tag, dots=dots),)))
    try:
        plane = prints.plane()
        check_curl(prints, plane, CardView(prints.bgr, plane))
    except PhotoRefused as refusal:
        return refusal.reason == "card-bent"
    return False


def test_a_card_that_is_bent_for_sure_is_refused_and_one_that_curls_a_little_is_not(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Ends 5 mm up or 4 down, or corners 4; the square alone tells neither, and is measured wrong by per cents."""
    for seed in (0, 2, 3):
        for curl in ((5.0, 0, 0), (0, 0, 4), (-4, 0, 0)):
            _, tag, dots, _ = curled_card(seed, curl=np.array(curl))
            assert refused(tag, dots, monkeypatch), (seed, curl)
        _, tag, dots, _ = curled_card(seed, curl=np.array([1.5, 0.8, 0]))
        assert not refused(tag, dots, monkeypatch), seed
    for seed in range(12):
        _, tag, dots, _ = curled_card(seed)
        assert not refused(tag, dots, monkeypatch), seed


def test_a_curl_that_the_lens_could_do_as_well_refuses_no_card(monkeypatch: pytest.MonkeyPatch) -> None:
    """A flat card that fills the picture straight below, by a lens whose corners lie 7.5 % inwards."""
    barrel = np.array([-0.09, 0.015, 0, 0, 0])
    focal = float(np.log(FOCAL * 1.04))
    seen = Camera(np.array([0, 0, 0, -90.0, -60, 250, focal, (SIZE[0] - 1) / 2, (SIZE[1] - 1) / 2, *barrel]), SIZE)
    random = np.random.default_rng(5)
    tag = square(0, CARD_SQUARE.corners, seen, random)
    places = np.concatenate([*(swatch_dots(n).reshape(-1, 2) for n in range(5, 9)), np.array(CARD_MARK)])
    part = np.repeat(np.arange(5), [66, 66, 66, 66, 5])
    dots = CardDots(places, seen.project(places, PAPER) + random.normal(0, 0.05, places.shape), part, 0.05, 0.1)
    assert not refused(tag, dots, monkeypatch)


def curl_of(plane: Plane) -> tuple[FloatArray, FloatArray]:
    return np.array([plane.value(n) for n in CURL]), np.array([plane.spread(n) for n in CURL])


def test_dots_tell_the_cards_curl_as_well_as_is_said() -> None:
    alone, dotted, stated, claimed = [], [], [], []
    for seed in range(20):
        _, tag, dots, curl = curled_card(seed)
        for card, errors, spreads in ((tag, alone, stated), (replace(tag, dots=dots), dotted, claimed)):
            value, u = curl_of(estimate_plane([card], SHIFT, SIZE, FLAT, Lens(FOCAL)))
            errors.append(value - curl)
            spreads.append(u)

    def rms(values: object) -> float:
        return float(np.sqrt(np.mean(np.square(np.array(values)))))

    assert rms(dotted) < 0.6 * rms(alone)
    assert np.median(claimed) < 0.6 * np.median(stated)
    assert 0.6 < rms(np.array(dotted) / np.array(claimed)) < 1.3

"""Photos of one camera tell each other of its lens: as if all had been known from the start, and only if they agree."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from calib.edges import FloatArray
from calib.estimate.conditioning import radial_of, with_evidence
from calib.estimate.plane import Plane, estimate_plane
from calib.estimate.prior import radial_known
from calib.lens.class_lens import SHOT, RadialEvidence, agreeing, chance_of_agreement, told_by_all, told_by_others
from calib.lens.lens_prior import radial_prior
from calib.photo_setup import Lens, PhotoSetup
from calib.prints.edge_shift import edge_shift
from calib.prints.tags import find_tags
from calib.radial_terms import RADIAL
from tests.calib.test_honesty import bare, grey_of

PHOTO = np.diag([4e4, 1e4, 4e3, 2.0, 1.0]) + 5e3 * np.outer([1, 1, 1, 0, 0], [1, 1, 1, 0, 0])
"""Information that a photo with some straight tape gives about."""


def says(terms: FloatArray, random: np.random.Generator, times: float = 1.0) -> RadialEvidence:
    """What a photo of this lens says whose errors are as large as its information tells, or `times` as large."""
    shot = terms + random.normal(0, SHOT)
    noise = np.linalg.cholesky(PHOTO) @ random.normal(0, times, 5)
    return RadialEvidence(PHOTO, PHOTO @ shot + noise)


@pytest.fixture
def terms() -> FloatArray:
    return np.array([0.11, -0.23, 0.11, 1.2, -0.7])


@pytest.fixture
def random() -> np.random.Generator:
    return np.random.default_rng(5)


def plane_of(seed: int, lens: Lens, setup: PhotoSetup | None = None) -> tuple[Plane, PhotoSetup]:
    scene, known = bare(seed)
    grey = grey_of(scene)
    tags = find_tags(grey)
    return estimate_plane(tags, edge_shift(grey, tags), scene.view.size, setup or known, lens), known


def test_told_afterwards_is_as_told_before() -> None:
    """The same plane and covariance as when the others' evidence stands in the prior; places follow the sources."""
    focal = 26 / np.hypot(36, 24) * np.hypot(1100, 825)
    usual = Lens(float(focal))
    others = RadialEvidence(PHOTO, PHOTO @ np.array([0.01, 0.0, 0.0, 0.0, 0.0]))
    both = others.with_prior(radial_known(usual))
    before = replace(
        usual, radial=tuple(both.mean.tolist()), radial_covariance=tuple(map(tuple, both.covariance.tolist()))
    )
    alone, _ = plane_of(3, usual)
    told, (early, _) = with_evidence(alone, others), plane_of(3, before)
    spread = np.linalg.norm(alone.factor, axis=1)
    assert np.abs(told.plane.vector - early.vector).max() < 0.2 * spread.max()
    assert np.abs((told.plane.vector - early.vector) / spread).max() < 0.15
    assert np.linalg.norm(told.plane.factor, axis=1) == pytest.approx(np.linalg.norm(early.factor, axis=1), rel=0.1)
    pixels = np.array([[200.0, 200], [900, 600]])
    place, moves = alone.locate(pixels)
    assert place + moves @ told.mean == pytest.approx(told.plane.locate(pixels)[0], abs=0.02)
    assert (moves @ told.turn) == pytest.approx(told.plane.locate(pixels)[1], abs=0.02)
    assert np.linalg.norm(told.plane.factor[9:12]) < 0.5 * np.linalg.norm(alone.factor[9:12])


def test_what_a_fit_adds_is_found_again() -> None:
    plane, _ = plane_of(3, Lens(float(26 / np.hypot(36, 24) * np.hypot(1100, 825))))
    prior = radial_known(Lens())
    found = RadialEvidence.of(radial_of(plane), prior).with_prior(prior)
    assert found.mean == pytest.approx(radial_of(plane).mean, rel=1e-3)
    assert found.covariance == pytest.approx(radial_of(plane).covariance, rel=1e-3, abs=1e-9)


def test_the_radial_terms_depend_on_the_last_sources_alone() -> None:
    """What a result keeps of its lens relies on it."""
    plane, _ = plane_of(3, Lens(1000.0))
    assert plane.sources[-5:] == RADIAL
    assert np.abs(plane.factor[9:14, :-5]).max() < 1e-12
    assert np.abs(np.tril(plane.factor[9:14, -5:], -1)).max() < 1e-12


def test_no_photo_is_told_what_it_or_its_model_says(terms: FloatArray, random: np.random.Generator) -> None:
    photos = [says(terms, random) for _ in range(4)]
    models = ["a", "a", "b", "c"]
    told = told_by_others(photos, models)
    assert [t.photos for t in told if t is not None] == [2, 2, 3, 3]
    changed = [says(terms, random), *photos[1:]]
    again = told_by_others(changed, models)
    for i in (0, 1):
        assert again[i] is not None
        assert told[i] is not None
        assert again[i].evidence.vector == pytest.approx(told[i].evidence.vector)  # type: ignore[union-attr]


def test_the_order_of_photos_does_not_matter(terms: FloatArray, random: np.random.Generator) -> None:
    photos = [says(terms, random) for _ in range(7)]
    there, back = told_by_others(photos, range(7)), told_by_others(photos[::-1], range(7))
    for one, other in zip(there, back[::-1], strict=True):
        assert one is not None
        assert other is not None
        assert one.evidence.vector == pytest.approx(other.evidence.vector, rel=1e-9)
        assert one.evidence.information == pytest.approx(other.evidence.information, rel=1e-9)


def test_told_terms_are_as_right_as_they_claim(terms: FloatArray, random: np.random.Generator) -> None:
    """Ten photos, many times: chi-square of what nine tell the tenth, per degree of freedom."""
    squares = []
    for _ in range(150):
        told = told_by_all([says(terms, random) for _ in range(9)])
        assert told is not None
        known = told.evidence.with_prior(radial_prior())
        off = known.mean - (terms + random.normal(0, SHOT))
        squares.append(off @ np.linalg.solve(known.covariance, off) / 5)
    assert 0.6 < np.mean(squares) < 1.3


def test_photos_that_scatter_more_than_they_claim_are_less_certain(
    terms: FloatArray, random: np.random.Generator
) -> None:
    calm = told_by_all([says(terms, random) for _ in range(20)])
    wild = told_by_all([says(terms, random, 1.7) for _ in range(20)])
    assert calm is not None
    assert wild is not None
    assert np.trace(wild.evidence.information) < 0.8 * np.trace(calm.evidence.information)


def test_a_photo_of_another_lens_is_found_and_tells_nothing(terms: FloatArray, random: np.random.Generator) -> None:
    photos = [says(terms, random) for _ in range(5)] + [says(np.zeros(5), random)]
    assert agreeing(photos) == (True,) * 5 + (False,)
    told = told_by_others(photos, range(6))
    assert told[5] is None
    assert [t.photos for t in told[:5] if t is not None] == [4] * 5
    everything = told_by_all(photos[:5])
    assert everything is not None
    assert chance_of_agreement(photos[5], everything.evidence) < 1e-4


def test_cameras_that_merely_have_one_name_tell_nothing(random: np.random.Generator) -> None:
    photos = [says(np.array([k, -2 * k, k, 0, 0]), random) for k in (0.0, 0.05, 0.1, 0.15, 0.2, 0.25)]
    assert not any(agreeing(photos))
    assert told_by_all(photos) is None


def test_photos_that_agree_are_seldom_said_not_to(terms: FloatArray, random: np.random.Generator) -> None:
    """FALSE_ALARM for each camera, which is 1 %: among 200 cameras of eight photos at most 7 (probability 0.99)."""
    wrong = sum(not all(agreeing([says(terms, random) for _ in range(8)])) for _ in range(200))
    assert wrong <= 7

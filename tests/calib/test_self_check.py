"""The joint estimate against itself: synthetic edges of known scatter, phones' lenses, and what is wrong."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from calib.camera import Camera
from calib.estimate.adjustment import NAMES, Adjustment, StraightLine
from calib.estimate.parameters import PAPER
from calib.estimate.plane import Plane, estimate_plane
from calib.estimate.whitening import Together
from calib.lens.lens_prior import PHONES, radial_prior, with_measured
from calib.photo_setup import Lens, PhotoSetup, Priors
from calib.printed import CARD_SQUARE, CORNER_TAGS, CORNER_TILE_SQUARE
from calib.prints.edge_shift import EdgeShift
from calib.prints.tag_cells import CellPoints, cell_edges
from calib.prints.tags import TagSquare
from calib.radial_terms import CORNER, HALF_WAY, POWERS

FloatArray = NDArray[np.float64]
SIZE = (4032, 3024)
WIDTH, DEPTH = 400.0, 300.0
FOCAL = 26 / float(np.hypot(36, 24)) * float(np.hypot(*SIZE))
BESIDE = np.array([450.0, 60.0])
"""Where the card lies."""
SHIFT = EdgeShift(0.3, 0.02, 0.1, 0.03)


def camera(random: np.random.Generator, radial: FloatArray) -> Camera:
    """Somewhere above a parcel, tilted by up to 25 degrees, the rest as phones' lenses are."""
    tilt, way = np.deg2rad(random.uniform(0, 25)), random.uniform(0, 2 * np.pi)
    turn = np.array([np.cos(way), np.sin(way), 0]) * tilt
    vector = np.array([*turn, 0, 0, 0, np.log(FOCAL) + random.normal(0.04, 0.016), 0, 0, *radial])
    vector[7:9] = (np.array(SIZE) - 1) / 2 + random.normal(0, 1, 2) * (20, 40)
    rotation = Camera(vector, SIZE).rotation
    vector[3:6] = np.array([0, 0, 700.0]) - rotation @ np.array([WIDTH * 0.7, DEPTH / 2, 0])
    return Camera(vector, SIZE)


def square(
    tag: int, corners: FloatArray, seen: Camera, random: np.random.Generator, height: float | FloatArray = PAPER,
    scatter: float = 0.1, line_scatter: float = 0.05,
) -> TagSquare:  # fmt: skip
    """A tag whose corners lie there, mm, as a photo with this scatter of edges and of whole lines shows it."""
    start, end, lightwards = cell_edges(tag)
    places = (start + end) / 2
    axes = np.stack([corners[1] - corners[0], corners[3] - corners[0]])

    def shown(at: FloatArray, height: float | FloatArray = height) -> FloatArray:
        return seen.project(corners[0] + at @ axes, height)

    normals = shown(places + 1e-4 * lightwards) - shown(places)
    along = shown(places + 1e-4 * lightwards[:, ::-1]) - shown(places)
    square_on = np.column_stack([-along[:, 1], along[:, 0]])
    square_on *= np.sign(np.sum(square_on * normals, axis=1))[:, None]
    normals = square_on / np.linalg.norm(square_on, axis=1)[:, None]
    line = np.where(lightwards[:, 1] != 0, 0, 9) + np.rint(
        8 * np.where(lightwards[:, 1] != 0, places[:, 1], places[:, 0])
    )
    off = -SHIFT.value + random.normal(0, scatter, len(places)) + random.normal(0, line_scatter, 18)[line.astype(int)]
    points = shown(places) + off[:, None] * normals
    cells = CellPoints(
        places, points, normals, line.astype(np.intp), off, SHIFT.value, 0.02, scatter, line_scatter
    )  # fmt: skip
    outer = shown(np.array([[0.0, 0], [1, 0], [1, 1], [0, 1]]), PAPER)
    return TagSquare(tag, outer, np.zeros((4, 6, 2)), np.zeros(6), np.zeros((4, 2)), np.zeros((4, 6)), 2.0, 0.1, cells)


def photo(seed: int, lines: bool = True) -> tuple[Camera, list[TagSquare], list[StraightLine], PhotoSetup]:
    """Card, four tiles, twelve strips of tape, all off by what the default priors say; a lens drawn from the prior."""
    random = np.random.default_rng(seed)
    prior = radial_prior()
    seen = camera(random, random.multivariate_normal(prior.mean, prior.covariance * 0.25))
    scale = 1 + random.normal(0, 0.0015, 2)
    tags = [square(0, CARD_SQUARE.corners * scale + BESIDE, seen, random)]
    for tag, end in zip(CORNER_TAGS, ((0, 0), (1, 0), (1, 1), (0, 1)), strict=True):
        anchor = 32.0 * np.array(end)
        local = (CORNER_TILE_SQUARE.corners - anchor) * scale
        tags.append(square(tag, local + (WIDTH, DEPTH) * np.array(end) + random.normal(0, 0.3, 2), seen, random))
    strips = [strip(seen, random) for _ in range(12 if lines else 0)]
    stated = PhotoSetup(WIDTH + random.normal(0, 0.5), DEPTH + random.normal(0, 0.5), printed_line=(100.0, 80.0))
    return seen, tags, strips, stated


def strip(seen: Camera, random: np.random.Generator, bow: float = 0.1) -> StraightLine:
    start = random.uniform((40, 40), (WIDTH - 40, DEPTH - 40))
    way = random.uniform(0, 2 * np.pi)
    along = np.array([np.cos(way), np.sin(way)])
    t = np.linspace(-1, 1, 9)
    normal = np.array([-along[1], along[0]])
    places = start + 45 * t[:, None] * along + (random.normal(0, bow) * (1 - t**2))[:, None] * normal
    return StraightLine(seen.project(places) + random.normal(0, 0.08, (9, 2)), np.full(9, 0.08))


def lengths(plane: Plane, seen: Camera) -> tuple[float, float]:
    """Error and stated uncertainty of the length across the parcel."""
    ends = np.array([[60.0, 250.0], [330.0, 60.0]])
    place, moves = plane.locate(seen.project(ends))
    way = (ends[1] - ends[0]) / np.linalg.norm(ends[1] - ends[0])
    error = float((place[1] - place[0]) @ way - np.linalg.norm(ends[1] - ends[0]))
    return error, float(np.linalg.norm(way @ (moves[1] - moves[0])))


def estimate(seed: int) -> tuple[Plane, Camera]:
    seen, tags, strips, stated = photo(seed)
    lens = Lens(FOCAL)
    rough = estimate_plane(tags, SHIFT, SIZE, stated, lens)
    return estimate_plane(tags, SHIFT, SIZE, stated, lens, strips, rough), seen


def test_covariance_agrees_with_monte_carlo() -> None:
    """Forty photos, each with its own lens, print and strips: errors are as large as is said of them."""
    found = [lengths(*estimate(seed)) for seed in range(40)]
    z = np.array([error / u for error, u in found])
    assert 0.65 < np.sqrt(np.mean(z**2)) < 1.3


def test_lenses_of_phones_are_found_and_straighten_the_parcel() -> None:
    """The published terms themselves, not draws from the prior."""
    for name, terms in PHONES:
        random = np.random.default_rng(len(name))
        held = np.array([*terms, 0, 0]) - (0, 0, sum(terms), 0, 0)
        seen = camera(random, held)
        tags = [square(0, CARD_SQUARE.corners + BESIDE, seen, random)]
        for tag, end in zip(CORNER_TAGS, ((0, 0), (1, 0), (1, 1), (0, 1)), strict=True):
            local = CORNER_TILE_SQUARE.corners - 32.0 * np.array(end)
            tags.append(square(tag, local + (WIDTH, DEPTH) * np.array(end), seen, random))
        strips = [strip(seen, random, bow=0.0) for _ in range(12)]
        stated = PhotoSetup(WIDTH, DEPTH, printed_line=(100.0, 80.0), priors=Priors(0, 0, 0, 0, 0))
        plane = estimate_plane(
            tags, SHIFT, SIZE, stated, Lens(FOCAL), strips, estimate_plane(tags, SHIFT, SIZE, stated, Lens(FOCAL))
        )
        error, u = lengths(plane, seen)
        assert abs(error) < max(3 * u, 0.05), name
        assert u < 0.2, name


def test_residuals_larger_than_stated_widen_the_covariance() -> None:
    seen, tags, strips, stated = photo(3)
    honest = estimate_plane(tags, SHIFT, SIZE, stated, Lens(FOCAL), strips)
    cells = [t.cells for t in tags]
    claims = [
        replace(t, cells=replace(c, scatter=0.02, line_scatter=0.0)) for t, c in zip(tags, cells, strict=True) if c
    ]
    proud = estimate_plane(claims, replace(SHIFT, line=0.01), SIZE, stated, Lens(FOCAL), strips)
    assert max(proud.tag_misfit.values()) > 2
    assert lengths(proud, seen)[1] > 0.5 * lengths(honest, seen)[1]


def test_a_curled_card_is_seen() -> None:
    """Its ends 2 mm up, where the challenge says 0.3 mm: the curl is found, and flat ones are not called curled."""
    random = np.random.default_rng(8)
    seen, tags, strips, stated = photo(8)
    start, end, _ = cell_edges(0)
    place = CARD_SQUARE.corners[0] + (start + end) / 2 * CARD_SQUARE.width
    curled = square(0, CARD_SQUARE.corners + BESIDE, seen, random, PAPER)
    bent = square(0, CARD_SQUARE.corners + BESIDE, seen, random, PAPER + 2.0 * ((place[:, 0] - 90) / 90) ** 2)
    found = {
        name: estimate_plane([card, *tags[1:]], SHIFT, SIZE, stated, Lens(FOCAL), strips)
        for name, card in (("flat", curled), ("bent", replace(bent, corners=curled.corners)))
    }
    assert found["bent"].value("card curl along") > 3 * found["flat"].spread("card curl along")
    assert abs(found["flat"].value("card curl along")) < 3 * found["flat"].spread("card curl along")


def test_tiles_are_suspected_as_often_as_is_said() -> None:
    """Tiles laid as stated: a probability below 5 % comes in about 5 %; a tile 2 mm off always has one."""
    chances = [p for seed in range(25) for p in estimate(seed)[0].tile_chance.values()]
    assert len(chances) == 100
    assert np.mean(np.array(chances) < 0.05) < 0.13
    seen, tags, strips, stated = photo(4)
    random = np.random.default_rng(4)
    tags[2] = square(2, CORNER_TILE_SQUARE.corners - (32, 0) + (WIDTH + 2.0, 0), seen, random)
    assert estimate_plane(tags, SHIFT, SIZE, stated, Lens(FOCAL), strips).tile_chance[2] < 0.001


def test_derivatives_are_those_of_the_residuals() -> None:
    """The Jacobian against differences of the whitened residuals, of tags, free lines and the parcel's sides."""
    seen, tags, strips, stated = photo(11)
    t = np.linspace(20, 280, 9)
    sides = [np.column_stack([t, 0 * t]), np.column_stack([0 * t + WIDTH, t]), np.column_stack([t, 0 * t + DEPTH])]
    edges = [StraightLine(seen.project(s) + 0.3, np.full(9, 0.2), 0.0, i) for i, s in enumerate(sides)]
    adjustment = Adjustment(tags, SHIFT, SIZE, stated, Lens(FOCAL), [*strips, *edges])
    vector = estimate_plane(tags, SHIFT, SIZE, stated, Lens(FOCAL), strips).vector
    jacobian, residuals = adjustment.linearised(vector)
    step = np.maximum(1e-6, 1e-4 / np.linalg.norm(jacobian, axis=0))
    for i, name in enumerate(NAMES):
        moved = vector.copy(), vector.copy()
        moved[0][i] += step[i]
        moved[1][i] -= step[i]
        numeric = (adjustment.linearised(moved[0])[1] - adjustment.linearised(moved[1])[1]) / (2 * step[i])
        size = np.linalg.norm(numeric)
        assert np.linalg.norm(jacobian[:, i] - numeric) < 0.01 * size, name
        # The gradient's own error, in standard uncertainties: a small one in every row would draw the estimate away.
        assert abs((jacobian[:, i] - numeric) @ residuals) < 0.1 * size, name


@given(st.lists(st.integers(1, 6), min_size=1, max_size=6), st.integers(0, 1000))
def test_whitening_is_the_inverse_square_root_of_the_covariance(counts: list[int], seed: int) -> None:
    random = np.random.default_rng(seed)
    total = sum(counts)
    shape = random.normal(0, 2, total)
    start = np.cumsum([0, *counts[:-1]])
    group = np.repeat(np.arange(len(counts)), counts)
    covariance = np.eye(total) + np.outer(shape, shape) * (group[:, None] == group[None])
    whitening = Together(shape, start.astype(np.intp)).whitened(np.eye(total))
    assert whitening @ covariance @ whitening.T == pytest.approx(np.eye(total), abs=1e-9)


def test_the_prior_holds_the_corner_and_knows_the_phones() -> None:
    prior = radial_prior()
    corner = np.ones(5) @ POWERS
    assert corner[3:] == pytest.approx(0, abs=1e-6)
    assert abs(corner @ prior.mean) < 0.005
    assert np.sqrt(corner @ prior.covariance @ corner) == pytest.approx(CORNER, rel=0.2)
    for name, _ in PHONES[:-1]:
        others = radial_prior(tuple(p for p in PHONES if p[0] != name))
        held = np.array([*dict(PHONES)[name], 0, 0])
        # Each phone's half-way displacement as the others foretell it.
        assert abs(HALF_WAY @ (held - others.mean)) < 3 * np.sqrt(HALF_WAY @ others.covariance @ HALF_WAY), name


def test_what_was_measured_of_a_lens_comes_before_what_is_usual() -> None:
    sure = with_measured((0.02, 0.01, -0.01), 1e-8 * np.eye(3))
    assert sure.mean == pytest.approx([0.02, 0.01, -0.01, 0, 0], abs=1e-4)
    nothing = with_measured((9.0, 9.0, 9.0), 1e8 * np.eye(3))
    assert nothing.mean == pytest.approx(radial_prior().mean, abs=1e-3)
    assert nothing.covariance == pytest.approx(radial_prior().covariance, abs=1e-5)

"""What linear parts alone get wrong, against draws of the sources: corners near corners, and ± over many zones."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import numpy as np
import pytest
import shapely

from measure.plat.plat import Plat
from measure.rules.verdict import Outcome
from tests.helpers.made.challenges import challenge, outcomes
from tests.helpers.made.plats import Array, Model, moved_polygons, plat, rectangle
from tests.measure.rules.test_rules_monte_carlo import DRAWS, draws, sampling_error, signed_gap

PAIR = ("library", "stables")
NOISE = 0.35
"""mm: two corners then are known to about ± 1 mm of each other."""
ZONES = tuple(f"plot {letter}" for letter in "abcdefghij")


def corners_near(right: float, down: float, turned: float = 0.0) -> Plat:
    """Two zones, the second's corner so far to the right of and below the first's, its sides turned by degrees."""
    made = Model(5, noise=NOISE)
    angle = np.radians(turned)
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    second = [(100 + right + x, 80 + down + y) for x, y in np.array(rectangle(0, 0, 90, 70)) @ turn.T]
    return plat(made.piece("library", rectangle(20, 20, 80, 60)), made.piece("stables", second))


PLACES = [((1.0, 0.0, 0.0), 1.0), ((0.7, 0.7, 0.0), 0.7), ((0.3, 0.9, 0.0), 1.3), ((1.5, 1.0, 0.0), 1.0),
          ((1.0, 0.4, 20.0), 0.7), ((1.2, -0.3, 0.0), 1.0), ((0.2, 0.2, 0.0), 1.0), ((0.2, 0.2, 0.0), 1.3),
          ((4.0, 3.0, 0.0), 1.0)]  # fmt: skip


@pytest.mark.parametrize(("place", "share"), PLACES)
def test_the_chance_of_a_gap_from_corner_to_corner_is_that_of_the_draws(place: tuple[float, float, float], share):
    near = corners_near(*place)
    polygons = [moved_polygons(piece.ring, draws()) for piece in near.pieces]
    values = signed_gap(*polygons)
    limit = round(share * shapely.distance(*(shapely.Polygon(piece.ring.points) for piece in near.pieces)), 6)
    for words, holds in (("at most", values <= limit), ("at least", values >= limit)):
        task = f"library is {words} {limit} mm from stables"
        found = outcomes(challenge(task, zones=PAIR), near)[task]
        assert found.chance == pytest.approx(holds.mean(), abs=sampling_error(holds.mean()) + 0.01)
    spread = 2 * np.sqrt(np.mean((np.maximum(values, -9) - found.value) ** 2))
    assert found.u95 == pytest.approx(spread, rel=0.08)


@cache
def many() -> Plat:
    """Ten zones in two rows, nearly alike; every second one lies badly in the photo and is known far worse."""
    made = Model(8)
    pieces = []
    for at, zone in enumerate(ZONES):
        x, y = 12 + 78 * (at % 5), 12 + 150 * (at // 5)
        made.noise = 0.6 if at % 2 else 0.15
        pieces.append(made.piece(zone, rectangle(x, y, 64 + 0.02 * at, 126 - 0.03 * at)))
    return plat(*pieces)


@cache
def plots() -> dict[str, np.ndarray]:
    return {piece.zone: moved_polygons(piece.ring, draws()) for piece in many().pieces}


def areas() -> Array:
    return np.array([shapely.area(plots()[zone]) for zone in ZONES])


def edges() -> Array:
    points = np.array([shapely.get_coordinates(plots()[zone]).reshape(DRAWS, -1, 2) for zone in ZONES])
    return np.asarray(np.minimum(points, (400.0, 300.0) - points).min(axis=(2, 3)))


def gaps() -> Array:
    pairs = [(a, b) for i, a in enumerate(ZONES) for b in ZONES[i + 1 :]]
    return np.array([shapely.distance(plots()[a], plots()[b]) for a, b in pairs])


MANY: list[tuple[str, float, Callable[[], Array]]] = [
    ("every zone covers at least {}% of the parcel", 6.60, lambda: (areas() / 1200).min(axis=0)),
    ("every zone covers at least {}% of the parcel", 6.75, lambda: (areas() / 1200).min(axis=0)),
    ("no zone covers more than {} sq cm", 80.7, lambda: (areas() / 100).max(axis=0)),
    ("no zone covers more than {} sq cm", 90, lambda: (areas() / 100).max(axis=0)),
    ("every zone is at least {} mm from the edge", 11.6, lambda: edges().min(axis=0)),
    ("every zone is at least {} mm from every other zone", 13.5, lambda: gaps().min(axis=0)),
    ("plot a covers at most {} times every other zone", 1.01, lambda: (areas()[0] / areas()[1:]).max(axis=0)),
    ("plot j covers between {} and 1.2 times every other zone", 0.95, lambda: (areas()[9] / areas()[:9]).min(axis=0)),
]


@pytest.mark.parametrize(("sentence", "limit", "extreme"), MANY, ids=[f"{row[0]} {row[1]}" for row in MANY])
def test_what_is_printed_beside_the_worst_of_many_zones_is_its_uncertainty(sentence: str, limit: float, extreme):
    found = judged(sentence.format(limit))
    values = extreme() / (100 if "%" in sentence else 1)
    assert found.u95 == pytest.approx(2 * np.sqrt(np.mean((values - found.value) ** 2)), rel=0.05)


def judged(task: str) -> Outcome:
    return outcomes(challenge(task, zones=ZONES), many())[task]

"""Rules about pieces one by one: their chances against draws of the plat's sources, and what is named and drawn."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import numpy as np
import pytest
import shapely

from measure.plat.plat import Plat
from measure.rules.verdict import Mark
from tests.helpers.made.challenges import challenge, outcomes
from tests.helpers.made.plats import Array, Model, exact, moved_polygons, plat, rectangle
from tests.measure.rules.test_rules_monte_carlo import draws, sampling_error

ZONES = ("homes", "park")


@cache
def model() -> Plat:
    """Three homes, about 20, 20.4 and 19.7 mm from the park, of nearly the same area."""
    made = Model(9, noise=0.3)
    return plat(
        made.piece("homes", rectangle(20, 20, 50, 40)),
        made.piece("homes", rectangle(160.4, 20, 50, 40.2)),
        made.piece("homes", rectangle(90, 119.7, 50.3, 40)),
        made.piece("park", rectangle(90, 20, 50, 80)),
    )


@cache
def polygons(zone: str) -> list[np.ndarray]:
    return [moved_polygons(piece.ring, draws()) for piece in model().pieces if piece.zone == zone]


def gaps() -> Array:
    return np.array([shapely.distance(home, polygons("park")[0]) for home in polygons("homes")])


def areas() -> Array:
    return np.array([shapely.area(home) for home in polygons("homes")])


CHANCES: list[tuple[str, Callable[[], Array]]] = [
    ("every piece of homes is within 20.3 mm of the park", lambda: (gaps() <= 20.3).all(axis=0)),
    ("no piece of homes is closer than 19.6 mm to the park", lambda: (gaps() >= 19.6).all(axis=0)),
    ("at least 2 pieces of homes are within 20 mm of the park", lambda: (gaps() <= 20.0).sum(axis=0) >= 2),
    ("exactly 1 piece of homes is within 19.8 mm of the park", lambda: (gaps() <= 19.8).sum(axis=0) == 1),
    ("at most 1 piece of homes covers more than 2010 sq mm", lambda: (areas() > 2010).sum(axis=0) <= 1),
    ("every piece of homes covers at least 1995 sq mm", lambda: (areas() >= 1995).all(axis=0)),
]


@pytest.mark.parametrize(("sentence", "holds"), CHANCES, ids=[sentence for sentence, _ in CHANCES])
def test_the_chance_is_that_of_the_joint_draws(sentence: str, holds: Callable[[], Array]):
    expected = float(holds().mean())
    assert 0.01 < expected < 0.99, "a limit that decides nothing shows nothing"
    found = outcomes(challenge(sentence, zones=ZONES), model())[sentence]
    assert found.chance == pytest.approx(expected, abs=sampling_error(expected) + 0.005)


FAR = plat(
    exact("homes", rectangle(20, 20, 50, 40)),
    exact("homes", rectangle(330, 20, 50, 40)),
    exact("park", rectangle(90, 20, 50, 80)),
)


def test_one_home_that_is_too_far_breaks_the_rule_and_is_named_and_drawn():
    sentence = "each of the homes is within 6 cm of the park"
    found = outcomes(challenge(sentence, zones=ZONES), FAR)[sentence]
    assert (found.verdict, found.over) == ("not met", ("homes, piece 2", "park"))
    assert found.value == pytest.approx(19.0)
    assert [mark.pieces for mark in found.where] == [(("homes", 2), ("park", 1))]


def test_a_piece_that_is_too_small_is_marked_by_its_number():
    sentence = "every piece of homes covers at least 21 sq cm"
    found = outcomes(challenge(sentence, zones=ZONES), FAR)[sentence]
    assert {(mark.kind, mark.pieces) for mark in found.where} >= {("piece", (("homes", 1),))}
    assert all(isinstance(mark, Mark) for mark in found.where)


def test_how_many_hold_is_the_value():
    sentence = "at least 2 pieces of homes are within 6 cm of the park"
    found = outcomes(challenge(sentence, zones=ZONES), FAR)[sentence]
    assert (found.verdict, found.value, found.limit, found.over) == ("not met", 1.0, 2.0, ("homes, piece 2", "park"))


@pytest.mark.parametrize(("zones", "verdict"), [(("homes", "park"), "met"), (("homes", "park", "factory"), "met")])
def test_a_condition_asks_nothing_where_its_zone_is_not_there(zones: tuple[str, ...], verdict: str):
    sentence = f"if there is a {zones[-1]}, the park covers at least 1% of the parcel"
    assert outcomes(challenge(sentence, zones=zones), FAR)[sentence].verdict == verdict


def test_a_zone_without_pieces_is_not_measured():
    sentence = "every piece of shops touches the park"
    assert outcomes(challenge(sentence, zones=(*ZONES, "shops")), FAR)[sentence].verdict == "not measured"

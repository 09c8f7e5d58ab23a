"""u95 and chance of every outline rule against 10 000 draws of the plat's sources, computed anew by shapely."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import numpy as np
import pytest
import shapely

from measure.plat.plat import Plat
from measure.rules.verdict import Outcome
from tests.helpers.made.challenges import challenge, outcomes
from tests.helpers.made.plats import Array, Model, drawn, moved_polygons, moved_value, plat, rectangle, regular

DRAWS = 10_000
ZONES = ("library", "stables", "market", "orchard", "school")
Polygons = dict[str, np.ndarray]


@cache
def model() -> Plat:
    """Five zones on 400 x 300 mm: stables overlap orchard by about touch_gap, market's gap to library is near 3 mm."""
    made = Model(7, noise=0.3)
    return plat(
        made.piece("library", rectangle(20, 20, 110, 70)),
        made.piece("stables", rectangle(240, 140, 63, 90)),
        made.piece("market", [(30, 105), (120, 106), (140, 180), (25, 182)], width=12.0),
        made.piece("orchard", rectangle(300, 120, 80, 150)),
        made.piece("school", regular(6, 38, (215, 62))),
    )


@cache
def draws() -> Array:
    return drawn(DRAWS, seed=11)


@cache
def polygons() -> Polygons:
    return {piece.zone: moved_polygons(piece.ring, draws()) for piece in model().pieces}


@cache
def outer(zone: str) -> np.ndarray:
    """Outlines along the tape's outer edge, every corner mitred."""
    piece = next(piece for piece in model().pieces if piece.zone == zone)
    half = moved_value(piece.tape_width, draws()) / 2
    return np.asarray(shapely.buffer(polygons()[zone], half, join_style="mitre", mitre_limit=10.0))


def area(*zones: str) -> Array:
    union = polygons()[zones[0]]
    for zone in zones[1:]:
        union = shapely.union(union, polygons()[zone])
    return np.asarray(shapely.area(union))


def signed_gap(a: np.ndarray, b: np.ndarray) -> Array:
    """The gap, negative where they overlap: how deep a corner of one lies in the other (enough for straight strips)."""
    gap = np.asarray(shapely.distance(a, b))
    return np.where(gap > 0, gap, -np.maximum(_depth(a, b), _depth(b, a)))


def _depth(a: np.ndarray, b: np.ndarray) -> Array:
    corners = shapely.points(shapely.get_coordinates(a)).reshape(len(a), -1)
    inside = shapely.contains(b[:, None], corners)
    return np.asarray(np.where(inside, shapely.distance(shapely.boundary(b)[:, None], corners), 0.0).max(axis=1))


def gap(a: str, b: str) -> Array:
    return signed_gap(polygons()[a], polygons()[b])


def edge_gap(zone: str) -> Array:
    """From the outline to the parcel as stated, which is exact here: the nearest corner."""
    points = shapely.get_coordinates(polygons()[zone]).reshape(DRAWS, -1, 2)
    return np.asarray(np.minimum(points, (400.0, 300.0) - points).min(axis=(1, 2)))


def centre_distance(zone: str) -> Array:
    return np.asarray(shapely.distance(shapely.centroid(polygons()[zone]), shapely.Point(200, 150)))


# ---- one measured number against a limit near it

ONE: list[tuple[str, Callable[[], Array]]] = [
    ("library covers {} {}% of the parcel", lambda: 100 * area("library") / 120_000),
    ("library covers {} {} sq mm", lambda: area("library")),
    ("library and school together cover {} {} sq cm", lambda: area("library", "school") / 100),
    ("stables and orchard together cover {} {} sq mm", lambda: area("stables", "orchard")),
    ("the perimeter of school is {} {} cm", lambda: np.asarray(shapely.length(polygons()["school"])) / 10),
    ("library covers {} {} times market", lambda: area("library") / area("market")),
    ("library covers {} {} times stables and school together", lambda: area("library") / area("stables", "school")),
    ("library covers {} {} sq mm more than stables", lambda: area("library") - area("stables")),
    ("library is {} {} mm from school", lambda: gap("library", "school")),
    ("library is {} {} in from market", lambda: gap("library", "market") / 25.4),
    ("stables are {} {} mm from library", lambda: gap("stables", "library")),
    ("school is {} {} mm from the edge", lambda: edge_gap("school")),
    ("the distance from school to the centre is {} {} mm", lambda: centre_distance("school")),
]


def judged(sentence: str) -> Outcome:
    return outcomes(challenge(sentence, zones=ZONES), model())[sentence]


def sampling_error(chance: float) -> float:
    """Four standard errors of the draws, and the error of the joint integral."""
    return 4 * (max(chance * (1 - chance), 1e-4) / DRAWS) ** 0.5 + 0.005


@pytest.mark.parametrize(("sentence", "values"), ONE, ids=[row[0].format("..", "..") for row in ONE])
@pytest.mark.parametrize("away", [-1.5, 0.0, 0.8])
def test_uncertainty_and_chance_of_one_number(sentence, values, away):
    first = judged(sentence.format("at least", 1))
    scale = 100 if "%" in sentence else 1
    limit = (first.value + away * first.u95 / 2) * scale
    drawn_values = values()
    spread = 2 * np.sqrt(np.mean((drawn_values - first.value * scale) ** 2))
    assert first.u95 * scale == pytest.approx(spread, rel=0.05)
    for words, holds in (("at least", drawn_values >= limit), ("at most", drawn_values <= limit)):
        found = judged(sentence.format(words, f"{limit:.9f}"))
        assert found.chance == pytest.approx(holds.mean(), abs=sampling_error(holds.mean()))


@pytest.mark.parametrize(("sentence", "values"), ONE[:8], ids=[row[0].format("..", "..") for row in ONE[:8]])
def test_chance_between_two_limits(sentence, values):
    first = judged(sentence.format("at least", 1))
    scale = 100 if "%" in sentence else 1
    low, high = ((first.value + k * first.u95 / 2) * scale for k in (-0.5, 1.2))
    holds = (values() >= low) & (values() <= high)
    found = judged(sentence.format("between", f"{low:.9f} and {high:.9f}"))
    assert found.chance == pytest.approx(holds.mean(), abs=sampling_error(holds.mean()))


# ---- touching and overlapping, near the gap that decides


def test_touching_is_decided_on_the_tapes_outer_edges():
    values = signed_gap(outer("library"), outer("market"))
    task = "library touches market"
    touch_gap = float(np.median(values)) + 0.2
    found = outcomes(challenge(task, zones=ZONES, touch_gap=touch_gap), model())[task]
    assert found.chance == pytest.approx((values <= touch_gap).mean(), abs=sampling_error(0.5))
    assert found.u95 == pytest.approx(2 * values.std(), rel=0.06)
    apart = "library does not touch market"
    opposite = outcomes(challenge(apart, zones=ZONES, touch_gap=touch_gap), model())[apart]
    assert opposite.chance == pytest.approx(1 - found.chance, abs=0.005)


@pytest.mark.parametrize("touch_gap", [2.6, 3.2, 3.8])
def test_an_overlap_as_deep_as_the_touch_gap_is_decided_on_the_signed_separation(touch_gap):
    values = gap("stables", "orchard")
    task = "stables do not overlap orchard"
    found = outcomes(challenge(task, zones=ZONES, touch_gap=touch_gap), model())[task]
    assert found.chance == pytest.approx((values >= -touch_gap).mean(), abs=sampling_error(0.5) + 0.01)
    assert found.value == pytest.approx(3.0)
    assert found.u95 == pytest.approx(2 * np.sqrt(np.mean((values + 3.0) ** 2)), rel=0.06)


@pytest.mark.parametrize(("overlap", "reported"), [(0.2, 0.0), (0.0, 0.0), (-0.4, 0.4)])
def test_a_distance_near_zero_is_decided_on_the_signed_separation_and_reported_as_no_less_than_0(overlap, reported):
    made = Model(3, noise=0.3)
    near = plat(
        made.piece("library", rectangle(20, 20, 100, 80)), made.piece("stables", rectangle(120 - overlap, 5, 90, 120))
    )
    first, second = (moved_polygons(piece.ring, draws()) for piece in near.pieces)
    task = "library is at least 0.1 mm from stables"
    found = outcomes(challenge(task, zones=("library", "stables")), near)[task]
    holds = signed_gap(first, second) >= 0.1
    assert found.value == pytest.approx(reported)
    assert 0.02 < found.chance < 0.98
    assert found.chance == pytest.approx(holds.mean(), abs=sampling_error(0.5) + 0.01)


def test_inside_the_parcel_near_its_edge():
    made = Model(4, noise=0.3)
    near = plat(made.piece("library", rectangle(0.3, 60, 100, 80)), made.piece("stables", rectangle(200, 0.5, 90, 120)))
    points = [moved_polygons(piece.ring, draws()) for piece in near.pieces]
    holds = np.ones(DRAWS, bool)
    for moved in points:
        holds &= shapely.get_coordinates(moved).reshape(DRAWS, -1, 2).min(axis=(1, 2)) >= 0
    task = "every zone is inside the parcel"
    found = outcomes(challenge(task, zones=("library", "stables")), near)[task]
    assert found.chance == pytest.approx(holds.mean(), abs=sampling_error(0.5))


# ---- joint rules

PAIRS = [(a, b) for i, a in enumerate(ZONES) for b in ZONES[i + 1 :]]
JOINT: list[tuple[str, float, Callable[[float], Array]]] = [
    ("every zone covers at least {} sq mm", 3_750.0, lambda limit: _all(area(zone) >= limit for zone in ZONES)),
    ("every zone is at least {} mm from the edge", 19.9, lambda limit: _all(edge_gap(zone) >= limit for zone in ZONES)),
    ("library is at least {} mm from market and school", 15.2,
     lambda limit: _all(gap("library", other) >= limit for other in ("market", "school"))),
    ("each of library and market covers at least {}% of the parcel", 6.4,
     lambda limit: _all(area(zone) >= limit * 1200 for zone in ("library", "market"))),
    ("orchard covers at least {} times every other zone", 1.56,
     lambda limit: _all(area("orchard") >= limit * area(zone) for zone in ZONES if zone != "orchard")),
    ("no zone covers more than {}% of the parcel", 10.0,
     lambda limit: _all(area(zone) <= limit * 1200 for zone in ZONES)),
]  # fmt: skip


def _all(parts) -> Array:
    return np.logical_and.reduce(list(parts))


@pytest.mark.parametrize(("sentence", "limit", "holds"), JOINT, ids=[row[0].format("..") for row in JOINT])
def test_a_rule_about_several_has_the_joint_chance(sentence, limit, holds):
    found = judged(sentence.format(limit))
    expected = holds(limit).mean()
    assert 0.01 < expected < 0.99, "a limit that decides nothing shows nothing"
    assert found.chance == pytest.approx(expected, abs=sampling_error(expected))


def test_no_zones_overlap_is_joint_too():
    holds = _all(gap(a, b) >= -3.0 for a, b in PAIRS)
    found = judged("no zones overlap")
    assert found.chance == pytest.approx(holds.mean(), abs=sampling_error(0.5) + 0.01)
    assert found.over == ("stables", "orchard")


# ---- what one photo's shared scale does


def test_the_ratio_of_two_areas_that_share_the_scale_is_far_more_certain_than_either():
    """A scale wrong by 1 % makes both areas wrong by 2 % and leaves their ratio alone."""
    made = Model(5, scale=0.01, shift=0.0, noise=0.02)
    pair = plat(made.piece("library", rectangle(20, 20, 100, 80)), made.piece("stables", rectangle(200, 20, 90, 70)))
    tasks = (
        "library covers at least 10 sq mm",
        "stables cover at least 10 sq mm",
        "library covers at least 1.2 times stables",
    )
    first, second, ratio = (outcomes(challenge(*tasks, zones=("library", "stables")), pair)[task] for task in tasks)
    relative = [found.u95 / found.value for found in (first, second, ratio)]
    assert relative[0] == pytest.approx(0.04, rel=0.05)
    assert relative[1] == pytest.approx(0.04, rel=0.05)
    assert relative[2] < relative[0] / 20
    assert ratio.verdict == "met"
    apart = (relative[0] ** 2 + relative[1] ** 2) ** 0.5
    assert ratio.value - apart * ratio.value < 1.2, "as if the two were independent, this would be too close to call"

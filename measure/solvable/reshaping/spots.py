"""Outlines to begin with, zone by zone: a triangle in a corner of the parcel, or a round one elsewhere.

Zones that are to be far apart begin in opposite corners.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator, Mapping

import numpy as np
from scipy.optimize import linprog

from measure.quantity import FloatArray
from measure.rules.demand import Gap, Size
from measure.solvable.problem.areas import area_rows
from measure.solvable.problem.layout import Placed
from measure.solvable.problem.problem import Problem
from measure.solvable.reshaping.outlines import Outlines

ROUND = 16
"""Corners of a round outline."""
Spot = tuple[float, float]
"""Of the parcel's width and depth."""
_OPPOSITE: tuple[tuple[Spot, Spot], ...] = (((0.0, 0.0), (1.0, 1.0)), ((1.0, 0.0), (0.0, 1.0)))
_CORNERS = tuple(spot for pair in _OPPOSITE for spot in pair)
_ELSEWHERE: tuple[Spot, ...] = ((0.5, 0.5), (0.5, 0.2), (0.5, 0.8), (0.2, 0.5), (0.8, 0.5), (0.35, 0.35), (0.65, 0.65))
_LEAST, _SEED = 0.01, 5
"""Of the parcel: the area that a zone of which no rule says how large it is begins with."""


def at_spots(problem: Problem, fixed: Mapping[str, FloatArray], pieces: Mapping[str, int]) -> Iterator[Outlines]:
    """One start after another, without end: the zones in opposite corners first, later any of them anywhere.

    fixed: the corners of keep-clear zones; pieces: how many each zone has.
    """
    chance, areas = random.Random(_SEED), least_areas(problem)
    size = np.array([problem.challenge.parcel.width, problem.challenge.parcel.depth])
    short = {d.of[0] for d in problem.demanded if isinstance(d, Size) and d.size == "perimeter" and d.high is not None}
    names = [zone.name for zone in problem.zones if zone.kind == "zone" for _ in range(pieces[zone.name])]
    for trial in range(1_000_000):
        spots = _spots(problem, names, chance, given=trial % 2 == 0)
        rings = [_ring(size, s, areas[n], round_one=n in short) for n, s in zip(names, spots, strict=True)]
        kept = list(fixed)
        yield Outlines(
            float(size[0]),
            float(size[1]),
            (*names, *kept),
            (*rings, *(fixed[zone] for zone in kept)),
            (*(False for _ in names), *(True for _ in kept)),
        )


def least_areas(problem: Problem) -> dict[str, float]:
    """An area in mm2 for every zone that together keep the rules about sizes, as small as they can be."""
    names = [zone.name for zone in problem.zones]
    matrix, bounds, limits = area_rows(problem)
    found = linprog(np.ones(len(names)), matrix, bounds, bounds=limits, method="highs")
    shares = found.x if found.status == 0 else np.zeros(len(names))
    whole = problem.challenge.parcel.area
    return {name: max(_LEAST, float(share)) * whole for name, share in zip(names, shares, strict=True)}


def _spots(problem: Problem, names: list[str], chance: random.Random, *, given: bool) -> list[Spot]:
    """A spot for each piece; given: the farthest pairs of zones in opposite corners."""
    free = [*_CORNERS, *_ELSEWHERE]
    found: dict[int, Spot] = {}
    pairs = list(_OPPOSITE)
    chance.shuffle(pairs)
    gaps = (d for d in problem.demanded if isinstance(d, Gap) and d.low and not d.touching)
    for gap in sorted(gaps, key=lambda gap: -(gap.low or 0.0)) if given else ():
        if pairs and all(names.count(zone) == 1 and names.index(zone) not in found for zone in gap.zones):
            for zone, spot in zip(gap.zones, pairs.pop(0), strict=True):
                found[names.index(zone)] = spot
    rest = [spot for spot in free if spot not in found.values()]
    if not given:
        chance.shuffle(rest)
    elif found:
        rest.sort(key=lambda spot: spot in _CORNERS)
    places = iter([*rest, *((chance.random(), chance.random()) for _ in names)])
    return [found[at] if at in found else next(places) for at in range(len(names))]


def _ring(size: FloatArray, spot: Spot, area: float, *, round_one: bool) -> FloatArray:
    """A triangle in a corner, but for what has to be round."""
    if spot in _CORNERS and not round_one:
        return corner_triangle(size, spot, area)
    half = np.minimum(math.sqrt(area / math.pi), size / 2)
    return ellipse(np.clip(np.array(spot) * size, half, size - half), half)


def ellipse(centre: FloatArray, half: FloatArray) -> FloatArray:
    """An ellipse's corners, clockwise in the picture."""
    angles = 2 * math.pi * (np.arange(ROUND) + 0.5) / ROUND
    return np.asarray(centre + half * np.stack([np.cos(angles), np.sin(angles)], axis=1))


def corner_triangle(size: FloatArray, spot: Spot, area: float) -> FloatArray:
    """A right triangle in a corner of the parcel, its long side parallel to the parcel's other diagonal."""
    corner = np.array(spot) * size
    legs = math.sqrt(2 * area / float(size.prod())) * size * (1 - 2 * np.array(spot))
    steps = np.linspace(0.0, 1.0, 5)[:, None]
    ring = np.vstack([corner, corner + (1 - steps) * [legs[0], 0.0] + steps * [0.0, legs[1]]])
    return ring if (spot[0] == spot[1]) else ring[::-1]


def kept_rings(pieces: tuple[Placed, ...], kept: frozenset[str]) -> dict[str, FloatArray]:
    """The corners of keep-clear zones as a layout has them."""
    return {piece.zone: piece.outline() for piece in pieces if piece.zone in kept}

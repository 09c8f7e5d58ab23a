"""Contradictions that need no drawing: they hold for outlines of any shape, and are found at once."""

from __future__ import annotations

import math
from itertools import permutations

from measure.rules.demand import Centre, Edge, Gap, Sharing, Size
from measure.solvable.cpsat.search import piece_counts
from measure.solvable.problem.areas import sizes_contradict
from measure.solvable.problem.orders import orders_contradict
from measure.solvable.problem.problem import Problem

_ROOM = 1e-6
"""mm."""


def contradicts_itself(problem: Problem) -> bool:
    """Whether counts, sizes, overlaps or distances cannot hold together; False says nothing."""
    return (
        piece_counts(problem) is None
        or sizes_contradict(problem)
        or _share_and_not(problem)
        or _places_contradict(problem)
        or _gaps_contradict(problem)
        or orders_contradict(problem)
    )


def _places_contradict(problem: Problem) -> bool:
    """A distance from the edge, or from the centre, that is to be larger than it may be."""
    lows: dict[tuple[type, str], float] = {}
    highs: dict[tuple[type, str], float] = {}
    for demand in problem.demanded:
        if isinstance(demand, Edge | Centre):
            key = (type(demand), demand.zone)
            lows[key] = max(lows.get(key, 0.0), demand.low or 0.0)
            highs[key] = min(highs.get(key, math.inf), math.inf if demand.high is None else demand.high)
    return any(low > highs[key] + _ROOM for key, low in lows.items())


def _share_and_not(problem: Problem) -> bool:
    """Two zones that are to overlap, and are not to."""
    wanted = {(frozenset(demand.zones), demand.share) for demand in problem.demanded if isinstance(demand, Sharing)}
    return any((pair, not share) in wanted for pair, share in wanted)


def _gaps_contradict(problem: Problem) -> bool:
    """A gap that is to be larger than the parcel's diagonal, or than a chain of short gaps and small zones allows.

    Two points of one outline of perimeter P are at most P / 2 apart: both ways round are at least as long as straight.
    """
    parcel = problem.challenge.parcel
    diagonal = math.hypot(parcel.width, parcel.depth)
    lows, highs = _limits(problem)
    spans = dict.fromkeys((zone.name for zone in problem.zones), diagonal) | _spans(problem)
    shortest = {pair: min(diagonal, high) for pair, high in highs.items()}
    for via in spans:
        for a, b in permutations(spans, 2):
            if via not in (a, b):
                chain = shortest.get((a, via), diagonal) + spans[via] + shortest.get((via, b), diagonal)
                shortest[a, b] = min(shortest.get((a, b), diagonal), chain)
    return any(low > shortest.get(pair, diagonal) + _ROOM for pair, low in lows.items())


def _limits(problem: Problem) -> tuple[dict[tuple[str, str], float], dict[tuple[str, str], float]]:
    """The largest low and the smallest high limit of every gap, both ways round, in mm."""
    lows: dict[tuple[str, str], float] = {}
    highs: dict[tuple[str, str], float] = {}
    for demand in problem.demanded:
        if isinstance(demand, Gap):
            for pair in ((demand.a, demand.b), (demand.b, demand.a)):
                lows[pair] = max(lows.get(pair, 0.0), demand.low or 0.0)
                if demand.high is not None:
                    highs[pair] = min(highs.get(pair, math.inf), demand.high)
    return lows, highs


def _spans(problem: Problem) -> dict[str, float]:
    """The most that two points of a zone in one piece can be apart, in mm, where a perimeter limits it."""
    counts = piece_counts(problem) or {}
    made: dict[str, float] = {}
    for demand in problem.demanded:
        if isinstance(demand, Size) and demand.size == "perimeter" and demand.high is not None:
            zone = demand.of[0]
            if not demand.per and not demand.minus and counts.get(zone) == 1:
                made[zone] = min(made.get(zone, math.inf), demand.high / 2)
    return made

"""A quick proof that rules about sizes contradict each other whatever the shapes: a linear programme over areas.

Its unknowns are the zones' areas.  It knows that what lies side by side has no more area than the parcel, or than is
left of it inside a margin; that a shape of perimeter P has at most P^2 / (4 pi) (isoperimetric inequality; several
pieces have less together); and every rule that is linear in areas.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from scipy.optimize import linprog

from measure.quantity import FloatArray
from measure.rules.demand import AreaOrPerimeter, Edge, Sharing, Size
from measure.solvable.problem.problem import Problem

Row = tuple[dict[str, float], float]
"""The sum of coefficient times area is at most a bound, in mm2."""
_ROOM, _NO_MARGIN = 1e-9, 1e-7
"""Of the parcel: what rounding may take, and a margin that is none."""


def sizes_contradict(problem: Problem) -> bool:
    """Whether no areas, or no perimeters, keep the rules about sizes; False says nothing.

    What a rule calls larger is so by a margin, and zones that must be there have an area above it: where the largest
    margin is none, as in a circle of zones of which each is larger than the next, nothing keeps the rules.
    """
    if not problem.zones:
        return False
    matrix, bounds, limits = area_rows(problem)
    found = linprog(np.zeros(len(limits)), matrix, bounds, bounds=limits, method="highs")
    return bool(found.status == 2) or _no_margin(problem, "area") or _no_margin(problem, "perimeter")


def _no_margin(problem: Problem, size: AreaOrPerimeter) -> bool:
    """Whether a size that is above 0, and more than another where a rule says so, can be so by no margin at all."""
    sizes = [demand for demand in problem.demanded if isinstance(demand, Size) and demand.size == size]
    if not sizes or (size == "area" and not any(demand.strict or demand.per or demand.minus for demand in sizes)):
        return False
    names = sorted({zone for demand in sizes for zone in demand.zones})
    unit = problem.challenge.parcel.area if size == "area" else problem.challenge.parcel.width
    rows = [(c, bound, demand.strict) for demand in sizes for c, bound in _linear(demand)]
    rows += [({name: -1.0}, 0.0, True) for name in names]
    matrix = np.array([[*(c.get(name, 0.0) for name in names), float(strict)] for c, _, strict in rows])
    found = linprog(
        np.append(np.zeros(len(names)), -1.0),
        matrix,
        np.array([bound / unit for _, bound, _ in rows]),
        bounds=[*((0.0, 1.0 if size == "area" else None) for _ in names), (None, 1.0)],
        method="highs",
    )
    return bool(found.status == 2) or (found.x is not None and -float(found.fun) <= _NO_MARGIN)


def area_rows(problem: Problem) -> tuple[FloatArray, FloatArray, list[tuple[float, float | None]]]:
    """The programme: a matrix and its bounds (matrix @ areas <= bounds), and each area's own limits, in parcels."""
    names = [zone.name for zone in problem.zones]
    whole = problem.challenge.parcel.area
    rows = [*_stated(problem), *_room(problem)]
    matrix = np.array([[coefficients.get(name, 0.0) for name in names] for coefficients, _ in rows])
    bounds = np.array([bound / whole + _ROOM for _, bound in rows])
    known = {zone.name: zone.size[0] * zone.size[1] / whole for zone in problem.zones if zone.size is not None}
    return matrix.reshape(-1, len(names)), bounds, [(known.get(name, 0.0), known.get(name)) for name in names]


def _stated(problem: Problem) -> Iterator[Row]:
    for demand in problem.demanded:
        if isinstance(demand, Size) and demand.size == "perimeter":
            if demand.high is not None and not (demand.per or demand.minus):
                yield {demand.of[0]: 1.0}, demand.high**2 / (4 * math.pi)
        elif isinstance(demand, Size):
            yield from _linear(demand)


def _linear(demand: Size) -> Iterator[Row]:
    for limit, sign in ((demand.low, -1.0), (demand.high, 1.0)):
        if limit is None:
            continue
        coefficients: dict[str, float] = {}
        for names, factor in ((demand.of, 1.0), (demand.minus, -1.0), (demand.per, -limit)):
            for name in names:
                coefficients[name] = coefficients.get(name, 0.0) + sign * factor
        yield coefficients, 0.0 if demand.per else sign * limit


def _room(problem: Problem) -> Iterator[Row]:
    """What lies inside a margin has no more area than there is inside it; margin 0 is the parcel."""
    if any(isinstance(demand, Sharing) and demand.share for demand in problem.demanded):
        return
    for inside, zones in margins(problem):
        yield dict.fromkeys(zones, 1.0), inside


def margins(problem: Problem) -> Iterator[tuple[float, tuple[str, ...]]]:
    """For every margin that rules ask for: the area in mm2 inside it, and the zones that must lie there."""
    asked = {zone.name: 0.0 for zone in problem.zones}
    for demand in problem.demanded:
        if isinstance(demand, Edge) and demand.low is not None:
            asked[demand.zone] = max(asked[demand.zone], demand.low)
    parcel = problem.challenge.parcel
    for margin in sorted({0.0, *asked.values()}):
        width, depth = (max(0.0, side - 2 * margin) for side in (parcel.width, parcel.depth))
        yield width * depth, tuple(name for name, own in asked.items() if own >= margin)

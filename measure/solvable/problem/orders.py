"""A quick proof that rules about order contradict each other whatever the shapes: linear programmes, no drawing.

One has the sides of every zone's bounding box as unknowns, and the rules that say where a zone lies or which lies
beyond which; one the gaps between pairs of zones, and the rules that say how large they are or which is the smaller.
Strict orders hold by a margin that is to be as large as can be: in a circle of them it cannot be above 0.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import numpy as np
from scipy.optimize import linprog

from measure.rules.demand import Ahead, Edge, Gap, InHalf, Nearer
from measure.solvable.problem.problem import Problem

Ends = tuple[float | None, float | None]
Row = tuple[Mapping[object, float], float]
"""The sum of coefficient times unknown is at most a bound, in mm; the unknown `_MARGIN` is the margin."""
_MARGIN = "margin"
_NONE = 1e-6
"""mm: a margin no larger than this is none."""


def orders_contradict(problem: Problem) -> bool:
    """Whether no boxes, or no gaps, keep the rules about order; False says nothing."""
    return _no_boxes(problem) or _no_gaps(problem)


def most_margin(rows: Sequence[Row], ends: Mapping[object, Ends]) -> float | None:
    """The largest margin that the rows leave, at most 1; None where nothing keeps them."""
    names = list(ends)
    matrix = np.array([[row.get(name, 0.0) for name in names] for row, _ in rows]).reshape(-1, len(names))
    gain = np.array([-1.0 if name == _MARGIN else 0.0 for name in names])
    bounds = np.array([bound for _, bound in rows])
    found = linprog(gain, matrix, bounds, bounds=list(ends.values()), method="highs")
    if found.status == 2:
        return None
    return 1.0 if found.x is None else -float(found.fun)


def _no_boxes(problem: Problem) -> bool:
    parcel = problem.challenge.parcel
    asked = [d for d in problem.demanded if isinstance(d, Ahead | InHalf | Edge)]
    if not any(isinstance(d, Ahead | InHalf) for d in asked):
        return False
    ends: dict[object, Ends] = {_MARGIN: (None, 1.0)}
    rows: list[Row] = []
    for zone in {zone for demand in asked for zone in demand.zones}:
        for axis, size in enumerate((parcel.width, parcel.depth)):
            ends[zone, axis, 0] = ends[zone, axis, 1] = (0.0, size)
            rows.append(({(zone, axis, 0): 1.0, (zone, axis, 1): -1.0, _MARGIN: 1.0}, 0.0))
    for demand in asked:
        rows += _placed(demand, parcel.width, parcel.depth)
    return _contradictory(rows, ends)


def _placed(demand: Ahead | InHalf | Edge, width: float, depth: float) -> Iterable[Row]:
    if isinstance(demand, Edge):
        for axis, size in enumerate((width, depth)) if demand.low is not None else ():
            yield {(demand.zone, axis, 0): -1.0}, -(demand.low or 0.0)
            yield {(demand.zone, axis, 1): 1.0}, size - (demand.low or 0.0)
        return
    axis = 0 if abs(demand.way[0]) > abs(demand.way[1]) else 1
    sign = demand.way[axis]
    hind, fore = (0, 1) if sign > 0 else (1, 0)
    if isinstance(demand, InHalf):
        yield {(demand.zone, axis, hind): -sign}, -demand.line
    else:
        yield {(demand.behind, axis, fore): sign, (demand.zone, axis, hind): -sign}, 0.0


def _no_gaps(problem: Problem) -> bool:
    nearer = [demand for demand in problem.demanded if isinstance(demand, Nearer)]
    if not nearer:
        return False
    ends: dict[object, Ends] = {_MARGIN: (None, 1.0)}
    rows: list[Row] = []
    for demand in nearer:
        near, far = frozenset((demand.zone, demand.near)), frozenset((demand.zone, demand.far))
        ends[near] = ends[far] = (None, None)
        rows.append(({near: 1.0, far: -1.0, _MARGIN: 1.0}, 0.0))
    for gap in (demand for demand in problem.demanded if isinstance(demand, Gap)):
        pair = frozenset(gap.zones)
        if pair in ends:
            low, high = ends[pair]
            lows = [end for end in (low, gap.low) if end is not None]
            highs = [end for end in (high, gap.high) if end is not None]
            ends[pair] = (max(lows, default=None), min(highs, default=None))
    crossed = (low is not None and high is not None and low > high for low, high in ends.values())
    return any(crossed) or _contradictory(rows, ends)


def _contradictory(rows: Sequence[Row], ends: Mapping[object, Ends]) -> bool:
    margin = most_margin(rows, ends)
    return margin is None or margin <= _NONE

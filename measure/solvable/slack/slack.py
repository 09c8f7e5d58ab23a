"""How much room every limit has, as smooth functions of a layout's sides; and what must hold without any room."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from measure.challenge import Parcel
from measure.quantity import FloatArray, Quantity
from measure.rules.demand import Ahead, Centre, Demand, Edge, Gap, InHalf, Nearer, Sharing, Size
from measure.solvable.problem.problem import Problem
from measure.solvable.slack.layout_sides import Movable, MovablePiece, Sides

_GOOD_SIDE, _GOOD_GAP, _GOOD_SHAPE = 30.0, 10.0, 2.0
"""mm, mm, ratio: where the rules leave room for it, zones are so wide, so far apart, and no longer than this."""
_THINNEST = 0.5
"""mm: no box becomes thinner."""
_CLEARLY = 0.1
"""mm by which the nearer zone stays nearer."""
_CORNERS = 8 - 4 * math.sqrt(2)
"""Of what is cut off along a side: how much shorter the perimeter is by all four corners."""
Pieces = Sequence[MovablePiece]


@dataclass(frozen=True, eq=False)
class Row:
    """value must be at least 0. rule None: in mm, it must hold; 0: room to draw in; else that rule's slack."""

    value: Quantity
    rule: int | None = None


def rows_of(problem: Problem, sides: Sides, values: FloatArray) -> Iterator[Row]:
    """Everything that must hold, and every limit's slack, at these sides."""
    every = sides.pieces(values)
    sharing = {frozenset((d.a, d.b)) for d in problem.demanded if isinstance(d, Sharing) and d.share}
    yield from _on_the_parcel(problem, every)
    pieces, inside = _without_enclosed(problem, every)
    yield from _side_by_side(pieces, sharing, inside)
    yield from _easy_to_build(problem, pieces, inside)
    for rule in problem.rules:
        if rule.number in problem.active:
            for demand in rule.demands or ():
                yield from _rows(demand, pieces, rule.number, problem)


def _on_the_parcel(problem: Problem, pieces: Pieces) -> Iterator[Row]:
    parcel = problem.challenge.parcel
    for _, boxes, cut, _ in pieces:
        least = 2 * cut + _THINNEST
        for x1, y1, x2, y2 in boxes:
            yield from map(Row, (*_margins((x1, y1, x2, y2), parcel), x2 - x1 - least, y2 - y1 - least))


def _without_enclosed(problem: Problem, pieces: Pieces) -> tuple[Pieces, set[tuple[int, int]]]:
    """Which pieces (second) lie inside those of zones that subtract them (first); these then know what they lose."""
    hosts = problem.challenge.subtract
    inside = {
        (i, j)
        for i, host in enumerate(pieces) if host.zone in hosts and len(host.boxes) == 1
        for j, piece in enumerate(pieces) if piece.zone not in hosts
        if all(min(margin.value for margin in _rooms(box, host.boxes[0])) > 0 for box in piece.boxes)
    }  # fmt: skip
    lost = {i: _added([_area(pieces[j].boxes) for at, j in inside if at == i]) for i, _ in inside}
    made = [piece._replace(lost=lost.get(i, piece.lost)) for i, piece in enumerate(pieces)]
    return made, inside


def _rooms(box: Movable, host: Movable) -> tuple[Quantity, ...]:
    return box[0] - host[0], box[1] - host[1], host[2] - box[2], host[3] - box[3]


def _side_by_side(pieces: Pieces, sharing: set[frozenset[str]], inside: set[tuple[int, int]]) -> Iterator[Row]:
    for i, j in inside:
        yield from (Row(room - 1.0) for box in pieces[j].boxes for room in _rooms(box, pieces[i].boxes[0]))
    for (i, (zone, boxes, *_)), (j, (other, others, *_)) in combinations(enumerate(pieces), 2):
        if frozenset((zone, other)) not in sharing and not {(i, j), (j, i)} & inside:
            for one in boxes:
                for two in others:
                    yield Row(max(_axis_gaps(one, two), key=lambda gap: gap.value))
    for _, boxes, *_ in pieces:
        if len(boxes) == 2:
            yield Row(boxes[0][2] - boxes[1][0] - 1.0)
            yield Row(boxes[1][2] - boxes[0][0] - 1.0)


def _easy_to_build(problem: Problem, pieces: Pieces, inside: set[tuple[int, int]]) -> Iterator[Row]:
    """What makes a plan good to build, by no rule: half is good enough, as it is for the rules' slack."""
    kept = {zone.name for zone in problem.zones if zone.kind == "keep-clear"}
    touching = {frozenset(d.zones) for d in problem.demanded if isinstance(d, Sharing | Gap) and _together(d)}
    for zone, boxes, *_ in pieces:
        for box in boxes if zone not in kept else ():
            short, long = sorted((box[2] - box[0], box[3] - box[1]), key=_value)
            yield Row(short / (2 * _GOOD_SIDE), 0)
            yield Row(short * _GOOD_SHAPE / long - 0.5, 0)
    for (i, (zone, boxes, *_)), (j, (other, others, *_)) in combinations(enumerate(pieces), 2):
        if frozenset((zone, other)) not in touching and not {(i, j), (j, i)} & inside:
            nearest = min((_distance(one, two) for one in boxes for two in others), key=_value)
            yield Row(nearest / (2 * _GOOD_GAP), 0)


def _together(demand: Sharing | Gap) -> bool:
    return demand.share if isinstance(demand, Sharing) else demand.touching and demand.high is not None


def _rows(demand: Demand, pieces: Pieces, rule: int, problem: Problem) -> Iterator[Row]:
    if isinstance(demand, Size):
        yield from _limited(_size(demand, pieces), demand.low, demand.high, rule)
    elif isinstance(demand, Gap):
        yield from _gap(demand, pieces, rule)
    elif isinstance(demand, Edge):
        yield from _edge(demand, pieces, rule, problem)
    elif isinstance(demand, Centre):
        yield from _limited(_offset(demand, pieces), demand.low, demand.high, rule)
    elif isinstance(demand, Sharing) and demand.share:
        yield from _shared(demand, pieces, problem)
    elif isinstance(demand, Nearer):
        near, far = (_nearest(demand.zone, other, pieces) for other in (demand.near, demand.far))
        yield Row(far - near - _CLEARLY)
    elif isinstance(demand, Ahead | InHalf):
        yield from _ahead(demand, pieces)


def _limited(value: Quantity, low: float | None, high: float | None, rule: int) -> Iterator[Row]:
    """The slack of one value: against the limit, or against the room between two."""
    room = None if low is None or high is None else high - low
    if low is not None:
        yield _slack(value - low, room or low, rule)
    if high is not None:
        yield _slack(-value + high, room or high, rule)


def _slack(room: Quantity, limit: float, rule: int) -> Row:
    return Row(room / abs(limit), rule) if abs(limit) > 1e-9 else Row(room)


def _size(demand: Size, pieces: Pieces) -> Quantity:
    own = _total(demand, demand.of, pieces) - _total(demand, demand.minus, pieces)
    return own / _total(demand, demand.per, pieces) if demand.per else own


def _total(demand: Size, zones: tuple[str, ...], pieces: Pieces) -> Quantity:
    of = [piece for piece in pieces if piece.zone in zones]
    if demand.size == "area":
        return _added([_area(boxes) - 2 * cut**2 - lost for _, boxes, cut, lost in of])
    return _added([_perimeter(boxes) - _CORNERS * cut for _, boxes, cut, _ in of])


def _added(parts: Sequence[Quantity]) -> Quantity:
    total = Quantity(0.0)
    for part in parts:
        total = total + part
    return total


def _area(boxes: Sequence[Movable]) -> Quantity:
    return _added([(x2 - x1) * (y2 - y1) for x1, y1, x2, y2 in boxes])


def _perimeter(boxes: Sequence[Movable]) -> Quantity:
    left, right = min((b[0] for b in boxes), key=_value), max((b[2] for b in boxes), key=_value)
    top, bottom = min((b[1] for b in boxes), key=_value), max((b[3] for b in boxes), key=_value)
    return (right - left + bottom - top) * 2.0


def _value(quantity: Quantity) -> float:
    return quantity.value


def _axis_gaps(one: Movable, two: Movable) -> tuple[Quantity, Quantity]:
    """The signed gap along x and along y."""
    across = max((two[0] - one[2], one[0] - two[2]), key=_value)
    down = max((two[1] - one[3], one[1] - two[3]), key=_value)
    return across, down


def _distance(one: Movable, two: Movable) -> Quantity:
    across, down = _axis_gaps(one, two)
    if across.value > 0 and down.value > 0:
        return _length(across, down)
    return max((across, down), key=_value)


def _length(across: Quantity, down: Quantity) -> Quantity:
    """The length of a vector: along its own direction its value and gradient are exact."""
    size = float(np.hypot(across.value, down.value))
    if size == 0.0:
        return across * 0.0
    return across * (across.value / size) + down * (down.value / size)


def _gap(demand: Gap, pieces: Pieces, rule: int) -> Iterator[Row]:
    pairs = [
        (one, two)
        for zone, boxes, *_ in pieces if zone == demand.a
        for other, others, *_ in pieces if other == demand.b
        for one in boxes for two in others
    ]  # fmt: skip
    if demand.low is not None:
        room = (demand.high - demand.low) if demand.high is not None else demand.low
        for pair in pairs:
            yield _slack(_distance(*pair) - demand.low, room, rule)
    if demand.high is not None:
        nearest = min(pairs, key=lambda pair: _distance(*pair).value)
        if demand.touching:
            yield from (Row(-gap) for gap in _axis_gaps(*nearest))
        else:
            room = (demand.high - demand.low) if demand.low is not None else demand.high
            yield _slack(-_distance(*nearest) + demand.high, room, rule)


def _edge(demand: Edge, pieces: Pieces, rule: int, problem: Problem) -> Iterator[Row]:
    parcel = problem.challenge.parcel
    boxes = [box for zone, own, *_ in pieces if zone == demand.zone for box in own]
    margins = [margin for box in boxes for margin in _margins(box, parcel)]
    room = None if demand.low is None or demand.high is None else demand.high - demand.low
    if demand.low is not None:
        yield from (_slack(margin - demand.low, room or demand.low, rule) for margin in margins)
    if demand.high is not None:
        yield _slack(-min(margins, key=_value) + demand.high, room or demand.high, rule)


def _margins(box: Movable, parcel: Parcel) -> tuple[Quantity, ...]:
    """The distances to the parcel's sides."""
    x1, y1, x2, y2 = box
    return x1, y1, -x2 + parcel.width, -y2 + parcel.depth


def _offset(demand: Centre, pieces: Pieces) -> Quantity:
    """From the centroid to the point."""
    boxes = [box for zone, own, *_ in pieces if zone == demand.zone for box in own]
    area = _area(boxes)
    across = _added([(x2 - x1) * (y2 - y1) * ((x1 + x2) * 0.5) for x1, y1, x2, y2 in boxes]) / area - demand.at[0]
    down = _added([(x2 - x1) * (y2 - y1) * ((y1 + y2) * 0.5) for x1, y1, x2, y2 in boxes]) / area - demand.at[1]
    return _length(across, down)


def _shared(demand: Sharing, pieces: Pieces, problem: Problem) -> Iterator[Row]:
    """The two parts that share most keep sharing a box of more than twice the touch gap."""
    pairs = [
        (a, b)
        for zone, own, *_ in pieces
        if zone == demand.a
        for other, o, *_ in pieces
        if other == demand.b
        for a in own
        for b in o
    ]
    best = min(pairs, key=lambda pair: max(gap.value for gap in _axis_gaps(*pair)))
    for gap in _axis_gaps(*best):
        yield Row(-gap - (2 * problem.challenge.touch_gap + 0.5))


def _nearest(zone: str, other: str, pieces: Pieces) -> Quantity:
    """The smallest gap of two zones."""
    own, others = ([box for piece in pieces if piece.zone == name for box in piece.boxes] for name in (zone, other))
    return min((_distance(one, two) for one in own for two in others), key=_value)


def _ahead(demand: Ahead | InHalf, pieces: Pieces) -> Iterator[Row]:
    """What lies beyond a line, or beyond another zone, stays there."""
    axis = 0 if abs(demand.way[0]) > abs(demand.way[1]) else 1
    sign = demand.way[axis]
    hind, fore = (axis, axis + 2) if sign > 0 else (axis + 2, axis)
    for box in (box for piece in pieces if piece.zone == demand.zone for box in piece.boxes):
        if isinstance(demand, InHalf):
            yield Row(box[hind] * sign - demand.line)
            continue
        for other in (box for piece in pieces if piece.zone == demand.behind for box in piece.boxes):
            yield Row((box[hind] - other[fore]) * sign)

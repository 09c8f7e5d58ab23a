"""What formulas mean on an exact layout, worked out with shapely alone.

None is neither true nor false: what the program calls `not measured`, and overlaps so shallow that how deep they are
would be a matter of definition.
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import combinations
from typing import Any

import shapely

from measure.rules.amounts import Amount, Limit
from measure.rules.formula import formula_data as says
from measure.rules.formula import formula_terms as terms
from measure.rules.formula import formula_things as things

Shape = shapely.Geometry
Bound = dict[str, Any]
WAYS = {"north": (0, -1), "south": (0, 1), "west": (-1, 0), "east": (1, 0)}
SIDES = {"left": "west", "top": "north", "right": "east", "bottom": "south"}
WAYS |= {side: WAYS[way] for side, way in SIDES.items()}
IN_MM = {"in": 25.4, "cm": 10.0, "mm": 1.0, "ft": 304.8, "m": 1000.0}


@dataclass
class Layout:
    """Every zone's pieces: their points; the parcel, the tape's width, and the touch gap, in mm."""

    pieces: dict[str, list[list[tuple[float, float]]]]
    width: float = 400.0
    depth: float = 300.0
    tape: float = 12.0
    gap: float = 3.0
    shapes: dict[tuple[str, int], Shape] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for zone, several in self.pieces.items():
            for at, points in enumerate(several):
                self.shapes[zone, at] = shapely.Polygon(points)

    def keys(self, zone: str) -> list[tuple[str, int]]:
        return [(zone, at) for at in range(len(self.pieces[zone]))]

    def land(self, keys: Iterable[tuple[str, int]], *, outer: bool = False) -> Shape:
        lands = [self.shapes[key] for key in keys]
        if outer:
            lands = [shapely.buffer(land, self.tape / 2, join_style="mitre", mitre_limit=5.0) for land in lands]
        return shapely.union_all(lands)


class Truth:
    """Formulas on one layout."""

    def __init__(self, layout: Layout) -> None:
        self.on = layout

    # ---- things: lists of (zone, number of the piece)

    def keys(self, thing: Any, bound: list[tuple[Any, Any]]) -> list[tuple[str, int]]:
        match thing:
            case things.Zones(names):
                return [key for name in names for key in self.on.keys(name)]
            case things.AllZones(but):
                return [key for name in self.on.pieces if name not in but for key in self.on.keys(name)]
            case things.ExtremePiece(largest, zone):
                pick = max if largest else min
                return [pick(self.on.keys(zone), key=lambda key: self.on.shapes[key].area)]
            case things.That("first" | "second" as which):
                pair = next(value for span, value in reversed(bound) if getattr(span, "pairs", False))
                return self._named(pair[0 if which == "first" else 1])
            case things.That(what, zone):
                kind = things.Pieces if "piece" in what else things.EveryZone
                other = what.startswith("other")
                for span, value in reversed(bound):
                    fits = isinstance(span, kind) and not span.pairs and span.other == other
                    if fits and (not zone or zone in getattr(span, "zones", ())):
                        return self._named(value)
        raise AssertionError(thing)

    def _named(self, value: Any) -> list[tuple[str, int]]:
        return [value] if isinstance(value, tuple) else self.on.keys(value)

    def each(self, span: Any, bound: list[tuple[Any, Any]]) -> list[Any] | None:
        match span:
            case things.Pieces(zones, other, pairs):
                found: list[Any] = [key for zone in zones for key in self.on.keys(zone)]
                if other:
                    taken = {key for _, value in bound for key in self._taken(value)}
                    found = [key for key in found if key not in taken]
            case things.EveryZone(but, other, pairs):
                found = [zone for zone in self.on.pieces if zone not in but]
                if other:
                    taken_zones = {key[0] for _, value in bound for key in self._taken(value)}
                    found = [zone for zone in found if zone not in taken_zones]
            case things.Parts(what):
                corners = ["north-west", "north-east", "south-west", "south-east"]
                return corners if what in ("quarter", "corner") else list(WAYS)
        made = list(combinations(found, 2)) if pairs else found
        return made or None

    def _taken(self, value: Any) -> list[tuple[str, int]]:
        if isinstance(value, tuple) and isinstance(value[1], int):
            return [value]
        if isinstance(value, tuple):
            return [key for one in value for key in self._taken(one)]
        return self.on.keys(value) if value in self.on.pieces else []

    def apart(self, *several: list[tuple[str, int]]) -> bool:
        return not any(set(a) & set(b) for a, b in combinations(several, 2)) and all(several)

    # ---- formulas

    def holds(self, formula: Any, bound: list[tuple[Any, Any]]) -> bool | None:
        match formula:
            case says.All(parts):
                return _all([self.holds(part, bound) for part in parts])
            case says.Either(parts):
                return _any([self.holds(part, bound) for part in parts])
            case says.Negation(part):
                return _not(self.holds(part, bound))
            case says.Condition(test, then, otherwise):
                asked = self.holds(test, bound)
                first = _any([_not(asked), self.holds(then, bound)])
                second = True if otherwise is None else _any([asked, self.holds(otherwise, bound)])
                return _all([first, second])
            case says.Quantified(how, over, body):
                return self._quantified(how, over, body, bound)
            case says.Compare():
                return self._compare(formula, bound)
            case says.Multiple(of, number):
                value = self.value(of, bound)
                return None if value is None else math.isclose(value / number, round(value / number), abs_tol=1e-9)
        return self._place(formula, bound)

    def _quantified(self, how: Any, over: Any, body: Any, bound: list[tuple[Any, Any]]) -> bool | None:
        found = self.each(over, bound)
        if not found:
            return None
        cases = [self.holds(body, [*bound, (over, value)]) for value in found]
        if how == "every":
            return _all(cases)
        if how == "no":
            return _all([_not(case) for case in cases])
        if how == "some":
            return _any(cases)
        if None in cases:
            return None
        assert isinstance(how, Limit)
        held = sum(case is True for case in cases)
        if how.amount.measure == "percent":
            return held >= float(how.amount.number) / 100 * len(cases) - 1e-9
        return _within(how, held)

    def _compare(self, said: says.Compare, bound: list[tuple[Any, Any]]) -> bool | None:
        left, right = self.value(said.left, bound), self.value(said.right, bound)
        upper = None if said.upper is None else self.value(said.upper, bound)
        if left is None or right is None or (said.upper is not None and upper is None):
            return None
        match said.relation:
            case "at least" | "at most" | "more than" | "less than":
                if math.isclose(left, right, rel_tol=1e-7, abs_tol=1e-7):
                    # at the limit to the last digits: only what is exact may say so
                    return said.relation in ("at least", "at most") if left == right else None
                return (left > right) == (said.relation in ("at least", "more than"))
            case "between":
                assert upper is not None
                return None if _near(left, right, upper) else right < left < upper
        if said.within is None:
            return math.isclose(left, right, abs_tol=1e-9)
        width = float(said.within.number) / 100 * right
        if right < 0:
            return None
        return None if _near(left, right - width, right + width) else right - width < left < right + width

    def _place(self, formula: Any, bound: list[tuple[Any, Any]]) -> bool | None:
        if isinstance(formula, says.There):
            return bool(self.on.pieces[formula.zone])
        several = [self.keys(part, bound) for part in formula.parts() if isinstance(part, things.Thing)]
        if not self.apart(*several):
            return None
        of = several[0]
        match formula:
            case says.Touch(_, things.Edge(name)):
                return self._to_edge(self.on.land(of, outer=True), name, bound) <= self.on.gap
            case says.Touch(_, things.Point(corner)):
                point = shapely.Point(*self._point(corner, bound))
                return bool(self.on.land(of, outer=True).distance(point) <= self.on.gap)
            case says.Touch():
                return self._touch(of, several[1])
            case says.Overlap():
                return self._deep(self.on.land(of), self.on.land(several[1]))
            case says.Inside():
                host = self.on.land(several[1])
                return bool(shapely.buffer(host, self.on.gap, quad_segs=64).covers(self.on.land(of)))
            case says.InRegion(_, region, how):
                return self._in_region(of, self._region(region.name, bound), how)
            case says.Covers(_, at):
                return bool(shapely.contains_xy(self.on.land(of), *self._point(at.corner, bound)))
            case says.Compass(_, way, _):
                return self._beyond(of, several[1], way)
            case says.Amid():
                first, second = several[1:]
                return any(self._beyond(of, first, way) and self._beyond(second, of, way) for way in WAYS)
            case says.Separates():
                return self._separates(of, several[1], several[2])
            case says.HasShape(_, shape):
                return all(has_shape(shape, self.on.pieces[zone][at]) for zone, at in of)
            case says.Connected():
                return self._connected(of)
        raise AssertionError(formula)

    def _touch(self, of: list[tuple[str, int]], to: list[tuple[str, int]]) -> bool:
        return bool(self.on.land(of, outer=True).distance(self.on.land(to, outer=True)) <= self.on.gap)

    def _separates(self, of: list[tuple[str, int]], *sides: list[tuple[str, int]]) -> bool | None:
        """A ball of the touch gap's width rolls over the parcel: does it get from the one to the other?"""
        half, parcel = self.on.gap / 2, shapely.box(0, 0, self.on.width, self.on.depth)
        free = parcel.buffer(-half).difference(self.on.land(of, outer=True).buffer(half, quad_segs=64))
        parts = shapely.get_parts(free.buffer(-1e-6))
        answers = set()
        for off in (0.0, 2.0):
            lands = [self.on.land(side).buffer(-off * self.on.gap) for side in sides]
            on = [[shapely.intersection(part, land).area > 1 for land in lands] for part in parts]
            there = all(any(row[at] for row in on) for at in (0, 1))
            answers.add(there and not any(all(row) for row in on))
        return answers.pop() if len(answers) == 1 else None

    def _deep(self, first: Shape, second: Shape) -> bool | None:
        shared = shapely.intersection(first, second)
        if shared.area == 0:
            return False
        return True if shapely.buffer(shared, -self.on.gap).area > 0 else None

    def _region(self, name: str, bound: list[tuple[Any, Any]]) -> Shape:
        if name.startswith("that "):
            what = name.removeprefix("that ")
            part = next(v for s, v in reversed(bound) if isinstance(s, things.Parts) and s.what == what)
            name = f"{part} {what}"
        far, w, d = 1e4, self.on.width, self.on.depth
        box = [-far, -far, far, far]
        if name == "middle third from west to east":
            return shapely.box(w / 3, -far, 2 * w / 3, far)
        share = 1 / 3 if name.endswith("third") else 1 / 2
        for way in name.rsplit(" ", 1)[0].split("-"):
            x, y = WAYS[way]
            if x:
                box[0 if x > 0 else 2] = w * (1 - share) if x > 0 else w * share
            else:
                box[1 if y > 0 else 3] = d * (1 - share) if y > 0 else d * share
        return shapely.box(*box)

    def _in_region(self, of: list[tuple[str, int]], region: Shape, how: str) -> bool:
        land = self.on.land(of)
        if how == "in":
            return bool(shapely.buffer(region, self.on.gap, join_style="mitre").covers(land))
        if how == "mostly in":
            return bool(region.covers(land.centroid))
        return bool(shapely.buffer(region, -self.on.gap, join_style="mitre").intersects(land))

    def _point(self, corner: str, bound: list[tuple[Any, Any]]) -> tuple[float, float]:
        if corner == "that":
            corner = next(v for s, v in reversed(bound) if isinstance(s, things.Parts) and s.what == "corner")
        x, y = self.on.width / 2, self.on.depth / 2
        for way in corner.split("-") if corner else ():
            x, y = x + WAYS[way][0] * self.on.width / 2, y + WAYS[way][1] * self.on.depth / 2
        return x, y

    def _beyond(self, of: list[tuple[str, int]], other: list[tuple[str, int]], way: str) -> bool:
        mine, its = self.on.land(of).bounds, self.on.land(other).bounds
        ahead = {
            "north": its[1] - mine[3],
            "south": mine[1] - its[3],
            "west": its[0] - mine[2],
            "east": mine[0] - its[2],
        }
        return ahead[SIDES.get(way, way)] >= -self.on.gap

    def _connected(self, keys: list[tuple[str, int]]) -> bool:
        reached, left = [keys[0]], keys[1:]
        while True:
            near = [key for key in left if any(self._touch([key], [other]) for other in reached)]
            if not near:
                return not left
            reached, left = reached + near, [key for key in left if key not in near]

    def _to_edge(self, land: Shape, name: str, bound: list[tuple[Any, Any]]) -> float:
        if name == "that":
            name = next(v for s, v in reversed(bound) if isinstance(s, things.Parts) and s.what == "edge")
        x0, y0, x1, y1 = land.bounds
        gaps = {"west": x0, "north": y0, "east": self.on.width - x1, "south": self.on.depth - y1}
        return gaps[SIDES.get(name, name)] if name else min(gaps.values())

    # ---- terms, in mm

    def value(self, term: Any, bound: list[tuple[Any, Any]]) -> float | None:
        match term:
            case terms.Constant(amount):
                return in_mm(amount)
            case terms.Sum(first, second, minus):
                return _of(lambda a, b: a - b if minus else a + b, self.value(first, bound), self.value(second, bound))
            case terms.Difference(first, second):
                return _of(lambda a, b: abs(a - b), self.value(first, bound), self.value(second, bound))
            case terms.Times(factor, of):
                return _of(lambda a: float(factor) * a, self.value(of, bound))
            case terms.Ratio(of, by):
                divisor = self.value(by, bound)
                return None if divisor == 0 else _of(lambda a, b: a / b, self.value(of, bound), divisor)
            case terms.Aggregate(how, of, over):
                return self._aggregate(how, of, over, bound)
            case terms.Count(over, where):
                found = self.each(over, bound) or []
                if where is None:
                    return float(len(found))
                cases = [self.holds(where, [*bound, (over, value)]) for value in found]
                return None if None in cases else float(sum(case is True for case in cases))
            case terms.LandSize(land):
                whole = self.on.width * self.on.depth
                used = self.on.land([key for zone in self.on.pieces for key in self.on.keys(zone)]).area
                return {"parcel": whole, "empty land": whole - used, "used land": used}[land]
        return self._size(term, bound)

    def _aggregate(self, how: str, of: Any, over: Any, bound: list[tuple[Any, Any]]) -> float | None:
        found = self.each(over, bound)
        values = [self.value(of, [*bound, (over, value)]) for value in found or []]
        known = [value for value in values if value is not None]
        if not known or len(known) < len(values):
            return None
        reckon = {
            "smallest": min,
            "largest": max,
            "mean": statistics.fmean,
            "median": statistics.median,
            "sum": math.fsum,
            "range": lambda several: max(several) - min(several),
        }
        return float(reckon[how](known))  # type: ignore[operator]

    def _size(self, term: Any, bound: list[tuple[Any, Any]]) -> float | None:
        several = [self.keys(part, bound) for part in term.parts() if isinstance(part, things.Thing)]
        if not self.apart(*several):
            return None
        of = several[0]
        land = self.on.land(of)
        match term:
            case terms.Size("area"):
                return float(land.area)
            case terms.Size("perimeter"):
                return math.fsum(self.on.shapes[key].length for key in of)
            case terms.Size(name):
                return None if len(of) > 1 else side_size(name, self.on.pieces[of[0][0]][of[0][1]])
            case terms.AreaIn(_, region):
                return float(shapely.intersection(land, self._region(region.name, bound)).area)
            case terms.SideCount():
                return None if len(of) > 1 else float(len(self.on.pieces[of[0][0]][of[0][1]]))
            case terms.Gap(_, things.Edge(name)):
                return max(0.0, self._to_edge(land, name, bound))
            case terms.Gap(_, things.Centre()):
                return float(land.centroid.distance(shapely.Point(self.on.width / 2, self.on.depth / 2)))
            case terms.Gap(_, things.Point(corner)):
                return float(land.distance(shapely.Point(*self._point(corner, bound))))
            case terms.Gap():
                return float(land.distance(self.on.land(several[1])))
            case terms.Extent(_, way):
                x0, y0, x1, y1 = land.bounds
                return x1 - x0 if way == "west to east" else y1 - y0
            case terms.PairSize("centres"):
                return float(land.centroid.distance(self.on.land(several[1]).centroid))
            case terms.PairSize("overlap"):
                return float(shapely.intersection(land, self.on.land(several[1])).area)
            case terms.PairSize("common border"):
                mine, its = self.on.land(of, outer=True), self.on.land(several[1], outer=True)
                near = shapely.buffer(its, self.on.gap, quad_segs=64)
                return float(shapely.intersection(mine.boundary, near).length)
        raise AssertionError(term)


def side_size(name: str, points: list[tuple[float, float]]) -> float:
    """The length, width, longest or shortest side of an outline."""
    sides = [math.dist(a, b) for a, b in zip(points, [*points[1:], points[0]], strict=True)]
    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(shapely.Polygon(points)))
    rectangle = [math.dist(corners[0], corners[1]), math.dist(corners[1], corners[2])]
    return {
        "length": max(rectangle),
        "width": min(rectangle),
        "longest side": max(sides),
        "shortest side": min(sides),
    }[name]


def has_shape(shape: str, points: list[tuple[float, float]]) -> bool:
    """Of the outlines that are made here: rectangles along the axes, triangles with a right angle, and Ls."""
    w, h = abs(points[1][0] - points[0][0]), abs(points[-1][1] - points[0][1])
    square = max(w, h) <= 1.05 * min(w, h)
    of = {
        3: {"triangle": True, "right triangle": True},
        4: {"rectangle": True, "parallelogram": True, "square": square, "regular polygon": square},
        6: {"L-shape": True},
    }
    if shape == "right-angled shape":
        return len(points) > 3
    if shape == "straight-sided shape":
        return True
    return of[len(points)].get(shape, False)


def in_mm(amount: Amount) -> float:
    """An amount in mm, mm2 or mm3."""
    power = {"length": 1, "area": 2, "volume": 3}.get(amount.measure, 0)
    return float(amount.number) * (IN_MM[amount.unit] ** power if amount.unit else 1.0)


def _within(limit: Limit, number: int) -> bool:
    first = int(limit.amount.number)
    match limit.relation:
        case "at least":
            return number >= first
        case "at most":
            return number <= first
        case "more than":
            return number > first
        case "less than":
            return number < first
        case "exactly":
            return number == first
    assert limit.upper is not None
    return first <= number <= int(limit.upper.number)


def _near(value: float, *ends: float) -> bool:
    return any(math.isclose(value, end, rel_tol=1e-7, abs_tol=1e-7) for end in ends)


def _of(reckon: Any, *values: float | None) -> float | None:
    return None if None in values else float(reckon(*values))


def _all(cases: list[bool | None]) -> bool | None:
    return False if False in cases else None if None in cases else True


def _any(cases: list[bool | None]) -> bool | None:
    return True if True in cases else None if None in cases else False


def _not(case: bool | None) -> bool | None:
    return None if case is None else not case

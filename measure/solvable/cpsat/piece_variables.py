"""The variables of a layout on a grid: every piece as one rectangle, or as an L of two.

Coordinates are in ticks (see measure.solvable.problem.grid), areas in `scale` parts of a square tick.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise

from ortools.sat.python import cp_model

from measure.challenge import Zone
from measure.solvable.problem.grid import Grid
from measure.solvable.problem.layout import Layout, Placed
from measure.solvable.problem.problem import Problem

Expression = cp_model.LinearExpr | cp_model.IntVar | int
AREA_PARTS = 64
"""Parts of a square tick in which loose areas are counted, so that rounding them does not matter."""

_FINE = 1000
_THIN = 0.5
"""mm: boxes that came out without width get this much, so that they can be drawn and moved."""


@dataclass(frozen=True)
class Settings:
    """What is looked for.

    ells: the zones whose pieces may be Ls; rounder: those that may have their corners cut off.
    loose: all that a layout off the grid could become when its corners are moved to the grid, so that finding none
    proves that there is none at all of these shapes.
    overlaps: zones may overlap where no rule forbids it.
    give: ticks by which a box may reach into another all the same, from either side; negative: what stays between.
    side: steps that a rectangle's sides have at least.
    """

    grid: Grid
    ells: frozenset[str] = frozenset()
    rounder: frozenset[str] = frozenset()
    loose: bool = False
    overlaps: bool = False
    give: int = 0
    side: int = 1

    @property
    def slop(self) -> int:
        """Ticks by which a width or a gap may differ from that of the layout off the grid."""
        return self.grid.parts if self.loose else 0

    @property
    def scale(self) -> int:
        """Parts of a square tick in which areas are counted."""
        return AREA_PARTS if self.loose else 1


@dataclass(frozen=True, eq=False)
class Part:
    """One rectangle, in ticks."""

    x1: Expression
    y1: Expression
    x2: Expression
    y2: Expression


@dataclass(frozen=True, eq=False)
class PieceVariables:
    """One piece: its rectangles, their areas, its half perimeter (an L's is its box's), what is cut off its corners."""

    zone: str
    parts: tuple[Part, ...]
    areas: tuple[Expression, ...]
    half: Expression
    cut: Expression = 0

    @property
    def area(self) -> Expression:
        """In parts of a square tick."""
        return sum(self.areas[1:], self.areas[0])


class Board:
    """A CP-SAT model with the pieces of a problem on it."""

    def __init__(self, problem: Problem, settings: Settings, counts: Mapping[str, int]) -> None:
        self.model = cp_model.CpModel()
        self.problem = problem
        self.settings = settings
        parcel, grid = problem.challenge.parcel, settings.grid
        whole = [grid.ticks(side) / grid.parts for side in (parcel.width, parcel.depth)]
        self.columns, self.rows = (math.ceil(n) if settings.loose else math.floor(n) for n in whole)
        self.pieces = list(self._place_all(counts))
        self._break_symmetry(whole)

    def _place_all(self, counts: Mapping[str, int]) -> Iterator[PieceVariables]:
        for zone in self.problem.zones:
            if counts[zone.name]:
                yield from self._zone(zone, counts[zone.name])

    def of(self, zone: str) -> list[PieceVariables]:
        """The zone's pieces."""
        return [piece for piece in self.pieces if piece.zone == zone]

    def layout(self, solver: cp_model.CpSolver) -> Layout:
        """The layout that the solver found."""
        parcel, tick = self.problem.challenge.parcel, self.settings.grid.tick

        def boxes(piece: PieceVariables) -> Iterator[tuple[float, float, float, float]]:
            for p in piece.parts:
                x1, y1, x2, y2 = (solver.value(end) * tick for end in (p.x1, p.y1, p.x2, p.y2))
                yield x1, y1, max(x2, x1 + _THIN), max(y2, y1 + _THIN)

        placed = tuple(Placed(p.zone, tuple(boxes(p)), solver.value(p.cut) * tick) for p in self.pieces)
        return Layout(parcel.width, parcel.depth, placed)

    def variable(self, low: int, high: int) -> cp_model.IntVar:
        """A new whole number."""
        return self.model.new_int_var(low, max(low, high), "")

    def literal(self) -> cp_model.IntVar:
        """A new truth value."""
        return self.model.new_bool_var("")

    def _break_symmetry(self, whole: list[float]) -> None:
        """Where no zone is fixed and the grid fits the parcel, a mirrored layout is as good: one of them is enough."""
        free = [piece for piece in self.pieces if not isinstance(piece.parts[0].x1, int)]
        if len(free) < len(self.pieces) or not free or self.settings.loose:
            return
        if any(zone.place is not None for zone in self.problem.zones):
            return
        if sum(piece.zone == free[0].zone for piece in free) > 1:
            return  # its pieces are in an order already, which mirroring may change
        first, parts = free[0].parts, self.settings.grid.parts
        if whole[0] == self.columns:
            self.model.add(first[0].x1 + first[0].x2 <= parts * self.columns)
        if whole[1] == self.rows:
            self.model.add(first[0].y1 + first[-1].y2 <= parts * self.rows)

    def _zone(self, zone: Zone, count: int) -> Iterator[PieceVariables]:
        if zone.kind == "keep-clear":
            yield self._kept_clear(zone)
            return
        made = [self._team_piece(zone.name) for _ in range(count)]
        for first, second in pairwise(made):
            self.model.add(first.parts[0].x1 <= second.parts[0].x1)  # alike, so either may be the first
        yield from made

    def _team_piece(self, zone: str) -> PieceVariables:
        if zone in self.settings.ells:
            return self._ell(zone)
        made = self._rectangle(zone)
        return self._cut_off(made) if zone in self.settings.rounder else made

    def _cut_off(self, made: PieceVariables) -> PieceVariables:
        """An octagon: a corner cut at c takes c^2 / 2 of the area, and (2 - sqrt 2) c of the perimeter."""
        parts, box = self.settings.grid.parts, made.parts[0]
        cut = self.variable(0, min(self.columns, self.rows) // 2)
        self.model.add(2 * parts * cut <= box.x2 - box.x1)
        self.model.add(2 * parts * cut <= box.y2 - box.y1)
        squared = self.variable(0, min(self.columns, self.rows) ** 2)
        self.model.add_multiplication_equality(squared, [cut, cut])
        half = self.variable(0, parts * (self.columns + self.rows))
        self.model.add(_FINE * half >= _FINE * made.half - math.floor(_FINE * (4 - 2 * math.sqrt(2))) * parts * cut)
        self.model.add(
            _FINE * half <= _FINE * (made.half + 1) - math.floor(_FINE * (4 - 2 * math.sqrt(2))) * parts * cut
        )
        return PieceVariables(made.zone, made.parts, (made.area - 2 * parts**2 * squared,), half, parts * cut)

    def _rectangle(self, zone: str) -> PieceVariables:
        left, right = self._span(self.columns)
        top, bottom = self._span(self.rows)
        parts = self.settings.grid.parts
        width, height = right - left, bottom - top
        area = self._area(left, right, top, bottom)
        half = self._loose_half(parts * (width + height))
        return PieceVariables(zone, (Part(parts * left, parts * top, parts * right, parts * bottom),), (area,), half)

    def _ell(self, zone: str) -> PieceVariables:
        """Two rectangles one above the other with the same left side, or the same right one; equal: a rectangle."""
        parts = self.settings.grid.parts
        first, second = self._span(self.columns), self._span(self.columns)
        top, bottom = self._span(self.rows)
        middle = self.variable(0, self.rows)
        least = 0 if self.settings.loose else 1
        self.model.add(middle - top >= least)
        self.model.add(bottom - middle >= least)
        left_alike = self.literal()
        self.model.add(first[0] == second[0]).only_enforce_if(left_alike)
        self.model.add(first[1] == second[1]).only_enforce_if(~left_alike)
        self._joined(first, second)
        areas = self._area(*first, top, middle), self._area(*second, middle, bottom)
        boxes = (
            Part(parts * first[0], parts * top, parts * first[1], parts * middle),
            Part(parts * second[0], parts * middle, parts * second[1], parts * bottom),
        )
        return PieceVariables(zone, boxes, areas, self._loose_half(parts * (self._reach(first, second) + bottom - top)))

    def _joined(self, first: tuple[cp_model.IntVar, ...], second: tuple[cp_model.IntVar, ...]) -> None:
        """Stacked rectangles share a stretch of a side."""
        least = 0 if self.settings.loose else 1
        self.model.add(first[1] - second[0] >= least)
        self.model.add(second[1] - first[0] >= least)

    def _reach(self, first: tuple[cp_model.IntVar, ...], second: tuple[cp_model.IntVar, ...]) -> Expression:
        """The width of the bounding box: that of the wider one, as one side is common."""
        wider = self.variable(0, self.columns)
        self.model.add_max_equality(wider, [first[1] - first[0], second[1] - second[0]])
        return wider

    def _span(self, most: int) -> tuple[cp_model.IntVar, cp_model.IntVar]:
        start, end = self.variable(0, most), self.variable(0, most)
        self.model.add(end - start >= (0 if self.settings.loose else self.settings.side))
        return start, end

    def _area(
        self, left: cp_model.IntVar, right: cp_model.IntVar, top: cp_model.IntVar, bottom: cp_model.IntVar
    ) -> Expression:
        width, height = self.variable(0, self.columns), self.variable(0, self.rows)
        self.model.add(width == right - left)
        self.model.add(height == bottom - top)
        product = self.variable(0, self.columns * self.rows)
        self.model.add_multiplication_equality(product, [width, height])
        square = self.settings.grid.parts**2
        if not self.settings.loose:
            return square * product
        # Each side may be longer or shorter by a step: at most (w + 1)(h + 1), at least (w - 1)(h - 1) steps squared.
        unit = square * AREA_PARTS
        area = self.variable(0, unit * (self.columns + 1) * (self.rows + 1))
        self.model.add(area <= unit * (product + width + height + 1))
        self.model.add(area >= unit * (product - width - height + 1))
        return area

    def _loose_half(self, half: Expression) -> Expression:
        if not self.settings.loose:
            return half
        slop = 2 * self.settings.slop
        made = self.variable(0, self.settings.grid.parts * (self.columns + self.rows) + slop)
        self.model.add(made <= half + slop)
        self.model.add(made >= half - slop)
        return made

    def _kept_clear(self, zone: Zone) -> PieceVariables:
        """Where the challenge puts it, as large as it says; what it leaves open is free."""
        grid = self.settings.grid
        if zone.place is None and zone.size is None:
            return self._rectangle(zone.name)
        if zone.size is None:
            return self._centred(zone)
        width, height = (round(grid.ticks(side)) for side in zone.size)
        ends = (grid.parts * self.columns, grid.parts * self.rows)
        x1: Expression
        y1: Expression
        if zone.place is None:
            x1, y1 = self.variable(0, ends[0] - width), self.variable(0, ends[1] - height)
        else:
            x1, y1 = (round(grid.ticks(c - s / 2)) for c, s in zip(zone.place, zone.size, strict=True))
        part = Part(x1, y1, x1 + width, y1 + height)
        return PieceVariables(zone.name, (part,), (self.settings.scale * width * height,), width + height)

    def _centred(self, zone: Zone) -> PieceVariables:
        made = self._rectangle(zone.name)
        assert zone.place is not None
        part, grid = made.parts[0], self.settings.grid
        for low, high, centre in ((part.x1, part.x2, zone.place[0]), (part.y1, part.y2, zone.place[1])):
            off = self.variable(-self.settings.slop, self.settings.slop)
            self.model.add(low + high + 2 * off == 2 * round(grid.ticks(centre)))
        return made

"""Rules' demands as constraints of a CP-SAT model (variables and units: measure.solvable.cpsat.piece_variables)."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import product

from ortools.sat.python import cp_model

from measure.rules.demand import Ahead, Centre, Count, Demand, Edge, Gap, InHalf, Nearer, Sharing, Size
from measure.solvable.cpsat.land import CLOSE, Land, total
from measure.solvable.cpsat.piece_variables import Board, Expression, Part, PieceVariables

_FINEST_RATIO = 100_000
_DIRECTIONS = 16


class Constrained(Land):
    """A board on which demands hold."""

    def __init__(self, board: Board, demands: Sequence[Demand]) -> None:
        super().__init__(board, demands)
        for demand in demands:
            self.add(demand)

    def add(self, demand: Demand) -> None:
        """Make one demand hold. A Count is kept by the number of pieces on the board."""
        if isinstance(demand, Size):
            self._size(demand)
        elif isinstance(demand, Gap):
            self._gap(demand)
        elif isinstance(demand, Edge):
            self._edge(demand)
        elif isinstance(demand, Centre):
            self._centre(demand)
        elif isinstance(demand, Sharing) and demand.share:
            self._sharing(demand)
        elif isinstance(demand, Nearer):
            self._nearer(demand)
        elif isinstance(demand, Ahead | InHalf):
            self._ahead(demand)
        else:
            assert isinstance(demand, Count | Sharing)

    # ---- sizes

    def _size(self, demand: Size) -> None:
        own = self._total(demand, demand.of)
        if demand.minus:
            own = own - self._total(demand, demand.minus)
        against = self._total(demand, demand.per) if demand.per else None
        self._enclosed(demand)
        for limit, sign in ((demand.low, 1), (demand.high, -1)):
            if limit is None:
                continue
            if against is not None:
                ratio = Fraction(limit).limit_denominator(_FINEST_RATIO)
                beyond = sign * (ratio.denominator * own - ratio.numerator * against)
                self.model.add(beyond >= int(demand.strict and not self.settings.loose))
            else:
                self._beyond(demand, own, limit, sign)

    def _enclosed(self, demand: Size) -> None:
        """A box of perimeter P has at most P^2 / 16, and an L in it less; follows from the rest, but is found late."""
        rounder = demand.of[0] in self.settings.rounder
        if demand.size == "perimeter" and demand.high is not None and not rounder and not (demand.per or demand.minus):
            most = self._floor((demand.high / self.settings.grid.tick) ** 2 / 16, self._scale)
            self.model.add(total([piece.area for piece in self.board.of(demand.of[0])]) <= most)

    def _beyond(self, demand: Size, own: Expression, limit: float, sign: int) -> None:
        tick = self.settings.grid.tick
        unit, scale = (tick**2, self._scale) if demand.size == "area" else (2 * tick, 1)
        strict = int(demand.strict and not self.settings.loose)
        if sign > 0:
            least = self._floor(limit / unit, scale) + 1 if strict else self._ceil(limit / unit, scale)
            self.model.add(own >= least)
        else:
            most = self._ceil(limit / unit, scale) - 1 if strict else self._floor(limit / unit, scale)
            self.model.add(own <= most)

    def _total(self, demand: Size, zones: tuple[str, ...]) -> Expression:
        pieces = [piece for zone in dict.fromkeys(zones) for piece in self.board.of(zone)]
        return total([piece.area if demand.size == "area" else piece.half for piece in pieces])

    # ---- gaps

    def _gap(self, demand: Gap) -> None:
        pairs = self._part_pairs(demand.a, demand.b)
        if demand.low is not None:
            squared = self._least_square(demand.low, demand.strict)
            for one, other in pairs:
                self._far(one, other, squared)
        if demand.high is not None:
            strict = demand.strict and not self.settings.loose
            reach = self.settings.grid.ticks(demand.high)
            squared = math.ceil(reach**2 - CLOSE) - 1 if strict else math.floor(reach**2 + CLOSE)
            chosen = [self._near(one, other, squared) for one, other in pairs]
            self.model.add_bool_or(chosen)

    def _part_pairs(self, a: str, b: str) -> list[tuple[Part, Part]]:
        pieces = product(self.board.of(a), self.board.of(b))
        return [pair for one, other in pieces for pair in product(one.parts, other.parts)]

    def _least_square(self, low: float, strict: bool) -> int:
        reach = self.settings.grid.ticks(low)
        if reach < 0:
            return 0
        if strict and not self.settings.loose:
            return math.floor(reach**2 + CLOSE) + 1
        return math.ceil(reach**2 - CLOSE)

    def _far(self, one: Part, other: Part, squared: int) -> None:
        """The gap's square is at least this, in square ticks."""
        if squared <= 0:
            return
        sides = self._sides(one, other)
        self.model.add_bool_or(sides)
        reach = math.isqrt(squared - 1) + 1
        across = self._stretch(sides[0], sides[1], other.x1 - one.x2, one.x1 - other.x2, reach)
        down = self._stretch(sides[2], sides[3], other.y1 - one.y2, one.y1 - other.y2, reach)
        if reach == 1:
            self.model.add(across + down >= 1)
            return
        self.model.add(self._square(across, reach) + self._square(down, reach) >= squared)

    def _stretch(
        self, before: cp_model.IntVar, after: cp_model.IntVar, ahead: Expression, behind: Expression, reach: int
    ) -> cp_model.IntVar:
        """A length no larger than the gap along one axis, 0 where the two lie beside each other."""
        made = self.board.variable(0, reach)
        self.model.add(made <= ahead + self.settings.slop).only_enforce_if(before)
        self.model.add(made <= behind + self.settings.slop).only_enforce_if(after)
        self.model.add(made <= self.settings.slop).only_enforce_if(~before, ~after)
        return made

    def _near(self, one: Part, other: Part, squared: int) -> cp_model.IntVar:
        """A truth that makes the gap's square at most this."""
        chosen = self.board.literal()
        if squared < 0:
            self.model.add(chosen == 0)
            return chosen
        reach, lengths = math.isqrt(squared), []
        for ahead, behind in _both_ways(one, other):
            length = self.board.variable(0, reach)
            for gap in (ahead, behind):
                self.model.add(length + self.settings.slop >= gap).only_enforce_if(chosen)
            lengths.append(self._square(length, reach))
        self.model.add(total(lengths) <= squared).only_enforce_if(chosen)
        return chosen

    def _nearer(self, demand: Nearer) -> None:
        """Some two parts have a gap whose square is at most a number; every gap to the far zone is larger."""
        board = self.board
        reach = self.settings.grid.parts * (board.columns + board.rows)
        between = board.variable(0, 2 * reach**2)
        chosen = []
        for one, other in self._part_pairs(demand.zone, demand.near):
            near, lengths = board.literal(), []
            for ahead, behind in _both_ways(one, other):
                length = board.variable(0, reach)
                for gap in (ahead, behind):
                    self.model.add(length + self.settings.slop >= gap).only_enforce_if(near)
                lengths.append(self._square(length, reach))
            self.model.add(total(lengths) <= between).only_enforce_if(near)
            chosen.append(near)
        self.model.add_bool_or(chosen)
        least = 0 if self.settings.loose else 1
        for one, other in self._part_pairs(demand.zone, demand.far):
            sides = self._sides(one, other)
            pairs = zip((sides[:2], sides[2:]), _both_ways(one, other), strict=True)
            lengths = [self._square(self._stretch(*ways, *gaps, reach), reach) for ways, gaps in pairs]
            self.model.add(total(lengths) >= between + least)

    def _ahead(self, demand: Ahead | InHalf) -> None:
        """Every part of the zone lies beyond the line, or beyond every part of the other zone."""
        axis = 0 if abs(demand.way[0]) > abs(demand.way[1]) else 1
        slop = self.settings.slop
        for part in (part for piece in self.board.of(demand.zone) for part in piece.parts):
            low, high = (part.x1, part.x2) if axis == 0 else (part.y1, part.y2)
            if isinstance(demand, InHalf):
                line = self.settings.grid.ticks(abs(demand.line))
                if demand.way[axis] > 0:
                    self.model.add(low >= math.ceil(line - CLOSE) - slop)
                else:
                    self.model.add(high <= math.floor(line + CLOSE) + slop)
                continue
            for other in (part for piece in self.board.of(demand.behind) for part in piece.parts):
                start, end = (other.x1, other.x2) if axis == 0 else (other.y1, other.y2)
                before, after = (end, low) if demand.way[axis] > 0 else (high, start)
                self.model.add(after + slop >= before)

    def _square(self, length: Expression, most: int) -> cp_model.IntVar:
        made = self.board.variable(0, most**2)
        self.model.add_multiplication_equality(made, [length, length])
        return made

    def _sharing(self, demand: Sharing) -> None:
        """Some two parts share a box of more than twice the touch gap both ways, which is deeper than the gap."""
        reach = self.settings.grid.ticks(self.board.problem.challenge.touch_gap)
        least = max(0, math.floor(2 * reach) + 1 - self.settings.slop)
        chosen = []
        for one, other in self._part_pairs(demand.a, demand.b):
            common = self.board.literal()
            for low, high in ((one.x1, other.x2), (other.x1, one.x2), (one.y1, other.y2), (other.y1, one.y2)):
                self.model.add(high - low >= least).only_enforce_if(common)
            chosen.append(common)
        self.model.add_bool_or(chosen)

    # ---- the parcel

    def _edge(self, demand: Edge) -> None:
        parts = [part for piece in self.board.of(demand.zone) for part in piece.parts]
        margins = [margin for part in parts for margin in self._margins(part)]
        strict = demand.strict and not self.settings.loose
        if demand.low is not None:
            for margin, side in margins:
                least = self.settings.grid.ticks(demand.low) - side - self.settings.slop
                self.model.add(margin >= (math.floor(least + CLOSE) + 1 if strict else math.ceil(least - CLOSE)))
        if demand.high is not None:
            chosen = []
            for margin, side in margins:
                most = self.settings.grid.ticks(demand.high) - side + self.settings.slop
                near = self.board.literal()
                limit = math.ceil(most - CLOSE) - 1 if strict else math.floor(most + CLOSE)
                self.model.add(margin <= limit).only_enforce_if(near)
                chosen.append(near)
            self.model.add_bool_or(chosen)

    def _margins(self, part: Part) -> Iterator[tuple[Expression, float]]:
        """The distance to each side of the parcel as a variable and a fixed length that is added to it."""
        parcel, grid = self.board.problem.challenge.parcel, self.settings.grid
        yield part.x1, 0.0
        yield part.y1, 0.0
        yield -part.x2, grid.ticks(parcel.width)
        yield -part.y2, grid.ticks(parcel.depth)

    def _centre(self, demand: Centre) -> None:
        """Moments about the point against twice the distance times the area, direction by direction.

        Many directions make a polygon of the circle: inside the circle on the grid, around it where loose.
        """
        pieces = self.board.of(demand.zone)
        across, down = (self._moment(pieces, axis, demand.at[axis]) for axis in (0, 1))
        area = total([piece.area for piece in pieces])
        if demand.high is not None:
            inner = 1.0 if self.settings.loose else math.cos(math.pi / _DIRECTIONS)
            for turn in range(_DIRECTIONS):
                self._along(turn, across, down, area, demand.high * inner, 1)
        if demand.low is not None and demand.low > 0:
            inner = math.cos(math.pi / _DIRECTIONS) if self.settings.loose else 1.0
            chosen = [self.board.literal() for _ in range(_DIRECTIONS)]
            for turn, way in enumerate(chosen):
                self._along(turn, across, down, area, demand.low * inner, -1).only_enforce_if(way)
            self.model.add_bool_or(chosen)

    def _along(
        self, turn: int, across: Expression, down: Expression, area: Expression, limit: float, sign: int
    ) -> cp_model.Constraint:
        """The centroid's offset in one direction is at most (sign 1) or at least (-1) the limit."""
        fine = 1000
        angle = 2 * math.pi * turn / _DIRECTIONS
        c, s = round(fine * math.cos(angle)), round(fine * math.sin(angle))
        reach = 2 * fine * (self.settings.grid.ticks(limit) + sign * 1.5 * self.settings.slop)
        bound = math.floor(reach) if sign > 0 else math.ceil(reach)
        return self.model.add(sign * (c * across + s * down) <= sign * bound * area)

    def _moment(self, pieces: Sequence[PieceVariables], axis: int, at: float) -> Expression:
        """The sum over all parts of area times twice the offset of its middle from the point."""
        board, target = self.board, round(2 * self.settings.grid.ticks(at))
        reach = 2 * self.settings.grid.parts * max(board.columns, board.rows)
        most = reach * self._scale * self.settings.grid.parts**2 * (board.columns + 1) * (board.rows + 1)
        moments = []
        for part, area in (
            (part, area) for piece in pieces for part, area in zip(piece.parts, piece.areas, strict=True)
        ):
            offset = board.variable(-reach, reach)
            self.model.add(offset == ((part.x1 + part.x2) if axis == 0 else (part.y1 + part.y2)) - target)
            moment = board.variable(-most, most)
            own = board.variable(0, most)
            self.model.add(own == area)
            self.model.add_multiplication_equality(moment, [offset, own])
            moments.append(moment)
        return total(moments)


def _both_ways(one: Part, other: Part) -> tuple[tuple[Expression, Expression], tuple[Expression, Expression]]:
    """The gaps along each axis, the other part ahead and behind."""
    return (other.x1 - one.x2, one.x1 - other.x2), (other.y1 - one.y2, one.y1 - other.y2)

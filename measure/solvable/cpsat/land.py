"""What shares land and what does not: pieces side by side, zones that overlap, zones that lie inside others."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations, product

from ortools.sat.python import cp_model

from measure.rules.demand import Centre, Demand, Sharing
from measure.solvable.cpsat.piece_variables import Board, Expression, Part, PieceVariables
from measure.solvable.problem.areas import margins

CLOSE = 1e-7
"""Of a tick or a square tick: what rounding leaves."""
Sides = tuple[cp_model.IntVar, cp_model.IntVar, cp_model.IntVar, cp_model.IntVar]


class Land:
    """A board on which every piece has its own land, but for what the demands allow."""

    def __init__(self, board: Board, demands: Sequence[Demand]) -> None:
        self.board, self.model, self.settings = board, board.model, board.settings
        self._apart: dict[tuple[int, int], Sides] = {}
        sharing = {frozenset((d.a, d.b)) for d in demands if isinstance(d, Sharing) and d.share}
        sharing |= self._may_share(demands) if board.settings.overlaps else set()
        self._side_by_side(sharing, self._enclosures(demands))
        self._room(sharing)

    def _may_share(self, demands: Sequence[Demand]) -> set[frozenset[str]]:
        """Pairs of zones that a team lays out of which no rule says that they do not overlap."""
        forbidden = {frozenset(d.zones) for d in demands if isinstance(d, Sharing) and not d.share}
        names = [zone.name for zone in self.board.problem.zones if zone.kind == "zone"]
        return {frozenset(pair) for pair in combinations(names, 2)} - forbidden

    def _enclosures(self, demands: Sequence[Demand]) -> dict[tuple[int, int], cp_model.IntVar]:
        """Truths that a piece lies wholly inside a rectangle of a zone that subtracts what is inside it.

        The host's area is then without it. Hosts do not lie in hosts, nor are they tied to the centre.
        """
        placed = {demand.zone for demand in demands if isinstance(demand, Centre)}
        hosts = self.board.problem.challenge.subtract - placed
        made: dict[tuple[int, int], cp_model.IntVar] = {}
        for at, host in enumerate(self.board.pieces):
            if host.zone in hosts and len(host.parts) == 1:
                inner = {i: p for i, p in enumerate(self.board.pieces) if p.zone not in hosts}
                truths = {(at, i): self._enclosed_in(piece, host.parts[0]) for i, piece in inner.items()}
                taken = [self._taken(inner[i], truth) for (_, i), truth in truths.items()]
                made |= truths
                self.board.pieces[at] = replace(host, areas=(host.area - total(taken),))
        return made

    def _enclosed_in(self, piece: PieceVariables, host: Part) -> cp_model.IntVar:
        inside = self.board.literal()
        least = 0 if self.settings.loose else 1
        for part in piece.parts:
            for room in (part.x1 - host.x1, part.y1 - host.y1, host.x2 - part.x2, host.y2 - part.y2):
                self.model.add(room >= least).only_enforce_if(inside)
        return inside

    def _taken(self, piece: PieceVariables, inside: cp_model.IntVar) -> cp_model.IntVar:
        """The piece's area where it lies inside, else 0."""
        board = self.board
        taken = board.variable(0, self._scale * self.settings.grid.parts**2 * (board.columns + 1) * (board.rows + 1))
        self.model.add(taken == piece.area).only_enforce_if(inside)
        self.model.add(taken == 0).only_enforce_if(~inside)
        return taken

    def _side_by_side(self, sharing: set[frozenset[str]], enclosed: dict[tuple[int, int], cp_model.IntVar]) -> None:
        """No two pieces share land, but for zones that a rule wants to overlap, and what lies inside a host."""
        if not sharing and not enclosed:
            parts = [part for piece in self.board.pieces for part in piece.parts]
            intervals = [self._intervals(part) for part in parts]
            self.model.add_no_overlap_2d([across for across, _ in intervals], [down for _, down in intervals])
            return
        for (i, one), (j, other) in combinations(enumerate(self.board.pieces), 2):
            if frozenset((one.zone, other.zone)) not in sharing:
                inside = [enclosed[pair] for pair in ((i, j), (j, i)) if pair in enclosed]
                for first, second in product(one.parts, other.parts):
                    self.model.add_bool_or([*self._sides(first, second), *inside])

    def _intervals(self, part: Part) -> tuple[cp_model.IntervalVar, cp_model.IntervalVar]:
        return self._interval(part.x1, part.x2), self._interval(part.y1, part.y2)

    def _interval(self, start: Expression, end: Expression) -> cp_model.IntervalVar:
        board = self.board
        most = self.settings.grid.parts * max(board.columns, board.rows) + 2 * abs(self.settings.give)
        length = board.variable(0, most)
        give = self.settings.give
        return self.model.new_interval_var(start + give, length, end - give, "")

    def _room(self, sharing: set[frozenset[str]]) -> None:
        """What lies side by side has no more area than there is; follows from the rest, but is found late without."""
        if sharing:
            return
        tick = self.settings.grid.tick
        for inside, zones in margins(self.board.problem):
            pieces = [piece.area for piece in self.board.pieces if piece.zone in zones]
            self.model.add(total(pieces) <= self._floor(inside / tick**2, self._scale))

    @property
    def _scale(self) -> int:
        return self.settings.scale

    def _floor(self, value: float, scale: int = 1) -> int:
        return math.floor(value * scale + CLOSE + self.settings.loose)

    def _ceil(self, value: float, scale: int = 1) -> int:
        return math.ceil(value * scale - CLOSE - self.settings.loose)

    def _sides(self, one: Part, other: Part) -> Sides:
        """Truths: one lies left of, right of, above, below the other (at least two need not hold)."""
        key = (id(one), id(other))
        if key not in self._apart:
            left, right, above, below = (self.board.literal() for _ in range(4))
            self.model.add(one.x2 <= other.x1).only_enforce_if(left)
            self.model.add(other.x2 <= one.x1).only_enforce_if(right)
            self.model.add(one.y2 <= other.y1).only_enforce_if(above)
            self.model.add(other.y2 <= one.y1).only_enforce_if(below)
            self._apart[key] = (left, right, above, below)
        return self._apart[key]


def total(parts: Sequence[Expression]) -> Expression:
    """The sum, 0 of nothing."""
    return sum(parts[1:], parts[0]) if parts else 0

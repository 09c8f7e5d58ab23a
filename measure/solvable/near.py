"""The nearest layout to what a team built that meets every rule: the fewest pieces changed, then the least movement.

Pieces that stay keep their own measured outlines and their uncertainty; a moved one is shifted as it is, a resized one
becomes a rectangle.  What comes out is judged by the same checker as the photo was.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from ortools.sat.python import cp_model

from measure.challenge import Challenge
from measure.plat.plat import Piece, Plat, Ring, normalised, ordered
from measure.quantity import FloatArray, Quantity
from measure.solvable.cpsat.built import AS_BUILT, RESIZING, SCALES, BuiltBoard, BuiltPiece, middle_of
from measure.solvable.cpsat.constraints import Constrained
from measure.solvable.cpsat.piece_variables import Expression, Settings
from measure.solvable.cpsat.search import Deadline, piece_counts, solved
from measure.solvable.problem.grid import Grid, grids
from measure.solvable.problem.layout import checked
from measure.solvable.problem.problem import Problem, problem_of
from measure.solvable.problem.tightened import tightened

_TICKS = 8
_MARGINS = (0.0, 0.01, 0.03)
"""Slack asked for in turn, until the checker is sure in spite of the uncertainty of what stays."""
_LONGEST = 15.0
"""Seconds for one slack: the nearest layout is soon found, and only the proof that it is takes longer."""
_PIECE = 10_000
Kind = Literal["moved", "resized", "scaled", "added", "removed"]


@dataclass(frozen=True)
class Step:
    """What to do with one piece (index from 1, 0 for a new one).

    sides: how far its left, top, right and bottom side go, in mm, to the right and down positive.
    scale: of a round piece that is made larger or smaller all round, its new size over the old one.
    """

    zone: str
    index: int
    kind: Kind
    sides: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)
    scale: float = 1.0


@dataclass(frozen=True, eq=False)
class Near:
    """The steps from what was built to a plat that meets the rules; sure: the checker says `met` of each of them."""

    steps: tuple[Step, ...]
    plat: Plat
    sure: bool


def nearest(challenge: Challenge, plat: Plat, deadline: Deadline) -> Near | None:
    """The nearest layout found before the deadline; None where none was. No steps: every rule is met already.

    Raises ValueError where a piece's outline is not measured, or the plat's place on the parcel is not known.
    """
    if plat.frame == "card":
        raise ValueError("where the zones lie on the parcel is not known, so nothing can be said about moving them")
    hidden = [piece.zone for piece in plat.pieces if piece.status != "measured"]
    if hidden:
        raise ValueError(f"a piece of {hidden[0]} could not be measured, so nothing can be said about moving it")
    problem, best = problem_of(challenge), None
    if not problem.challenge.rules or _met(problem, plat):
        return Near((), plat, sure=True)
    for margin in _MARGINS:
        found = _search(problem, tightened(problem, margin), plat, min(_LONGEST, deadline.left / 2))
        if found is not None and found.sure:
            return found
        best = best or found
    return best


def _search(problem: Problem, asked: Problem, plat: Plat, seconds: float) -> Near | None:
    finest = grids(problem.challenge)[-1]
    # What was built may be rounder than a square: more area than a rectangle has within its perimeter.
    rounder = frozenset(zone.name for zone in problem.challenge.zones)
    settings = Settings(Grid(finest.step, finest.unit, _TICKS), rounder=rounder)
    give = int(settings.grid.ticks(problem.challenge.touch_gap) // 2)
    counts = _counts(asked, plat)
    if counts is None or seconds <= 0:
        return None
    board = BuiltBoard(asked, replace(settings, give=give), plat.pieces, counts)
    Constrained(board, asked.demanded)
    board.model.minimize(_cost(board))
    solver, status = solved(board.model, seconds)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    made, steps = _changed(board, solver, plat)
    return Near(steps, made, _met(problem, made))


def _counts(problem: Problem, plat: Plat) -> dict[str, int] | None:
    """As many pieces as were built, where no rule wants more or fewer."""
    least, most = piece_counts(problem), piece_counts(problem, more=len(plat.pieces))
    if least is None or most is None:
        return None
    built = {name: sum(piece.zone == name for piece in plat.pieces) for name in least}
    return {name: min(max(built[name], least[name]), most[name] or 0) for name in least}


def _cost(board: BuiltBoard) -> Expression:
    cost: Expression = 0
    for built in board.built:
        if built.shifts is None:
            continue
        cost += _PIECE * built.shifts.changed
        if built.shifts.resized is not None:
            cost += RESIZING * built.shifts.resized
        if built.shifts.scale is not None:
            away = board.variable(0, len(SCALES))
            board.model.add_abs_equality(away, built.shifts.scale - AS_BUILT)
            cost += away
        left, top, right, bottom = built.shifts.sides
        for pair in ((left, right), (top, bottom)):
            far = board.variable(0, board.columns + board.rows)
            for side in pair:
                board.model.add(far >= side)
                board.model.add(far >= -side)
            cost += far
    return cost


def _changed(board: BuiltBoard, solver: cp_model.CpSolver, plat: Plat) -> tuple[Plat, tuple[Step, ...]]:
    size = board.settings.grid.tick * board.settings.grid.parts
    numbers = {id(piece): number for piece, number in _numbered(plat.pieces)}
    kept, steps = [], list[Step]()
    for built in board.built:
        piece = built.piece
        if piece is None or built.shifts is None:
            kept.append(_box_piece(built, solver, board.settings.grid.tick, len(plat.sources)))
            steps.append(Step(built.variables.zone, 0, "added"))
            continue
        left, top, right, bottom = (solver.value(side) * size for side in built.shifts.sides)
        scale = 1.0 if built.shifts.scale is None else SCALES[solver.value(built.shifts.scale)] / 100
        if built.shifts.resized is not None and (left != right or top != bottom):
            kept.append(_box_piece(built, solver, board.settings.grid.tick, len(plat.sources)))
            steps.append(Step(piece.zone, numbers[id(piece)], "resized", (left, top, right, bottom)))
        elif scale != 1.0:
            kept.append(_scaled(piece, scale, (left, top)))
            steps.append(Step(piece.zone, numbers[id(piece)], "scaled", (left, top, right, bottom), scale))
        elif left or top:
            kept.append(_shifted(piece, (left, top)))
            steps.append(Step(piece.zone, numbers[id(piece)], "moved", (left, top, right, bottom)))
        else:
            kept.append(piece)
    there = {id(built.piece) for built in board.built}
    steps += [Step(p.zone, numbers[id(p)], "removed") for p in plat.pieces if id(p) not in there]
    return replace(plat, pieces=ordered(kept), frame="given" if plat.parcel is None else plat.frame), tuple(steps)


def _numbered(pieces: Sequence[Piece]) -> Iterator[tuple[Piece, int]]:
    seen: dict[str, int] = {}
    for piece in pieces:
        seen[piece.zone] = seen.get(piece.zone, 0) + 1
        yield piece, seen[piece.zone]


def _scaled(piece: Piece, scale: float, by: tuple[float, float]) -> Piece:
    """Laid anew about the middle of its box, then moved: exact, as what is resized."""
    middle = np.array(middle_of(piece))
    points = middle + (piece.ring.points - middle) * scale + by
    ring = normalised(points, np.zeros_like(piece.ring.sensitivity), curved=piece.ring.curved)
    return replace(piece, ring=ring, bridged=0.0)


def _shifted(piece: Piece, by: tuple[float, float]) -> Piece:
    """Put down where it is told to: its place is exact, its shape as measured."""

    def moved(ring: Ring) -> Ring:
        return normalised(ring.points + by, np.zeros_like(ring.sensitivity), curved=ring.curved)

    return replace(piece, ring=moved(piece.ring), holes=tuple(moved(hole) for hole in piece.holes), bridged=0.0)


def _box_piece(built: BuiltPiece, solver: cp_model.CpSolver, tick: float, sources: int) -> Piece:
    part = built.variables.parts[0]
    x1, y1, x2, y2 = (solver.value(side) * tick for side in (part.x1, part.y1, part.x2, part.y2))
    points: FloatArray = np.array([[x1, y1], [x2, y1], [x2, y2], [x1, y2]])
    width = built.piece.tape_width if built.piece is not None else Quantity(0.0)
    return Piece(built.variables.zone, normalised(points, np.zeros((4, 2, sources))), width)


def _met(problem: Problem, plat: Plat) -> bool:
    outcomes = checked(problem.challenge, plat)
    return all(outcomes[number - 1].verdict == "met" for number in problem.active) and all(
        outcome.verdict in ("met", "not measured") for outcome in outcomes[len(problem.rules) :]
    )

"""A layout of outlines of any shape, looked for: corners are moved until every rule is kept.

It begins with triangles in corners and round zones, and with rectangles that keep looser limits. Every rule's quantity
knows how it moves with each corner, so a sequence of linear programmes within a trust region finds the way from there.
Nothing is proved by finding none.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import linprog

from measure.quantity import FloatArray
from measure.solvable.cpsat.search import Deadline
from measure.solvable.problem.layout import Layout
from measure.solvable.problem.problem import Problem
from measure.solvable.reshaping.outlines import Outlines, outlines_of
from measure.solvable.reshaping.starts import starts
from measure.solvable.reshaping.wanted import Wanted, wanted

_ROUNDS = 60
_HELD = 0.002
"""Room that is enough where there is no number to have room from."""
_FOUND, _MOST = 0.01, 0.5
"""Room with which a first search is content, and beyond which more is of no use."""
_SECOND = 1.0
"""Seconds that a start gets at least."""
_KEPT = 2e-4
"""Room that a layout must have, so that rounding its corners does no harm."""
_FINEST = 0.01
"""mm: trust regions smaller than this end the search."""
_NEAR = 0.5
"""Values so much above the least one do not hold a step back."""


def reshaped(problem: Problem, deadline: Deadline) -> Layout | None:
    """A layout that keeps every rule, as far as the linear parts tell; None where none was found in time."""
    for start in starts(problem, deadline):
        if deadline.over:
            return None
        found = _climbed(problem, start, _FOUND, Deadline(max(min(_SECOND, deadline.left), deadline.left / 6)))
        if found is not None and found.least >= _KEPT:
            return found.outlines.layout()
    return None


def roomiest(problem: Problem, layout: Layout, deadline: Deadline) -> tuple[Layout, dict[int, float]]:
    """A layout near this one with more room, where there is one, and the room of each rule with a number."""
    kept = {zone.name for zone in problem.zones if zone.kind == "keep-clear"}
    rings = [piece.outline() for piece in layout.pieces]
    start = outlines_of(layout, rings, [piece.zone in kept for piece in layout.pieces])
    found = _climbed(problem, start, _MOST, deadline)
    if found is None:
        return layout, {}
    return found.outlines.layout(), found.wanted.rooms()


@dataclass(frozen=True, eq=False)
class _State:
    outlines: Outlines
    wanted: Wanted

    @property
    def least(self) -> float:
        """The least room; what has no number counts only while it is not held."""
        soft = self.wanted.rules > 0
        held = float(self.wanted.values[~soft].min(initial=_HELD))
        room = float(self.wanted.values[soft].min(initial=_MOST))
        return room if held >= _HELD else min(held, room)


def _state(problem: Problem, outlines: Outlines) -> _State | None:
    found = wanted(problem, outlines) if outlines.sound else None
    return None if found is None else _State(outlines, found)


def _climbed(problem: Problem, start: Outlines, enough: float, deadline: Deadline) -> _State | None:
    """The state with the most room that is reached from a start."""
    state, reach = _state(problem, start), max(start.width, start.depth) / 16
    for _ in range(_ROUNDS):
        if state is None or deadline.over or reach < _FINEST or state.least >= enough:
            break
        vector = state.outlines.vector
        step = _step(state, vector, reach, enough)
        trial = None if step is None else _state(problem, state.outlines.at(vector + step))
        if trial is not None and trial.least > state.least + 1e-7:
            state, reach = trial, 1.5 * reach
        else:
            reach /= 3
    return state


def _step(state: _State, vector: FloatArray, reach: float, enough: float) -> FloatArray | None:
    """The move of all corners, each by no more than reach and on the parcel, that leaves the most room."""
    count, made = len(vector), state.wanted
    near = made.values < state.least + _NEAR
    soft = made.rules[near, None] > 0
    matrix = np.hstack([-made.slopes[near], soft, ~soft])
    far = np.tile([state.outlines.width, state.outlines.depth], count // 2)
    bounds = [(max(-reach, -at), min(reach, most - at)) for at, most in zip(vector, far, strict=True)]
    gain = np.concatenate([np.zeros(count), [-1.0, -10.0]])
    ends: list[tuple[float | None, float]] = [(None, enough), (None, 2 * _HELD)]
    found = linprog(gain, matrix, made.values[near], bounds=[*bounds, *ends], method="highs")
    return None if found.x is None else np.asarray(found.x[:count])

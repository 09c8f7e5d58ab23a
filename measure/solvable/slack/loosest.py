"""The loosest layout: every side moved so that the tightest rule has the most room, the order of the zones kept.

The slack of a limit: how far the value lies from it, as a share of the limit; of a rule with two limits, as a share of
the room between them (a half is the middle).  A plan's quantities are smooth in its sides, so a sequence of linear
programmes within a trust region finds the largest smallest slack; then, that being kept, the most slack for the others.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import linprog
from scipy.sparse import csr_matrix

from measure.quantity import FloatArray
from measure.solvable.problem.layout import Layout
from measure.solvable.problem.problem import Problem
from measure.solvable.slack.layout_sides import Sides, sides_of
from measure.solvable.slack.slack import Row, rows_of

MOST = 0.5
"""Slack beyond which more room is of no use; a rule with two limits has no more."""
_ROUNDS = 40
_PENALTY = 1e3
_KEPT = 1e-3
"""mm: by how much what must hold may fail before a step is refused."""
_FINEST = 1e-4
"""mm: trust regions smaller than this end the search."""


@dataclass(frozen=True, eq=False)
class _State:
    """A set of sides and what it is worth: violation in mm, smallest slack, the sum of slacks up to MOST."""

    values: FloatArray
    rows: tuple[Row, ...]
    violation: float
    least: float
    total: float


def loosest(problem: Problem, layout: Layout) -> Layout:
    """The layout with the most room that keeps the order of these pieces; itself where nothing can be gained."""
    sides = sides_of(problem, layout)
    state = _state(problem, sides, sides.start)
    if sides.count:
        state = _climb(problem, sides, state, spread=False)
        state = _climb(problem, sides, state, spread=True)
    return sides.layout(state.values)


def _climb(problem: Problem, sides: Sides, state: _State, *, spread: bool) -> _State:
    reach = max(problem.challenge.parcel.width, problem.challenge.parcel.depth) / 8
    for _ in range(_ROUNDS):
        step = _step(state, sides.count, reach, state.least if spread else None)
        trial = None if step is None else _state(problem, sides, state.values + step)
        if trial is not None and _better(trial, state, spread):
            small = abs(trial.least - state.least) + abs(trial.total - state.total) < 1e-5
            state, reach = trial, min(2 * reach, 200.0)
            if small and state.violation < _KEPT:
                break
        else:
            reach /= 4
            if reach < _FINEST:
                break
    return state


def _better(trial: _State, state: _State, spread: bool) -> bool:
    if trial.violation > max(_KEPT, state.violation * 0.9):
        return False
    if state.violation > _KEPT:
        return True
    if spread:
        return trial.least > state.least - 1e-7 and trial.total > state.total + 1e-7
    return trial.least > state.least + 1e-7


def _state(problem: Problem, sides: Sides, values: FloatArray) -> _State:
    rows = tuple(rows_of(problem, sides, values))
    hard = [row.value.value for row in rows if row.rule is None]
    soft = [row.value.value for row in rows if row.rule is not None]
    limits = [row.value.value for row in rows if row.rule]
    violation = max([0.0, *(-value for value in hard)])
    return _State(values, rows, violation, min([MOST, *limits]), sum(min(MOST, value) for value in soft))


def _step(state: _State, count: int, reach: float, kept: float | None) -> FloatArray | None:
    """The best move of the sides where everything is linear: for the least slack, or for all with `kept` as the least.

    The programme's unknowns are the moves, the least slack, the rows' own slacks, and a violation at a price.
    """
    soft = [row for row in state.rows if row.rule is not None]
    hard = [row for row in state.rows if row.rule is None]
    width = count + 2 + len(soft)
    matrix, bound = np.zeros((len(hard) + 2 * len(soft), width)), np.zeros(len(hard) + 2 * len(soft))
    for at, row in enumerate(hard):
        matrix[at, :count], matrix[at, count + 1], bound[at] = -row.value.sensitivity, -1.0, row.value.value
    for at, row in enumerate(soft):
        least, own = len(hard) + 2 * at, len(hard) + 2 * at + 1
        if row.rule:
            matrix[least, :count], matrix[least, count], bound[least] = -row.value.sensitivity, 1.0, row.value.value
        matrix[own, :count], matrix[own, count + 2 + at], bound[own] = -row.value.sensitivity, 1.0, row.value.value
    gain = np.zeros(width)
    gain[count], gain[count + 1] = (-1.0 if kept is None else 0.0), _PENALTY
    gain[count + 2 :] = -1e-4 if kept is None else -1.0
    lowest = -np.inf if kept is None else kept - 1e-9
    limits: list[tuple[float | None, float | None]] = [(-reach, reach)] * count + [
        (lowest, MOST if kept is None else max(MOST, lowest)),
        (0.0, None),
    ]
    limits += [(None, MOST)] * len(soft)
    found = linprog(gain, csr_matrix(matrix), bound, bounds=limits, method="highs")
    return None if found.x is None else np.asarray(found.x[:count])

"""One search on one grid: a layout, the proof that there is none, or neither within the time."""

from __future__ import annotations

import time
from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor, wait
from dataclasses import dataclass

from ortools.sat.python import cp_model

from measure.solvable.cpsat.constraints import Constrained
from measure.solvable.cpsat.piece_variables import Board, Settings
from measure.solvable.problem.layout import Layout
from measure.solvable.problem.problem import Problem, zone_counts

SEED = 7
WORKERS = 2
_LISTEN = 0.2
"""Seconds after which Ctrl-C is looked for, where waiting cannot be interrupted (Windows)."""


@dataclass(frozen=True)
class Searched:
    """layout None and proved: there is none; layout None and not proved: the time was not enough."""

    layout: Layout | None
    proved: bool = False


class Deadline:
    """A point in time, in seconds from now."""

    def __init__(self, seconds: float) -> None:
        self._end = time.monotonic() + seconds

    @property
    def left(self) -> float:
        """Seconds, not below 0."""
        return max(0.0, self._end - time.monotonic())

    @property
    def over(self) -> bool:
        """Whether it has come."""
        return self.left <= 0.0


def piece_counts(problem: Problem, more: int = 0) -> dict[str, int] | None:
    """The fewest pieces of every zone (`more` as many more where no rule forbids it); None where no number will do."""
    allowed = zone_counts(problem.demanded)
    counts = {}
    for zone in problem.zones:
        low, high = allowed.get(zone.name, (0, None))
        if high is not None and high < low:
            return None
        counts[zone.name] = 0 if high == 0 else max(1, low)
        if more and zone.kind == "zone" and counts[zone.name]:
            counts[zone.name] = min(counts[zone.name] + more, high or counts[zone.name] + more)
    needed = {zone for demand in problem.demanded for zone in demand.zones}
    return None if any(counts[zone] == 0 for zone in needed) else counts


def search(
    problem: Problem,
    settings: Settings,
    seconds: float,
    counts: Mapping[str, int] | None = None,
    *,
    seed: int = SEED,
) -> Searched:
    """Look for a layout with these settings for so many seconds; another seed looks in another order."""
    counts = piece_counts(problem) if counts is None else counts
    if counts is None:
        return Searched(None, proved=True)
    board = Board(problem, settings, counts)
    Constrained(board, problem.demanded)
    solver, status = solved(board.model, seconds, seed)
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Searched(board.layout(solver))
    return Searched(None, proved=status == cp_model.INFEASIBLE)


def solved(
    model: cp_model.CpModel, seconds: float, seed: int = SEED
) -> tuple[cp_model.CpSolver, cp_model.CpSolverStatus]:
    """Solve for so many seconds. Ctrl-C ends the solver at once, and then everything, not only this search."""
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = max(0.01, seconds)
    solver.parameters.num_workers = WORKERS
    solver.parameters.random_seed = seed
    solver.parameters.catch_sigint_signal = False
    with ThreadPoolExecutor(1) as beside:
        running = beside.submit(solver.solve, model)
        try:
            while not running.done():
                wait([running], timeout=_LISTEN)
        except KeyboardInterrupt:
            solver.stop_search()
            raise
    return solver, running.result()

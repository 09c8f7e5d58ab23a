"""How tight a challenge is: what its rules commit, and how much room each rule has in the loosest layout."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import linprog

from measure.solvable.cpsat.piece_variables import Settings
from measure.solvable.cpsat.search import Deadline, search
from measure.solvable.decide import passes
from measure.solvable.problem.areas import area_rows
from measure.solvable.problem.grid import grids
from measure.solvable.problem.layout import Layout, Placed
from measure.solvable.problem.problem import Problem
from measure.solvable.problem.tightened import tightened
from measure.solvable.reshaping.reshape import roomiest
from measure.solvable.slack.layout_sides import sides_of
from measure.solvable.slack.loosest import MOST, loosest
from measure.solvable.slack.slack import rows_of
from measure.units import MM_PER, Unit

_BINDING = 0.005
"""A rule binds where its slack is this near to the least."""
_PLENTY = 0.45
"""From this least slack on no rule is said to bind."""
_KEPT = 0.9
"""Of the least slack: what moving corners to round places must leave."""
_TRIES, _NEAR = 6, 0.02
_QUICK = 1.0
_WIDE, _APART = 25.0, 8.0
"""mm: sides and gaps that make a sample layout easy to build, where the rules leave room."""
_EASE = 0.1
_ROUND: dict[Unit, tuple[float, ...]] = {
    "in": (0.5, 0.25, 0.125, 0.0625), "cm": (1, 0.5, 0.2, 0.1), "mm": (10, 5, 2, 1),
}  # fmt: skip


@dataclass(frozen=True)
class Tightness:
    """layout is the loosest one found, its corners moved to round places; the numbers are of the loosest one itself.

    committed is the least share of the parcel that zones must cover, keep-clear ones included.
    slacks holds (rule, slack) of every rule with a limit, the tightest first; least is the smallest, up to a half;
    binding are the rules that have no more than the least, none where there is plenty.
    """

    layout: Layout
    committed: float
    slacks: tuple[tuple[int, float], ...]
    least: float
    binding: tuple[int, ...]

    @property
    def word(self) -> str:
        """roomy from a quarter, fair from a tenth, tight from 3 %, else very tight."""
        names = ((0.25, "roomy"), (0.10, "fair"), (0.03, "tight"))
        return next((name for limit, name in names if self.least >= limit), "very tight")


def tightness(problem: Problem, layout: Layout, deadline: Deadline) -> Tightness:
    """How tight a solvable problem is, from one of its layouts."""
    if not layout.of_boxes:
        return _of_outlines(problem, layout, deadline)
    best = loosest_of_all(problem, layout, deadline)
    return _said(problem, round_layout(problem, best), slacks_of(problem, best))


def _of_outlines(problem: Problem, layout: Layout, deadline: Deadline) -> Tightness:
    """Of a layout of other shapes: its corners are moved, and the rules' own quantities tell the room."""
    moved, slacks = roomiest(problem, layout, deadline)
    best = _kept(problem, moved, layout)
    return _said(problem, best, slacks if best is moved else roomiest(problem, layout, Deadline(0.0))[1])


def _said(problem: Problem, layout: Layout, slacks: dict[int, float]) -> Tightness:
    least = min([MOST, *slacks.values()])
    ranked = tuple(sorted(slacks.items(), key=lambda pair: pair[1]))
    binding = tuple(number for number, slack in ranked if slack <= least + _BINDING and least < _PLENTY)
    return Tightness(layout, least_share(problem), ranked, least, tuple(sorted(binding)))


def slacks_of(problem: Problem, layout: Layout) -> dict[int, float]:
    """Every rule's smallest slack in a layout."""
    sides = sides_of(problem, layout)
    found: dict[int, float] = {}
    for row in rows_of(problem, sides, sides.start):
        if row.rule:
            found[row.rule] = min(found.get(row.rule, np.inf), row.value.value)
    return found


def least_slack(problem: Problem, layout: Layout) -> float:
    """The smallest of all slacks, at most MOST."""
    return min([MOST, *slacks_of(problem, layout).values()])


def loosest_of_all(problem: Problem, layout: Layout, deadline: Deadline) -> Layout:
    """The loosest layout found: limits are tightened together until nothing keeps them, and every layout is loosened.

    Halving the step each time; what is found on a grid is the start for sides that lie anywhere.
    """
    best = _kept(problem, loosest(problem, layout), layout)
    low, high, wanted = 0.0, MOST, 0.0
    for _ in range(_TRIES):
        if high - low < _NEAR or deadline.over:
            break
        found = _spacious(tightened(problem, wanted), layout, deadline)
        if found is None:
            high = wanted
        else:
            trial = _kept(problem, loosest(problem, found), best)
            low = max(wanted, min(least_slack(problem, trial), high))
            best = max((best, trial), key=lambda one: worth(problem, one))
        wanted = 0.98 * MOST if high == MOST and wanted == 0.0 else (low + high) / 2
    return best


def _spacious(problem: Problem, like: Layout, deadline: Deadline) -> Layout | None:
    """A layout of such shapes on a grid, with room between wide zones where there is one."""
    grid = grids(problem.challenge)[1]
    ells = frozenset(piece.zone for piece in like.pieces if len(piece.boxes) > 1)
    rounder = frozenset(piece.zone for piece in like.pieces if piece.cut > 0)
    plain = Settings(grid, ells, rounder)
    wide = replace(plain, side=max(1, round(_WIDE / grid.tick / grid.parts)))
    apart = replace(wide, give=-round(_APART / 2 / grid.tick))
    for settings in (apart, wide, plain):
        found = search(problem, settings, min(_QUICK, deadline.left))
        if found.layout is not None:
            return found.layout
    return None


def worth(problem: Problem, layout: Layout) -> float:
    """The least slack, and a little for how easy the layout is to build."""
    sides = sides_of(problem, layout)
    easy = [max(0.0, min(MOST, row.value.value)) for row in rows_of(problem, sides, sides.start) if row.rule == 0]
    return least_slack(problem, layout) + _EASE * float(np.mean(easy)) if easy else least_slack(problem, layout)


def _kept(problem: Problem, layout: Layout, otherwise: Layout) -> Layout:
    return layout if passes(problem, layout) else otherwise


def least_share(problem: Problem) -> float:
    """The least share of the parcel that rules about sizes leave for all zones together."""
    names = [zone.name for zone in problem.zones]
    matrix, bounds, limits = area_rows(problem)
    found = linprog(np.ones(len(names)), matrix, bounds, bounds=limits, method="highs")
    return float(found.fun) if found.status == 0 else 0.0


def round_layout(problem: Problem, layout: Layout) -> Layout:
    """The layout with its corners on round places, as round as nearly all of its room allows; else as it is."""
    aim = least_slack(problem, layout)
    for trial in _rounded(layout, problem.challenge.unit):
        if least_slack(problem, trial) >= min(aim - 0.002, _KEPT * aim) and passes(problem, trial):
            return trial
    return layout


def _rounded(layout: Layout, unit: Unit) -> Iterator[Layout]:
    for step in _ROUND[unit]:
        size = step * MM_PER[unit]
        pieces = tuple(
            Placed(piece.zone, tuple(_snapped(box, size) for box in piece.boxes), piece.cut) for piece in layout.pieces
        )
        if all(box[2] > box[0] and box[3] > box[1] for piece in pieces for box in piece.boxes):
            yield replace(layout, pieces=pieces)


def _snapped(box: tuple[float, float, float, float], size: float) -> tuple[float, float, float, float]:
    x1, y1, x2, y2 = (round(side / size) * size for side in box)
    return x1, y1, x2, y2

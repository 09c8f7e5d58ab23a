"""Whether a problem can be solved: a layout that the checker passes, a proof that there is none, or neither in time."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import count
from typing import Literal

from measure.rules.demand import Size
from measure.solvable.cpsat.contradictions import contradicts_itself
from measure.solvable.cpsat.piece_variables import Settings
from measure.solvable.cpsat.search import SEED, Deadline, search
from measure.solvable.cpsat.shrink import shrunk
from measure.solvable.problem.grid import Grid, finer, grids
from measure.solvable.problem.layout import Layout, all_met, checked, plat_of
from measure.solvable.problem.problem import Problem
from measure.solvable.reshaping.reshape import reshaped
from measure.solvable.slack.loosest import loosest

Reach = Literal["any shapes", "rectangles and Ls", "grid", "one L", "rectangles"]
"""How far a proof goes: for outlines of any shape; for all rectangles and Ls; for rectangles and Ls on the grid; for
rectangles on it of which one may be an L; for rectangles on it."""
Progress = Callable[[str], None]
_QUICK = 1.5
"""Seconds for one search among many."""
_LONG = 10.0
"""Seconds that the stronger proof may take when the weaker one is there."""
_SHARES, _ELL_SHARES, _FINE_SHARE = (0.07, 0.08, 0.1), (0.05, 0.05, 0.08), 0.07
"""Of the time left, for each grid."""
_OTHERS = 10.0
"""Seconds for outlines of other shapes."""
_NONE: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Decision:
    """A layout (found), or the reach of the proof that there is none, or neither; grid is the last one searched.

    core: rules that were seen to be enough for the contradiction, a place to begin with.
    others_tried: triangles in corners, round zones and other outlines were looked for, too.
    """

    layout: Layout | None = None
    reach: Reach | None = None
    grid: Grid | None = None
    core: frozenset[int] = frozenset()
    others_tried: bool = False

    @property
    def solvable(self) -> bool | None:
        """None where it is not decided: a proof for rectangles alone leaves out Ls.

        False is of the shapes that `reach` names: only "any shapes" says that there is no layout whatever.
        """
        if self.layout is not None:
            return True
        return None if self.reach in (None, "rectangles") else False


def decide(
    problem: Problem, deadline: Deadline, progress: Progress = lambda _: None, *, other_shapes: bool = True
) -> Decision:
    """Decide a problem before the deadline; other_shapes: layouts of other outlines are looked for, too."""
    if contradicts_itself(problem):
        core = shrunk(problem.active, lambda numbers: contradicts_itself(problem.of(numbers)), deadline)
        return Decision(reach="any shapes", core=core)
    return _Search(problem, deadline, progress, other_shapes=other_shapes).decision()


def passes(problem: Problem, layout: Layout) -> bool:
    """Whether the checker of photos says `met` of every active rule.

    The keep-clear zones' own rules may be `not measured`, as they are where a rule wants one of the zones away.
    """
    outcomes = checked(problem.challenge, plat_of(layout))
    implied = outcomes[len(problem.rules) :]
    return all_met(outcomes, (number - 1 for number in problem.active)) and all(
        outcome.verdict in ("met", "not measured") for outcome in implied
    )


class _Search:
    """Rectangles on finer and finer grids, then off the grid; then Ls, first on the rules that rectangles fail at.

    Last come outlines of other shapes.
    """

    def __init__(self, problem: Problem, deadline: Deadline, progress: Progress, *, other_shapes: bool) -> None:
        self.problem, self.deadline, self.say = problem, deadline, progress
        self.other_shapes = other_shapes
        self.grids = grids(problem.challenge)

    def decision(self) -> Decision:
        found, impossible = self._on_grids(self.problem, _NONE)
        layout = found or self._finely() or self._off_grid(_NONE)
        if layout is not None:
            return Decision(layout, grid=self.grids[-1])
        layout = self._rounder()
        if layout is not None:
            return Decision(layout, grid=self.grids[-1])
        decided = self._with_ells(impossible)
        if decided.layout is None and self.other_shapes:
            decided = self._of_other_shapes(decided)
        return decided if decided.layout is not None or decided.reach is not None else self._again(decided)

    def _with_ells(self, impossible: bool) -> Decision:
        core = self._core() if impossible else self.problem
        if core is not self.problem:
            decided = self._ells(core, impossible)
            if decided.reach not in (None, "rectangles"):
                return decided
        return self._ells(self.problem, impossible)

    def _of_other_shapes(self, decided: Decision) -> Decision:
        """A layout of other outlines, where one is found: a proof for rectangles and Ls says nothing of them."""
        self.say("triangles in corners, round zones and other outlines")
        layout = reshaped(self.problem, Deadline(min(_OTHERS, self.deadline.left)))
        if layout is not None and passes(self.problem, layout):
            return Decision(layout, grid=self.grids[-1])
        return replace(decided, others_tried=True)

    def _again(self, undecided: Decision) -> Decision:
        """What time is left, for rectangles off the grid made from other starts."""
        for seed in count(SEED + 1):
            if self.deadline.left < _QUICK:
                return undecided
            self.say(f"rectangles off the grid, start {seed - SEED}")
            layout = self._off_grid(_NONE, seed)
            if layout is not None:
                return Decision(layout, grid=self.grids[-1])
        raise AssertionError("seeds do not end")

    def _finely(self) -> Layout | None:
        """Rectangles on much finer grids, for what only just fits."""
        for grid in finer(self.problem.challenge):
            self.say(f"rectangles on a grid of {grid}")
            found = search(self.problem, Settings(grid), _FINE_SHARE * self.deadline.left)
            if found.layout is not None and passes(self.problem, found.layout):
                return found.layout
        return None

    def _rounder(self) -> Layout | None:
        """A layout in which zones whose perimeter is limited have their corners cut off."""
        demands = [d for d in self.problem.demanded if isinstance(d, Size) and d.size == "perimeter"]
        zones = frozenset(zone for d in demands if d.high is not None for zone in d.of)
        for grid in self.grids if zones else ():
            self.say(f"corners cut off on a grid of {grid}")
            found = search(self.problem, Settings(grid, rounder=zones), _QUICK)
            if found.layout is not None and passes(self.problem, found.layout):
                return found.layout
        return None

    def _ells(self, problem: Problem, no_rectangles: bool) -> Decision:
        """For the whole problem a layout or a proof; for a core of it, whose layouts are none of the whole, a proof."""
        every = frozenset(zone.name for zone in problem.zones if zone.kind == "zone")
        layout, impossible = self._on_grids(problem, every)
        if layout is None and not impossible and problem is self.problem:
            layout = self._off_grid(every)
        if layout is not None:
            return Decision(layout if problem is self.problem else None, grid=self.grids[-1])
        blank = Decision(grid=self.grids[-1], core=problem.active)
        if impossible:
            self.say("whether anything off the grid could do")
            settings = Settings(self.grids[-1], ells=every, loose=True)
            loose = search(problem, settings, min(_LONG, self.deadline.left / 3))
            proved = loose.layout is None and loose.proved
            # Corners next to a kept-clear side that lies between two places of the grid may be moved by more than half
            # a step, which the loose search does not allow for.
            reach: Reach = "rectangles and Ls" if proved and settings.grid.parts == 1 else "grid"
            return replace(blank, reach=reach)
        if no_rectangles and self._no_single(problem, every):
            return replace(blank, reach="one L", grid=self.grids[1])
        return replace(blank, reach="rectangles" if no_rectangles else None)

    def _no_single(self, problem: Problem, zones: frozenset[str]) -> bool:
        """Whether no single zone as an L makes the others' rectangles possible, on the middle grid."""
        for at, zone in enumerate(sorted(zones)):
            self.say(f"{zone} as an L")
            settings = Settings(self.grids[1], frozenset((zone,)))
            found = search(problem, settings, self.deadline.left / (len(zones) - at))
            if found.layout is not None or not found.proved:
                return False
        return True

    def _on_grids(self, problem: Problem, ells: frozenset[str]) -> tuple[Layout | None, bool]:
        """A layout; else whether the finest grid was proved to have none."""
        proved = False
        for grid, share in zip(self.grids, _ELL_SHARES if ells else _SHARES, strict=True):
            self.say(f"{'Ls' if ells else 'rectangles'} on a grid of {grid}")
            found = search(problem, Settings(grid, ells), share * self.deadline.left)
            if found.layout is not None and (problem.present is not None or passes(problem, found.layout)):
                return found.layout, False
            proved = found.layout is None and found.proved
        return None, proved

    def _off_grid(self, ells: frozenset[str], seed: int = SEED) -> Layout | None:
        """A layout whose sides lie anywhere, made from one that nearly holds on a grid."""
        for grid in self.grids[1:]:
            near = search(self.problem, Settings(grid, ells, loose=True), self.deadline.left / 12, seed=seed)
            if near.layout is not None:
                moved = loosest(self.problem, near.layout)
                if passes(self.problem, moved):
                    return moved
        return None

    def _core(self) -> Problem:
        """Rules that rectangles on the finest grid cannot keep, without the other zones; else the problem itself."""
        self.say("which rules rectangles cannot keep together")
        if not self._no_rectangles(self.problem.active):
            return self.problem
        return self.problem.of(shrunk(self.problem.active, self._no_rectangles, self.deadline)).alone()

    def _no_rectangles(self, numbers: frozenset[int]) -> bool:
        problem = self.problem.of(numbers).alone()
        if contradicts_itself(problem):
            return True
        found = search(problem, Settings(self.grids[-1]), min(_QUICK, self.deadline.left))
        return found.layout is None and found.proved

"""Which rules cannot hold together, none of which can be spared; and what loosening one of them would take."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from measure.challenge import Challenge
from measure.solvable.contradictions import contradicts_itself
from measure.solvable.decide import Decision, Progress, decide, passes
from measure.solvable.grid import grids
from measure.solvable.limits import Knob, knobs, restated, sentence
from measure.solvable.pieces import Settings
from measure.solvable.problem import Problem, problem_of
from measure.solvable.search import Deadline, search
from measure.solvable.shrink import shrunk

_WEAK = ("one L", "rectangles")
_TEST = 5.0
"""Seconds for one set of rules."""
_TRIAL = 0.8
"""Seconds for one number tried."""
_HALVINGS = 5
_FARTHEST = (0.5, 1.0, 3.0, 10.0)
"""Shares of a number by which it is loosened to see whether it matters; downwards not beyond 1."""


@dataclass(frozen=True)
class Loosening:
    """A rule with a new number that lets the conflict's rules hold together.

    enough: then the whole challenge can be met; None: that was not decided.
    """

    number: int
    sentence: str
    enough: bool | None


@dataclass(frozen=True)
class Conflict:
    """Rules that cannot hold together; minimal: without any one of them a layout was found for the others.

    loosenings hold for one rule at a time; rules without a number to loosen can only be left out.
    """

    numbers: tuple[int, ...]
    minimal: bool
    loosenings: tuple[Loosening, ...] = ()


def conflict_of(problem: Problem, decision: Decision, deadline: Deadline, progress: Progress) -> Conflict:
    """A minimal conflict of a problem that was decided to have no layout, as far as the time allows."""
    judge = _Judge(problem, decision, deadline)
    progress("which rules cannot hold together")
    start = decision.core if decision.core and judge.fails(decision.core) else problem.active
    numbers = tuple(sorted(shrunk(start, judge.fails, deadline)))
    minimal = all(judge.known.get(frozenset(numbers) - {one}) is True for one in numbers)
    minimal = minimal or all(judge.holds(frozenset(numbers) - {one}) for one in numbers)
    progress("what loosening one of them would take")
    found = tuple(_loosenings(problem.of(numbers), problem, deadline)) if numbers else ()
    return Conflict(numbers, minimal, found)


class _Judge:
    """Decides sets of rules, each once: True can hold together, False cannot, None not decided."""

    def __init__(self, problem: Problem, decision: Decision, deadline: Deadline) -> None:
        self.problem, self.deadline = problem, deadline
        self.rectangles = decision.reach in _WEAK
        self.known: dict[frozenset[int], bool | None] = {}

    def fails(self, numbers: frozenset[int]) -> bool:
        """Whether these rules certainly cannot hold together."""
        return self._judged(numbers) is False

    def holds(self, numbers: frozenset[int]) -> bool:
        """Whether a layout for these rules is known."""
        return self._judged(numbers) is True

    def _judged(self, numbers: frozenset[int]) -> bool | None:
        if numbers not in self.known:
            problem, time = self.problem.of(numbers), Deadline(min(_TEST, self.deadline.left))
            self.known[numbers] = by_rectangles(problem, time) if self.rectangles else decide(problem, time).solvable
        return self.known[numbers]


def by_rectangles(problem: Problem, deadline: Deadline) -> bool | None:
    """Whether rectangles on one of the grids do; False only where the finest grid has none."""
    if contradicts_itself(problem):
        return False
    proved = False
    for grid in grids(problem.challenge):
        found = search(problem, Settings(grid), deadline.left / 2)
        if found.layout is not None and passes(problem, found.layout):
            return True
        proved = found.proved
    return False if proved else None


def _loosenings(conflict: Problem, whole: Problem, deadline: Deadline) -> Iterator[Loosening]:
    """For every rule of the conflict the nearest round number at which the conflict is gone."""
    for number in sorted(conflict.active):
        for knob in knobs(number, conflict.challenge.rules[number - 1].rule):
            if deadline.over:
                return
            value = _enough(conflict, knob, deadline)
            if value is not None:
                rule = knob.turned(value)
                changed = restated(whole.challenge, number, rule)
                then = decide(_with(whole, changed), Deadline(min(_TEST, deadline.left)))
                yield Loosening(number, sentence(whole.challenge, number, rule), then.solvable)


def _enough(conflict: Problem, knob: Knob, deadline: Deadline) -> Fraction | None:
    """The first round number, as the rule is loosened, with which the conflict is gone; None where there is none."""

    def works(value: Fraction) -> bool:
        changed = restated(conflict.challenge, knob.number, knob.turned(value))
        return by_rectangles(_with(conflict, changed), Deadline(min(_TRIAL, deadline.left))) is True

    shares = [share for share in _FARTHEST if share <= 1 or knob.looser > 0]
    far = next((share for share in shares if works(knob.at(share, loosened=True))), None)
    if far is None:
        return None
    near = 0.0
    for _ in range(_HALVINGS):
        middle = (near + far) / 2
        near, far = (near, middle) if works(knob.at(middle, loosened=True)) else (middle, far)
    threshold = knob.at(far, loosened=True)
    return next((made for made in knob.rounds(threshold, up=knob.looser > 0) if works(made)), None)


def _with(problem: Problem, challenge: Challenge) -> Problem:
    """The same rules of a changed challenge."""
    return problem_of(challenge).of(problem.active)

"""Which rules cannot hold together, none of which can be spared; and what loosening one of them would take."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from measure.challenge import Challenge
from measure.solvable.cpsat.contradictions import contradicts_itself
from measure.solvable.cpsat.piece_variables import Settings
from measure.solvable.cpsat.search import Deadline, search
from measure.solvable.cpsat.shrink import shrunk
from measure.solvable.decide import Decision, Progress, decide, passes
from measure.solvable.problem.grid import grids
from measure.solvable.problem.limit_changes import Knob, knobs, restated, sentence
from measure.solvable.problem.problem import Problem, problem_of

LOOSEN = 12.0
_WEAK = ("one L", "rectangles")
_TEST = 5.0
"""Seconds for one set of rules."""
_TRIAL = 0.6
"""Seconds for one number tried."""
_SHARE = 3.0
"""Seconds that a number gets at least, so that the first ones are found, if not all."""
_HALVINGS = 6
_BEYOND = 1e-4
"""Of a number: how far beyond where arithmetic still contradicts it the first trial is."""
_FARTHEST = (0.5, 1.0, 3.0, 10.0)
"""Shares of a number by which it is loosened to see whether it matters; downwards not beyond 1."""


@dataclass(frozen=True)
class Loosening:
    """A rule with a new number that lets the conflict's rules hold together.

    enough: then the whole challenge can be met; False: not with the shapes that were searched; None: not decided.
    """

    number: int
    sentence: str
    enough: bool | None


@dataclass(frozen=True)
class Conflict:
    """Rules that cannot hold together, with the shapes that the proof is for (Decision.reach).

    minimal: without any one of them a layout was found for the others.
    loosenings hold for one rule at a time; rules without a number to loosen can only be left out.
    """

    numbers: tuple[int, ...]
    minimal: bool
    loosenings: tuple[Loosening, ...] = ()


def conflict_of(problem: Problem, decision: Decision, deadline: Deadline, progress: Progress) -> Conflict:
    """A minimal conflict of a problem that was decided to have no layout, as far as the time allows.

    What loosening takes is looked for afterwards, in LOOSEN seconds or as long again, whichever is less.
    """
    loosen = min(LOOSEN, deadline.left)
    judge = _Judge(problem, decision, deadline)
    progress("which rules cannot hold together")
    start = decision.core if decision.core and judge.fails(decision.core) else problem.active
    numbers = tuple(sorted(shrunk(start, judge.fails, deadline)))
    minimal = all(judge.known.get(frozenset(numbers) - {one}) is True for one in numbers)
    minimal = minimal or all(judge.holds(frozenset(numbers) - {one}) for one in numbers)
    progress("what loosening one of them would take")
    found = tuple(_loosenings(problem.of(numbers), problem, Deadline(loosen))) if numbers else ()
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
            self.known[numbers] = self._decided(problem, time)
        return self.known[numbers]

    def _decided(self, problem: Problem, time: Deadline) -> bool | None:
        """With the shapes that the contradiction was proved for; others would take too long for every set of rules."""
        if self.rectangles:
            return by_rectangles(problem, time)
        return decide(problem, time, other_shapes=False).solvable


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
    """For every rule of the conflict the nearest round number at which the conflict is gone, while there is time."""
    every = [knob for n in sorted(conflict.active) for knob in knobs(n, conflict.challenge.rules[n - 1].rule)]
    for at, knob in enumerate(every):
        if deadline.over:
            return
        time = Deadline(max(_SHARE, deadline.left / (len(every) - at)))
        value = _enough(conflict, knob, time)
        if value:  # at 0 a lower limit asks for nothing: that is no other number, but no rule
            rule = knob.turned(value)
            changed = _with(whole, restated(whole.challenge, knob.number, rule))
            then = conflict.active == whole.active or _holds(changed, time)
            yield Loosening(knob.number, sentence(whole.challenge, knob.number, rule), then)


def _holds(whole: Problem, deadline: Deadline) -> bool | None:
    """Whether a whole challenge can be met: a quick look, and a decision where there is time for one."""
    if _drawn(whole, Deadline(_TRIAL)):
        return True
    return decide(whole, Deadline(min(_TEST, deadline.left))).solvable if deadline.left > _TRIAL else None


def _enough(conflict: Problem, knob: Knob, deadline: Deadline) -> Fraction | None:
    """The first round number, as the rule is loosened, with which the conflict is gone; None where none was found.

    Arithmetic says at once how far it must be loosened at least; from there on layouts are looked for.
    """

    def changed(value: Fraction) -> Problem:
        return _with(conflict, restated(conflict.challenge, knob.number, knob.turned(value)))

    def works(value: Fraction) -> bool:
        return _drawn(changed(value), Deadline(_TRIAL))

    shares = [share for share in _FARTHEST if share <= 1 or knob.looser > 0]
    possible = [share for share in shares if not contradicts_itself(changed(knob.at(share, loosened=True)))]
    if not possible:
        return None
    near, _ = _between(0.0, possible[0], lambda share: not contradicts_itself(changed(knob.at(share, loosened=True))))
    first = next(knob.rounds(knob.at(near + _BEYOND, loosened=True), up=knob.looser > 0))
    if works(first):
        return first
    far = next((share for share in possible if works(knob.at(share, loosened=True))), None)
    if far is None:
        return None
    _, enough = _between(near, far, lambda share: works(knob.at(share, loosened=True)), deadline)
    return next((made for made in knob.rounds(knob.at(enough, loosened=True), up=knob.looser > 0) if works(made)), None)


def _between(
    near: float, far: float, works: Callable[[float], bool], deadline: Deadline | None = None
) -> tuple[float, float]:
    """Halved towards the least share that works, while there is time; far is known to work."""
    for _ in range(_HALVINGS):
        if deadline is not None and deadline.over:
            break
        middle = (near + far) / 2
        near, far = (near, middle) if works(middle) else (middle, far)
    return near, far


def _drawn(problem: Problem, deadline: Deadline) -> bool:
    """Whether a layout is found soon: of rectangles, else of Ls on the middle grid."""
    rectangles = by_rectangles(problem, deadline)
    if rectangles is not False or contradicts_itself(problem):
        return rectangles is True
    ells = frozenset(zone.name for zone in problem.zones if zone.kind == "zone")
    found = search(problem, Settings(grids(problem.challenge)[1], ells), min(_TRIAL, deadline.left))
    return found.layout is not None and passes(problem, found.layout)


def _with(problem: Problem, challenge: Challenge) -> Problem:
    """The same rules of a changed challenge."""
    return problem_of(challenge).of(problem.active)

"""Changes of one limit at a time that make a solvable challenge looser or tighter, to a wanted slack.

Tighter: a number is moved as far as it leaves the challenge the wanted slack.  Looser: it is moved until the tightest
rule of all has the wanted slack; where other rules bind too, one change alone does not reach that, and what it reaches
is said.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from measure.solvable.cpsat.search import Deadline
from measure.solvable.decide import passes
from measure.solvable.problem.layout import Layout
from measure.solvable.problem.limit_changes import Knob, knobs, restated, sentence
from measure.solvable.problem.problem import Problem, problem_of
from measure.solvable.slack.loosest import loosest
from measure.solvable.tightness import Tightness, least_slack

_HALVINGS = 8
_FARTHEST, _MOST_RAISED, _MOST_LOWERED = 0.6, 4.0, 0.9
"""Shares of a number by which it is changed at most: loosened, raised or lowered to be tighter."""
_WORTH = 0.01
"""A gain of slack below this is none."""


@dataclass(frozen=True)
class Change:
    """A rule with another number, as a sentence for the file, and the least slack that the challenge then has."""

    number: int
    before: str
    after: str
    slack: float


def looser(problem: Problem, tight: Tightness, wanted: float, deadline: Deadline) -> tuple[Change, ...]:
    """One change for every rule that binds, the most helpful first."""
    made: list[Change] = []
    for knob in _knobs(problem, tight.binding):
        if deadline.over:
            break
        reached = least_slack(problem, tight.layout)

        def enough(trial: tuple[Problem, Layout], goal: float = wanted) -> bool:
            return least_slack(*trial) >= goal

        far = _trial(problem, tight.layout, knob, _FARTHEST, loosened=True)
        goal = min(wanted, least_slack(*far) - 0.002) if far else 0.0
        if goal >= reached + _WORTH:
            made += _nearest(problem, tight.layout, knob, lambda trial, g=goal: enough(trial, g), loosened=True)  # type: ignore[misc]
    return tuple(sorted(made, key=lambda change: -round(change.slack, 3)))


def tighter(problem: Problem, tight: Tightness, wanted: float, deadline: Deadline) -> tuple[Change, ...]:
    """One change for every rule with a number whose slack is more than wanted, the largest slack first."""
    made: list[Change] = []
    order = [number for number, slack in reversed(tight.slacks) if slack > wanted + _WORTH]
    for knob in _knobs(problem, tuple(order)):
        if deadline.over:
            break
        made += _farthest(problem, tight.layout, knob, wanted)
    return tuple(made)


def _knobs(problem: Problem, numbers: tuple[int, ...]) -> Iterator[Knob]:
    for number in numbers:
        yield from knobs(number, problem.challenge.rules[number - 1].rule)


def _trial(
    problem: Problem, layout: Layout, knob: Knob, share: float, *, loosened: bool
) -> tuple[Problem, Layout] | None:
    return _with(problem, layout, knob, knob.at(share, loosened=loosened))


def _with(problem: Problem, layout: Layout, knob: Knob, value: Fraction) -> tuple[Problem, Layout] | None:
    """The problem with this number, and the loosest layout near this one; None where it does not keep the rules."""
    if value <= 0:
        return None
    changed = problem_of(restated(problem.challenge, knob.number, knob.turned(value)))
    moved = loosest(changed, layout)
    return (changed, moved) if passes(changed, moved) else None


def _nearest(
    problem: Problem,
    layout: Layout,
    knob: Knob,
    works: Callable[[tuple[Problem, Layout]], bool],
    *,
    loosened: bool,
) -> Iterator[Change]:
    """The round number nearest to the stated one that works; the farthest one does."""
    near, far = 0.0, _FARTHEST
    for _ in range(_HALVINGS):
        middle = (near + far) / 2
        trial = _trial(problem, layout, knob, middle, loosened=loosened)
        near, far = (near, middle) if trial and works(trial) else (middle, far)
    up = (knob.looser > 0) == loosened
    for value in knob.rounds(knob.at(far, loosened=loosened), up=up):
        trial = _with(problem, layout, knob, value)
        if trial and works(trial) and value != knob.amount.number:
            yield _change(problem, knob, value, trial)
            return


def _farthest(problem: Problem, layout: Layout, knob: Knob, wanted: float) -> Iterator[Change]:
    """The round number farthest into the rule that leaves the challenge the wanted slack."""
    near, far = 0.0, _MOST_RAISED if knob.looser < 0 else _MOST_LOWERED
    for _ in range(_HALVINGS):
        middle = (near + far) / 2
        trial = _trial(problem, layout, knob, middle, loosened=False)
        near, far = (middle, far) if trial and least_slack(*trial) >= wanted else (near, middle)
    if near < _WORTH:
        return
    # Round towards the stated number, so that no slack is lost.
    for value in knob.rounds(knob.at(near, loosened=False), up=knob.looser > 0):
        trial = _with(problem, layout, knob, value)
        between = (value - knob.amount.number) * knob.looser < 0
        if trial and between and least_slack(*trial) >= wanted - 0.002:
            yield _change(problem, knob, value, trial)
            return


def _change(problem: Problem, knob: Knob, value: Fraction, trial: tuple[Problem, Layout]) -> Change:
    before = problem.challenge.rules[knob.number - 1].text
    after = sentence(problem.challenge, knob.number, knob.turned(value))
    return Change(knob.number, before, after, least_slack(*trial))

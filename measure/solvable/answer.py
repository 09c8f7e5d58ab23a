"""Everything that is said of a challenge: can its rules be met, how tight are they, or which of them fight."""

from __future__ import annotations

import time
from dataclasses import dataclass, replace

from measure.challenge import Challenge
from measure.solvable.changes import Change, looser, tighter
from measure.solvable.conflict import Conflict, conflict_of
from measure.solvable.cpsat.piece_variables import Settings
from measure.solvable.cpsat.search import Deadline, piece_counts, search
from measure.solvable.decide import Decision, Progress, decide, passes
from measure.solvable.problem.grid import grids
from measure.solvable.problem.layout import Layout, checked, plat_of
from measure.solvable.problem.problem import Problem, problem_of
from measure.solvable.problem.storeys import NeededHeight, needed_heights
from measure.solvable.tightness import Tightness, tightness

SECONDS = 30.0
_LOOSEN = 6.0
_CONFLICT = 10.0
_LOOPHOLE = 3.0
_CHANGES = 12.0


@dataclass(frozen=True)
class Loopholes:
    """Ways round a contradiction that no rule forbids: zones in more pieces, or lying over one another."""

    pieces: bool = False
    overlaps: bool = False


@dataclass(frozen=True)
class Answer:
    """The decision with what belongs to it.

    elsewhere are the numbers of the rules that no layout was searched for; kept those of them that the one found keeps.
    """

    challenge: Challenge
    decision: Decision
    seconds: float
    elsewhere: tuple[int, ...]
    kept: tuple[int, ...] = ()
    tight: Tightness | None = None
    conflict: Conflict | None = None
    loopholes: Loopholes = Loopholes()
    heights: tuple[NeededHeight, ...] = ()
    changes: tuple[Change, ...] = ()

    @property
    def layout(self) -> Layout | None:
        """The sample layout: the loosest one found."""
        return self.tight.layout if self.tight else self.decision.layout


def answer(
    challenge: Challenge,
    seconds: float = SECONDS,
    progress: Progress = lambda _: None,
    *,
    looser_to: float | None = None,
    tighter_to: float | None = None,
) -> Answer:
    """Decide within so many seconds; tightness, conflict and changes then take some more, never more than as many."""
    problem = problem_of(challenge)
    began = time.monotonic()
    decision = decide(problem, Deadline(seconds), progress)
    elsewhere = tuple(rule.number for rule in problem.rules if rule.demands is None)
    made = Answer(challenge, decision, time.monotonic() - began, elsewhere)
    if decision.layout is not None:
        progress("how tight the rules are")
        tight = tightness(problem, decision.layout, Deadline(min(_LOOSEN, seconds)))
        outcomes = checked(challenge, plat_of(tight.layout))
        kept = tuple(number for number in elsewhere if outcomes[number - 1].verdict == "met")
        made = replace(made, kept=kept, tight=tight, heights=needed_heights(challenge, tight.layout))
        return replace(made, changes=_changes(problem, tight, looser_to, tighter_to, min(_CHANGES, seconds), progress))
    if decision.reach is None:
        return made
    conflict = conflict_of(problem, decision, Deadline(min(_CONFLICT, seconds)), progress)
    return replace(made, conflict=conflict, loopholes=_loopholes(problem))


def _changes(
    problem: Problem, tight: Tightness, looser_to: float | None, tighter_to: float | None, seconds: float, say: Progress
) -> tuple[Change, ...]:
    made: tuple[Change, ...] = ()
    if not tight.layout.of_boxes:
        return made  # changes are tried out by moving the sides of boxes
    if looser_to is not None:
        say("looser limits")
        made += looser(problem, tight, looser_to, Deadline(seconds))
    if tighter_to is not None:
        say("tighter limits")
        made += tighter(problem, tight, tighter_to, Deadline(seconds))
    return made


def _loopholes(problem: Problem) -> Loopholes:
    grid = grids(problem.challenge)[1]
    counts = piece_counts(problem, more=1)
    settings = Settings(grid)
    in_pieces = counts is not None and counts != piece_counts(problem) and _found(problem, settings, counts)
    return Loopholes(in_pieces, not in_pieces and _found(problem, replace(settings, overlaps=True), None))


def _found(problem: Problem, settings: Settings, counts: dict[str, int] | None) -> bool:
    if piece_counts(problem) is None:
        return False
    found = search(problem, settings, _LOOPHOLE, counts)
    return found.layout is not None and passes(problem, found.layout)

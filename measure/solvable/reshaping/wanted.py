"""What outlines must keep, as numbers that must not be below 0: the rules' own claims, and zones side by side."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from measure.plat.measures import Measures, piece_name
from measure.quantity import FloatArray, Quantity
from measure.rules.demand import Sharing
from measure.rules.rule import Rule
from measure.rules.rule_context import Context
from measure.rules.verdict import Claim
from measure.solvable.problem.problem import Problem
from measure.solvable.reshaping.outlines import Outlines

_LENGTH, _TURN = 100.0, 5000.0
"""mm, and mm2 of a corner's turn, that count as much as the whole of a limit."""
_APART = 0.02
"""mm by which zones stay apart, so that rounding their corners does no harm."""
_DENT = 50.0
"""mm2 by which a corner may turn the other way: corners on a straight side are no harm."""


@dataclass(frozen=True, eq=False)
class Wanted:
    """values (m,) must not be below 0, as shares of their limits; slopes (m, k): how they move with the outlines.

    rules (m,): the number of the rule of which a value is the room; 0 where there is no number to have room from.
    """

    values: FloatArray
    slopes: FloatArray
    rules: FloatArray

    def rooms(self) -> dict[int, float]:
        """Each rule's smallest room, where its limit is a number (docs/solvable.md)."""
        numbers = sorted({int(number) for number in self.rules if number})
        return {number: float(self.values[self.rules == number].min()) for number in numbers}


def wanted(problem: Problem, outlines: Outlines) -> Wanted | None:
    """All that these outlines must keep; None where a rule's quantity is not known."""
    measures = problem.challenge.measures(outlines.plat())
    rows: list[tuple[Quantity, int]] = []
    for number in sorted(problem.active):
        rule = problem.challenge.rules[number - 1].rule
        for claim in rule.kind.findings(rule, Context(problem.challenge, measures)).claims:
            if not isinstance(claim, Claim):
                return None
            rows += ((q, number if _has_room(rule) else 0) for q in _rooms(claim))
    rows += ((q, 0) for q in _side_by_side(problem, measures))
    rows += (((turn + _DENT) / _TURN, 0) for turn in outlines.turns())
    count = len(outlines.vector)
    slopes = np.array([np.pad(q.sensitivity, (0, count - len(q.sensitivity))) for q, _ in rows])
    return Wanted(np.array([q.value for q, _ in rows]), slopes, np.array([number for _, number in rows]))


def _has_room(rule: Rule) -> bool:
    return rule.limit is not None and not rule.kind.counted and any(rule.limit.bounds_mm)


def _rooms(claim: Claim) -> Iterator[Quantity]:
    """How far each limit is kept: of two limits as a share of what lies between, of one as a share of itself.

    A limit below 0 is the touch gap, by which a zone may reach beyond: a plan does not use it up.
    """
    low, high = None if claim.low is None else max(0.0, claim.low), claim.high
    scale = high - low if low is not None and high is not None else max(abs(low or 0.0), abs(high or 0.0)) or 1.0
    if low is not None:
        yield from ((q - low) / scale for q in claim.candidates)
    if high is not None:
        yield (min(claim.candidates, key=lambda q: q.value) - high) * (-1.0 / scale)


def _side_by_side(problem: Problem, measures: Measures) -> Iterator[Quantity]:
    sharing = {frozenset(d.zones) for d in problem.demanded if isinstance(d, Sharing) and d.share}
    counted = ((zone.name, measures.count(zone.name)) for zone in problem.zones)
    pieces = [(zone, piece_name(zone, at + 1)) for zone, count in counted for at in range(count)]
    for (zone, one), (other, two) in combinations(pieces, 2):
        if frozenset((zone, other)) not in sharing:
            apart = measures.overlap(one, two)
            if apart is not None:
                yield from ((q - _APART) / _LENGTH for q in apart.candidates)

"""A challenge as a problem to be solved: the parcel, the zones, and every rule's demands.

What holds without a sentence: every zone is there and inside the parcel, in one piece where no rule asks for more;
zones lie side by side; a keep-clear zone lies where the challenge puts it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from measure.challenge import Challenge, Zone
from measure.rules.demand import Count, Demand
from measure.rules.evaluation.allowed import put_into
from measure.rules.rule import Rule


@dataclass(frozen=True)
class Stated:
    """One rule: its number from 1, its sentence, and its demands (None: no layout decides it)."""

    number: int
    text: str
    demands: tuple[Demand, ...] | None


@dataclass(frozen=True)
class Problem:
    """The challenge, its rules, and which of them count: `active` holds their numbers.

    present: the only zones that are looked at, None: all. With fewer zones more is possible, so what cannot be done
    with some of them cannot be done with all.
    """

    challenge: Challenge
    rules: tuple[Stated, ...]
    active: frozenset[int]
    present: frozenset[str] | None = None

    @property
    def demanded(self) -> tuple[Demand, ...]:
        """Every demand of the active rules."""
        return tuple(d for rule in self.rules if rule.number in self.active for d in rule.demands or ())

    @property
    def zones(self) -> tuple[Zone, ...]:
        """The challenge's zones that are present."""
        every = self.challenge.zones
        return every if self.present is None else tuple(zone for zone in every if zone.name in self.present)

    def of(self, numbers: Iterable[int]) -> Problem:
        """The same with only these rules."""
        return replace(self, active=frozenset(numbers))

    def alone(self) -> Problem:
        """The same without the zones that no active rule names; keep-clear zones stay."""
        named = {zone for demand in self.demanded for zone in demand.zones}
        kept = {zone.name for zone in self.challenge.zones if zone.kind == "keep-clear"}
        return replace(self, present=frozenset(named | kept))

    def rule(self, number: int) -> Stated:
        """The rule of this number."""
        return self.rules[number - 1]


def problem_of(challenge: Challenge) -> Problem:
    """The problem that a challenge poses, with every rule that a layout decides."""
    lines = enumerate(challenge.rules, 1)
    stated = tuple(Stated(n, line.text, _demands(put_into(line.rule, line.allowance), challenge)) for n, line in lines)
    return Problem(challenge, stated, frozenset(rule.number for rule in stated if rule.demands is not None))


def _demands(rule: Rule, challenge: Challenge) -> tuple[Demand, ...] | None:
    """Rules about single pieces, or about zones that need not be there, are not decided by a layout."""
    return rule.kind.demands(rule, challenge) if rule.whole else None


def zone_counts(demanded: Iterable[Demand]) -> dict[str, tuple[int, int | None]]:
    """How many pieces the counting demands allow, zone by zone; where low is above high there is no number."""
    counts: dict[str, tuple[int, int | None]] = {}
    for demand in demanded:
        if isinstance(demand, Count):
            low, high = counts.get(demand.zone, (0, None))
            ends = [end for end in (high, demand.high) if end is not None]
            counts[demand.zone] = (max(low, demand.low), min(ends) if ends else None)
    return counts

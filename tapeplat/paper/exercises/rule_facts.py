"""What the sheets need to know of the rules: the zones they speak of, and their limits as their sentences have them."""

from __future__ import annotations

from dataclasses import replace

from measure.challenge import Challenge, RuleLine
from measure.rules.amounts import Amount, Limit
from measure.rules.rule import Rule
from measure.rules.told import in_per_cent

EDGES = {"middle": "middle line", "inner": "inner edge", "outer": "outer edge"}
"""What a class calls the line of the tape that it measures along."""
_FINEST = 1000
"""Parts of a per cent that are still written as decimals."""


def limit_of(stated: RuleLine) -> Limit | None:
    """The rule's limit, a share in the form that the sentence has: `1/5`, not `20%`; None where there is no limit."""
    found = stated.rule.kind.stated_limit(stated.rule)
    if found is None:
        return None
    percent = in_per_cent(stated.text)
    upper = None if found.upper is None else _as_written(found.upper, percent)
    return replace(found, amount=_as_written(found.amount, percent), upper=upper)


def zones_of(rule: Rule, challenge: Challenge) -> frozenset[str]:
    """The challenge's zones that a rule speaks of; in a rule by eye, those whose names stand in its text."""
    named = rule.kind.zones_named(rule, challenge)
    return frozenset(zone.name for zone in challenge.zones if zone.name in named)


def named_pairs(challenge: Challenge) -> tuple[tuple[str, str], ...]:
    """Pairs of zones whose gap a rule names, in the rules' order, each once; `every zone` names none."""
    found: dict[frozenset[str], tuple[str, str]] = {}
    for rule in (stated.rule for stated in challenge.rules if stated.rule.kind.gap_between):
        for first in rule.subject.names:
            for second in (name for other in rule.others for name in other.names):
                if first != second:
                    found.setdefault(frozenset((first, second)), (first, second))
    return tuple(found.values())


def speaks_of_structures(challenge: Challenge) -> bool:
    """Whether any rule is about what stands on the land."""
    return any(stated.rule.kind.about_structures(stated.rule) for stated in challenge.rules)


def _as_written(amount: Amount, percent: bool) -> Amount:
    """A share as a fraction, unless its sentence speaks of per cent and it is a decimal of them (not 16 2/3 %)."""
    if amount.measure != "percent" or (percent and _FINEST % amount.number.denominator == 0):
        return amount
    return Amount(amount.number / 100)

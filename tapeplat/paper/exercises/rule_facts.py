"""What the sheets need to know of the rules: the zones they speak of, their limits, amounts as a class reads them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from measure.challenge import Challenge, RuleLine
from measure.numbers import mixed
from measure.rules.kind import Group, Rule
from measure.rules.parts import Amount, Limit
from measure.rules.places import DistanceRule, OverlapRule, TouchRule
from measure.rules.presence import ByEyeRule
from measure.rules.sizes import ComparisonRule, DifferenceRule, SizeRule
from measure.rules.solids import DifferentSolidsRule, HeightRule, PeopleRule, StructureCountRule

_SMALL_DENOMINATOR = 16


def zones_of(rule: Rule, challenge: Challenge) -> frozenset[str]:
    """The zones that a rule speaks of; in a rule by eye, those whose names stand in its text."""
    if isinstance(rule, ByEyeRule):
        text = rule.text.casefold()
        return frozenset(zone.name for zone in challenge.zones if zone.name.casefold() in text)
    every = tuple(zone.name for zone in challenge.zones if zone.kind == "zone" or isinstance(rule, OverlapRule))
    named = {name for group in _groups(rule) for thing in group.things(every) for name in thing}
    named |= {*getattr(rule, "zones", ()), getattr(rule, "zone", "")}
    if isinstance(rule, OverlapRule) and rule.against is None:
        named |= set(every)
    return frozenset(zone.name for zone in challenge.zones if zone.name in named)


def limit_of(stated: RuleLine) -> Limit | None:
    """The rule's limit, a share in the form that the sentence has: `1/5`, not `20%`; None where there is no limit."""
    found = getattr(stated.rule, "limit", None)
    if not isinstance(found, Limit):
        return None
    percent = "%" in stated.text or "cent" in stated.text.casefold()
    upper = None if found.upper is None else _as_written(found.upper, percent)
    return replace(found, amount=_as_written(found.amount, percent), upper=upper)


def named_pairs(challenge: Challenge) -> tuple[tuple[str, str], ...]:
    """Pairs of zones whose gap a rule names, in the rules' order, each once; `every zone` names none."""
    found: dict[frozenset[str], tuple[str, str]] = {}
    for stated in challenge.rules:
        if isinstance(stated.rule, DistanceRule | TouchRule):
            for first in stated.rule.group.names:
                for second in stated.rule.other.names:
                    if first != second:
                        found.setdefault(frozenset((first, second)), (first, second))
    return tuple(found.values())


def speaks_of_structures(challenge: Challenge) -> bool:
    """Whether any rule is about what stands on the land."""
    return any(_about_structures(stated.rule) for stated in challenge.rules)


def amount_text(amount: Amount) -> str:
    """An amount as children read it: `4 1/2 in`, `1/5`, `20%`, `11.5 cm`."""
    small = amount.number.denominator <= _SMALL_DENOMINATOR
    imperial = amount.unit in ("in", "ft")
    share = amount.measure == "number" and amount.number < 1
    if small and (imperial or share):
        return f"{mixed(amount.number)} {amount.unit_text}".rstrip()
    return str(amount)


def limit_text(limit: Limit, suffix: str = "") -> str:
    """A limit as children read it: `at most 1/5 of the parcel`, `between 20% and 30%`; suffix follows the number."""
    if limit.upper is not None:
        return f"between {amount_text(limit.amount)} and {amount_text(limit.upper)}{suffix}"
    tolerance = f", within {amount_text(limit.tolerance)}" if limit.tolerance else ""
    return f"{limit.relation} {amount_text(limit.amount)}{suffix}{tolerance}"


def _as_written(amount: Amount, percent: bool) -> Amount:
    """A share as a fraction, unless its sentence speaks of per cent and it is a whole number of them."""
    if amount.measure != "percent" or (percent and amount.number.denominator == 1):
        return amount
    return Amount(amount.number / 100)


def _groups(rule: Rule) -> Iterator[Group]:
    yield from (value for value in vars(rule).values() if isinstance(value, Group))


def _about_structures(rule: Rule) -> bool:
    if isinstance(rule, SizeRule | ComparisonRule | DifferenceRule):
        return rule.size not in ("area", "perimeter")
    return isinstance(rule, StructureCountRule | DifferentSolidsRule | HeightRule | PeopleRule)

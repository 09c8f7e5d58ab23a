"""Rules that cannot be met, that say nothing, or that no photo can decide: warnings, not mistakes."""

from __future__ import annotations

from collections.abc import Iterator

from measure.rules.amounts import Limit
from measure.rules.bounds import Range
from measure.rules.rule import Kind, Rule, SettingWithRules
from measure.rules.setting import SettingParcel, zones_laid_out
from measure.rules.zone_groups import Group, listed

FINEST_SHARE = 0.003
"""Relative half-width of an area that a photo can still tell: the best photos of a model give areas to about 0.3 %."""
FINEST_LENGTH = 0.5
"""mm, half-width: a taped edge is laid and found no better than this."""
_ROOM = 1e-9


def rule_advice(rule: Rule, parcel: SettingParcel) -> tuple[str, ...]:
    """What is odd about one rule by itself."""
    if rule.limit is None:
        return ()
    return tuple(said for said in (_beyond(rule, rule.limit, parcel), _too_fine(rule, rule.limit)) if said)


def challenge_advice(challenge: SettingWithRules) -> tuple[str, ...]:
    """What is odd about the rules taken together; rules are counted from 1."""
    numbered = [(number, line.rule) for number, line in enumerate(challenge.rules, 1)]
    zones = zones_laid_out(challenge)
    whole = [(number, rule) for number, rule in numbered if rule.whole]
    ranges = [(n, found) for n, rule in whole for found in rule.kind.ranges(rule, zones, challenge.parcel)]
    said = [*_repeated(numbered), *_contradicting(ranges), *_so_and_not_so(whole), *_too_much(ranges, challenge)]
    return tuple(dict.fromkeys(said)) if challenge.rules else ("the challenge has no rules",)


def _beyond(rule: Rule, limit: Limit, parcel: SettingParcel) -> str:
    """Limits that lie outside what the parcel allows."""
    most = rule.kind.most(rule, parcel)
    if most is None:
        return ""
    top, name = most.value, most.words
    low, high = limit.bounds_mm
    if low is not None and (low > top * (1 + _ROOM) or (limit.strict and low >= top)):
        return f"this can never be met: {limit.amount} is more than {name}"
    if limit.relation in ("at most", "less than") and high is not None and high >= top * (1 - _ROOM):
        return f"this is always met: {limit.amount} is no less than {name}"
    if limit.relation == "at least" and low == 0:
        return "this is always met: nothing is smaller than 0"
    if limit.relation == "less than" and high == 0:
        return "this can never be met: nothing is smaller than 0"
    return ""


def _too_fine(rule: Rule, limit: Limit) -> str:
    low, high = limit.low, limit.high
    if low is None or high is None or low == high:
        return ""  # exactly, with what the challenge allows
    half = (high - low) / 2
    if rule.kind.as_fine_as_areas(rule):
        if half < FINEST_SHARE * (low + high) / 2:
            return f"finer than a photo can tell: a photo gives areas to about {100 * FINEST_SHARE:g} %"
    elif limit.amount.measure == "length" and half * limit.amount.mm < FINEST_LENGTH:
        return f"finer than a photo can tell: a photo gives lengths to about {FINEST_LENGTH:g} mm"
    return ""


def _repeated(numbered: list[tuple[int, Rule]]) -> Iterator[str]:
    first: dict[Rule, int] = {}
    for number, rule in numbered:
        if rule in first and not rule.kind.by_eye:
            yield f"rule {number} says the same as rule {first[rule]}"
        first.setdefault(rule, number)


def _contradicting(ranges: list[tuple[int, Range]]) -> Iterator[str]:
    for at, (number, this) in enumerate(ranges):
        for earlier, other in ranges[:at]:
            if this.quantity != other.quantity or number == earlier:
                continue
            low, high = max(this.low, other.low), min(this.high, other.high)
            if low > high * (1 + _ROOM) or (low == high and (this.strict or other.strict)):
                yield f"rules {earlier} and {number} contradict each other: both limit {this.words}"


def _so_and_not_so(numbered: list[tuple[int, Rule]]) -> Iterator[str]:
    for at, (number, this) in enumerate(numbered):
        for earlier, other in numbered[:at]:
            if this.negated != other.negated and _about(this) == _about(other):
                yield f"rules {earlier} and {number} contradict each other: one wants what the other forbids"


def _too_much(ranges: list[tuple[int, Range]], challenge: SettingWithRules) -> Iterator[str]:
    """The least areas of single zones, which lie side by side, against the parcel's area."""
    least: dict[str, tuple[float, int]] = {}
    for number, found in ranges:
        if found.area_of:
            least[found.area_of] = max(least.get(found.area_of, (0.0, number)), (found.low, number))
    share = sum(low for low, _ in least.values()) / challenge.parcel.area
    if share > 1 + _ROOM:
        numbers = [str(number) for number in sorted({number for low, number in least.values() if low > 0})]
        which = f"rules {listed(numbers)} ask" if len(numbers) > 1 else f"rule {numbers[0]} asks"
        yield f"{which} for {100 * share:.3g} % of the parcel in all, so zones must overlap to meet them"


def _about(rule: Rule) -> tuple[Kind, frozenset[Group]]:
    """The kind and the groups, whichever of them comes first."""
    return rule.kind, frozenset((rule.subject, *rule.others))

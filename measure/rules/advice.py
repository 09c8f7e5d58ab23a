"""Rules that cannot be met, that say nothing, or that no photo can decide: warnings, not mistakes."""

from __future__ import annotations

import math
from collections.abc import Hashable, Iterator
from dataclasses import dataclass

from measure.rules.kind import Rule, SettingWithRules
from measure.rules.parts import Limit, listed
from measure.rules.places import CentreRule, DistanceRule, EdgeRule, TouchRule
from measure.rules.presence import ByEyeRule, CountRule, whole_bounds
from measure.rules.setting import SettingParcel, zones_laid_out
from measure.rules.sizes import ComparisonRule, DifferenceRule, ShareRule, SizeRule, mm_per

FINEST_SHARE = 0.003
"""Relative half-width of an area that a photo can still tell: the best photos of a model give areas to about 0.3 %."""
FINEST_LENGTH = 0.5
"""mm, half-width: a taped edge is laid and found no better than this."""
_ROOM = 1e-9


@dataclass(frozen=True)
class _Range:
    """What one rule allows of one quantity, in mm, mm2 or plain numbers."""

    quantity: Hashable
    words: str
    low: float
    high: float
    strict: bool = False


def rule_advice(rule: Rule, parcel: SettingParcel) -> tuple[str, ...]:
    """What is odd about one rule by itself."""
    limit = getattr(rule, "limit", None)
    if not isinstance(limit, Limit):
        return ()
    return tuple(said for said in (_beyond(rule, limit, parcel), _too_fine(rule, limit)) if said)


def challenge_advice(challenge: SettingWithRules) -> tuple[str, ...]:
    """What is odd about the rules taken together; rules are counted from 1."""
    numbered = [(number, line.rule) for number, line in enumerate(challenge.rules, 1)]
    ranges = [(number, found) for number, rule in numbered for found in _ranges(rule, challenge)]
    said = [*_repeated(numbered), *_contradicting(ranges), *_touch_and_not(numbered), *_too_much(ranges, challenge)]
    return tuple(dict.fromkeys(said)) if challenge.rules else ("the challenge has no rules",)


def _beyond(rule: Rule, limit: Limit, parcel: SettingParcel) -> str:
    """Limits that lie outside what the parcel allows."""
    top, name = _largest(rule, parcel)
    if top is None:
        return ""
    scale = mm_per(limit.amount)
    low, high = (None if end is None else end * scale for end in (limit.low, limit.high))
    if low is not None and (low > top * (1 + _ROOM) or (limit.strict and low >= top)):
        return f"this can never be met: {limit.amount} is more than {name}"
    if limit.relation in ("at most", "less than") and high is not None and high >= top * (1 - _ROOM):
        return f"this is always met: {limit.amount} is no less than {name}"
    if limit.relation == "at least" and low == 0:
        return "this is always met: nothing is smaller than 0"
    if limit.relation == "less than" and high == 0:
        return "this can never be met: nothing is smaller than 0"
    return ""


def _largest(rule: Rule, parcel: SettingParcel) -> tuple[float | None, str]:
    """The most that the measured quantity can be on this parcel."""
    if isinstance(rule, ShareRule):
        return 1.0, "the whole parcel"
    if isinstance(rule, SizeRule) and rule.size == "area":
        return parcel.area, "the whole parcel"
    if isinstance(rule, DistanceRule):
        return math.hypot(parcel.width, parcel.depth), "the parcel's diagonal"
    if isinstance(rule, EdgeRule):
        return min(parcel.width, parcel.depth) / 2, "half of the parcel's shorter side"
    if isinstance(rule, CentreRule):
        return math.hypot(parcel.width, parcel.depth) / 2, "half of the parcel's diagonal"
    return None, ""


def _too_fine(rule: Rule, limit: Limit) -> str:
    low, high = limit.low, limit.high
    if low is None or high is None or isinstance(rule, CountRule):
        return ""
    half = (high - low) / 2
    if isinstance(rule, ShareRule | ComparisonRule | DifferenceRule) or (
        isinstance(rule, SizeRule) and rule.size == "area"
    ):
        if half < FINEST_SHARE * (low + high) / 2:
            return f"finer than a photo can tell: a photo gives areas to about {100 * FINEST_SHARE:g} %"
    elif limit.amount.measure == "length" and half * mm_per(limit.amount) < FINEST_LENGTH:
        return f"finer than a photo can tell: a photo gives lengths to about {FINEST_LENGTH:g} mm"
    return ""


def _ranges(rule: Rule, challenge: SettingWithRules) -> Iterator[_Range]:
    """What a rule allows, quantity by quantity."""
    zones = zones_laid_out(challenge)
    limit = getattr(rule, "limit", None)
    if not isinstance(limit, Limit):
        return
    scale = mm_per(limit.amount) * (challenge.parcel.area if isinstance(rule, ShareRule) else 1.0)
    low = 0.0 if limit.low is None else limit.low * scale
    high = math.inf if limit.high is None else limit.high * scale
    if isinstance(rule, ShareRule | SizeRule):
        size = rule.size if isinstance(rule, SizeRule) else "area"
        for thing in rule.group.things(zones):
            yield _Range((size, thing), f"the {size} of {listed(thing)}", low, high, limit.strict)
    elif isinstance(rule, ComparisonRule):
        for thing in rule.group.things(zones):
            for other in rule.other.things(zones, thing):
                words = f"the {rule.size} of {listed(thing)} beside that of {listed(other)}"
                yield _Range(("ratio", rule.size, thing, other), words, low, high, limit.strict)
    elif isinstance(rule, DistanceRule):
        for a in rule.group.things(zones):
            for b in rule.other.things(zones, a):
                words = f"the distance from {listed(a)} to {listed(b)}"
                yield _Range(("distance", frozenset((a, b))), words, low, high, limit.strict)
    elif isinstance(rule, EdgeRule | CentreRule):
        place = "edge" if isinstance(rule, EdgeRule) else "centre"
        for thing in rule.group.things(zones):
            yield _Range((place, thing), f"the distance from {listed(thing)} to the {place}", low, high, limit.strict)
    elif isinstance(rule, CountRule):
        least, most = whole_bounds(limit)
        for thing in rule.group.things(zones):
            words = f"the number of pieces of {listed(thing)}"
            yield _Range(("count", thing), words, float(least), math.inf if most is None else float(most))


def _repeated(numbered: list[tuple[int, Rule]]) -> Iterator[str]:
    first: dict[Rule, int] = {}
    for number, rule in numbered:
        if rule in first and not isinstance(rule, ByEyeRule):
            yield f"rule {number} says the same as rule {first[rule]}"
        first.setdefault(rule, number)


def _contradicting(ranges: list[tuple[int, _Range]]) -> Iterator[str]:
    for at, (number, this) in enumerate(ranges):
        for earlier, other in ranges[:at]:
            if this.quantity != other.quantity or number == earlier:
                continue
            low, high = max(this.low, other.low), min(this.high, other.high)
            if low > high * (1 + _ROOM) or (low == high and (this.strict or other.strict)):
                yield f"rules {earlier} and {number} contradict each other: both limit {this.words}"


def _touch_and_not(numbered: list[tuple[int, Rule]]) -> Iterator[str]:
    rules = [(number, rule) for number, rule in numbered if isinstance(rule, TouchRule)]
    for at, (number, this) in enumerate(rules):
        for earlier, other in rules[:at]:
            same = frozenset((this.group, this.other)) == frozenset((other.group, other.other))
            if same and this.touches != other.touches:
                yield f"rules {earlier} and {number} contradict each other: one wants what the other forbids"


def _too_much(ranges: list[tuple[int, _Range]], challenge: SettingWithRules) -> Iterator[str]:
    """The least areas of single zones, which lie side by side, against the parcel's area."""
    least: dict[str, tuple[float, int]] = {}
    for number, found in ranges:
        if isinstance(found.quantity, tuple) and found.quantity[0] == "area" and len(found.quantity[1]) == 1:
            zone = found.quantity[1][0]
            least[zone] = max(least.get(zone, (0.0, number)), (found.low, number))
    share = sum(low for low, _ in least.values()) / challenge.parcel.area
    if share > 1 + _ROOM:
        numbers = [str(number) for number in sorted({number for low, number in least.values() if low > 0})]
        which = f"rules {listed(numbers)} ask" if len(numbers) > 1 else f"rule {numbers[0]} asks"
        yield f"{which} for {100 * share:.3g} % of the parcel in all, so zones must overlap to meet them"

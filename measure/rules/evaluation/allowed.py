"""Limits widened by what the teacher allows: which rules that is for, and by how much each of their claims.

A per cent is of the limit. A length is itself where the limit is a length. Areas are widened as if a zone's length and
width were each so much off, which is half its perimeter times that length; a ratio of areas by both zones' parts.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from measure.plat.measures import Measures
from measure.quantity import Quantity
from measure.rules.allowance import Allowance
from measure.rules.amounts import Limit
from measure.rules.evaluation.quantifiers import Tally
from measure.rules.rule import Rule
from measure.rules.rule_context import Context
from measure.rules.verdict import Claim, Findings, Unknown
from measure.units import to_mm

_ON_OUTLINES = ("area", "perimeter", "length", "width")


@dataclass(frozen=True)
class Allowances:
    """What a challenge allows: for every rule, for the rules of a kind (by its name in results), for single ones."""

    every: Allowance | None = None
    kinds: dict[str, Allowance] = field(default_factory=dict)
    rules: dict[str, Allowance] = field(default_factory=dict)

    @property
    def none(self) -> bool:
        """Whether nothing is allowed anywhere."""
        return self.every is None and not self.kinds and not self.rules

    def of(self, text: str, rule: Rule) -> Allowance | None:
        """What is allowed of a rule, the most particular first; None where nothing is, or a `within` says it."""
        kind = self.kinds.get(rule.kind_name) or self.kinds.get(rule.kind.name)
        found = self.rules.get(key_of(text)) or kind or self.every
        return found if found is not None and can_be_allowed(found, rule) else None


def key_of(text: str) -> str:
    """A sentence as it is compared with others."""
    return " ".join(text.split()).rstrip(" .!").casefold()


def can_be_allowed(allowance: Allowance, rule: Rule) -> bool:
    """Whether the rule has a measured number, without a `within` of its own, that the allowance can widen."""
    limit = rule.limit
    if rule.kind.widened_inside(rule, allowance):
        return True
    if limit is None or limit.tolerance is not None or rule.kind.counted or rule.kind.by_eye:
        return False
    if not rule.kind.number_said(rule):
        return False
    return allowance.amount.measure == "percent" or _of_outlines(rule, limit)


def _of_outlines(rule: Rule, limit: Limit) -> bool:
    """Whether a length has a meaning beside the limit."""
    if limit.amount.measure in ("length", "percent"):
        return True
    return rule.size in _ON_OUTLINES or (limit.amount.measure == "area" and rule.size is None)


def put_into(rule: Rule, allowance: Allowance | None) -> Rule:
    """An `exactly` without `within`, with the allowance in its place where the sentence could say it."""
    limit = rule.limit
    if allowance is None or limit is None or limit.relation != "exactly" or limit.tolerance is not None:
        return rule
    amount = allowance.amount
    if amount.measure != "percent" and amount.measure != limit.amount.measure:
        return rule
    return replace(rule, limit=replace(limit, tolerance=amount))


def widened(rule: Rule, found: Findings | Tally, allowance: Allowance, context: Context) -> Findings | Tally:
    """What decides the rule, against the limits with what is allowed."""

    def wider(claims: Sequence[Claim | Unknown]) -> tuple[Claim | Unknown, ...]:
        return tuple(c if isinstance(c, Unknown) else _wider(c, rule, allowance, context) for c in claims)

    if isinstance(found, Tally):
        return replace(found, cases=tuple(wider(case) for case in found.cases))
    return replace(found, claims=wider(found.claims))


def _wider(claim: Claim, rule: Rule, allowance: Allowance, context: Context) -> Claim:
    def by(end: float) -> float:
        if allowance.amount.measure == "percent":
            return abs(end) * allowance.amount.value
        return _by_length(claim, rule, allowance, context)

    low = None if claim.low is None else claim.low - by(claim.low)
    high = None if claim.high is None else claim.high + by(claim.high)
    return replace(claim, low=low, high=high)


def _by_length(claim: Claim, rule: Rule, allowance: Allowance, context: Context) -> float:
    """How much a length widens the limit, in the rule's unit."""
    assert allowance.amount.unit is not None
    length, limit = to_mm(allowance.amount.value, allowance.amount.unit), rule.bound
    if limit.amount.measure == "length":
        return length / limit.amount.mm
    measures = context.measures
    if limit.amount.measure == "area":
        return sum(_area_by(zone, length, measures) for zone in claim.over) / limit.amount.mm
    if limit.amount.measure == "percent":
        return sum(_area_by(zone, length, measures) for zone in claim.over) / context.setting.parcel.area
    count = _first_zones(rule, context)
    parts = [_relative(rule, zones, length, measures) for zones in (claim.over[:count], claim.over[count:])]
    return abs(claim.smallest) * sum(parts)


def _first_zones(rule: Rule, context: Context) -> int:
    """How many of the zones that a claim is over are the subject's; the others are what it is compared with."""
    if rule.subject.mode == "together":
        return max(1, len(rule.subject.names))
    return len(context.zones) if rule.subject.mode == "all" else 1


def _relative(rule: Rule, zones: Sequence[str], length: float, measures: Measures) -> float:
    """A share of the zones' size together by which a length may change it."""
    if rule.size == "area":
        area = measures.area(zones)
        whole = 0.0 if area is None else area.value
        return sum(_area_by(zone, length, measures) for zone in zones) / whole if whole > 0 else 0.0
    sizes = [_size(rule, zone, measures) for zone in zones]
    total = sum(size.value for size in sizes if size is not None)
    return length / total if total > 0 else 0.0


def _size(rule: Rule, zone: str, measures: Measures) -> Quantity | None:
    if rule.size == "perimeter":
        return measures.perimeter(zone)
    sides = measures.rectangle(zone)
    return None if sides is None else sides[0 if rule.size == "length" else 1]


def _area_by(zone: str, length: float, measures: Measures) -> float:
    """mm2: half the perimeter times the length; of a zone whose perimeter is not known, a square's."""
    around, area = measures.perimeter(zone), measures.area([zone])
    if around is not None:
        return around.value / 2 * length
    return 0.0 if area is None else 2 * math.sqrt(max(0.0, area.value)) * length

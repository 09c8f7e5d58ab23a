"""`stables are at least 4 1/2 in from library`: the smallest gap, decided on the signed separation."""
# ruff: noqa: D102  (what a kind offers is explained in measure/rules/rule.py)

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import ClassVar

from measure.rules.amounts import Amount
from measure.rules.bounds import Most, Range, allowed
from measure.rules.demand import Gap
from measure.rules.kinds.places.zone_gaps import gap_claim, pairs
from measure.rules.measured_sizes import paired
from measure.rules.rule import Kind, Rule
from measure.rules.rule_context import Context
from measure.rules.setting import Setting, SettingParcel, zones_laid_out
from measure.rules.sheet_text import Asked, amount_text, group_text, limit_text
from measure.rules.told import Teller, Told, both_of
from measure.rules.verdict import Claim, Findings, Unknown
from measure.rules.zone_groups import listed
from measure.units import LengthUnit

_SMALLER_UNIT: dict[LengthUnit, tuple[str, int]] = {"ft": ("in", 12), "cm": ("mm", 10), "m": ("cm", 100)}
_PARTS_OF_AN_INCH = {1: "half inches", 2: "half inches", 4: "quarter inches", 8: "eighths of an inch"}
_PARTS_OF_AN_INCH |= {16: "sixteenths of an inch"}


@dataclass(frozen=True)
class GapDistance(Kind):
    """A limit on the gap between the subject and the other group, zone by zone."""

    name: ClassVar[str] = "distance"
    measured_by_hand: ClassVar[bool] = True
    gap_between = "tape edges"

    def reads_as(self, rule: Rule) -> str:
        return f"the distance from {rule.subject} to {rule.other} is {rule.bound.said}"

    def told(self, rule: Rule, teller: Teller) -> Told:
        who, other = both_of(rule.subject, rule.other, teller.outcome.over)
        return f"{who} {who.are} {teller.value()} from {other}", f"{who.they} must be {teller.asked(' away')}"

    def findings(self, rule: Rule, context: Context) -> Findings:
        claims = tuple(self._claim(rule, context, a, b) for a, b in pairs(rule, context.zones))
        return Findings(claims, rule.bound.stated, rule.bound.amount.unit_text)

    def _claim(self, rule: Rule, context: Context, a: str, b: str) -> Claim | Unknown:
        missing = context.missing((a, b))
        found = None if missing else context.measures.separation(a, b, edge="tape_edge")
        if missing or found is None:
            return missing or Unknown(f"the gap between {a} and {b} is not known", (a, b))
        return gap_claim(found, rule.bound, (a, b), "gap", context)

    def most(self, rule: Rule, parcel: SettingParcel) -> Most | None:
        return Most(math.hypot(parcel.width, parcel.depth), "the parcel's diagonal")

    def ranges(self, rule: Rule, zones: Sequence[str], parcel: SettingParcel) -> Iterator[Range]:
        for a, b in paired(rule.subject, rule.other, zones):
            words = f"the distance from {listed(a)} to {listed(b)}"
            yield allowed(rule.bound, ("distance", frozenset((a, b))), words)

    def demands(self, rule: Rule, setting: Setting) -> tuple[Gap, ...]:
        found = pairs(rule, zones_laid_out(setting))
        return tuple(Gap(a, b, *rule.bound.bounds_mm, rule.bound.strict) for a, b in found)

    def question(self, rule: Rule, setting: Setting) -> Asked:
        """The limit in smaller parts: an inch's halves to sixteenths, a foot's inches, millimetres; or three of it."""
        amount = rule.bound.amount
        assert amount.unit is not None
        gap = f"From {group_text(rule.subject)} to {group_text(rule.other)} the gap is {limit_text(rule.bound)}."
        part, per_unit = _smaller(amount)
        count = amount.number * per_unit
        if not part or count.denominator != 1 or count == 1:
            three = amount_text(replace(amount, number=3 * amount.number))
            text = f"{gap} How long are three such gaps, one after the other?"
            return Asked(text, three, f"3 × {amount_text(amount)}")
        text = f"{gap} How many {part} are {amount_text(amount)}? (1 {amount.unit} is {per_unit} {part}.)"
        return Asked(text, f"{count} {part}", f"{amount_text(amount)} × {per_unit}")


DISTANCE = GapDistance()


def _smaller(amount: Amount) -> tuple[str, int]:
    """The smaller part of an amount's unit, and how many make the unit; nothing where a class of grade 4 knows none."""
    assert amount.unit is not None
    under = amount.number.denominator
    if amount.unit == "in":
        return _PARTS_OF_AN_INCH.get(under, ""), max(2, under)
    return _SMALLER_UNIT.get(amount.unit, ("", 1))

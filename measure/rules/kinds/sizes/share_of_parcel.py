"""`library covers at most 1/5 of the parcel`: area over the parcel's area as the challenge states it."""
# ruff: noqa: D102  (what a kind offers is explained in measure/rules/rule.py)

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import ClassVar

from measure.rules.amounts import Limit
from measure.rules.bounds import Most, Range, allowed
from measure.rules.demand import Size
from measure.rules.measured_sizes import claim, measured, zone_marks
from measure.rules.rule import Kind, Rule
from measure.rules.rule_context import Context
from measure.rules.setting import Setting, SettingParcel, zones_laid_out
from measure.rules.sheet_text import (
    SQUARE,
    Asked,
    amount_text,
    capital,
    ends_of,
    group_text,
    limit_text,
    number_text,
    parcel_area,
)
from measure.rules.told import Teller, Told, subject_of
from measure.rules.verdict import Claim, Findings, Unknown
from measure.rules.zone_groups import listed


@dataclass(frozen=True)
class ShareOfParcel(Kind):
    """A limit in per cent on the subject's area."""

    name: ClassVar[str] = "share"
    measured_by_hand: ClassVar[bool] = True

    def reads_as(self, rule: Rule) -> str:
        return f"the area of {rule.subject} is {rule.bound} of the parcel{rule.bound.within_text}"

    def told(self, rule: Rule, teller: Teller) -> Told:
        who = subject_of(rule.subject, teller.outcome.over)
        covers = f"{who} {who.verb('cover')} {teller.value('%')} of the parcel"
        return covers, f"{who.they} must cover {teller.asked()}"

    def findings(self, rule: Rule, context: Context) -> Findings:
        things = rule.subject.things(context.zones)
        return Findings(tuple(self._claim(rule, context, thing) for thing in things), rule.bound.stated)

    def _claim(self, rule: Rule, context: Context, thing: tuple[str, ...]) -> Claim | Unknown:
        area = measured("area", thing, context)
        if isinstance(area, Unknown):
            return area
        share = area / context.setting.parcel.area
        return claim(share, rule.bound, thing, zone_marks(thing, context.said(share, "%", rule.bound)))

    def most(self, rule: Rule, parcel: SettingParcel) -> Most | None:
        return Most(1.0, "the whole parcel")

    def ranges(self, rule: Rule, zones: Sequence[str], parcel: SettingParcel) -> Iterator[Range]:
        for thing in rule.subject.things(zones):
            alone = thing[0] if len(thing) == 1 else ""
            words = f"the area of {listed(thing)}"
            yield allowed(rule.bound, ("area", thing), words, scale=parcel.area, area_of=alone)

    def as_fine_as_areas(self, rule: Rule) -> bool:
        return True

    def demands(self, rule: Rule, setting: Setting) -> tuple[Size, ...]:
        low, high = (None if end is None else end * setting.parcel.area for end in rule.bound.bounds_mm)
        things = rule.subject.things(zones_laid_out(setting))
        return tuple(Size("area", thing, low, high, rule.bound.strict) for thing in things)

    def question(self, rule: Rule, setting: Setting) -> Asked:
        limit, unit, whole, who = rule.bound, setting.unit, parcel_area(setting), group_text(rule.subject)
        areas = [number_text(end * whole, f"sq {unit}", setting) for end in ends_of(limit)]
        parcel = number_text(whole, f"sq {unit}", setting)
        working = f"{amount_text(limit.amount)} of {parcel}"
        if len(areas) == 1:
            must = "may" if limit.relation in ("at most", "less than") else "must"
            asked = f"{capital(who)} {must} cover {limit_text(limit, ' of the parcel')}."
            return Asked(f"{asked} How many {SQUARE[unit]} is that?", areas[0], working)
        if limit.upper is not None:
            working = f"{amount_text(limit.amount)} and {amount_text(limit.upper)} of {parcel}"
        elif limit.tolerance is not None:
            working += f", then {amount_text(limit.tolerance)} less and more"
        return Asked(f"How many {SQUARE[unit]} may {who} take? Say from what to what.", " to ".join(areas), working)

    def limit_suffix(self, limit: Limit) -> str:
        return " of the parcel"


SHARE = ShareOfParcel()

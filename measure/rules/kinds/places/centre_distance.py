"""`crusher is within 1 in of the centre of the parcel`: from the zone's centroid to the stated parcel's centre."""
# ruff: noqa: D102  (what a kind offers is explained in measure/rules/rule.py)

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import ClassVar

from measure.rules.bounds import Most, Range, allowed
from measure.rules.demand import Centre
from measure.rules.kinds.places.zone_gaps import NO_PLACE
from measure.rules.rule import Kind, Rule
from measure.rules.rule_context import Context
from measure.rules.setting import Setting, SettingParcel, zones_laid_out
from measure.rules.told import Teller, Told, subject_of
from measure.rules.verdict import Claim, Findings, Mark, Unknown
from measure.rules.zone_groups import listed


@dataclass(frozen=True)
class CentreDistance(Kind):
    """A limit on the way from the subject's centroid to the parcel's centre, zone by zone."""

    name: ClassVar[str] = "place"

    def reads_as(self, rule: Rule) -> str:
        return f"the distance from {rule.subject} to the centre of the parcel is {rule.bound.said}"

    def told(self, rule: Rule, teller: Teller) -> Told:
        who = subject_of(rule.subject, teller.outcome.over)
        found = f"the middle of {who} is {teller.value()} from the middle of the parcel"
        return found, f"it must be {teller.asked(' away')}"

    def findings(self, rule: Rule, context: Context) -> Findings:
        claims = tuple(self._claim(rule, context, zone) for zone in rule.subject.singles(context.zones))
        return Findings(claims, rule.bound.stated, rule.bound.amount.unit_text)

    def _claim(self, rule: Rule, context: Context, zone: str) -> Claim | Unknown:
        missing = context.missing((zone,))
        found = None if missing else context.measures.centre_offset(zone, _centre(context.setting.parcel))
        if missing or found is None:
            return missing or Unknown(NO_PLACE, (zone,))
        own = found / rule.bound.amount.mm
        mark = Mark("centre", ((zone, 0),), label=context.said(own, rule.bound.amount.unit_text, rule.bound))
        return Claim((own,), rule.bound.low, rule.bound.high, (zone,), (mark,), rule.bound.strict)

    def most(self, rule: Rule, parcel: SettingParcel) -> Most | None:
        return Most(math.hypot(parcel.width, parcel.depth) / 2, "half of the parcel's diagonal")

    def ranges(self, rule: Rule, zones: Sequence[str], parcel: SettingParcel) -> Iterator[Range]:
        for thing in rule.subject.things(zones):
            yield allowed(rule.bound, ("centre", thing), f"the distance from {listed(thing)} to the centre")

    def demands(self, rule: Rule, setting: Setting) -> tuple[Centre, ...]:
        at, zones = _centre(setting.parcel), rule.subject.singles(zones_laid_out(setting))
        return tuple(Centre(zone, at, *rule.bound.bounds_mm, rule.bound.strict) for zone in zones)


CENTRE_DISTANCE = CentreDistance()


def _centre(parcel: SettingParcel) -> tuple[float, float]:
    return parcel.width / 2, parcel.depth / 2

"""`every zone is at least 1 in from the edge`: the smallest gap to the parcel's edge."""
# ruff: noqa: D102  (what a kind offers is explained in measure/rules/rule.py)

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import ClassVar

from measure.rules.bounds import Most, Range, allowed
from measure.rules.demand import Edge
from measure.rules.kinds.places.zone_gaps import NO_PLACE, gap_claim
from measure.rules.rule import Kind, Rule
from measure.rules.rule_context import Context
from measure.rules.setting import Setting, SettingParcel, zones_laid_out
from measure.rules.sheet_text import SQUARE, Asked, amount_text, number_text
from measure.rules.told import Teller, Told, subject_of
from measure.rules.verdict import Claim, Findings, Unknown
from measure.rules.zone_groups import listed
from measure.units import from_mm


@dataclass(frozen=True)
class EdgeDistance(Kind):
    """A limit on the gap between the subject and the parcel's edge, zone by zone."""

    name: ClassVar[str] = "distance"
    measured_by_hand: ClassVar[bool] = True

    def reads_as(self, rule: Rule) -> str:
        return f"the distance from {rule.subject} to the edge is {rule.bound.said}"

    def told(self, rule: Rule, teller: Teller) -> Told:
        who = subject_of(rule.subject, teller.outcome.over)
        return f"{who} {who.are} {teller.value()} from the edge", f"{who.they} must be {teller.asked(' away')}"

    def findings(self, rule: Rule, context: Context) -> Findings:
        claims = tuple(self._claim(rule, context, zone) for zone in rule.subject.singles(context.zones))
        return Findings(claims, rule.bound.stated, rule.bound.amount.unit_text)

    def _claim(self, rule: Rule, context: Context, zone: str) -> Claim | Unknown:
        missing = context.missing((zone,))
        found = None if missing else context.measures.edge_clearance(zone)
        if missing or found is None:
            return missing or Unknown(NO_PLACE, (zone,))
        return gap_claim(found, rule.bound, (zone,), "edge", context)

    def most(self, rule: Rule, parcel: SettingParcel) -> Most | None:
        return Most(min(parcel.width, parcel.depth) / 2, "half of the parcel's shorter side")

    def ranges(self, rule: Rule, zones: Sequence[str], parcel: SettingParcel) -> Iterator[Range]:
        for thing in rule.subject.things(zones):
            yield allowed(rule.bound, ("edge", thing), f"the distance from {listed(thing)} to the edge")

    def demands(self, rule: Rule, setting: Setting) -> tuple[Edge, ...]:
        zones = rule.subject.singles(zones_laid_out(setting))
        return tuple(Edge(zone, *rule.bound.bounds_mm, rule.bound.strict) for zone in zones)

    def question(self, rule: Rule, setting: Setting) -> Asked | None:
        """The area that is left when a strip along every edge stays free."""
        strip = rule.bound.bounds_mm[0]
        if rule.bound.relation not in ("at least", "more than") or strip is None:
            return None
        unit, parcel = setting.unit, setting.parcel
        width, depth = (from_mm(side - 2 * strip, unit) for side in (parcel.width, parcel.depth))
        if width <= 0 or depth <= 0:
            return None
        free = f"A strip of {amount_text(rule.bound.amount)} along every edge stays free."
        answer = number_text(width * depth, f"sq {unit}", setting)
        return Asked(f"{free} How many {SQUARE[unit]} are left inside?", answer, f"{width:g} × {depth:g}")


EDGE_DISTANCE = EdgeDistance()

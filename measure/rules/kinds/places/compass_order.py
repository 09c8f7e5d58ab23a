"""`orchard is north of stables`: all of one zone beyond all of the other, in a compass direction."""
# ruff: noqa: D102  (what a kind offers is explained in measure/rules/rule.py)

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from measure.rules.compass import directions
from measure.rules.demand import Ahead
from measure.rules.kinds.places.zone_gaps import NO_PLACE, depth_claim, pairs_in_order, touch_gap
from measure.rules.rule import Kind, Rule
from measure.rules.rule_context import Context
from measure.rules.sentences.sentence_forms import sentence_form
from measure.rules.sentences.sentence_parts import Sentence, Subject, Target
from measure.rules.sentences.subjects import check_different, separate
from measure.rules.setting import Setting, zones_laid_out
from measure.rules.told import Teller, Told, both_of
from measure.rules.verdict import Claim, Findings, Unknown


@dataclass(frozen=True)
class CompassOrder(Kind):
    """rule.detail is the direction; up to touch_gap of one beside the other is no harm. The value is how far."""

    name: ClassVar[str] = "place"

    def reads_as(self, rule: Rule) -> str:
        return f"{rule.subject} {'are' if rule.subject.plural else 'is'} {rule.detail} of {rule.other}"

    def told(self, rule: Rule, teller: Teller) -> Told:
        who, other = both_of(rule.subject, rule.other, teller.outcome.over)
        must = f"{who.they} must be {rule.detail} of {other}"
        if not teller.number:
            return f"all of {who} is {rule.detail} of {other}", must
        found = f"{who} {who.verb('lie')} beside {other} for {teller.value()}"
        return found, f"{must}{teller.but_for_play}"

    def findings(self, rule: Rule, context: Context) -> Findings:
        claims = tuple(self._claim(rule, context, a, b) for a, b in pairs_in_order(rule, context.zones))
        return Findings(claims, touch_gap(context), context.setting.unit)

    def _claim(self, rule: Rule, context: Context, zone: str, other: str) -> Claim | Unknown:
        missing = context.missing((zone, other))
        way = directions(rule.detail, context.setting.parcel.north)[0]
        found = None if missing else context.measures.ahead(zone, other, way)
        if missing or found is None:
            return missing or Unknown(NO_PLACE, (zone, other))
        return depth_claim(found, (-touch_gap(context), None), (zone, other), "gap", context, label="{} beside it")

    def demands(self, rule: Rule, setting: Setting) -> tuple[Ahead, ...]:
        """A plan does not use up the touch gap."""
        way = directions(rule.detail, setting.parcel.north)[0]
        return tuple(Ahead(a, b, way) for a, b in pairs_in_order(rule, zones_laid_out(setting)))


COMPASS_ORDER = CompassOrder()


@sentence_form
def is_compass(sentence: Sentence, subject: Subject, direction: str, target: Target) -> Rule:
    """`orchard is north of stables`."""
    if target.parcel or target.group.mode == "another":
        sentence.refuse("name the zone that it must be north, east, south or west of")
    if subject.denied:
        sentence.refuse("say what must be so; `no` could mean not wholly or not at all there")
    group = separate(sentence, subject)
    check_different(sentence, group, target.group, "is never beyond itself")
    return Rule(COMPASS_ORDER, group, others=(target.group,), detail=direction)

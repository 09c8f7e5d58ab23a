"""`every zone is inside the parcel`: the tape's middle nowhere beyond the parcel's edge; the value is how far."""
# ruff: noqa: D102  (what a kind offers is explained in measure/rules/rule.py)

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from measure.rules.demand import Edge
from measure.rules.kinds.places.zone_gaps import NO_PLACE, depth_claim
from measure.rules.rule import Kind, Rule
from measure.rules.rule_context import Context
from measure.rules.sentences.sentence_forms import sentence_form
from measure.rules.sentences.sentence_parts import Sentence, Subject
from measure.rules.sentences.subjects import separate
from measure.rules.setting import Setting, zones_laid_out
from measure.rules.told import Teller, Told, subject_of
from measure.rules.verdict import Claim, Findings, Unknown


@dataclass(frozen=True)
class InsideParcel(Kind):
    """The subject lies on the parcel, zone by zone."""

    name: ClassVar[str] = "place"

    def reads_as(self, rule: Rule) -> str:
        return f"{rule.subject} {'are' if rule.subject.plural else 'is'} inside the parcel"

    def told(self, rule: Rule, teller: Teller) -> Told:
        who = subject_of(rule.subject, teller.outcome.over)
        if not teller.number:
            return f"{who} {who.are} inside the parcel", f"{who.they} must be inside"
        found = f"{who} {who.verb('reach', 'es')} {teller.value()} over the edge"
        return found, f"{who.they} must be inside the parcel"

    def findings(self, rule: Rule, context: Context) -> Findings:
        zones = rule.subject.singles(context.zones)
        return Findings(tuple(self._claim(context, zone) for zone in zones), 0.0, context.setting.unit)

    def _claim(self, context: Context, zone: str) -> Claim | Unknown:
        missing = context.missing((zone,))
        found = None if missing else context.measures.inside_parcel(zone)
        if missing or found is None:
            return missing or Unknown(NO_PLACE, (zone,))
        return depth_claim(found, (0.0, None), (zone,), "edge", context, label="{} outside")

    def demands(self, rule: Rule, setting: Setting) -> tuple[Edge, ...]:
        return tuple(Edge(zone, 0.0, None) for zone in rule.subject.singles(zones_laid_out(setting)))


INSIDE = InsideParcel()


@sentence_form
def is_inside(sentence: Sentence, subject: Subject) -> Rule:
    """`every zone is inside the parcel`."""
    if subject.denied:
        sentence.refuse("a rule cannot ask that zones leave the parcel; write `every zone is inside the parcel`")
    return Rule(INSIDE, separate(sentence, subject))


@sentence_form
def is_outside(sentence: Sentence, subject: Subject) -> Rule:
    """`nothing is outside the parcel`."""
    if not subject.denied:
        sentence.refuse("a zone outside the parcel cannot be measured; write `is inside the parcel`")
    return Rule(INSIDE, separate(sentence, subject))

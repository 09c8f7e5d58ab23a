"""`fire station is inside market`: no part of one zone further than touch_gap outside the other."""
# ruff: noqa: D102  (what a kind offers is explained in measure/rules/rule.py)

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from measure.rules.kinds.places.zone_gaps import depth_claim, pairs_in_order, touch_gap
from measure.rules.rule import Kind, Rule
from measure.rules.rule_context import Context
from measure.rules.sentences.sentence_forms import sentence_form
from measure.rules.sentences.sentence_parts import Sentence, Subject, Target
from measure.rules.sentences.subjects import check_different, separate
from measure.rules.told import Teller, Told, both_of
from measure.rules.verdict import Claim, Findings, Unknown


@dataclass(frozen=True)
class InsideZone(Kind):
    """The subject lies within the other zone's outline, zone by zone; the value is how far it reaches out."""

    name: ClassVar[str] = "place"

    def reads_as(self, rule: Rule) -> str:
        return f"{rule.subject} {'are' if rule.subject.plural else 'is'} inside {rule.other}"

    def told(self, rule: Rule, teller: Teller) -> Told:
        who, host = both_of(rule.subject, rule.other, teller.outcome.over)
        must = f"{who.they} must be inside"
        if not teller.number:
            return f"{who} {who.are} inside {host}", must
        found = f"{who} {who.verb('reach', 'es')} {teller.value()} out of {host}"
        return found, f"{must}{teller.but_for_play}"

    def findings(self, rule: Rule, context: Context) -> Findings:
        claims = tuple(self._claim(context, a, b) for a, b in pairs_in_order(rule, context.zones))
        return Findings(claims, touch_gap(context), context.setting.unit)

    def _claim(self, context: Context, zone: str, host: str) -> Claim | Unknown:
        missing = context.missing((zone, host))
        found = None if missing else context.measures.containment(zone, host)
        if missing or found is None:
            return missing or Unknown("whether {} lies inside is not known", (zone,))
        bounds = (-touch_gap(context), None)
        return depth_claim(found, bounds, (zone, host), "gap", context, label="{} outside")


INSIDE_ZONE = InsideZone()


@sentence_form
def is_inside_zone(sentence: Sentence, subject: Subject, target: Target) -> Rule:
    """`fire station is inside market`."""
    if target.parcel or target.group.mode not in ("together",):
        sentence.refuse("name the one zone that it must be inside")
    if subject.denied:
        offer = f"{subject.names[0] if subject.names else 'every zone'} does not overlap {target.group}"
        sentence.refuse(f"write `{offer}` where nothing of it may be inside", subject.span, (offer,))
    group = separate(sentence, subject)
    check_different(sentence, group, target.group, "is not inside itself")
    return Rule(INSIDE_ZONE, group, others=(target.group,))

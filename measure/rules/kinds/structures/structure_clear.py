"""`no building stands on the rock`: no structure's footprint reaches over a zone's outline."""
# ruff: noqa: D102  (what a kind offers is explained in measure/rules/rule.py)

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from measure.rules.kinds.places.standing_places import of_each, on_zone
from measure.rules.kinds.places.zone_gaps import touch_gap
from measure.rules.kinds.structures.solid_words import one_of, where
from measure.rules.rule import Kind, Rule
from measure.rules.rule_context import Context
from measure.rules.sentences.sentence_forms import sentence_form
from measure.rules.sentences.sentence_parts import Sentence, Subject
from measure.rules.told import Teller, Told, the
from measure.rules.verdict import Findings
from measure.rules.zone_groups import Group


@dataclass(frozen=True)
class StructureClear(Kind):
    """No footprint lies more than touch_gap within the zone's outline (tape's middle); the value is how far."""

    name: ClassVar[str] = "structures"

    def reads_as(self, rule: Rule) -> str:
        return f"no structure{where(rule.subject.names)} stands on {rule.other}"

    def told(self, rule: Rule, teller: Teller) -> Told:
        host = the(rule.other.names[0])
        if not teller.number:
            return f"no structure stands on {host}", f"none may stand on it{teller.but_for_play}"
        found = f"{one_of(rule, teller.outcome.over[:-1])} reaches {teller.value()} onto {host}"
        return found, f"none may stand on it{teller.but_for_play}"

    def findings(self, rule: Rule, context: Context) -> Findings:
        (zone,) = rule.other.names
        claims = of_each(rule, context, lambda standing: on_zone(standing, zone, context))
        return Findings(claims, touch_gap(context), context.setting.unit)

    def about_structures(self, rule: Rule) -> bool:
        return True


CLEAR = StructureClear()


@sentence_form
def structures_clear(sentence: Sentence, *parts: object) -> Rule:
    """`no building stands on the rock`."""
    zones = next((part for part in parts if isinstance(part, tuple)), ())
    owner = next(part for part in parts if isinstance(part, Subject))
    return Rule(CLEAR, Group(zones), others=(Group(owner.names),))

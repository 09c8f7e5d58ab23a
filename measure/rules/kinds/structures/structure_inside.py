"""`every building stands inside its zone`: all of its footprint within the tape's middle, where most of it is."""
# ruff: noqa: D102  (what a kind offers is explained in measure/rules/rule.py)

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import ClassVar

from measure.plat.relations.footprints import host_of, reach_beyond
from measure.quantity import Quantity
from measure.rules.kinds.places.standing_places import Standing, of_each
from measure.rules.kinds.structures.solid_words import every, one_of
from measure.rules.rule import Kind, Rule
from measure.rules.rule_context import Context
from measure.rules.sentences.sentence_forms import sentence_form
from measure.rules.sentences.sentence_parts import Sentence
from measure.rules.told import Teller, Told
from measure.rules.verdict import Claim, Findings, Mark, Unknown
from measure.rules.zone_groups import Group
from measure.units import to_mm


@dataclass(frozen=True)
class StructureInside(Kind):
    """No part of a structure's footprint lies beyond its zone's tape; the value is how far it reaches out."""

    name: ClassVar[str] = "structures"

    def reads_as(self, rule: Rule) -> str:
        return f"{every(rule)} is inside its zone"

    def told(self, rule: Rule, teller: Teller) -> Told:
        must = "each must stand inside its zone"
        if not teller.number:
            return f"{every(rule)} is inside its zone", must
        return f"{one_of(rule, teller.outcome.over)} reaches {teller.value()} beyond its zone's tape", must

    def findings(self, rule: Rule, context: Context) -> Findings:
        claims = of_each(rule, context, lambda standing: self._claim(standing, context))
        return Findings(claims, 0.0, context.setting.unit)

    def _claim(self, standing: Standing, context: Context) -> Claim | Unknown:
        within = standing.zone in context.zones
        hidden = () if within else tuple(zone for zone in context.zones if context.missing((zone,)))
        if hidden:
            return Unknown("a structure stands in no zone that is measured; whether in {} is not known", hidden)
        host = standing.zone if within else host_of(context.measures, standing.number, context.zones)
        if host is None:
            return Unknown("no zone was found for a structure to stand in")
        missing = context.missing((host,))
        found = None if missing else standing.measures.containment(standing.name, host)
        if missing or found is None:
            return missing or Unknown("whether a structure stands inside {} is not known", (host,))
        unit = context.setting.unit
        gaps = tuple(gap / to_mm(1.0, unit) for gap in found.candidates)
        least = min(gaps, key=lambda gap: gap.value)
        depth = Quantity(reach_beyond(context.measures, standing.number, host) / to_mm(1.0, unit), least.sensitivity)
        said = f"{context.said(depth, unit)} {'outside' if within else 'out of every zone'}"
        mark = Mark("gap", ((host, 1),), found.between, said)
        return Claim(gaps, 0.0, None, (host,), (mark,), shown=depth.value)

    def about_structures(self, rule: Rule) -> bool:
        return True


INSIDE = StructureInside()


@sentence_form
def structures_inside(sentence: Sentence, *parts: object) -> Rule:
    """`every building stands inside its zone`, `no building in homes stands outside its zone`."""
    zones = next((part for part in parts if isinstance(part, tuple)), ())
    return replace(Rule(INSIDE), subject=Group(zones))

"""`no building is within 1 in of the lake`: the smallest gap from every structure's footprint to zones, or the edge."""
# ruff: noqa: D102  (what a kind offers is explained in measure/rules/rule.py)

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import ClassVar

from measure.rules.kinds.places.edge_distance import EDGE_DISTANCE
from measure.rules.kinds.places.standing_places import Standing, of_each
from measure.rules.kinds.places.zone_gaps import NO_PLACE, gap_claim
from measure.rules.kinds.structures.solid_words import every, one_of
from measure.rules.rule import Kind, Rule
from measure.rules.rule_context import Context
from measure.rules.sentences.said_limits import measured_limit
from measure.rules.sentences.sentence_forms import sentence_form
from measure.rules.sentences.sentence_parts import Comparative, SaidAmount, SaidLimit, Sentence, Subject, Target
from measure.rules.sentences.subjects import for_subject
from measure.rules.setting import Setting
from measure.rules.sheet_text import Asked
from measure.rules.told import Teller, Told, the
from measure.rules.verdict import Claim, Findings, Unknown
from measure.rules.zone_groups import Group

EDGE = "the edge"


@dataclass(frozen=True)
class StructureDistance(Kind):
    """A limit on the gap from every structure to the other group, zone by zone; without one, to the parcel's edge.

    The gap is from the footprint to the outline along tape_edge; a structure on a zone's land is 0 from it.
    """

    name: ClassVar[str] = "structures"

    def reads_as(self, rule: Rule) -> str:
        return f"the distance from {every(rule)} to {rule.other if rule.others else EDGE} is {rule.bound.said}"

    def told(self, rule: Rule, teller: Teller) -> Told:
        over = teller.outcome.over
        to = EDGE if not rule.others else the(over[-1]) if over else str(rule.other)
        return f"{one_of(rule, over[:-1])} is {teller.value()} from {to}", f"each must be {teller.asked(' away')}"

    def findings(self, rule: Rule, context: Context) -> Findings:
        targets: tuple[str | None, ...] = (None,)
        if rule.others:
            targets = rule.other.singles(context.all_zones)
        found = tuple(
            part
            for target in targets
            for part in of_each(rule, context, lambda standing, to=target: self._claim(rule, standing, to, context))  # type: ignore[misc]
        )
        return Findings(found, rule.bound.stated, rule.bound.amount.unit_text)

    def _claim(self, rule: Rule, standing: Standing, to: str | None, context: Context) -> Claim | Unknown:
        if to is None:
            found = standing.measures.edge_clearance(standing.name)
            if found is None:
                return Unknown(NO_PLACE)
            return gap_claim(found, rule.bound, standing.over, "gap", context)
        missing = context.missing((to,))
        found = None if missing else standing.measures.separation(standing.name, to, edge="tape_edge")
        if missing or found is None:
            return missing or Unknown("how far a structure is from {} is not known", (to,))
        made = gap_claim(found, rule.bound, (*standing.over, to), "gap", context)
        return replace(made, marks=tuple(replace(mark, pieces=((to, 1),)) for mark in made.marks))

    def about_structures(self, rule: Rule) -> bool:
        return True

    def question(self, rule: Rule, setting: Setting) -> Asked | None:
        """Of the parcel's edge, as of zones: what is left inside."""
        return None if rule.others else EDGE_DISTANCE.question(rule, setting)


FROM = StructureDistance()


@sentence_form
def structures_from(sentence: Sentence, *parts: object) -> Rule:
    """`every building is at least 1 in from the edge`."""
    zones = next((part for part in parts if isinstance(part, tuple)), ())
    said = next(part for part in parts if isinstance(part, SaidLimit))
    target = next(part for part in parts if isinstance(part, Target))
    if target.parcel == "centre" or target.group.quantified:
        sentence.refuse("a structure's distance is measured to zones, or to the parcel's edge")
    others = () if target.parcel else (target.group,)
    limit = measured_limit(sentence, said, "length", "a distance", "distance")
    return Rule(FROM, Group(zones), limit, others)


@sentence_form
def no_structure_from(sentence: Sentence, *parts: object) -> Rule:
    """`no building is closer than 1 in to the lake`."""
    return for_subject(sentence, structures_from(sentence, *parts), Subject("none", word="no structure"))


@sentence_form
def structures_within(sentence: Sentence, *parts: object) -> Rule:
    """`every building is within 4 in of the shops`."""
    return structures_from(sentence, *(_limit("at most", part) for part in parts))


@sentence_form
def no_structure_within(sentence: Sentence, *parts: object) -> Rule:
    """`no building is within 1 in of the lake`."""
    return structures_from(sentence, *(_limit("more than", part) for part in parts))


def _limit(relation: str, part: object) -> object:
    if not isinstance(part, SaidAmount):
        return part
    return SaidLimit(Comparative("at most" if relation == "at most" else "more than"), part)

"""`there are at least 2 cylinders`: structures of a solid (or any), in the zones together, or everywhere."""
# ruff: noqa: D102  (what a kind offers is explained in measure/rules/rule.py)

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from measure.rules.kinds.pieces.piece_count import AT_LEAST_ONE, NONE
from measure.rules.kinds.structures.solid_words import built_zones, there_are, where
from measure.rules.measured_sizes import NO_STRUCTURES, built_claims, counted_in
from measure.rules.rule import Kind, Rule
from measure.rules.rule_context import Context
from measure.rules.sentences.said_limits import count_limit
from measure.rules.sentences.sentence_forms import sentence_form
from measure.rules.sentences.sentence_parts import SaidLimit, Sentence, Subject
from measure.rules.solid_nouns import noun_of
from measure.rules.told import Teller, Told, counted
from measure.rules.verdict import Claim, Findings, Unknown
from measure.rules.zone_groups import Group


@dataclass(frozen=True)
class StructureCount(Kind):
    """A limit on the number of structures; rule.detail is the solid. Without zones in the subject: the whole model."""

    name: ClassVar[str] = "structures"
    counted: ClassVar[bool] = True

    def reads_as(self, rule: Rule) -> str:
        zones, one = rule.subject.names, noun_of(rule.detail, one=True)
        if rule.bound.stated == 0 and rule.bound.relation == "exactly":
            return f"there is no {one}{where(zones)}"
        return there_are(rule.bound, (one, noun_of(rule.detail, one=False)), zones)

    def told(self, rule: Rule, teller: Teller) -> Told:
        found = counted(teller.number, noun_of(rule.detail, one=True), noun_of(rule.detail, one=False))
        there = f"there {'is' if teller.number == 1 else 'are'} {found}{where(rule.subject.names)}"
        none = rule.bound.whole_bounds[1] == 0
        return there, "there must be none" if none else f"there must be {teller.asked()}"

    def findings(self, rule: Rule, context: Context) -> Findings:
        return Findings(self._claims(rule, context), rule.bound.stated)

    def _claims(self, rule: Rule, context: Context) -> tuple[Claim | Unknown, ...]:
        zones = rule.subject.names
        if context.structures is None:
            return (Unknown(NO_STRUCTURES, zones),)
        count = counted_in(context.structures, zones, rule.detail or None)
        if count.value is None:
            return (Unknown(count.more, zones),)
        return built_claims(Claim((count.value,), *rule.bound.whole_bounds, zones), count)

    def about_structures(self, rule: Rule) -> bool:
        return True


STRUCTURE_COUNT = StructureCount()


@sentence_form
def some_solid(sentence: Sentence, solid: str) -> Rule:
    """`there is a cylinder`."""
    return Rule(STRUCTURE_COUNT, limit=AT_LEAST_ONE, detail=solid)


@sentence_form
def none_solid(sentence: Sentence, solid: str) -> Rule:
    """`there is no cylinder`."""
    return Rule(STRUCTURE_COUNT, limit=NONE, detail=solid)


@sentence_form
def count_solid(sentence: Sentence, limit: SaidLimit, solid: str) -> Rule:
    """`there are at least 2 cylinders`."""
    return Rule(STRUCTURE_COUNT, limit=count_limit(sentence, limit), detail=solid)


@sentence_form
def has_solids(sentence: Sentence, subject: Subject, limit: SaidLimit, solid: str) -> Rule:
    """`workshops have at least 2 cylinders`."""
    zones = built_zones(sentence, subject)
    return Rule(STRUCTURE_COUNT, Group(zones), count_limit(sentence, limit), detail=solid)

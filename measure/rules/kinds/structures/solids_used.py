"""`workshops use at least 3 different solids`; without a zone, in the whole model."""
# ruff: noqa: D102  (what a kind offers is explained in measure/rules/rule.py)

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import ClassVar

from measure.rules.kinds.structures.solid_words import DIFFERENT_IN_ONE, built_zones, there_are, where
from measure.rules.kinds.structures.structure_count import STRUCTURE_COUNT
from measure.rules.measured_sizes import NO_STRUCTURES, built_claims
from measure.rules.rule import Kind, Rule
from measure.rules.rule_context import Context
from measure.rules.sentences.said_limits import count_limit
from measure.rules.sentences.sentence_forms import sentence_form
from measure.rules.sentences.sentence_parts import SaidLimit, Sentence, Subject
from measure.rules.told import Teller, Told, counted
from measure.rules.verdict import Claim, Findings, Unknown
from measure.rules.zone_groups import Group


@dataclass(frozen=True)
class SolidsUsed(Kind):
    """A limit on the number of different solids in one zone, or in the whole model."""

    name: ClassVar[str] = "structures"
    counted: ClassVar[bool] = True

    def reads_as(self, rule: Rule) -> str:
        return there_are(rule.bound, ("different solid", "different solids"), rule.subject.names)

    def told(self, rule: Rule, teller: Teller) -> Told:
        found = counted(teller.number, "different solid", "different solids")
        there = f"there {'is' if teller.number == 1 else 'are'} {found}{where(rule.subject.names)}"
        return there, f"there must be {teller.asked()}"

    def findings(self, rule: Rule, context: Context) -> Findings:
        return Findings(self._claims(rule, context), rule.bound.stated)

    def _claims(self, rule: Rule, context: Context) -> tuple[Claim | Unknown, ...]:
        over = rule.subject.names
        if context.structures is None:
            return (Unknown(NO_STRUCTURES, over),)
        count = context.structures.different_solids(over[0] if over else None)
        if count.value is None:
            return (Unknown(count.more, over),)
        return built_claims(Claim((count.value,), *rule.bound.whole_bounds, over), count)

    def about_structures(self, rule: Rule) -> bool:
        return True


SOLIDS_USED = SolidsUsed()


@sentence_form
def count_different(sentence: Sentence, limit: SaidLimit) -> Rule:
    """`there are at least 3 different solids`."""
    return Rule(SOLIDS_USED, limit=count_limit(sentence, limit))


@sentence_form
def has_different(sentence: Sentence, subject: Subject, limit: SaidLimit) -> Rule:
    """`workshops use at least 3 different solids`."""
    zones = built_zones(sentence, subject)
    if len(zones) > 1:
        sentence.refuse(DIFFERENT_IN_ONE, subject.span)
    return Rule(SOLIDS_USED, Group(zones), count_limit(sentence, limit))


@sentence_form
def presence_where(sentence: Sentence, rule: Rule, zones: tuple[str, ...]) -> Rule:
    """`there are at least 2 cylinders in workshops`."""
    if rule.kind == SOLIDS_USED and len(zones) > 1:
        sentence.refuse(DIFFERENT_IN_ONE)
    if rule.kind in (SOLIDS_USED, STRUCTURE_COUNT):
        return replace(rule, subject=Group(zones))
    if zones:
        sentence.refuse("whether a zone lies in another is not measured; leave the place out, or start with `by eye:`")
    return rule

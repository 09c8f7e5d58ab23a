"""`no structure is taller than 7 in`: every structure, or the tallest one alone, in the zones or everywhere."""
# ruff: noqa: D102  (what a kind offers is explained in measure/rules/rule.py)

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import ClassVar

from measure.conformity import chance_all
from measure.quantity import Quantity
from measure.rules.amounts import Limit
from measure.rules.demand import DemandOnStructures, Height
from measure.rules.kinds.structures.solid_words import where
from measure.rules.measured_sizes import NO_STRUCTURES, zone_marks
from measure.rules.rule import Kind, Rule
from measure.rules.rule_context import Context
from measure.rules.sentences.said_limits import measured_limit
from measure.rules.sentences.sentence_forms import sentence_form
from measure.rules.sentences.sentence_parts import SaidLimit, Sentence, Subject
from measure.rules.sentences.subjects import NOT_BY_PIECE, for_subject
from measure.rules.setting import Setting
from measure.rules.sheet_text import Asked, amount_text, number_text
from measure.rules.told import Teller, Told
from measure.rules.verdict import Claim, Findings, Mark, Unknown, verdict_of
from measure.rules.zone_groups import Group

_CUBE = {"in": 0.5, "cm": 2.0, "mm": 20.0, "ft": 0.25, "m": 0.05}
"""The side of the cubes in questions about height, in the unit."""


@dataclass(frozen=True)
class StructureHeight(Kind):
    """A limit on the height of every structure, or of the tallest, in each zone of the subject; without: anywhere."""

    name: ClassVar[str] = "structures"
    tallest: bool = False

    def reads_as(self, rule: Rule) -> str:
        who = "the tallest" if self.tallest else "every"
        return f"{who} structure{where(rule.subject.names)} is {rule.bound} tall{rule.bound.within_text}"

    def told(self, rule: Rule, teller: Teller) -> Told:
        place = where(teller.outcome.over)
        if self.tallest:
            return f"the tallest structure{place} is {teller.value()} tall", f"it must be {teller.asked(' tall')}"
        return f"one structure{place} is {teller.value()} tall", f"each must be {teller.asked(' tall')}"

    def findings(self, rule: Rule, context: Context) -> Findings:
        return Findings(self._claims(rule, context), rule.bound.stated, rule.bound.amount.unit_text)

    def _claims(self, rule: Rule, context: Context) -> tuple[Claim | Unknown, ...]:
        zones = rule.subject.names
        if context.structures is None:
            return (Unknown(NO_STRUCTURES, zones),)
        made: list[Claim | Unknown] = []
        for zone in zones or (None,):
            over = (zone,) if zone else ()
            found = context.structures.heights(zone, None)
            heights = [height / rule.bound.amount.mm for height in found.known]
            made += self._of_zone(rule.bound, heights, found.more, over, context)
        return tuple(made)

    def _of_zone(
        self, limit: Limit, heights: list[Quantity], more: str, over: tuple[str, ...], context: Context
    ) -> list[Claim | Unknown]:
        def marks(height: Quantity) -> tuple[Mark, ...]:
            return zone_marks(over, f"{context.said(height, limit.amount.unit_text, limit)} tall")

        rest: list[Claim | Unknown] = [Unknown(more, over)] if more else []
        low, high, strict = limit.low, limit.high, limit.strict
        if not self.tallest:
            return [*rest, *(Claim((h,), low, high, over, marks(h), strict) for h in heights)]
        if not heights:
            return rest or [Unknown("there is no structure", over)]
        tallest = max(heights, key=lambda h: h.value)
        # The largest is minus the smallest of the negatives, so the limits change places.
        flipped = (None if high is None else -high, None if low is None else -low)
        made = Claim(tuple(-h for h in heights), *flipped, over, marks(tallest), strict, shown=tallest.value)
        if more and high is None and verdict_of(chance_all([made.event])) == "met":
            return [made, Unknown(more, over, matters=False)]
        if more:
            return rest if high is None else [*rest, replace(made, high=None)]
        return [made]

    def demands_on_structures(self, rule: Rule, setting: Setting) -> tuple[DemandOnStructures, ...]:
        high = rule.bound.bounds_mm[1]
        return () if high is None else (Height(rule.subject.names, high),)

    def about_structures(self, rule: Rule) -> bool:
        return True

    def question(self, rule: Rule, setting: Setting) -> Asked | None:
        """How many cubes a tower may have."""
        amount, unit = rule.bound.amount, rule.bound.amount.unit
        if rule.bound.relation != "at most" or unit is None:
            return None
        cube = _CUBE[unit]
        count = math.floor(amount.value / cube + 1e-9)
        cubes = f"You stack cubes with sides of {number_text(cube, unit, setting)}."
        stack = f"{cubes} A tower may be {amount_text(amount)} tall."
        text = f"{stack} How many cubes may it have?"
        return Asked(text, str(count), f"{amount_text(amount)} ÷ {number_text(cube, '', setting)}, without the rest")


HEIGHT, TALLEST = StructureHeight(), StructureHeight(tallest=True)


@sentence_form
def every_structure(sentence: Sentence, *parts: object) -> Rule:
    """`every structure in workshops is at most 7 in tall`."""
    return _height(sentence, *_zones_and_limit(parts))


@sentence_form
def no_structure(sentence: Sentence, *parts: object) -> Rule:
    """`no structure is taller than 7 in`."""
    rule = _height(sentence, *_zones_and_limit(parts))
    return for_subject(sentence, rule, Subject("none", word="no structure"))


@sentence_form
def tallest_structure(sentence: Sentence, *parts: object) -> Rule:
    """`the tallest structure is at least 7 in tall`."""
    return _height(sentence, *_zones_and_limit(parts), TALLEST)


@sentence_form
def is_tall(sentence: Sentence, subject: Subject, limit: SaidLimit) -> Rule:
    """`workshops are at least 2 in tall`."""
    if subject.mode == "none":
        return no_structure(sentence, limit)
    if subject.mode == "every":
        return _height(sentence, (), limit)
    if subject.mode == "no piece":
        return for_subject(sentence, _height(sentence, subject.names, limit), subject)
    if subject.mode in ("some", "except"):
        sentence.refuse(NOT_BY_PIECE, subject.span)
    names = subject.names
    every, tallest = _height(sentence, names, limit), _height(sentence, names, limit, TALLEST)
    if every.bound.low is None and subject.mode == "pieces":
        return every
    if every.bound.low is None or not (subject.plural or subject.mode == "pieces"):
        return tallest
    sentence.refuse_both("what must be so tall here", every.reads_as(), tallest.reads_as(), subject.span)


def _height(sentence: Sentence, zones: tuple[str, ...], said: SaidLimit, kind: StructureHeight = HEIGHT) -> Rule:
    return Rule(kind, Group(zones), measured_limit(sentence, said, "length", "a height", "height"))


def _zones_and_limit(parts: tuple[object, ...]) -> tuple[tuple[str, ...], SaidLimit]:
    """Of the tokens and parts of a sentence about structures; no zones where it names none."""
    zones = next((part for part in parts if isinstance(part, tuple)), ())
    return zones, next(part for part in parts if isinstance(part, SaidLimit))

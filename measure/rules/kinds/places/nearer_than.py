"""`school is nearer to meadow than to crusher`: the smallest gaps to two zones, one against the other."""
# ruff: noqa: D102  (what a kind offers is explained in measure/rules/rule.py)

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import ClassVar

from measure.conformity import smallest
from measure.plat.separation import Separation
from measure.rules.bounds import Range
from measure.rules.demand import Nearer
from measure.rules.rule import Kind, Rule
from measure.rules.rule_context import Context
from measure.rules.sentences.sentence_forms import sentence_form
from measure.rules.sentences.sentence_parts import Sentence, Subject, Target
from measure.rules.sentences.subjects import check_different, separate
from measure.rules.setting import Setting, SettingParcel, zones_laid_out
from measure.rules.sheet_text import Asked, group_text
from measure.rules.told import Teller, Told, noun
from measure.rules.verdict import Claim, Findings, Mark, Unknown
from measure.units import to_mm


@dataclass(frozen=True)
class NearerThan(Kind):
    """The gap from the subject to the first other group is smaller than to the second, zone by zone.

    The value is how much larger the second gap is, in the challenge's unit; signed separations decide.
    """

    name: ClassVar[str] = "nearer"
    measured_by_hand: ClassVar[bool] = True
    gap_between = "tape edges"

    def reads_as(self, rule: Rule) -> str:
        near, far = rule.others
        return f"{rule.subject} {'are' if rule.subject.plural else 'is'} nearer to {near} than to {far}"

    def told(self, rule: Rule, teller: Teller) -> Told:
        who, near, far = (noun(name) for name in teller.outcome.over[:3])
        must = f"{who.they} must be nearer to {near}"
        if teller.number == 0:
            return f"{who} {who.are} as near to {near} as to {far}", must
        first, second = (near, far) if teller.number > 0 else (far, near)
        by = teller.value(number=abs(teller.number))
        return f"{who} {who.are} {by} nearer to {first} than to {second}", must

    def findings(self, rule: Rule, context: Context) -> Findings:
        claims = tuple(self._claim(context, *three) for three in _threes(rule, context.zones))
        return Findings(claims, 0.0, context.setting.unit)

    def _claim(self, context: Context, zone: str, near: str, far: str) -> Claim | Unknown:
        over = (zone, near, far)
        missing = context.missing(over)
        if missing:
            return missing
        to_near, to_far = (context.measures.separation(zone, other) for other in (near, far))
        if to_near is None or to_far is None:
            return Unknown(f"the gap between {zone} and {near if to_near is None else far} is not known", over)
        scale = to_mm(1.0, context.setting.unit)
        nearest = smallest(to_near.candidates)
        more = tuple((gap - nearest) / scale for gap in to_far.candidates)
        marks = tuple(_mark(found, context) for found in (to_near, to_far))
        return Claim(more, 0.0, None, over, marks, strict=True)

    def ranges(self, rule: Rule, zones: Sequence[str], parcel: SettingParcel) -> Iterator[Range]:
        for zone, near, far in _threes(rule, zones):
            first, second = sorted((near, far))
            low, high = (0.0, math.inf) if near == first else (-math.inf, 0.0)
            words = f"which of {first} and {second} is nearer to {zone}"
            yield Range(("nearer", zone, first, second), words, low, high, strict=True)

    def demands(self, rule: Rule, setting: Setting) -> tuple[Nearer, ...]:
        return tuple(Nearer(*three) for three in _threes(rule, zones_laid_out(setting)))

    def question(self, rule: Rule, setting: Setting) -> Asked:
        near, far = (group_text(group) for group in rule.others)
        who, unit = group_text(rule.subject), setting.unit
        text = f"From {who} to {near} the gap is 3 {unit}, and to {far} it is 2 {unit}. How much too near is {far}?"
        return Asked(text, f"more than 1 {unit}", "3 - 2, and it must be farther still")


NEARER = NearerThan()


def _threes(rule: Rule, zones: Sequence[str]) -> Iterator[tuple[str, str, str]]:
    """Every zone with the one that it is nearer to and the one that it is farther from."""
    near, far = rule.others
    for zone in rule.subject.singles(zones):
        for first in near.singles(zones, (zone,)):
            for second in far.singles(zones, (zone, first)):
                if len({zone, first, second}) == 3:
                    yield zone, first, second


def _mark(found: Separation, context: Context) -> Mark:
    label = context.said(found.quantity / to_mm(1.0, context.setting.unit), context.setting.unit)
    return Mark("gap", found.pieces, found.between, label)


@sentence_form
def is_nearer(sentence: Sentence, subject: Subject, _: str, near: Target, far: Target) -> Rule:
    """`school is nearer to meadow than to crusher`."""
    return _compared(sentence, subject, near, far)


@sentence_form
def is_farther(sentence: Sentence, subject: Subject, _: str, far: Target, near: Target) -> Rule:
    """`school is farther from crusher than from meadow`."""
    return _compared(sentence, subject, near, far)


def _compared(sentence: Sentence, subject: Subject, near: Target, far: Target) -> Rule:
    if near.parcel or far.parcel:
        sentence.refuse("only gaps to zones are compared; write how far from the edge or the centre with a length")
    if subject.denied:
        sentence.refuse("say which zone every zone must be nearer to")
    if near.group.mode in ("other", "another"):
        sentence.refuse("name the zone that it must be nearer to")
    group = separate(sentence, subject)
    for other in (near.group, far.group):
        check_different(sentence, group, other, "is never away from itself")
    check_different(sentence, near.group, far.group, "is no nearer than itself")
    return Rule(NEARER, group, others=(near.group, far.group))

"""`every home is within 3 in of a road`: the gap from a zone to the nearest edge of the nearest piece of a line."""
# ruff: noqa: D102  (what a kind offers is explained in measure/rules/rule.py)

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import ClassVar

from measure.rules.bounds import Most, Range, allowed
from measure.rules.kinds.lines.line_words import gap_mark, missing_line, net_in, not_denied, one_line, shown_gap
from measure.rules.kinds.lines.open_ends import may_be_less, open_towards_zone
from measure.rules.rule import Kind, Rule
from measure.rules.rule_context import Context
from measure.rules.sentences.said_limits import measured_limit
from measure.rules.sentences.sentence_forms import sentence_form
from measure.rules.sentences.sentence_parts import Comparative, SaidAmount, SaidLimit, SaidLines, Sentence, Subject
from measure.rules.sentences.subjects import for_subject, separate
from measure.rules.setting import Setting, SettingParcel
from measure.rules.sheet_text import Asked, amount_text, group_text, limit_text
from measure.rules.told import Teller, Told, noun, subject_of
from measure.rules.verdict import Claim, Findings, Unknown
from measure.rules.zone_groups import Group


@dataclass(frozen=True)
class LineDistance(Kind):
    """A limit on the gap between the subject, zone by zone, and a line; the subject's outline is along tape_edge."""

    name: ClassVar[str] = "line distance"

    def reads_as(self, rule: Rule) -> str:
        return f"the distance from {rule.subject} to {rule.lines[0]} is {rule.bound.said}"

    def told(self, rule: Rule, teller: Teller) -> Told:
        who = subject_of(rule.subject, teller.outcome.over)
        found = f"{who} {who.are} {teller.value()} from {noun(rule.lines[0])}"
        return found, f"{who.they} must be {teller.asked(' away')}"

    def findings(self, rule: Rule, context: Context) -> Findings:
        claims = tuple(self._claim(rule, zone, context) for zone in rule.subject.singles(context.zones))
        return Findings(claims, rule.bound.stated, rule.bound.amount.unit_text)

    def _claim(self, rule: Rule, zone: str, context: Context) -> Claim | Unknown:
        (line,), limit = rule.lines, rule.bound
        missing = missing_line((line,), context) or context.missing((zone,))
        found = () if missing else net_in(context).gaps(line, zone, "tape_edge")
        if missing or not found:
            return missing or Unknown("the gap to {} is not known", (zone,))
        gaps = tuple(near.gap / limit.amount.mm for near in found)
        marks = gap_mark(found[0], shown_gap(found[0].gap, context, limit))
        claim = Claim(gaps, limit.low, limit.high, (zone,), marks, limit.strict, shown=max(0.0, gaps[0].value))
        within = max(limit.low or 0.0, limit.high or 0.0) * limit.amount.mm
        return may_be_less(claim, (line,)) if open_towards_zone(line, (zone,), within, context) else claim

    def most(self, rule: Rule, parcel: SettingParcel) -> Most | None:
        return Most(math.hypot(parcel.width, parcel.depth), "the parcel's diagonal")

    def ranges(self, rule: Rule, zones: Sequence[str], parcel: SettingParcel) -> Iterator[Range]:
        for zone in rule.subject.singles(zones):
            words = f"the distance from {zone} to {rule.lines[0]}"
            yield allowed(rule.bound, ("line distance", zone, rule.lines[0]), words)

    def question(self, rule: Rule, setting: Setting) -> Asked | None:
        limit = rule.bound
        if limit.tolerance is not None:
            return None
        half, upper = (amount and replace(amount, number=amount.number / 2) for amount in (limit.amount, limit.upper))
        assert half is not None
        far = f"From {group_text(rule.subject)} to {noun(rule.lines[0])} it must be {limit_text(limit)}."
        text = f"{far} A plan is drawn at half the size. How long is that distance on the plan?"
        said = [f"{amount_text(amount)} ÷ 2" for amount in (limit.amount, limit.upper) if amount]
        return Asked(text, limit_text(replace(limit, amount=half, upper=upper)), ", ".join(said))


LINE_DISTANCE = LineDistance()


@sentence_form
def zone_from_line(sentence: Sentence, subject: Subject, said: SaidLimit, lines: SaidLines) -> Rule:
    """`every home is at most 3 in from a road`, `the school is at least 2 in from the railway`."""
    not_denied(sentence, lines)
    group = separate(sentence, subject)
    limit = measured_limit(sentence, said, "length", "a distance", "distance")
    rule = for_subject(sentence, Rule(LINE_DISTANCE, group, limit, lines=(one_line(sentence, lines),)), subject)
    if subject.mode == "listed" and len(subject.names) == 1 and rule.bound.low is None and Group(subject.names).plural:
        sentence.infer(f"the nearest piece decides; write `every piece of {group}` where each is meant")
    return rule


@sentence_form
def zone_to_line(sentence: Sentence, subject: Subject, lines: SaidLines, said: SaidLimit) -> Rule:
    """`the distance from every piece of homes to the road is at most 3 in`."""
    return zone_from_line(sentence, subject, said, lines)


@sentence_form
def zone_within_of_line(sentence: Sentence, subject: Subject, amount: SaidAmount, lines: SaidLines) -> Rule:
    """`every home is within 3 in of a road`."""
    return zone_from_line(sentence, subject, SaidLimit(Comparative("at most"), amount), lines)


@sentence_form
def zone_not_within_of_line(sentence: Sentence, subject: Subject, amount: SaidAmount, lines: SaidLines) -> Rule:
    """`the school is not within 3 in of the railway`."""
    return zone_from_line(sentence, subject, SaidLimit(Comparative("more than"), amount), lines)


@sentence_form
def line_from_zone(sentence: Sentence, lines: SaidLines, said: SaidLimit, subject: Subject) -> Rule:
    """`the railway is at least 2 in from every home`."""
    if subject.denied:
        sentence.refuse("say how far from every zone it must be")
    if lines.denied:
        rule = zone_from_line(sentence, subject, said, SaidLines(lines.names, lines.span))
        return for_subject(sentence, rule, Subject("none", word="no"))
    return zone_from_line(sentence, subject, said, lines)


@sentence_form
def line_within_of_zone(sentence: Sentence, lines: SaidLines, amount: SaidAmount, subject: Subject) -> Rule:
    """`the road is within 3 in of the school`."""
    return line_from_zone(sentence, lines, SaidLimit(Comparative("at most"), amount), subject)


@sentence_form
def line_not_within_of_zone(sentence: Sentence, lines: SaidLines, amount: SaidAmount, subject: Subject) -> Rule:
    """`the railway is not within 3 in of the school`."""
    return line_from_zone(sentence, lines, SaidLimit(Comparative("more than"), amount), subject)

"""`every zone except the park is reached by the water pipe`: a line comes within touch_gap of the tape, or enters."""
# ruff: noqa: D102  (what a kind offers is explained in measure/rules/rule.py)

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from measure.rules.kinds.lines.line_words import gap_mark, in_unit, missing_line, net_in, one_line, shown_gap
from measure.rules.kinds.lines.open_ends import may_be_less, open_towards_zone
from measure.rules.kinds.places.zone_gaps import touch_gap
from measure.rules.rule import Kind, Rule
from measure.rules.rule_context import Context
from measure.rules.sentences.sentence_forms import sentence_form
from measure.rules.sentences.sentence_parts import SaidLines, Sentence, Subject
from measure.rules.sentences.subjects import separate
from measure.rules.setting import Setting
from measure.rules.sheet_text import Asked, group_text
from measure.rules.told import Teller, Told, noun, subject_of
from measure.rules.verdict import Claim, Findings, Unknown
from measure.rules.zone_groups import Group, listed


@dataclass(frozen=True)
class ReachedZones(Kind):
    """A line reaches the subject, zone by zone; negated, it does not."""

    name: ClassVar[str] = "reached"

    def reads_as(self, rule: Rule) -> str:
        subject, (line,) = rule.subject, rule.lines
        if rule.negated and subject.mode == "every" and not subject.names:
            return f"no zone is reached by {line}"
        if rule.negated and subject.mode == "pieces":
            return f"no piece of {listed(subject.names)} is reached by {line}"
        return f"{subject} {'are' if subject.plural else 'is'} {'not ' if rule.negated else ''}reached by {line}"

    def told(self, rule: Rule, teller: Teller) -> Told:
        who, line = subject_of(rule.subject, teller.outcome.over), noun(rule.lines[0])
        must = f"{who.they} must {'not ' if rule.negated else ''}be reached"
        if teller.outcome.verdict == ("not met" if rule.negated else "met") or not teller.number:
            return f"{line} {line.verb('reach', 'es')} {who}", must
        return f"{line} {line.verb('come')} no nearer than {teller.value()} to {who}", must

    def findings(self, rule: Rule, context: Context) -> Findings:
        zones = rule.subject.singles(context.zones)
        claims = tuple(self._claim(rule, zone, context) for zone in zones)
        return Findings(claims, touch_gap(context), context.setting.unit)

    def _claim(self, rule: Rule, zone: str, context: Context) -> Claim | Unknown:
        (line,) = rule.lines
        missing = missing_line((line,), context) or context.missing((zone,))
        found = () if missing else net_in(context).gaps(line, zone)
        if missing or not found:
            return missing or Unknown("the gap to {} is not known", (zone,))
        limit = touch_gap(context)
        low, high = (limit, None) if rule.negated else (None, limit)
        gaps = tuple(in_unit(near.gap, context) for near in found)
        marks = gap_mark(found[0], shown_gap(found[0].gap, context))
        claim = Claim(gaps, low, high, (zone,), marks, strict=rule.negated, shown=max(0.0, gaps[0].value))
        open_end = open_towards_zone(line, (zone,), context.setting.touch_gap, context)
        return may_be_less(claim, (line,)) if open_end else claim

    def question(self, rule: Rule, setting: Setting) -> Asked | None:
        if rule.negated or rule.subject.mode != "every":
            return None
        count = len(rule.subject.singles([zone.name for zone in setting.zones if zone.kind == "zone"]))
        text = f"How many zones must {noun(rule.lines[0])} reach?"
        return Asked(text, str(count), f"count {group_text(rule.subject)} of the list")


REACHED = ReachedZones()


@sentence_form
def reached_by(sentence: Sentence, subject: Subject, lines: SaidLines, *, negated: bool = False) -> Rule:
    """`every zone is reached by the water pipe`, `no home is reached by the railway`."""
    line = one_line(sentence, lines)
    if ((subject.denied or lines.denied) and negated) or (subject.denied and lines.denied):
        sentence.refuse("`no` and `not` together mean that it must be reached; say so without both")
    denied = subject.denied or lines.denied or negated
    if subject.mode == "some" and denied:
        sentence.refuse("say how many are reached with `at most`, without `not` or `no`")
    group = separate(sentence, subject, "a line reaches zones one by one")
    if subject.mode == "listed" and len(subject.names) == 1 and Group(subject.names).plural and not denied:
        (name,) = subject.names
        sentence.infer(f"one piece of {name} is enough; write `every piece of {name}` where each is meant")
    return Rule(REACHED, group, negated=denied, lines=(line,))


@sentence_form
def not_reached_by(sentence: Sentence, subject: Subject, lines: SaidLines) -> Rule:
    """`the park is not reached by the railway`."""
    return reached_by(sentence, subject, lines, negated=True)


@sentence_form
def line_reaches(sentence: Sentence, lines: SaidLines, subject: Subject) -> Rule:
    """`the water pipe reaches every zone`."""
    return reached_by(sentence, subject, lines)


@sentence_form
def line_reaches_not(sentence: Sentence, lines: SaidLines, subject: Subject) -> Rule:
    """`the railway does not reach the park`."""
    return reached_by(sentence, subject, lines, negated=True)

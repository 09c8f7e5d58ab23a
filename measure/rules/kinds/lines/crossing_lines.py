"""`no road crosses the railway`, `the road does not cross the park`: lines that go on beyond each other, or enter."""
# ruff: noqa: D102  (what a kind offers is explained in measure/rules/rule.py)

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from typing import ClassVar

from measure.lines.line_gaps import Touch
from measure.lines.net_graph import Near
from measure.rules.kinds.lines.line_words import gap_mark, in_unit, lines_noun, missing_line, net_in, shown_gap
from measure.rules.kinds.lines.open_ends import may_be_less, may_be_more, open_towards_line, open_towards_zone
from measure.rules.kinds.places.zone_gaps import touch_gap
from measure.rules.rule import Kind, Rule
from measure.rules.rule_context import Context
from measure.rules.sentences.sentence_forms import sentence_form
from measure.rules.sentences.sentence_parts import SaidLines, Sentence, Subject
from measure.rules.sentences.subjects import separate
from measure.rules.setting import Setting
from measure.rules.sheet_text import Asked, group_text
from measure.rules.told import Teller, Told, noun
from measure.rules.verdict import Claim, Findings, Unknown
from measure.rules.zone_groups import Group, listed

ANY_LINE = "line"
"""What stands for every declared line; no line's name, as the rules use the word."""


@dataclass(frozen=True)
class CrossingLines(Kind):
    """Lines cross each other, or a zone; negated, they do not. The value is how far the deepest crossing goes on."""

    name: ClassVar[str] = "crossing"

    def reads_as(self, rule: Rule) -> str:
        if rule.lines == (ANY_LINE,):
            return "no lines cross"
        who = listed(rule.lines)
        plural = len(rule.lines) > 1 or noun(who).plural
        if rule.negated and rule.subject.mode == "pieces" and len(rule.lines) == 1:
            return f"no piece of {listed(rule.subject.names)} is crossed by {who}"
        what = listed(rule.other_lines) if rule.other_lines else str(rule.subject)
        verb = f"{'do' if plural else 'does'} not cross" if rule.negated else f"cross{'' if plural else 'es'}"
        return f"{who} {verb} {what}"

    def told(self, rule: Rule, teller: Teller) -> Told:
        first, *rest = (noun(name) for name in teller.outcome.over[:2])
        other = rest[0] if rest else "it"
        must = f"they must {'not ' if rule.negated else ''}cross"
        if teller.outcome.verdict == ("not met" if rule.negated else "met"):
            return f"{first} {first.verb('cross', 'es')} {other}", must
        return f"{first} {'do' if first.plural else 'does'} not cross {other}", must

    def findings(self, rule: Rule, context: Context) -> Findings:
        return Findings(tuple(self._claims(rule, context)), touch_gap(context), context.setting.unit)

    def _claims(self, rule: Rule, context: Context) -> Iterator[Claim | Unknown]:
        net = net_in(context)
        for line, other in _pairs(rule, context):
            missing = missing_line((line, other), context)
            if missing and rule.lines != (ANY_LINE,):
                yield missing
            else:
                going_on = [a for a, b in ((line, other), (other, line)) if open_towards_line(a, b, context)]
                found = net.crossings(line, other)
                yield from _going_on(rule, _crossing(rule, (line, other), found, context), going_on)
        for zone in rule.subject.singles(context.zones) if rule.subject != Group() else ():
            for line in rule.lines:
                missing = missing_line((line,), context) or context.missing((zone,))
                found = () if missing else net.gaps(line, zone, "middle")
                entering = [Near(_turned(near), near.pieces) for near in found]
                if missing:
                    yield missing
                    continue
                going_on = [line] if open_towards_zone(line, (zone,), 0.0, context) else []
                yield from _going_on(rule, _crossing(rule, (line, zone), entering, context), going_on)

    def question(self, rule: Rule, setting: Setting) -> Asked | None:
        if rule.lines == (ANY_LINE,):
            count = len(setting.lines)
            text = f"No two of our {count} lines may cross. How many pairs of lines are there to look at?"
            return Asked(text, str(count * (count - 1) // 2), f"{count} × {count - 1} ÷ 2") if count > 2 else None
        others = [str(noun(name)) for name in rule.other_lines] or [group_text(rule.subject)]
        text = f"What must {lines_noun(rule.lines)} {'not ' if rule.negated else ''}cross?"
        return Asked(text, listed(others), "read the rule")


CROSSING = CrossingLines()


def _turned(near: Near) -> Touch:
    return replace(near.touch, gap=-near.gap)


def _pairs(rule: Rule, context: Context) -> list[tuple[str, str]]:
    if rule.lines == (ANY_LINE,):
        there = [line.name for line in context.setting.lines if net_in(context).pieces(line.name)]
        return list(combinations(there, 2))
    return [(line, other) for line in rule.lines for other in rule.other_lines if line != other]


def _crossing(rule: Rule, over: tuple[str, str], found: Sequence[Near], context: Context) -> Iterator[Claim]:
    """No crossing may go on beyond touch_gap; or at least one must."""
    limit = touch_gap(context)
    if rule.negated:
        for near in found:
            depth = in_unit(near.gap, context)
            marks = gap_mark(near, "crosses" if depth.value > limit else shown_gap(-near.gap, context))
            yield Claim((depth,), None, limit, over, marks, shown=max(0.0, depth.value))
    elif found:
        least = tuple(-in_unit(near.gap, context) for near in found)
        marks = gap_mark(found[0], shown_gap(-found[0].gap, context))
        yield Claim(least, None, -limit, over, marks, strict=True, shown=max(0.0, -least[0].value))


def _going_on(rule: Rule, claims: Iterable[Claim], lines: Sequence[str]) -> Iterator[Claim | Unknown]:
    """Lines that may go on from hidden ends may cross as well: more, or at all."""
    for claim in claims:
        yield claim if not lines else may_be_more(claim, lines) if rule.negated else may_be_less(claim, lines)


@sentence_form
def lines_cross(sentence: Sentence, lines: SaidLines, others: SaidLines, *, negated: bool = False) -> Rule:
    """`the road crosses the railway`, `no road crosses the railway`."""
    if lines.denied + others.denied + negated > 1:
        sentence.refuse("`no` and `not` together mean that they must cross; say so without both")
    if set(lines.names) & set(others.names):
        sentence.refuse("a line cannot be asked to cross itself", others.span)
    denied = negated or lines.denied or others.denied
    return Rule(CROSSING, negated=denied, lines=lines.names, other_lines=others.names)


@sentence_form
def lines_cross_not(sentence: Sentence, lines: SaidLines, others: SaidLines) -> Rule:
    """`the road does not cross the railway`."""
    return lines_cross(sentence, lines, others, negated=True)


@sentence_form
def crossed_by(sentence: Sentence, lines: SaidLines, others: SaidLines) -> Rule:
    """`the railway is crossed by the road`."""
    return lines_cross(sentence, others, lines)


@sentence_form
def not_crossed_by(sentence: Sentence, lines: SaidLines, others: SaidLines) -> Rule:
    """`the railway is not crossed by any road`."""
    return lines_cross(sentence, others, lines, negated=True)


@sentence_form
def lines_cross_each(sentence: Sentence, lines: SaidLines, *, negated: bool = False) -> Rule:
    """`the road and the railway cross`."""
    if len(lines.names) != 2:
        sentence.refuse("name two lines, or write `no lines cross`", lines.span)
    first, second = lines.names
    span = lines.span
    return lines_cross(sentence, SaidLines((first,), span, lines.denied), SaidLines((second,), span), negated=negated)


@sentence_form
def lines_cross_each_not(sentence: Sentence, lines: SaidLines) -> Rule:
    """`the road and the railway do not cross`."""
    return lines_cross_each(sentence, lines, negated=True)


@sentence_form
def no_lines_cross(sentence: Sentence) -> Rule:
    """`no lines cross`."""
    return Rule(CROSSING, negated=True, lines=(ANY_LINE,))


@sentence_form
def line_enters(sentence: Sentence, lines: SaidLines, subject: Subject, *, negated: bool = False) -> Rule:
    """`the road crosses the park`: it enters it."""
    if (subject.denied and (lines.denied or negated)) or (lines.denied and negated):
        sentence.refuse("`no` and `not` together mean that it must cross; say so without both")
    denied = subject.denied or lines.denied or negated
    return Rule(CROSSING, separate(sentence, subject), negated=denied, lines=lines.names)


@sentence_form
def zone_entered(sentence: Sentence, subject: Subject, lines: SaidLines) -> Rule:
    """`no home is crossed by the railway`."""
    return line_enters(sentence, lines, subject)


@sentence_form
def zone_not_entered(sentence: Sentence, subject: Subject, lines: SaidLines) -> Rule:
    """`the park is not crossed by any road`."""
    return line_enters(sentence, lines, subject, negated=True)


@sentence_form
def line_enters_not(sentence: Sentence, lines: SaidLines, subject: Subject) -> Rule:
    """`the road does not cross the park`."""
    return line_enters(sentence, lines, subject, negated=True)

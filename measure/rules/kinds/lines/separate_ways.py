"""`there are two separate ways from the school to the hospital`: ways on one line that share no stretch of it."""
# ruff: noqa: D102  (what a kind offers is explained in measure/rules/rule.py)

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import ClassVar

from measure.quantity import Quantity
from measure.rules.amounts import Limit
from measure.rules.kinds.lines.joined_zones import one_of_ways
from measure.rules.kinds.lines.line_sizes import names_of
from measure.rules.kinds.lines.line_words import (
    gap_mark,
    in_unit,
    missing_line,
    net_in,
    not_denied,
    one_line,
    shown_gap,
)
from measure.rules.kinds.lines.open_ends import less_if_open
from measure.rules.kinds.places.zone_gaps import touch_gap
from measure.rules.rule import Kind, Rule
from measure.rules.rule_context import Context
from measure.rules.sentences.said_limits import count_limit
from measure.rules.sentences.sentence_forms import sentence_form
from measure.rules.sentences.sentence_parts import Comparative, SaidLimit, SaidLines, Sentence
from measure.rules.setting import Setting
from measure.rules.sheet_text import Asked
from measure.rules.told import Teller, Told, counted, noun
from measure.rules.verdict import Claim, Findings, Unknown
from measure.rules.zone_groups import Group
from measure.units import to_mm


@dataclass(frozen=True)
class SeparateWays(Kind):
    """At least so many ways lead from the subject to the other zone on a line, no stretch of it in two of them."""

    name: ClassVar[str] = "separate ways"

    def reads_as(self, rule: Rule) -> str:
        number = int(rule.bound.amount.number)
        there = f"there {'is' if number == 1 else 'are'} {rule.bound}"
        by = f" by {rule.lines[0]}" if rule.lines else ""
        return f"{there} separate way{'' if number == 1 else 's'} from {rule.subject} to {rule.other}{by}"

    def told(self, rule: Rule, teller: Teller) -> Told:
        ways = counted(float(rule.bound.amount.number), "separate way", "separate ways")
        start, end, line = noun(rule.subject.names[0]), noun(rule.other.names[0]), noun(rule.lines[0])
        must = f"{ways} must be open"
        if teller.outcome.verdict == "met":
            return f"{line} {line.verb('lead')} from {start} to {end} by {ways}", must
        if not teller.outcome.where:
            return f"{line} {'do' if line.plural else 'does'} not lead from {start} to {end} by {ways}", must
        return f"a gap of {teller.value()} on {line} is in the way from {start} to {end}", must

    def findings(self, rule: Rule, context: Context) -> Findings:
        return Findings((self._claim(rule, context),), touch_gap(context), context.setting.unit)

    def _claim(self, rule: Rule, context: Context) -> Claim | Unknown:
        (line,), start, end = rule.lines, rule.subject.names[0], rule.other.names[0]
        missing = missing_line((line,), context) or context.missing((start, end))
        if missing:
            return missing
        net, limit = net_in(context), touch_gap(context)
        found = net.ways(line, start, end, int(rule.bound.amount.number))
        over = (start, end)
        if found is None:
            # There are not so many stretches, whatever gaps are bridged: as far apart as the parcel is long.
            far = max(context.setting.parcel.width, context.setting.parcel.depth)
            claim = Claim((Quantity(far / to_mm(1.0, context.setting.unit)),), None, limit, over)
            return less_if_open(claim, rule.lines, context)
        claims = []
        for way in found:
            gap = in_unit(way.gap, context)
            marks = gap_mark(way.near, shown_gap(way.gap, context))
            claims.append(Claim((gap,), None, limit, over, marks, shown=max(0.0, gap.value)))
        return less_if_open(one_of_ways(line, claims), rule.lines, context)

    def question(self, rule: Rule, setting: Setting) -> Asked | None:
        number = int(rule.bound.amount.number)
        if number != 2:
            return None
        start, end = noun(rule.subject.names[0]), noun(rule.other.names[0])
        text = f"One of the ways from {start} to {end} is blocked. How many are left?"
        return Asked(text, "one at least", "2 - 1")


WAYS = SeparateWays()


@sentence_form
def ways_from(sentence: Sentence, said: SaidLimit, start: str, end: str, lines: SaidLines | None = None) -> Rule:
    """`there are two separate ways from the school to the hospital by road`."""
    if lines is not None:
        not_denied(sentence, lines)
    named = () if lines is None else (one_line(sentence, lines),)
    if start == end:
        sentence.refuse("a way leads from one zone to another; name two zones")
    return Rule(WAYS, Group((start,)), _at_least(sentence, said), (Group((end,)),), lines=named)


@sentence_form
def lines_from(sentence: Sentence, said: SaidLimit, names: tuple[object, ...], start: str, end: str) -> Rule:
    """`there are two separate roads from the school to the hospital`."""
    lines = names_of(names)
    if len(lines) > 1:
        sentence.refuse("write a rule for each line")
    return replace(ways_from(sentence, said, start, end), lines=lines)


def _at_least(sentence: Sentence, said: SaidLimit) -> Limit:
    """So many ways; a bare number is the least."""
    if said.bare:
        said = replace(said, comparative=Comparative("at least"), bare=False)
    limit = count_limit(sentence, said)
    if limit.relation != "at least" or not 1 <= limit.amount.number <= _MOST:
        sentence.refuse(f"write how many ways there must be at least, from 1 to {_MOST}", said.span)
    return limit


_MOST = 9
"""Ways: no model has so many."""

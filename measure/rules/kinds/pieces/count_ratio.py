"""`there are at least 2 times as many pieces of cottages as of workshops`: one number of pieces against another."""
# ruff: noqa: D102  (what a kind offers is explained in measure/rules/rule.py)

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from measure.quantity import Quantity
from measure.rules.amounts import Limit
from measure.rules.rule import Kind, Rule
from measure.rules.rule_context import Context
from measure.rules.sentences.said_limits import count_limit, ratio_limit
from measure.rules.sentences.sentence_forms import sentence_form
from measure.rules.sentences.sentence_parts import SaidLimit, Sentence, Target
from measure.rules.sentences.subjects import check_different
from measure.rules.told import Teller, Told, counted, subject_of
from measure.rules.verdict import Claim, Findings, Unknown
from measure.rules.zone_groups import Group


@dataclass(frozen=True)
class CountRatio(Kind):
    """A limit on the subject's number of pieces less the limit's share of the other's; by_more: plainly less it.

    Numbers of pieces are exact. The value is the ratio, or the difference.
    """

    name: ClassVar[str] = "count"
    counted: ClassVar[bool] = True
    by_more: bool = False

    def reads_as(self, rule: Rule) -> str:
        mine, other = rule.subject, rule.other
        if self.by_more:
            return f"there are {rule.bound} more pieces of {mine} than of {other}"
        return f"there are {rule.bound} times as many pieces of {mine} as of {other}"

    def told(self, rule: Rule, teller: Teller) -> Told:
        mine, other = subject_of(rule.subject, ()), subject_of(rule.other, ())
        if self.by_more:
            more, how = abs(teller.number), "more" if teller.number >= 0 else "fewer"
            are = "is" if more == 1 else "are"
            found = f"there {are} {counted(more, how + ' piece', how + ' pieces')} of {mine} than of {other}"
            return found, f"there must be {teller.asked(' more')}"
        found = f"there are {teller.times} many pieces of {mine} as of {other}"
        return found, f"there must be {teller.asked(' times as many')}"

    def findings(self, rule: Rule, context: Context) -> Findings:
        return Findings((self._claim(rule, context),), rule.bound.stated)

    def _claim(self, rule: Rule, context: Context) -> Claim | Unknown:
        over = (*rule.subject.names, *rule.other.names)
        unsure = tuple(zone for zone in over if context.measures.unmeasured(zone))
        if unsure:
            return Unknown("how many pieces {} has could not be told", unsure)
        mine, other = (sum(map(context.measures.count, group.names)) for group in (rule.subject, rule.other))
        limit: Limit = rule.bound
        if self.by_more:
            return Claim((Quantity(float(mine - other)),), limit.low, limit.high, over, (), limit.strict)
        # mine / other against the limit, without dividing by a number that may be 0
        low, high = (None if end is None else end * other for end in (limit.low, limit.high))
        shown = mine / other if other else float(mine)
        return Claim((Quantity(float(mine)),), low, high, over, (), limit.strict, shown=shown)


COUNT_RATIO, COUNT_MORE = CountRatio(), CountRatio(by_more=True)


@sentence_form
def count_times(sentence: Sentence, limit: SaidLimit, mine: Target, other: Target) -> Rule:
    """`there are at least 2 times as many pieces of cottages as of workshops`."""
    return _against(sentence, COUNT_RATIO, ratio_limit(sentence, limit), mine, other)


@sentence_form
def count_more(sentence: Sentence, limit: SaidLimit, _: str, mine: Target, other: Target) -> Rule:
    """`there are at least 3 more pieces of cottages than of workshops`."""
    return _against(sentence, COUNT_MORE, count_limit(sentence, limit), mine, other)


def _against(sentence: Sentence, kind: CountRatio, limit: Limit, mine: Target, other: Target) -> Rule:
    groups = Group(mine.group.names), Group(other.group.names)
    check_different(sentence, groups[0], groups[1], "has as many pieces as itself")
    return Rule(kind, groups[0], limit, (groups[1],))

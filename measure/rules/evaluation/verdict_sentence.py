"""Every verdict as two sentences: what was found, and what the rule asks for."""

from __future__ import annotations

from measure.numbers import NumberStyle
from measure.rules.rule import Rule
from measure.rules.sheet_text import in_sentences
from measure.rules.told import Teller, Told, limit_said, share_form, so_many_of
from measure.rules.verdict import Outcome
from measure.voice import Known, value_said


def sentence_of(rule: Rule, outcome: Outcome, numbers: NumberStyle) -> str:
    """`The homes are 1 1/8 times as large as the school. They must be at least 1 2/5 times.`; empty without a value."""
    if outcome.value is None:
        return ""
    return outcome.sentence or in_sentences(_told(rule, outcome, numbers))


def sentence_of_numbers(outcome: Outcome, numbers: NumberStyle) -> str:
    """`Here it is 3 in. The limit is 2 in.`: where the rule itself is not known."""
    return "" if outcome.value is None else in_sentences(_plain_numbers(outcome, numbers))


def _told(rule: Rule, outcome: Outcome, numbers: NumberStyle) -> Told:
    teller = Teller(outcome, rule.kind.stated_limit(rule), numbers, share_form(outcome.text))
    group = next((group for group in (rule.subject, *rule.others) if group.count is not None), None)
    if rule.quantified and group is not None and group.count is not None:
        return (
            f"this is so for {so_many_of(group, outcome.value or 0.0)}",
            f"it must be so for {limit_said(group.count, numbers, teller.share)}",
        )
    told = rule.kind.told(rule, teller)
    return told or _plain_numbers(outcome, numbers)


def _plain_numbers(outcome: Outcome, numbers: NumberStyle) -> Told:
    """Of a rule that is put together of others: the number that decides it, and its limit."""
    known = Known(outcome.value or 0.0, outcome.u95 or 0.0)
    found = f"here it is {value_said(known, outcome.unit, numbers)}"
    if outcome.limit is None:
        return found, ""
    ends = outcome.limit if isinstance(outcome.limit, tuple) else (outcome.limit,)
    said = " to ".join(value_said(Known(end, 0.0), outcome.unit, numbers) for end in ends)
    return found, f"the limit is {said}"

"""Verdicts that the teacher set by hand, in results that were written to a file.

They stand beside the measured verdicts, never over them, and stay when the same outlines are judged again.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from measure.notices import Notice
from measure.result.result import ByHand, Result, RuleResult
from measure.rules.verdict import Outcome, Verdict, word_by_hand

_LOST = "verdict-by-hand-lost"
_ARTICLES = ("a", "an", "the")


def result_by_hand(result: Result, text: str, verdict: Verdict, reason: str) -> Result:
    """The result with the teacher's verdict on one rule, named by its sentence.

    Raises ValueError for an unknown sentence, a verdict other than "met" and "not met", or a missing reason.
    """
    word = ByHand(*word_by_hand([rule.text for rule in result.rules], text, verdict, reason))
    rules = tuple(replace(rule, by_hand=word) if rule.text == text else rule for rule in result.rules)
    return replace(result, rules=rules)


def carried_over(outcomes: Sequence[Outcome], earlier: Result) -> tuple[tuple[Outcome, ...], tuple[RuleResult, ...]]:
    """The outcomes with the earlier result's verdicts by hand, and those of its rules whose verdict waits now.

    A verdict stays with its sentence, and with a rule that means the same in other words; it waits where the challenge
    has no such rule, and comes back with it.
    """
    said = [rule for rule in (*earlier.rules, *earlier.set_aside) if rule.by_hand]
    named = {outcome.text for outcome in outcomes}
    by_text = {rule.text: rule for rule in reversed(said)}
    by_sense = {_sense(rule): rule for rule in reversed(said) if rule.text not in named}
    kept, taken = [], []
    for outcome in outcomes:
        rule = by_text.get(outcome.text) or by_sense.get(_sense(outcome))
        if rule is not None and rule.by_hand:
            outcome = replace(outcome, by_hand=(rule.by_hand.verdict, rule.by_hand.reason))
            taken.append(_sense(rule))
        kept.append(outcome)
    waiting = {rule.text: rule for rule in said if rule.text not in named and _sense(rule) not in taken}
    return tuple(kept), tuple(waiting.values())


def set_aside_notices(waiting: Sequence[RuleResult]) -> tuple[Notice, ...]:
    """Of every verdict by hand that waits for its rule."""
    return tuple(Notice(_LOST, facts={"text": rule.text}) for rule in waiting)


def is_of_set_aside(notice: Notice) -> bool:
    """Whether a notice is one of those, which are said anew at every judging."""
    return notice.code == _LOST


def _sense(rule: RuleResult | Outcome) -> tuple[str, str]:
    """What a rule means: as it is read; one by eye is its words, but for articles and signs."""
    words = [word for word in re.findall(r"\w+", rule.text.casefold()) if word not in _ARTICLES]
    return rule.kind, " ".join(words) if rule.kind == "by eye" else rule.reads_as

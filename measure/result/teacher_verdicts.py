"""Verdicts that the teacher set by hand, in results that were written to a file.

They stand beside the measured verdicts, never over them, and stay when the same outlines are judged again.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from measure.notices import Notice
from measure.result.result import ByHand, Result
from measure.rules.verdict import Outcome, Verdict, word_by_hand


def result_by_hand(result: Result, text: str, verdict: Verdict, reason: str) -> Result:
    """The result with the teacher's verdict on one rule, named by its sentence.

    Raises ValueError for an unknown sentence, a verdict other than "met" and "not met", or a missing reason.
    """
    word = ByHand(*word_by_hand([rule.text for rule in result.rules], text, verdict, reason))
    rules = tuple(replace(rule, by_hand=word) if rule.text == text else rule for rule in result.rules)
    return replace(result, rules=rules)


def carried_over(outcomes: Sequence[Outcome], earlier: Result) -> tuple[tuple[Outcome, ...], tuple[Notice, ...]]:
    """The outcomes with the earlier result's verdicts by hand on the same sentences, and notices of those left out."""
    words = {rule.text: (rule.by_hand.verdict, rule.by_hand.reason) for rule in earlier.rules if rule.by_hand}
    kept = tuple(replace(outcome, by_hand=words.get(outcome.text, outcome.by_hand)) for outcome in outcomes)
    lost = [text for text in words if all(outcome.text != text for outcome in outcomes)]
    return kept, tuple(Notice("verdict-by-hand-lost", facts={"text": text}) for text in lost)

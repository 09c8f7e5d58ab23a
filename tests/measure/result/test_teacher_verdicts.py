"""Verdicts by hand in result files: beside the measured ones, kept through writing, reading and judging again."""

import pytest

from measure.result.result import FORMAT, ByHand, ParcelResult, Result, RuleResult, Verdict, parse_result, result_text
from measure.result.teacher_verdicts import carried_over, result_by_hand
from measure.rules.verdict import Outcome
from tests.helpers.notices import said

TIDY, APART = "by eye: tidy", "stables are at least 1 in from library"
RULES = (
    RuleResult(TIDY, "by eye: tidy", "by eye", "by eye"),
    RuleResult(APART, "the distance ...", "distance", "not met", 0.9, "in", 1.0, 0.02, 0.0, ("stables", "library")),
)
RESULT = Result(FORMAT, "Quarry Lake Village", "in", "middle", ParcelResult(18, 14, 252), (), rules=RULES)


def test_it_stands_beside_the_measured_verdict_and_is_read_again() -> None:
    changed = result_by_hand(RESULT, APART, "met", " the tape slipped ")
    assert changed.rules[1].verdict == "not met"
    assert changed.rules[1].by_hand == ByHand("met", "the tape slipped")
    assert changed.rules[0] == RESULT.rules[0]
    assert RESULT.rules[1].by_hand is None
    assert parse_result(result_text(changed)) == changed
    assert result_by_hand(changed, APART, "not met", "it did not").rules[1].by_hand == ByHand("not met", "it did not")


@pytest.mark.parametrize(
    ("text", "verdict", "reason", "message"),
    [
        ("no such rule", "met", "why", 'there is no rule "no such rule"'),
        (TIDY, "met", "  ", "needs a reason"),
        (TIDY, "too close to call", "why", 'is "met" or "not met"'),
    ],
)
def test_it_needs_a_rule_a_verdict_and_a_reason(text: str, verdict: Verdict, reason: str, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        result_by_hand(RESULT, text, verdict, reason)


def test_it_stays_with_its_sentence_and_is_not_lost_in_silence() -> None:
    earlier = result_by_hand(result_by_hand(RESULT, APART, "met", "slipped"), TIDY, "not met", "glue everywhere")
    judged = (Outcome("no zones overlap", "...", "overlap", "met"), Outcome(TIDY, "by eye: tidy", "by eye", "by eye"))
    outcomes, lost = carried_over(judged, earlier)
    assert [outcome.by_hand for outcome in outcomes] == [None, ("not met", "glue everywhere")]
    assert [outcome.verdict for outcome in outcomes] == ["met", "by eye"]
    assert said(lost) == (f'the verdict by hand on "{APART}" is left out: the challenge has no such rule',)

"""Verdicts by hand in result files: beside the measured ones, kept through writing, reading and judging again."""

from dataclasses import replace

import pytest

from measure.result.result import FORMAT, ByHand, ParcelResult, Result, RuleResult, Verdict, parse_result, result_text
from measure.result.teacher_verdicts import carried_over, result_by_hand, set_aside_notices
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


def outcome(text: str, reads_as: str = "...", kind: str = "distance") -> Outcome:
    return Outcome(text, reads_as, kind, "by eye" if kind == "by eye" else "met")


def test_it_stays_with_its_sentence_and_is_not_lost_in_silence() -> None:
    earlier = result_by_hand(result_by_hand(RESULT, APART, "met", "slipped"), TIDY, "not met", "glue everywhere")
    judged = (outcome("no zones overlap", kind="overlap"), outcome(TIDY, "by eye: tidy", "by eye"))
    outcomes, waiting = carried_over(judged, earlier)
    assert [outcome.by_hand for outcome in outcomes] == [None, ("not met", "glue everywhere")]
    assert [outcome.verdict for outcome in outcomes] == ["met", "by eye"]
    assert said(set_aside_notices(waiting)) == (
        f'the verdict by hand on "{APART}" waits: the challenge has no such rule now',
    )


def test_it_stays_with_a_rule_that_means_the_same_in_other_words() -> None:
    earlier = result_by_hand(result_by_hand(RESULT, APART, "met", "slipped"), TIDY, "met", "seen")
    judged = (
        outcome("the stables are at least 1 in from the library", "the distance ..."),
        outcome("By eye: the tidy.", "by eye: the tidy", "by eye"),
        outcome("stables are at least 2 in from library", "another distance"),
        outcome("by eye: tidy and clean", "by eye: tidy and clean", "by eye"),
    )
    outcomes, waiting = carried_over(judged, earlier)
    assert [outcome.by_hand for outcome in outcomes] == [("met", "slipped"), ("met", "seen"), None, None]
    assert waiting == ()


def test_it_comes_back_with_its_rule() -> None:
    earlier = result_by_hand(RESULT, APART, "met", "slipped")
    _, waiting = carried_over([outcome("stables are at least 2 in from library", "another distance")], earlier)
    without = replace(RESULT, rules=RULES[:1], set_aside=waiting)
    assert parse_result(result_text(without)) == without
    outcomes, now = carried_over([outcome(APART, "the distance ...")], without)
    assert [outcome.by_hand for outcome in outcomes] == [("met", "slipped")]
    assert now == ()
    newer = result_by_hand(replace(RESULT, set_aside=waiting), APART, "not met", "seen anew")
    outcomes, now = carried_over([outcome(APART, "the distance ...")], newer)
    assert [outcome.by_hand for outcome in outcomes] == [("not met", "seen anew")], "what was said last counts"
    assert now == ()

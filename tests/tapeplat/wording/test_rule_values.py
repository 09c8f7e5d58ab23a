"""A rule's value alone: as its sentence has it, and nothing where a number would say nothing."""

from __future__ import annotations

from dataclasses import replace

import pytest

from measure.result.result import RuleResult
from measure.rules.verdict import Verdict
from tapeplat.wording.rule_value import rule_value


@pytest.mark.parametrize(
    ("text", "kind", "verdict", "value", "unit", "limit", "said"),
    [
        ("pond covers at least 7 sq in", "size", "too close to call", 6.98, "sq in", 7.0, "just under 7 sq in"),
        ("pond covers at least 8%", "share", "not met", 0.0788, "", 0.08, "7.9%"),
        ("pond covers at least 1/12", "share", "not met", 0.079, "", 1 / 12, "a little under 1/12"),
        ("pond covers less than park", "comparison", "met", 0.86, "", 1.0, "7/8 times"),
        ("no zones overlap", "touching", "met", 0.0, "in", 0.125, ""),
        ("pond touches park", "touching", "not met", 1.5, "in", 0.125, "1 1/2 in off"),
        ("pond is south of park", "place", "not met", 2.25, "in", 0.125, "2 1/4 in off"),
        ("pond is a square", "shape", "met", 90.0, "degrees", (85.0, 95.0), ""),
        ("by eye: it is kind", "by eye", "by eye", None, "", None, ""),
    ],
)
def test_a_value_is_said_beside_its_limit_or_not_at_all(text, kind, verdict: Verdict, value, unit, limit, said):
    rule = RuleResult(text, text, kind, verdict, value, unit, limit, 0.001)
    assert rule_value(rule, "eighth") == said


def test_a_share_of_a_formula_has_its_unit():
    rule = RuleResult("if so, then pond covers 1/50", "", "share", "met", 14.0, "sq in", 5.04, 0.1)
    assert rule_value(rule, "half") == "14 sq in"
    assert rule_value(replace(rule, value=None), "half") == ""

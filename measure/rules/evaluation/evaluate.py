"""Every rule of a challenge judged on one plat."""

from __future__ import annotations

from measure.plat.measures import Measures
from measure.rules.kinds.places.keep_clear import implied_rules
from measure.rules.rule import Rule, SettingWithRules
from measure.rules.rule_context import Context, Structures
from measure.rules.verdict import Outcome, judged


def evaluate_all(
    challenge: SettingWithRules, measures: Measures, structures: Structures | None = None
) -> tuple[Outcome, ...]:
    """The outcome of every rule, in the challenge's order; then those that its keep-clear zones imply.

    Without a structures table the rules about structures are `not measured`.
    """
    context = Context(challenge, measures, structures)
    stated = tuple(evaluate(line.rule, line.text, context) for line in challenge.rules)
    implied = tuple(evaluate(rule, rule.reads_as(), context) for rule in implied_rules(challenge))
    return stated + implied


def evaluate(rule: Rule, text: str, context: Context) -> Outcome:
    """The outcome of one rule, under the sentence that stated it."""
    if rule.kind.by_eye:
        return Outcome(text, rule.reads_as(), rule.kind_name, "by eye")
    findings = rule.kind.findings(rule, context)
    return judged(text, rule.reads_as(), rule.kind_name, findings, rule.kind.zero_means)

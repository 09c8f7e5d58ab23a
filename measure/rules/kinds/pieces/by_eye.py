"""`by eye: every street can be walked`: on the list for the teacher to decide."""
# ruff: noqa: D102  (what a kind offers is explained in measure/rules/rule.py)

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from measure.rules.rule import Kind, Rule
from measure.rules.rule_context import Context
from measure.rules.sentences.sentence_forms import sentence_form
from measure.rules.sentences.sentence_parts import Sentence
from measure.rules.setting import Setting
from measure.rules.verdict import Findings


@dataclass(frozen=True)
class SeenByEye(Kind):
    """rule.detail says what to look at."""

    name: ClassVar[str] = "by eye"
    by_eye: ClassVar[bool] = True

    def reads_as(self, rule: Rule) -> str:
        return f"by eye: {rule.detail}"

    def findings(self, rule: Rule, context: Context) -> Findings:
        """Nothing is measured."""
        return Findings((), None)

    def zones_named(self, rule: Rule, setting: Setting) -> frozenset[str]:
        """Those whose names stand in the text."""
        text = rule.detail.casefold()
        return frozenset(zone.name for zone in setting.zones if zone.name.casefold() in text)


BY_EYE = SeenByEye()


@sentence_form
def by_eye(sentence: Sentence, text: str) -> Rule:
    """`by eye: every street can be walked`."""
    return Rule(BY_EYE, detail=text)

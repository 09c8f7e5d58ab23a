"""The rule sentences: read, printed back, and judged under a stated uncertainty."""

from __future__ import annotations

from measure.rules.errors import RuleMistake
from measure.rules.evaluate import evaluate_all
from measure.rules.kind import Rule, Structures
from measure.rules.reader import read_rule
from measure.rules.verdict import Mark, Outcome, Verdict, set_by_hand
from measure.rules.words import ZoneNames

__all__ = [
    "Mark",
    "Outcome",
    "Rule",
    "RuleMistake",
    "Structures",
    "Verdict",
    "ZoneNames",
    "evaluate_all",
    "read_rule",
    "set_by_hand",
]

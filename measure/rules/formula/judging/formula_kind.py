"""The kind of rules that are formulas: it holds the formula itself."""
# ruff: noqa: D102  (what a kind offers is explained in measure/rules/rule.py)

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from measure.rules.allowance import Allowance
from measure.rules.amounts import Limit
from measure.rules.formula.formula_data import There
from measure.rules.formula.formula_terms import DifferentSolids, HeightOfStructure, People, Size, StructuresOn
from measure.rules.formula.formula_things import (
    AllZones,
    EveryZone,
    ExtremePiece,
    Formula,
    Pieces,
    Structures,
    That,
    Zones,
)
from measure.rules.formula.formula_topics import FORMULA, limit_of_formula, measured_of, topic_of
from measure.rules.formula.formula_words import in_words
from measure.rules.formula.judging.formula_allowance import widens
from measure.rules.formula.judging.formula_verdict import formula_outcome
from measure.rules.rule import Kind, Rule
from measure.rules.rule_context import Context
from measure.rules.setting import Setting, zones_laid_out
from measure.rules.sheet_text import Asked
from measure.rules.verdict import Findings, Outcome


@dataclass(frozen=True)
class FormulaRule(Kind):
    """A rule that is put together of others. No layout decides it."""

    name: ClassVar[str] = FORMULA
    holds_a_formula: ClassVar[bool] = True
    formula: Formula

    def name_of(self, rule: Rule) -> str:
        return topic_of(self.formula)

    def reads_as(self, rule: Rule) -> str:
        return in_words(self.formula)

    def findings(self, rule: Rule, context: Context) -> Findings:
        """It has no claims of its own: see outcome."""
        return Findings((), None)

    def outcome(self, rule: Rule, text: str, context: Context) -> Outcome:
        blank = Outcome(text, rule.reads_as(), self.name_of(rule), "not measured")
        return formula_outcome(self.formula, blank, context)

    def widened_inside(self, rule: Rule, allowance: Allowance) -> bool:
        return widens(self.formula, allowance)

    def stated_limit(self, rule: Rule) -> Limit | None:
        return limit_of_formula(self.formula)

    def question(self, rule: Rule, setting: Setting) -> Asked | None:
        parts = measured_of(self.formula)
        if not parts:
            return None
        asked = "What must you measure, count or look at to check this rule?"
        return Asked(asked, "; ".join(parts), "one for every number and every place that the rule names")

    def zones_named(self, rule: Rule, setting: Setting) -> frozenset[str]:
        laid_out = zones_laid_out(setting)
        named = set(rule.given)
        for part in self.formula.descendants():
            match part:
                case Zones(names) | Pieces(names):
                    named |= set(names)
                case AllZones(but) | EveryZone(but):
                    named |= {zone for zone in laid_out if zone not in but}
                case ExtremePiece(_, zone) | There(zone) | That(_, zone):
                    named |= {zone} - {""}
        return frozenset(named)

    def about_structures(self, rule: Rule) -> bool:
        return any(
            isinstance(part, People | StructuresOn | DifferentSolids | HeightOfStructure | Structures)
            or (isinstance(part, Size) and part.name in ("volume", "height"))
            for part in self.formula.descendants()
        )

"""`market covers at least 3 sq in more than stables`: the difference of two sizes."""
# ruff: noqa: D102  (what a kind offers is explained in measure/rules/rule.py)

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from measure.rules.amounts import ON_LAND
from measure.rules.demand import Size
from measure.rules.kinds.sizes.comparison_questions import compared_areas
from measure.rules.measured_sizes import Pair, both_measured, claim, paired, zone_marks
from measure.rules.rule import Kind, Rule
from measure.rules.rule_context import Context
from measure.rules.setting import Setting, zones_laid_out
from measure.rules.sheet_text import Asked, amount_text, ends_of
from measure.rules.told import Teller, Told, both_of
from measure.rules.verdict import Claim, Findings, Unknown
from measure.units import area_from_mm2


@dataclass(frozen=True)
class SizeDifference(Kind):
    """A limit, in the size's unit, on how much more the subject's size is than the other group's."""

    name: ClassVar[str] = "comparison"
    measured_by_hand: ClassVar[bool] = True

    def reads_as(self, rule: Rule) -> str:
        more = f"{rule.bound} more than the {rule.size} of {rule.other}"
        return f"the {rule.size} of {rule.subject} is {more}{rule.bound.within_text}"

    def told(self, rule: Rule, teller: Teller) -> Told:
        who, other = both_of(rule.subject, rule.other, teller.outcome.over)
        more = "more" if teller.number >= 0 else "less"
        value = teller.value() if teller.number >= 0 else teller.value(number=-teller.number)
        if rule.size == "area":
            return f"{who} {who.verb('cover')} {value} {more} than {other}", f"it must be {teller.asked(' more')}"
        than = f"the {rule.size} of {who} is {value} {more} than that of {other}"
        return than, f"it must be {teller.asked(' more')}"

    def findings(self, rule: Rule, context: Context) -> Findings:
        claims = tuple(self._claim(rule, context, pair) for pair in paired(rule.subject, rule.other, context.zones))
        return Findings(claims, rule.bound.stated, rule.bound.amount.unit_text)

    def _claim(self, rule: Rule, context: Context, pair: Pair) -> Claim | Unknown:
        assert rule.size is not None
        found = both_measured(rule.size, pair, context)
        if isinstance(found, Unknown):
            return found
        difference = (found[0] - found[1]) / rule.bound.amount.mm
        marks = zone_marks(pair[0], f"{context.said(difference, rule.bound.amount.unit_text, rule.bound)} more")
        return claim(difference, rule.bound, (*pair[0], *pair[1]), marks)

    def as_fine_as_areas(self, rule: Rule) -> bool:
        return True

    def demands(self, rule: Rule, setting: Setting) -> tuple[Size, ...] | None:
        size, limit = rule.size, rule.bound
        if size != "area" and size != "perimeter":
            return None
        pairs = paired(rule.subject, rule.other, zones_laid_out(setting))
        return tuple(Size(size, thing, *limit.bounds_mm, limit.strict, minus=other) for thing, other in pairs)

    def about_structures(self, rule: Rule) -> bool:
        return rule.size not in ON_LAND

    def question(self, rule: Rule, setting: Setting) -> Asked | None:
        def areas(other: float) -> tuple[list[float], str]:
            scale = rule.bound.amount.mm * area_from_mm2(1.0, setting.unit)
            ends = [other + end * scale for end in ends_of(rule.bound)]
            return ends, f"{other:g} + {amount_text(rule.bound.amount)}"

        return compared_areas(rule, setting, areas) if rule.size == "area" else None


DIFFERENCE = SizeDifference()

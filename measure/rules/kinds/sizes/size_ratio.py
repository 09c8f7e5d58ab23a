"""`covers at least 1.4 times landing`, `covers less than market`: the ratio of two sizes.

The two share the photo's scale, which drops out of it.
"""
# ruff: noqa: D102  (what a kind offers is explained in measure/rules/rule.py)

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import ClassVar

from measure.rules.amounts import ON_LAND, Limit
from measure.rules.bounds import Range, allowed
from measure.rules.demand import Size
from measure.rules.kinds.sizes.comparison_questions import compared_areas
from measure.rules.measured_sizes import Pair, both_measured, claim, paired, zone_marks
from measure.rules.rule import Kind, Rule
from measure.rules.rule_context import Context
from measure.rules.setting import Setting, SettingParcel, zones_laid_out
from measure.rules.sheet_text import Asked, amount_text, ends_of
from measure.rules.told import Teller, Told, both_of
from measure.rules.verdict import Claim, Findings, Unknown
from measure.rules.zone_groups import listed


@dataclass(frozen=True)
class SizeRatio(Kind):
    """A limit, a plain number, on the subject's size over the other group's."""

    name: ClassVar[str] = "comparison"
    measured_by_hand: ClassVar[bool] = True

    def reads_as(self, rule: Rule) -> str:
        factor = f"{_factor(rule.bound)} the {rule.size} of {rule.other}"
        return f"the {rule.size} of {rule.subject} is {factor}{rule.bound.within_text}"

    def told(self, rule: Rule, teller: Teller) -> Told:
        who, other = both_of(rule.subject, rule.other, teller.outcome.over)
        must = f"must be {_must(rule.bound, teller)}"
        if rule.size != "area":
            return f"the {rule.size} of {who} is {_as_large(rule.bound, teller)} that of {other}", f"it {must}"
        return f"{who} {who.are} {_as_large(rule.bound, teller)} {other}", f"{who.they} {must}"

    def findings(self, rule: Rule, context: Context) -> Findings:
        pairs = paired(rule.subject, rule.other, context.zones)
        return Findings(tuple(self._claim(rule, context, pair) for pair in pairs), rule.bound.stated)

    def _claim(self, rule: Rule, context: Context, pair: Pair) -> Claim | Unknown:
        assert rule.size is not None
        found = both_measured(rule.size, pair, context)
        if isinstance(found, Unknown):
            return found
        if found[1].value <= 0:
            return Unknown(f"{' and '.join(pair[1])} has no {rule.size} to compare with", pair[1])
        ratio = found[0] / found[1]
        label = f"{context.said(ratio, '', rule.bound)} times"
        return claim(ratio, rule.bound, (*pair[0], *pair[1]), zone_marks(pair[0], label))

    def ranges(self, rule: Rule, zones: Sequence[str], parcel: SettingParcel) -> Iterator[Range]:
        for thing, other in paired(rule.subject, rule.other, zones):
            words = f"the {rule.size} of {listed(thing)} beside that of {listed(other)}"
            yield allowed(rule.bound, ("ratio", rule.size, thing, other), words)

    def as_fine_as_areas(self, rule: Rule) -> bool:
        return True

    def number_said(self, rule: Rule) -> bool:
        """`less than` and `the largest` say none."""
        return rule.bound.amount.number != 1 or rule.bound.relation == "exactly"

    def demands(self, rule: Rule, setting: Setting) -> tuple[Size, ...] | None:
        size, limit = rule.size, rule.bound
        if size != "area" and size != "perimeter":
            return None
        pairs = paired(rule.subject, rule.other, zones_laid_out(setting))
        return tuple(Size(size, thing, limit.low, limit.high, limit.strict, per=other) for thing, other in pairs)

    def about_structures(self, rule: Rule) -> bool:
        return rule.size not in ON_LAND

    def question(self, rule: Rule, setting: Setting) -> Asked | None:
        def areas(other: float) -> tuple[list[float], str]:
            return [end * other for end in ends_of(rule.bound)], f"{other:g} × {amount_text(rule.bound.amount)}"

        return compared_areas(rule, setting, areas) if rule.size == "area" else None

    def limit_suffix(self, limit: Limit) -> str:
        return f" {'times' if limit.amount.number >= 1 else 'of'} the other"


RATIO = SizeRatio()
_AS_LARGE = {
    "more than": "larger",
    "less than": "smaller",
    "at least": "at least as large",
    "at most": "no larger",
    "exactly": "just as large",
}


def _must(limit: Limit, teller: Teller) -> str:
    """The limit; of as much in words: nobody says `at least 1 times`."""
    if limit.amount.number == 1 and limit.relation in _AS_LARGE:
        return f"{_AS_LARGE[limit.relation]}{teller.give_or_take}"
    return teller.asked(" times" if limit.amount.number >= 1 else " as large")


def _as_large(limit: Limit, teller: Teller) -> str:
    """`1 1/8 times as large as`, `just larger than`."""
    if limit.amount.number == 1 and teller.value("") in ("just under 1", "just over 1"):
        return f"just {'larger' if teller.number > 1 else 'smaller'} than"
    return f"{teller.times} large as"


def _factor(limit: Limit) -> str:
    if limit.upper is not None:
        return f"{limit} x"
    return limit.relation if limit.amount.number == 1 else f"{limit} x"

"""A rule's measured value alone, for tables: as its sentence has it; nothing where the sign says all."""

from __future__ import annotations

from fractions import Fraction

from measure.numbers import NumberStyle, mixed
from measure.result.result import RuleResult
from measure.result.result_values import Value
from measure.rules.told import share_form
from measure.voice import End, reckoned_said, share_said, value_said

_SHARES = ("share", "empty land")
_RATIO = "comparison"
_MEASURED = ("distance", "size", "volume", "surface", "structures", "people", "count")
"""Kinds whose number says something by itself."""
_OFF = ("touching", "place")
"""Kinds whose number is how far off they are."""
_SIMPLE = 100
"""The largest lower number of a limit that is written as a fraction."""


def rule_value(rule: RuleResult, numbers: NumberStyle) -> str:
    """`just under 7 sq in`, `7.9%`, `7/8 times`, `3/4 in off`; empty without a number that says anything."""
    if rule.value is None or rule.kind == "by eye":
        return ""
    value = Value(rule.value, rule.u95 or 0.0)
    if rule.kind in _SHARES and not rule.unit:
        form = share_form(rule.text)
        return share_said(value, form, [End(end, _share(end, form == "per cent")) for end in _ends(rule)])
    ends = [End(end, reckoned_said(end, rule.unit, numbers)) for end in _ends(rule)]
    said = value_said(value, rule.unit, numbers, ends)
    if rule.kind in (*_MEASURED, *_SHARES):
        return said
    if rule.kind == _RATIO:
        return said if rule.unit else f"{said} times"
    return f"{said} off" if rule.kind in _OFF and rule.unit and rule.verdict != "met" and rule.value else ""


def _share(end: float, per_cent: bool) -> str:
    part = Fraction(end).limit_denominator(_SIMPLE)
    return f"{100 * end:g}%" if per_cent else mixed(part)


def _ends(rule: RuleResult) -> list[float]:
    ends = rule.limit if isinstance(rule.limit, tuple) else (rule.limit,)
    return [end for end in ends if end is not None]

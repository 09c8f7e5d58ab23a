"""A rule as plain data, so that a corpus can say what a sentence means without this program's words for it."""

from __future__ import annotations

from typing import Any

from measure.rules.amounts import Limit
from measure.rules.formula.formula_words import in_words
from measure.rules.formula.judging.formula_kind import FormulaRule
from measure.rules.rule import Rule
from measure.rules.zone_groups import Group


def data_of(rule: Rule) -> dict[str, Any]:
    """Kind, whom it is about and how they are counted, what it is compared with, the quantity and its limit."""
    if isinstance(rule.kind, FormulaRule):
        given = {"if there": ", ".join(rule.given)} if rule.given else {}
        return {"kind": "formula (FormulaRule)", "formula": in_words(rule.kind.formula), **given}
    made: dict[str, Any] = {"kind": f"{rule.kind_name} ({type(rule.kind).__name__})", "subject": _group(rule.subject)}
    if rule.others:
        made["others"] = [_group(group) for group in rule.others]
    if rule.size:
        made["quantity"] = rule.size
    if rule.limit is not None:
        made["limit"] = _limit(rule.limit)
    if rule.negated:
        made["not"] = True
    if rule.detail:
        made["detail"] = rule.detail
    if rule.given:
        made["if there"] = ", ".join(rule.given)
    return made


def _group(group: Group) -> str:
    count = f" {_limit(group.count)}" if group.count else ""
    return f"{group.mode}{count}: {', '.join(group.names)}".rstrip(": ")


def _limit(limit: Limit) -> str:
    """`>= 5 sq in`; `[` and `]` are ends that still meet it."""
    signs = {"at least": ">=", "at most": "<=", "more than": ">", "less than": "<", "exactly": "="}
    if limit.upper is not None:
        return f"[{limit.amount}, {limit.upper}]"
    within = f" +- {limit.tolerance}" if limit.tolerance else ""
    return f"{signs[limit.relation]} {limit.amount}{within}"

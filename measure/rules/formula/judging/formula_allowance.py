"""What a teacher allows beside limits, within a formula: which comparisons it widens, and by how much.

A per cent widens every measured number, a length those that are lengths. Below a `not` it narrows them, so that the
rule as a whole is easier to keep; what is counted, and what only a condition asks, is left as it is.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import NoReturn

from measure.rules.allowance import Allowance
from measure.rules.amounts import Limit
from measure.rules.formula.formula_data import Compare, HasShape
from measure.rules.formula.formula_measures import dimension_of
from measure.rules.formula.formula_terms import Constant, Count, SideCount, StructuresOn, Times
from measure.rules.formula.formula_things import Formula
from measure.rules.formula.judging.numbers_found import Exact, Number
from measure.rules.formula.judging.numbers_reckoned import added
from measure.rules.formula.judging.things_found import Scene
from measure.rules.rule_context import Context


def widens(formula: Formula, allowance: Allowance) -> bool:
    """Whether there is anything in a formula that the allowance widens."""
    parts = formula.descendants()
    return any(isinstance(p, HasShape) or (isinstance(p, Compare) and compares(p, allowance)) for p in parts)


def compares(said: Compare, allowance: Allowance) -> bool:
    """Whether a comparison has a measured number, without a `within` of its own, that the allowance widens."""
    terms = [term for term in (said.left, said.right, said.upper) if term is not None]
    parts = [part for term in terms for part in term.descendants()]
    numbered = [part for term in terms[1:] for part in term.descendants()]
    if said.within is not None or any(isinstance(part, Count | SideCount | StructuresOn) for part in parts):
        return False
    if not any(isinstance(part, Constant | Times) for part in numbered):
        return False
    return allowance.amount.measure == "percent" or dimension_of(said.left, _typed) == "length"


def turned(scene: Scene) -> Scene:
    """Below a `not`: what makes the part harder to keep makes the whole easier."""
    return replace(scene, context=replace(scene.context, against=not scene.context.against))


def unwidened(scene: Scene) -> Scene:
    """Where easier and harder cannot be told."""
    return replace(scene, context=replace(scene.context, allowance=None))


def counted(scene: Scene, limit: Limit) -> Scene:
    """For the cases of `at least 3 of ...`, of which more must hold, or fewer."""
    if limit.relation in ("at least", "more than"):
        return scene
    return turned(scene) if limit.relation in ("at most", "less than") else unwidened(scene)


def widened(said: Compare, low: Number | None, high: Number | None, context: Context) -> tuple[Number | None, ...]:
    """The ends of a comparison with what is allowed."""
    allowance = context.allowance
    if allowance is None or not compares(said, allowance):
        return low, high
    return _moved(low, allowance, context, -1.0), _moved(high, allowance, context, 1.0)


def _moved(end: Number | None, allowance: Allowance, context: Context, sign: float) -> Number | None:
    if end is None:
        return None
    way = -sign if context.against else sign
    if allowance.amount.measure == "percent":
        return added([end], [1.0 + way * allowance.amount.value])
    return added([end, Exact(allowance.amount.value * allowance.amount.mm)], [1.0, way])


def angle_allowed(context: Context, side: float) -> float:
    """Degrees by which a corner may be off besides, where the shorter of its sides is so many mm long."""
    if context.allowance is None or context.against:
        return 0.0
    return math.degrees(math.atan(length_allowed(context, side) / side)) if side > 0 else 0.0


def length_allowed(context: Context, side: float) -> float:
    """mm by which a side of so many mm may be off besides."""
    if context.allowance is None or context.against:
        return 0.0
    amount = context.allowance.amount
    return amount.value * side if amount.measure == "percent" else amount.value * amount.mm


def _typed(message: str) -> NoReturn:
    raise TypeError(message)  # a formula is checked when it is read

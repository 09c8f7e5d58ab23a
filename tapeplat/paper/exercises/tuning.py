"""Which way to change a rule's limit so that it is easier or harder to meet, and by how much to begin with.

How much (a fifth or a quarter of the limit) is common practice, no source: enough to feel, not enough to break the
other rules.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from measure.challenge import RuleLine
from measure.rules.amounts import Amount, Limit
from measure.rules.sheet_text import limit_text
from tapeplat.paper.exercises.rule_facts import limit_of

_MORE, _LESS = Fraction(5, 4), Fraction(4, 5)
_APART, _TOGETHER = (Fraction(9, 10), Fraction(11, 10)), (Fraction(21, 20), Fraction(19, 20))
_LOWER = (2, 3, 4, 5, 6, 8, 10, 12)
"""Lower numbers of the shares that a class is asked to work with."""
_PARTS = (15, 16, 18, 20, 24, 25, 30, 32, 40, 50)
"""Lower numbers of which it works with one part alone."""
_STEPS: dict[tuple[str, str | None], Fraction] = {
    ("length", "in"): Fraction(1, 4),
    ("length", "cm"): Fraction(1, 2),
    ("length", "ft"): Fraction(1, 4),
    ("length", "m"): Fraction(1, 20),
}
"""The steps that changed limits are rounded to; 1 where not named."""


@dataclass(frozen=True)
class Change:
    """A limit that is easier to meet, and a harder one, as text."""

    easier: str
    harder: str


def tuned(stated: RuleLine) -> Change | None:
    """How a rule's limit can be changed; None where the rule has no limit that could be."""
    limits, kind = changed_limits(stated), stated.rule.kind
    return None if limits is None else Change(*(limit_text(limit, kind.limit_suffix(limit)) for limit in limits))


def changed_limits(stated: RuleLine) -> tuple[Limit, Limit] | None:
    """The easier and the harder limit."""
    kind, limit = stated.rule.kind, limit_of(stated)
    if limit is None or stated.rule.sentence_kind == "presence" or not kind.number_said(stated.rule):
        return None
    return _counted(limit) if kind.counted else _measured(limit)


def _measured(limit: Limit) -> tuple[Limit, Limit]:
    """An easier and a harder limit of a size, share, ratio or distance."""
    if limit.upper is not None:
        return _spread(limit, _APART), _spread(limit, _TOGETHER)
    if limit.relation == "exactly" and limit.tolerance is not None:
        wide, narrow = (replace(limit.tolerance, number=limit.tolerance.number * f) for f in (2, Fraction(1, 2)))
        return replace(limit, tolerance=wide), replace(limit, tolerance=narrow)
    more, less = (replace(limit, amount=_moved(limit.amount, factor)) for factor in (_MORE, _LESS))
    return (less, more) if limit.relation in ("at least", "more than") else (more, less)


def _counted(limit: Limit) -> tuple[Limit, Limit]:
    """An easier and a harder limit of a count, one piece away."""
    one_more = replace(limit.amount, number=limit.amount.number + 1)
    one_less = replace(limit.amount, number=max(limit.amount.number - 1, Fraction(0)))
    if limit.upper is not None:
        upper = replace(limit.upper, number=limit.upper.number + 1)
        return replace(limit, upper=upper), replace(limit, amount=limit.upper, upper=None, relation="exactly")
    if limit.relation == "exactly":
        return replace(limit, relation="at least"), replace(limit, amount=one_more)
    more, less = replace(limit, amount=one_more), replace(limit, amount=one_less)
    return (less, more) if limit.relation in ("at least", "more than") else (more, less)


def _spread(limit: Limit, factors: tuple[Fraction, Fraction]) -> Limit:
    """The interval with both ends moved, unless they would meet."""
    assert limit.upper is not None
    low, high = _moved(limit.amount, factors[0]), _moved(limit.upper, factors[1])
    return replace(limit, amount=low, upper=high) if low.number < high.number else limit


def _moved(amount: Amount, factor: Fraction) -> Amount:
    """The amount times the factor in a number that is easy to read, and never the same amount."""
    up = factor > 1
    if amount.measure == "number" and 0 < amount.number < 1:
        return replace(amount, number=_simple_share(amount.number, factor))
    step = _step(amount)
    nearest = round(amount.number * factor / step) * step
    if nearest == amount.number:
        nearest += step if up else -step
    return replace(amount, number=nearest if nearest > 0 else amount.number / 2)


def _simple_share(share: Fraction, factor: Fraction) -> Fraction:
    """A unit fraction's neighbour (1/5: 1/4 or 1/6; 1/12: 1/10 or 1/14), else the nearest simple share on that side."""
    up = factor > 1
    if share.numerator == 1 and share.denominator > 2:
        step = max(1, round(share.denominator / 5))
        return Fraction(1, share.denominator + (-step if up else step))
    simple = {Fraction(n, lower) for lower in _LOWER for n in range(1, lower)} | {Fraction(1, n) for n in _PARTS}
    beyond = [each for each in simple if (each > share if up else each < share)]
    return min(beyond, key=lambda each: (abs(each - share * factor), each.denominator), default=(share + up) / 2)


def _step(amount: Amount) -> Fraction:
    if amount.measure == "number":
        return Fraction(1, 10)
    if amount.measure in ("area", "volume") and amount.number < 8:
        return Fraction(1, 4)
    if amount.number >= 10:
        return Fraction(1)
    return _STEPS.get((amount.measure, amount.unit), Fraction(1))

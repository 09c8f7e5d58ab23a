"""What rules about the places of zones share: pairs of zones, gaps as claims, and the words of their readings."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from measure.plat.separation import Separation
from measure.quantity import Quantity
from measure.rules.amounts import Limit
from measure.rules.rule import Rule
from measure.rules.rule_context import Context
from measure.rules.verdict import Claim, Mark, MarkKind
from measure.rules.zone_groups import Group, listed
from measure.units import to_mm

NO_PLACE = "where the zones lie on the parcel is not known without corner tiles or the board's edges in the photo"


def pairs(rule: Rule, zones: Sequence[str]) -> list[tuple[str, str]]:
    """Every pair of different zones that a rule is about, each once."""
    things = rule.subject.singles(zones)
    return distinct((a, b) for a in things for b in rule.other.singles(zones, (a,)))


def pairs_in_order(rule: Rule, zones: Sequence[str]) -> list[tuple[str, str]]:
    """Every pair of different zones with the rule's subject first."""
    things = rule.subject.singles(zones)
    return [(a, b) for a in things for b in rule.other.singles(zones, (a,)) if a != b]


def distinct(found: Iterable[tuple[str, str]]) -> list[tuple[str, str]]:
    """Every pair of different zones once, whichever comes first in it."""
    seen: dict[frozenset[str], tuple[str, str]] = {}
    for a, b in found:
        if a != b:
            seen.setdefault(frozenset((a, b)), (a, b))
    return list(seen.values())


def gap_claim(found: Separation, limit: Limit, over: tuple[str, ...], mark: MarkKind, context: Context) -> Claim:
    """A limit on the smallest gap; where it is negative 0 is reported, and the signed value decides."""
    scale, unit = limit.amount.mm, limit.amount.unit_text
    gaps = tuple(gap / scale for gap in found.candidates)
    label = context.said(_not_negative(found.quantity / scale), unit, limit)
    marks = (Mark(mark, found.pieces, found.between, label),)
    reported = max(0.0, min(gap.value for gap in gaps))
    return Claim(gaps, limit.low, limit.high, over, marks, limit.strict, shown=reported)


def depth_claim(
    found: Separation, bounds: tuple[float | None, float | None], over: tuple[str, ...], mark: MarkKind,
    context: Context, *, strict: bool = False, label: str = "{}", inward: bool = True,
) -> Claim:  # fmt: skip
    """A claim in the challenge's unit; reported is how far the smallest gap is below 0 (inward), or above it."""
    scale = to_mm(1.0, context.setting.unit)
    gaps = tuple(sorted((gap / scale for gap in found.candidates), key=lambda gap: gap.value))
    sign = -1.0 if inward else 1.0
    depth = Quantity(max(0.0, sign * gaps[0].value), gaps[0].sensitivity)
    marks = (Mark(mark, found.pieces, found.between, label.format(context.said(depth, context.setting.unit))),)
    return Claim(gaps, *bounds, over, marks, strict=strict, shown=depth.value)


def touch_gap(context: Context) -> float:
    """The challenge's touch gap in its own unit."""
    return context.setting.touch_gap / to_mm(1.0, context.setting.unit)


def any_of(group: Group) -> str:
    """Another zone after `not`."""
    if group.mode == "pieces":
        return f"any piece of {listed(group.names)}"
    return "any other zone" if group.mode == "other" else str(group)


def negated_verb(group: Group, verb: str) -> str:
    """`does not touch`, `do not touch`."""
    return f"{'do' if group.plural else 'does'} not {verb}"


def _not_negative(quantity: Quantity) -> Quantity:
    return Quantity(max(0.0, quantity.value), quantity.sensitivity)

"""Which limits an amount may have: the one that was said, or every one that was not ruled out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from measure.rules.amounts import Amount
from measure.rules.slots.named.slots_said import Slots
from measure.rules.speech.words.meanings import Bound

_COMPARED = {"more": "more than", "less": "less than"}


def amount_and_tolerance(slots: Slots) -> Bound | None:
    """The one amount that is limited, with how near is near enough where that is said; None where there are more."""
    bounds = slots.bounds
    if len(bounds) == 1:
        return None if slots.has("TOL") else bounds[0]
    if len(bounds) != 2:
        return None
    first, second = bounds
    both = _from_to(slots, first, second)
    if both is not None or not slots.has("TOL", "OKAY"):
        return both
    if second.measure not in ("percent", "points", first.measure) or second.upper or first.upper:
        return None
    if second.measure == first.measure and second.amount.number >= first.amount.number:
        return None
    return replace(first, relation="exactly", tolerance=second.amount)


def _from_to(slots: Slots, first: Bound, second: Bound) -> Bound | None:
    """`5 min, 9 max`, `2 in at the lowest and 4 in at the highest`."""
    sides = {first.relation, second.relation}
    said = sides == {"at least", "at most"} or (sides == {"bare"} and slots.has("LEAST") and slots.has("MOST"))
    alike = first.measure == second.measure and first.times == second.times and not (first.upper or second.upper)
    if not said or not alike or first.amount.number == second.amount.number:
        return None
    low, high = sorted((first, second), key=lambda bound: bound.amount.number)
    return replace(low, relation="between", upper=high.amount)


def limits(
    slots: Slots, bound: Bound, *, first: Sequence[str] = ("at least", "at most", "exactly")
) -> tuple[Bound, ...]:
    """The bounds that may be meant, the likeliest first; none where what was said cannot be denied.

    first: the relations of an amount alone.
    """
    plain = replace(bound, flavour="", assumed=False)
    if slots.has("ABOUT") and bound.relation in ("bare", "exactly") and not bound.upper and not slots.denied:
        return () if slots.strict and not plain.tolerance else (_near(replace(plain, relation="exactly")),)
    if bound.upper is not None or bound.relation == "exactly":
        return () if slots.denied else (_near(plain),)
    if bound.relation in ("more than", "less than"):
        turned = plain.opposite
        return (turned,) if slots.denied and turned else (plain,)
    if bound.relation in ("at least", "at most"):
        if slots.strict and slots.denied:
            return ()
        other = "at most" if bound.relation == "at least" else "at least"
        return (plain, replace(plain, relation=other)) if slots.denied else (plain,)
    return tuple(_near(replace(plain, relation=relation)) for relation in _unsaid(slots, first))


def _unsaid(slots: Slots, first: Sequence[str]) -> Sequence[str]:
    """The relations of an amount that has none of its own."""
    if slots.has("WITHIN"):
        return ("more than",) if slots.denied else ("at most",)
    if slots.has("LEAST") != slots.has("MOST", "LIMITED"):
        if slots.denied:
            return ()
        return ("at least",) if slots.has("LEAST") else ("at most",)
    ways = {_COMPARED[way] for value in slots.values.get("CMP", ()) if (way := value.split(" ")[0]) in _COMPARED}
    if len(ways) == 1 and slots.kinds["PARTY"] < 2:
        (way,) = ways
        return ("at most" if way == "more than" else "at least",) if slots.denied else (way,)
    if slots.has("FALL") and not slots.strict:
        return ("at least",) if slots.denied else ("at least", "at most")
    if slots.strict and (slots.denied or slots.has("MAY")):
        return () if slots.denied else ("at most",)
    return ("at most", "at least") if slots.denied or slots.has("MAY") else first


def _near(bound: Bound) -> Bound:
    """`exactly` of what is measured, with a tolerance."""
    if bound.relation != "exactly" or bound.tolerance or (bound.measure == "number" and not bound.times):
        return bound
    return replace(bound, tolerance=_FIVE_PERCENT)


_FIVE_PERCENT = Amount(Fraction(5), "percent")

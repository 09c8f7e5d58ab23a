"""Sizes of zones and of what stands on them, as rules ask for them, and the claims made of them."""

from __future__ import annotations

from collections.abc import Sequence

from measure.quantity import Quantity
from measure.rules.amounts import ON_LAND, Limit, SizeName
from measure.rules.rule_context import Context
from measure.rules.verdict import Claim, Mark, Unknown
from measure.rules.zone_groups import WHOLE_MODEL, Group

NO_STRUCTURES = "no table of structures was given"
Pair = tuple[tuple[str, ...], tuple[str, ...]]


def measured(size: SizeName, names: Sequence[str], context: Context) -> Quantity | Unknown:
    """A size in mm, mm2 or mm3 of the union of zones, or why it is unknown."""
    if size not in ON_LAND:
        return _of_structures(size, names, context)
    missing = context.missing(names)
    if missing:
        return missing
    found = _on_land(size, names, context)
    return found if found is not None else Unknown(f"the {size} of {names[0]} is not known", tuple(names))


def _on_land(size: SizeName, names: Sequence[str], context: Context) -> Quantity | None:
    if size == "area":
        return context.measures.area(names)
    if size == "perimeter":
        return context.measures.perimeter(names[0])
    sides = context.measures.rectangle(names[0])
    return None if sides is None else sides[0 if size == "length" else 1]


def both_measured(size: SizeName, pair: Pair, context: Context) -> tuple[Quantity, Quantity] | Unknown:
    """The sizes of two things, or why one is unknown."""
    first = measured(size, pair[0], context)
    if isinstance(first, Unknown):
        return first
    second = measured(size, pair[1], context)
    return second if isinstance(second, Unknown) else (first, second)


def paired(group: Group, other: Group, zones: Sequence[str]) -> tuple[Pair, ...]:
    """Every pair of things that a comparison is about."""
    return tuple((thing, against) for thing in group.things(zones) for against in other.things(zones, thing))


def claim(quantity: Quantity, limit: Limit, over: Sequence[str], marks: tuple[Mark, ...]) -> Claim:
    """The claim that one quantity, in the limit's unit, keeps to the limit."""
    named = tuple(dict.fromkeys(over))
    return Claim((quantity,), limit.low, limit.high, named, marks, strict=limit.strict)


def zone_marks(zones: Sequence[str], label: str) -> tuple[Mark, ...]:
    """A mark on every piece of the zones."""
    return tuple(Mark("zone", ((zone, 0),), label=label) for zone in zones if (zone,) != WHOLE_MODEL.names)


def _of_structures(size: SizeName, names: Sequence[str], context: Context) -> Quantity | Unknown:
    if context.structures is None:
        return Unknown(NO_STRUCTURES, tuple(names))
    total = Quantity(0.0)
    for name in names:
        zone = None if (name,) == WHOLE_MODEL.names else name
        if size == "volume":
            part = context.structures.volume(zone)
        else:
            part = context.structures.surface(zone, sides_only=size == "side surface area")
        if part is None:
            return Unknown(f"the {size} of the structures in {name} is not known", (name,))
        total = total + part
    return total

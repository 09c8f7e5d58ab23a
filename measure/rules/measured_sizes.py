"""Sizes of zones and of what stands on them, as rules ask for them, and the claims made of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from measure.conformity import chance_all
from measure.quantity import Quantity
from measure.rules.amounts import ON_LAND, Limit, SizeName
from measure.rules.rule_context import Built, Context, Structures
from measure.rules.verdict import Claim, Mark, Unknown, verdict_of
from measure.rules.zone_groups import WHOLE_MODEL, Group

NO_STRUCTURES = "no table of structures was given, nor two or three photos from different sides"
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


def built(size: SizeName, names: Sequence[str], context: Context) -> Built:
    """A size of the structures on zones together, in mm2 or mm3."""
    if context.structures is None:
        return Built(None, NO_STRUCTURES)
    total, more = Quantity(0.0), list[str]()
    for name in names:
        zone = None if (name,) == WHOLE_MODEL.names else name
        if size == "volume":
            part = context.structures.volume(zone)
        else:
            part = context.structures.surface(zone, sides_only=size == "side surface area")
        if part.value is None:
            return part
        total = total + part.value
        more += [part.more] if part.more else []
    return Built(total, "; ".join(dict.fromkeys(more)))


def counted_in(structures: Structures, zones: Sequence[str], solid: str | None) -> Built:
    """How many structures stand in zones together; without zones, in the whole model."""
    parts = [structures.count(zone, solid) for zone in zones or (None,)]
    known = [part.value for part in parts if part.value is not None]
    more = "; ".join(dict.fromkeys(part.more for part in parts if part.more))
    return Built(sum(known, Quantity(0.0)) if len(known) == len(parts) else None, more)


def built_claims(made: Claim, found: Built) -> tuple[Claim | Unknown, ...]:
    """The claim about what is known of a number; beside it what is not known, which could only make it larger."""
    if not found.more:
        return (made,)
    rest = Unknown(found.more, made.over)
    if made.high is None and verdict_of(chance_all([made.event])) == "met":
        return made, replace(rest, matters=False)
    return (rest,) if made.high is None else (replace(made, low=None), rest)


def _of_structures(size: SizeName, names: Sequence[str], context: Context) -> Quantity | Unknown:
    found = built(size, names, context)
    return Unknown(found.more, tuple(names)) if found.value is None or found.more else found.value

"""Things, places, and what quantifiers range over, in words."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from measure.rules.amounts import Limit
from measure.rules.formula.formula_things import (
    AllZones,
    Centre,
    Edge,
    EveryZone,
    ExtremePiece,
    Node,
    Parts,
    Pieces,
    Point,
    Region,
    Span,
    Structures,
    That,
    Thing,
    Zones,
)
from measure.rules.zone_groups import listed


def thing(of: Thing) -> str:
    """`homes`, `homes and shops together`, `that piece of homes`."""
    match of:
        case Zones(names):
            return listed(names) + (" together" if len(names) > 1 else "")
        case AllZones(but):
            return f"all zones except {listed(but)} together" if but else "all zones together"
        case That(what, zone):
            said = f"that {what}" if what in ("piece", "zone") else f"the {what}"
            return f"{said} of {zone}" if zone else said
        case ExtremePiece(largest, zone):
            return f"the {'largest' if largest else 'smallest'} piece of {zone}"
    raise TypeError(f"no words for {type(of).__name__}")


def with_article(shape: str) -> str:
    """`a rectangle`, `an oval`."""
    return f"{'an' if shape in ('L-shape', 'oval') else 'a'} {shape}"


def plural(of: Thing) -> bool:
    """Whether the verb after it is `are` rather than `is`."""
    match of:
        case Zones(names):
            return len(names) > 1 or (names[0].endswith("s") and not names[0].endswith("ss"))
        case AllZones():
            return True
    return False


def place(at: Node) -> str:
    """A thing, an edge, the centre, a part or a point of the parcel."""
    match at:
        case Edge("that"):
            return "that edge"
        case Edge(name):
            return f"the {name} edge" if name else "the edge"
        case Centre():
            return "the centre"
        case Point("that"):
            return "that corner"
        case Point(""):
            return "the centre point"
        case Point(corner):
            return f"the {corner} corner point"
        case Region(name):
            return name if name.startswith("that ") else f"the {name}"
        case Thing():
            return thing(at)
    raise TypeError(f"no words for {type(at).__name__}")


def counted(how: str | Limit, over: Span) -> str:
    """`every piece of homes`, `at least 2 pieces of homes`, `at least 50% of the pieces of homes`."""
    if isinstance(how, str):
        return f"{how} {span(over)}"
    if how.amount.measure == "percent":
        return f"{how} of the {several(over)}"
    return f"{how} {several(over, 'one' if (how.upper or how.amount).number == 1 else 'many')}"


def span(over: Span) -> str:
    """What follows `every`: `piece of homes`, `two zones`."""
    if getattr(over, "pairs", False):
        return f"two {several(replace(over, pairs=False))}"  # type: ignore[call-arg]
    return several(over, "one")


def several(over: Span, many: Literal["one", "many"] = "many") -> str:
    """What follows a number: `pieces of homes`, `pairs of zones`."""
    s = "s" if many == "many" else ""
    match over:
        case Pieces(_, _, True) | EveryZone(_, _, True):
            return f"pair{s} of {several(replace(over, pairs=False))}"
        case Pieces(zones, other):
            return f"{'other ' if other else ''}piece{s} of {listed(zones)}"
        case EveryZone(but, other):
            return f"{'other ' if other else ''}zone{s}{f' except {listed(but)}' if but else ''}"
        case Parts("half"):
            return f"{'halves' if s else 'half'} of the parcel"
        case Parts(what):
            return f"{what}{s} of the parcel"
        case Structures(on):
            return f"structure{s} {'on the parcel' if on is None else f'in {thing(on)}'}"
    raise TypeError(f"no words for {type(over).__name__}")

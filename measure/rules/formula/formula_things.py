"""The things that formulas speak of, what quantifiers range over, and places on the parcel.

Two sentences that mean the same in other words are equal. What a bound thing (`that piece`) means is settled by the
innermost quantifier around it that binds such a thing: measure.rules.formula.scope.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields
from typing import Literal

Way = Literal["north", "east", "south", "west", "left", "right", "top", "bottom"]
EdgeName = Literal["", "north", "east", "south", "west", "left", "right", "top", "bottom"]
"""Which edge of the parcel; empty: whichever is nearest."""
Bound = Literal["piece", "zone", "other piece", "other zone", "first", "second"]


@dataclass(frozen=True)
class Node:
    """Any part of a formula."""

    def parts(self) -> Iterator[Node]:
        """The parts right below this one."""
        for field in fields(self):
            value = getattr(self, field.name)
            for part in value if isinstance(value, tuple) else (value,):
                if isinstance(part, Node):
                    yield part

    def descendants(self) -> Iterator[Node]:
        """This part and all below it."""
        yield self
        for part in self.parts():
            yield from part.descendants()


# ---- things


class Thing(Node):
    """What has a place and a size: zones, or pieces of them."""


@dataclass(frozen=True)
class Zones(Thing):
    """All pieces of the zones together."""

    names: tuple[str, ...]


@dataclass(frozen=True)
class AllZones(Thing):
    """All zones that the team lays out, but these, together."""

    but: tuple[str, ...] = ()


@dataclass(frozen=True)
class That(Thing):
    """What a quantifier binds; zone is set where it was said (`that piece of homes`)."""

    what: Bound
    zone: str = ""


@dataclass(frozen=True)
class ExtremePiece(Thing):
    """The piece of a zone with the largest, or the smallest, area."""

    largest: bool
    zone: str


# ---- what quantifiers range over


class Span(Node):
    """What is gone through one by one."""


@dataclass(frozen=True)
class Pieces(Span):
    """The pieces of zones; other: but the one that is bound already; pairs: two of them at a time."""

    zones: tuple[str, ...]
    other: bool = False
    pairs: bool = False


@dataclass(frozen=True)
class EveryZone(Span):
    """The zones that the team lays out, but these; other and pairs as with pieces."""

    but: tuple[str, ...] = ()
    other: bool = False
    pairs: bool = False


@dataclass(frozen=True)
class Parts(Span):
    """The halves (four: two each way), the quarters, the edges or the corner points of the parcel."""

    what: Literal["half", "quarter", "edge", "corner"]


@dataclass(frozen=True)
class Structures(Span):
    """The structures on a thing's land; None: on the parcel."""

    on: Thing | None = None


# ---- places


@dataclass(frozen=True)
class Edge(Node):
    """An edge of the parcel; name "that" is the bound one."""

    name: EdgeName | Literal["that"] = ""


@dataclass(frozen=True)
class Centre(Node):
    """The centre of the parcel."""


@dataclass(frozen=True)
class Region(Node):
    """A part of the parcel: `north half`, `north-west corner`, `south third`, `middle third from west to east`; "that
    half" and "that quarter" are bound ones.
    """

    name: str


@dataclass(frozen=True)
class Point(Node):
    """A corner of the parcel (`north-west`), its centre (``), or the bound corner (`that`)."""

    corner: str = ""


# ---- what the rest of a formula is made of


class Term(Node):
    """A number with a measure: measure.rules.formula.formula_terms."""


class Formula(Node):
    """What holds or not: measure.rules.formula.formula_data."""

"""A formula as data: what holds or not of terms and things. Two sentences that mean the same are equal.

What a bound thing (`that piece`) means is settled by the innermost quantifier around it that binds such a thing.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from measure.rules.amounts import Amount, Limit
from measure.rules.formula.formula_things import Edge, Formula, Point, Region, Span, Term, Thing, Way

Where = Literal["in", "mostly in", "partly in"]
ShapeName = Literal[
    "rectangle",
    "square",
    "triangle",
    "right triangle",
    "parallelogram",
    "trapezoid",
    "rhombus",
    "circle",
    "L-shape",
    "oval",
    "right-angled shape",
    "straight-sided shape",
    "regular polygon",
]


@dataclass(frozen=True)
class Compare(Formula):
    """A term against another; upper with `between`, within with `exactly`."""

    left: Term
    relation: Literal["at least", "at most", "more than", "less than", "exactly", "between"]
    right: Term
    upper: Term | None = None
    within: Amount | None = None


@dataclass(frozen=True)
class Multiple(Formula):
    """A count is a multiple of a number."""

    of: Term
    number: int


@dataclass(frozen=True)
class Touch(Formula):
    """Two things touch, or a thing touches an edge or a point of the parcel."""

    of: Thing
    to: Thing | Edge | Point


@dataclass(frozen=True)
class Overlap(Formula):
    """Two things share land."""

    of: Thing
    other: Thing


@dataclass(frozen=True)
class Inside(Formula):
    """A thing lies within another."""

    of: Thing
    host: Thing


@dataclass(frozen=True)
class InRegion(Formula):
    """A thing lies wholly, mostly (its centroid) or partly in a part of the parcel."""

    of: Thing
    region: Region
    how: Where = "in"


@dataclass(frozen=True)
class Covers(Formula):
    """A point of the parcel lies on a thing."""

    of: Thing
    at: Point


@dataclass(frozen=True)
class Compass(Formula):
    """All of a thing lies north (...) of all of another."""

    of: Thing
    way: Way
    other: Thing


@dataclass(frozen=True)
class Amid(Formula):
    """A thing lies between two others in a compass direction."""

    of: Thing
    first: Thing
    second: Thing


@dataclass(frozen=True)
class Separates(Formula):
    """A thing lies across every way over the parcel from one thing to another."""

    of: Thing
    first: Thing
    second: Thing


@dataclass(frozen=True)
class HasShape(Formula):
    """A thing's outline has a shape, within what hand-laid tape may be off."""

    of: Thing
    shape: ShapeName


@dataclass(frozen=True)
class Connected(Formula):
    """A thing's pieces touch or overlap in a chain."""

    of: Thing


@dataclass(frozen=True)
class There(Formula):
    """There is a piece of a zone."""

    zone: str


@dataclass(frozen=True)
class All(Formula):
    """All of them hold."""

    of: tuple[Formula, ...]


@dataclass(frozen=True)
class Either(Formula):
    """At least one of them holds."""

    of: tuple[Formula, ...]


@dataclass(frozen=True)
class Negation(Formula):
    """It does not hold."""

    of: Formula


@dataclass(frozen=True)
class Condition(Formula):
    """Where the test holds, then; where not, otherwise (None: nothing is asked)."""

    test: Formula
    then: Formula
    otherwise: Formula | None = None


@dataclass(frozen=True)
class Quantified(Formula):
    """A formula of every, no, some, or so many (a count, or a share) of a span's things."""

    how: Literal["every", "no", "some"] | Limit
    over: Span
    body: Formula

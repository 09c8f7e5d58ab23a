"""The terms of formulas: numbers with a measure (plain, length, area, volume)."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from measure.rules.amounts import Amount
from measure.rules.formula.formula_things import Centre, Edge, Formula, Point, Region, Span, Term, Thing

Dimension = Literal["number", "length", "area", "volume"]
ThingSize = Literal["area", "perimeter", "length", "width", "shortest side", "longest side", "volume", "height"]
Land = Literal["parcel", "empty land", "used land"]
How = Literal["smallest", "largest", "mean", "median", "sum", "range"]


@dataclass(frozen=True)
class Constant(Term):
    """An amount; a per cent is its part of 1."""

    amount: Amount


@dataclass(frozen=True)
class Size(Term):
    """A size of a thing, in mm, mm2 or mm3."""

    name: ThingSize
    of: Thing


@dataclass(frozen=True)
class AreaIn(Term):
    """The area of a thing's land in a part of the parcel."""

    of: Thing
    region: Region


@dataclass(frozen=True)
class SideCount(Term):
    """The number of sides of a thing's outline."""

    of: Thing


@dataclass(frozen=True)
class LandSize(Term):
    """The area of the parcel, or of its empty or used land."""

    land: Land


@dataclass(frozen=True)
class Gap(Term):
    """The smallest gap from a thing to another, to an edge or a point; to the centre: the distance of the centroid."""

    of: Thing
    to: Thing | Edge | Point | Centre


@dataclass(frozen=True)
class PairSize(Term):
    """What two things have with each other: the distance between their centroids, common border, or overlap.

    A thing has a common border with an edge of the parcel, too.
    """

    name: Literal["centres", "common border", "overlap"]
    first: Thing
    second: Thing | Edge


@dataclass(frozen=True)
class Extent(Term):
    """The size of a thing along the parcel's sides."""

    of: Thing
    way: Literal["west to east", "north to south"]


@dataclass(frozen=True)
class HeightOfStructure(Term):
    """The height of the bound structure."""


@dataclass(frozen=True)
class People(Term):
    """How many people live on a thing; rate: people in one of its unit of volume; None: it is not said."""

    of: Thing
    rate: Amount | None = None


@dataclass(frozen=True)
class StructuresOn(Term):
    """The number of structures on a thing (None: on the parcel), all or of one solid."""

    on: Thing | None = None
    solid: str = ""


@dataclass(frozen=True)
class DifferentSolids(Term):
    """The number of different solids on a thing; None: on the parcel."""

    on: Thing | None = None


@dataclass(frozen=True)
class Count(Term):
    """How many of a span's things there are of which something holds."""

    over: Span
    where: Formula | None = None


@dataclass(frozen=True)
class Aggregate(Term):
    """The smallest, mean, ... of a term over a span's things."""

    how: How
    of: Term
    over: Span


@dataclass(frozen=True)
class Sum(Term):
    """One term plus, or minus, another."""

    first: Term
    second: Term
    minus: bool = False


@dataclass(frozen=True)
class Times(Term):
    """So many times a term."""

    factor: Fraction
    of: Term


@dataclass(frozen=True)
class Ratio(Term):
    """One term divided by another."""

    of: Term
    by: Term


@dataclass(frozen=True)
class Difference(Term):
    """The difference between two terms, never below 0."""

    first: Term
    second: Term


@dataclass(frozen=True)
class Rounded(Term):
    """A term rounded to a whole number of its unit."""

    of: Term
    up: bool

"""What rules demand of a layout, one inequality at a time, in mm and mm2.

A rule that speaks of several zones gives several demands.  Zones of a plan lie side by side, so the area of a union is
the sum of the areas.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from measure.challenge import Challenge
from measure.plat.measures import Measures
from measure.plat.plat import Piece, Plat, Ring
from measure.quantity import Quantity
from measure.rules.keepclear import ClearRule, ExtentRule, PlaceRule
from measure.rules.kind import Context, Rule
from measure.rules.parts import Limit
from measure.rules.places import CentreRule, DistanceRule, EdgeRule, InsideRule, OverlapRule, TouchRule
from measure.rules.presence import CountRule
from measure.rules.sizes import ComparisonRule, DifferenceRule, ShareRule, SizeRule, mm_per, paired
from measure.rules.verdict import Claim

AreaOrPerimeter = Literal["area", "perimeter"]


@dataclass(frozen=True)
class Size:
    """(the sum of `of` less the sum of `minus`) over the sum of `per`, where there is any, lies from low to high.

    low and high are in mm2 (perimeters: mm); of a ratio plain numbers.
    """

    size: AreaOrPerimeter
    of: tuple[str, ...]
    low: float | None
    high: float | None
    strict: bool = False
    minus: tuple[str, ...] = ()
    per: tuple[str, ...] = ()

    @property
    def zones(self) -> tuple[str, ...]:
        """The zones that must be there."""
        return tuple(dict.fromkeys((*self.of, *self.minus, *self.per)))


@dataclass(frozen=True)
class Gap:
    """The smallest gap between two zones, in mm. touching: the limit is the tape's touch gap, not the rule's."""

    a: str
    b: str
    low: float | None
    high: float | None
    strict: bool = False
    touching: bool = False

    @property
    def zones(self) -> tuple[str, ...]:
        """The zones that must be there."""
        return (self.a, self.b)


@dataclass(frozen=True)
class Sharing:
    """Two zones overlap (share True), or do not."""

    a: str
    b: str
    share: bool

    @property
    def zones(self) -> tuple[str, ...]:
        """The zones that must be there."""
        return (self.a, self.b)


@dataclass(frozen=True)
class Edge:
    """The smallest distance of a zone from the parcel's edge, in mm."""

    zone: str
    low: float | None
    high: float | None
    strict: bool = False

    @property
    def zones(self) -> tuple[str, ...]:
        """The zone that must be there."""
        return (self.zone,)


@dataclass(frozen=True)
class Centre:
    """The distance of a zone's centroid from a point, in mm."""

    zone: str
    at: tuple[float, float]
    low: float | None
    high: float | None
    strict: bool = False

    @property
    def zones(self) -> tuple[str, ...]:
        """The zone that must be there."""
        return (self.zone,)


@dataclass(frozen=True)
class Count:
    """How many pieces a zone has; high None: any number. A zone that may have none need not be there."""

    zone: str
    low: int
    high: int | None

    @property
    def zones(self) -> tuple[str, ...]:
        """The zone, where it must be there."""
        return (self.zone,) if self.low > 0 else ()


Demand = Size | Gap | Sharing | Edge | Centre | Count
DECIDED_ELSEWHERE = ("by eye", "structures", "volume", "surface", "people")
"""Kinds of rules that no layout decides."""


def demands(rule: Rule, challenge: Challenge) -> tuple[Demand, ...] | None:
    """All that a rule demands; None where it speaks of what stands on the land, or is for people's eyes."""
    context = _everything_there(challenge)
    if isinstance(rule, ShareRule | SizeRule | ComparisonRule | DifferenceRule):
        of_land = isinstance(rule, ShareRule) or rule.size in ("area", "perimeter")
        return tuple(_sizes(rule, context)) if of_land else None
    if isinstance(rule, ClearRule):
        return demands(rule.stated, challenge)
    if isinstance(rule, PlaceRule | ExtentRule):
        return ()  # keep-clear zones are put where they belong
    if rule.kind in DECIDED_ELSEWHERE:
        return None
    return tuple(_places(rule, context))


def zone_counts(demanded: Iterator[Demand] | tuple[Demand, ...]) -> dict[str, tuple[int, int | None]]:
    """How many pieces the counting demands allow, zone by zone; where low is above high there is no number."""
    counts: dict[str, tuple[int, int | None]] = {}
    for demand in demanded:
        if isinstance(demand, Count):
            low, high = counts.get(demand.zone, (0, None))
            ends = [end for end in (high, demand.high) if end is not None]
            counts[demand.zone] = (max(low, demand.low), min(ends) if ends else None)
    return counts


def _sizes(rule: ShareRule | SizeRule | ComparisonRule | DifferenceRule, context: Context) -> Iterator[Size]:
    limit = rule.limit
    if isinstance(rule, ShareRule | SizeRule):
        size: AreaOrPerimeter = "perimeter" if isinstance(rule, SizeRule) and rule.size == "perimeter" else "area"
        scale = context.setting.parcel.area if isinstance(rule, ShareRule) else mm_per(limit.amount)
        blank = Size(size, (), *_bounds(limit, scale), limit.strict)
        yield from (replace(blank, of=thing) for thing in rule.group.things(context.zones))
        return
    size = "perimeter" if rule.size == "perimeter" else "area"
    for thing, other in paired(rule.group, rule.other, context):
        if isinstance(rule, ComparisonRule):
            yield Size(size, thing, limit.low, limit.high, limit.strict, per=other)
        else:
            yield Size(size, thing, *_bounds(limit, mm_per(limit.amount)), limit.strict, minus=other)


def _places(rule: Rule, context: Context) -> Iterator[Demand]:
    """One demand for every claim that the rule makes about a plat with all zones in it."""
    for claim in rule.findings(context).claims:
        if not isinstance(claim, Claim):
            continue
        over = claim.over
        if isinstance(rule, CountRule):
            yield Count(over[0], int(claim.low or 0), None if claim.high is None else int(claim.high))
        elif isinstance(rule, DistanceRule):
            yield Gap(over[0], over[1], *_bounds(rule.limit, mm_per(rule.limit.amount)), rule.limit.strict)
        elif isinstance(rule, TouchRule):
            gap = context.setting.touch_gap
            low, high = (None, gap) if rule.touches else (gap, None)
            yield Gap(over[0], over[1], low, high, strict=not rule.touches, touching=True)
        elif isinstance(rule, OverlapRule):
            yield Sharing(over[0], over[1], rule.overlaps)
        elif isinstance(rule, EdgeRule):
            yield Edge(over[0], *_bounds(rule.limit, mm_per(rule.limit.amount)), rule.limit.strict)
        elif isinstance(rule, CentreRule):
            parcel = context.setting.parcel
            at = (parcel.width / 2, parcel.depth / 2)
            yield Centre(over[0], at, *_bounds(rule.limit, mm_per(rule.limit.amount)), rule.limit.strict)
        elif isinstance(rule, InsideRule):
            yield Edge(over[0], 0.0, None)
        else:
            raise TypeError(f"no layout is known for rules of kind {rule.kind}")


def _bounds(limit: Limit, scale: float) -> tuple[float | None, float | None]:
    return (
        None if limit.low is None else limit.low * scale,
        None if limit.high is None else limit.high * scale,
    )


def _everything_there(challenge: Challenge) -> Context:
    """A plat on which every zone has a small square, so that rules say what they are about."""
    square = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
    pieces = tuple(
        Piece(zone.name, Ring(square + np.array([3.0 * at, 0.0]), np.zeros((4, 2, 0))), Quantity(0.0))
        for at, zone in enumerate(challenge.zones)
    )
    parcel = challenge.parcel
    plat = Plat(parcel.width, parcel.depth, pieces, (), "given")
    return Context(challenge, Measures(plat))

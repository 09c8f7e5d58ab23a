"""Rules about where zones are: distances, touching, overlaps, and their place on the parcel."""
# ruff: noqa: D102  (reads_as and findings are explained where they are declared, in kind.py)

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import combinations
from typing import ClassVar, Literal

from measure.quantity import Quantity
from measure.rules.kind import Context, Group, Rule
from measure.rules.parts import Limit
from measure.rules.sizes import mm_per
from measure.rules.verdict import Claim, Findings, Mark, Unknown
from measure.units import to_mm

NO_PLACE = "where the zones lie on the parcel is not known without corner tiles or the board's edges in the photo"
_EDGE = "the edge"


@dataclass(frozen=True)
class DistanceRule(Rule):
    """`stables are at least 4 1/2 in from library`: the smallest gap, decided on the signed separation."""

    kind: ClassVar[str] = "distance"
    group: Group
    other: Group
    limit: Limit

    def reads_as(self) -> str:
        return f"the distance from {self.group} to {self.other} is {self.limit}{self.limit.within_text}"

    def findings(self, context: Context) -> Findings:
        pairs = _pairs(self.group, self.other, context)
        claims = tuple(self._claim(context, a, b) for a, b in pairs)
        return Findings(claims, self.limit.stated, self.limit.amount.unit_text)

    def _claim(self, context: Context, a: str, b: str) -> Claim | Unknown:
        missing = context.missing((a, b))
        found = None if missing else context.measures.separation(a, b, edge="tape_edge")
        if missing or found is None:
            return missing or Unknown(f"the gap between {a} and {b} is not known", (a, b))
        scale = mm_per(self.limit.amount)
        shown = found.quantity / scale
        label = context.said(Quantity(max(0.0, shown.value), shown.sensitivity), self.limit.amount.unit_text)
        return _gap_claim(found.candidates, scale, self.limit, (a, b), Mark("gap", found.pieces, found.between, label))


@dataclass(frozen=True)
class EdgeRule(Rule):
    """`every zone is at least 1 in from the edge`: the smallest gap to the parcel's edge."""

    kind: ClassVar[str] = "distance"
    group: Group
    limit: Limit

    def reads_as(self) -> str:
        return f"the distance from {self.group} to the edge is {self.limit}{self.limit.within_text}"

    def findings(self, context: Context) -> Findings:
        zones = _single_zones(self.group, context)
        claims = tuple(self._claim(context, zone) for zone in zones)
        return Findings(claims, self.limit.stated, self.limit.amount.unit_text)

    def _claim(self, context: Context, zone: str) -> Claim | Unknown:
        missing = context.missing((zone,))
        found = None if missing else context.measures.edge_clearance(zone)
        if missing or found is None:
            return missing or Unknown(NO_PLACE, (zone,))
        scale = mm_per(self.limit.amount)
        shown = found.quantity / scale
        label = context.said(Quantity(max(0.0, shown.value), shown.sensitivity), self.limit.amount.unit_text)
        return _gap_claim(
            found.candidates, scale, self.limit, (zone,), Mark("edge", found.pieces, found.between, label)
        )


@dataclass(frozen=True)
class CentreRule(Rule):
    """`crusher is within 1 in of the centre of the parcel`: from the zone's centroid to the stated parcel's centre."""

    kind: ClassVar[str] = "place"
    group: Group
    limit: Limit

    def reads_as(self) -> str:
        return f"the distance from {self.group} to the centre of the parcel is {self.limit}{self.limit.within_text}"

    def findings(self, context: Context) -> Findings:
        zones = _single_zones(self.group, context)
        claims = tuple(self._claim(context, zone) for zone in zones)
        return Findings(claims, self.limit.stated, self.limit.amount.unit_text)

    def _claim(self, context: Context, zone: str) -> Claim | Unknown:
        parcel = context.setting.parcel
        missing = context.missing((zone,))
        found = None if missing else context.measures.centre_offset(zone, (parcel.width / 2, parcel.depth / 2))
        if missing or found is None:
            return missing or Unknown(NO_PLACE, (zone,))
        own = found / mm_per(self.limit.amount)
        label = context.said(own, self.limit.amount.unit_text)
        mark = Mark("centre", ((zone, 0),), label=label)
        return Claim((own,), self.limit.low, self.limit.high, (zone,), (mark,), self.limit.strict)


@dataclass(frozen=True)
class TouchRule(Rule):
    """`meadow does not touch landing`: the outer edges of the tapes come within touch_gap of each other, or not."""

    kind: ClassVar[str] = "touching"
    group: Group
    other: Group
    touches: bool = True

    def reads_as(self) -> str:
        if self.touches:
            return f"{self.group} {_verb(self.group, 'touch', 'es')} {self.other}"
        if self.group.mode == "every":
            return "no zones touch" if self.other.mode == "other" else f"nothing touches {self.other}"
        return f"{self.group} {_negated(self.group, 'touch')} {_any(self.other)}"

    def findings(self, context: Context) -> Findings:
        limit = _touch_gap(context)
        claims = tuple(self._claim(context, a, b, limit) for a, b in _pairs(self.group, self.other, context))
        return Findings(claims, limit, context.setting.unit)

    def _claim(self, context: Context, a: str, b: str, limit: float) -> Claim | Unknown:
        missing = context.missing((a, b))
        found = None if missing else context.measures.separation(a, b, edge="outer")
        if missing or found is None:
            return missing or Unknown(f"the gap between {a} and {b} is not known", (a, b))
        gaps = _in_unit(found.candidates, context)
        nearest = max(0.0, gaps[0].value)
        mark = Mark(
            "gap", found.pieces, found.between, context.said(Quantity(nearest, gaps[0].sensitivity), _unit(context))
        )
        low, high = (None, limit) if self.touches else (limit, None)
        return Claim(gaps, low, high, (a, b), (mark,), strict=not self.touches, shown=nearest)


@dataclass(frozen=True)
class OverlapRule(Rule):
    """`nothing overlaps crusher`, `no zones overlap`: no tape's middle reaches deeper than touch_gap into another zone.

    against is None for `no zones overlap`. With a Group of mode "every" as subject, every zone counts that may come up
    against the other one, keep-clear zones too. The value is the depth of the overlap, 0 where there is none.
    """

    kind: ClassVar[str] = "place"
    group: Group
    against: Group | None = None
    overlaps: bool = False

    def reads_as(self) -> str:
        if self.against is None:
            return "no zones overlap"
        if self.group.mode == "every" and not self.overlaps:
            return f"nothing overlaps {self.against}"
        if self.overlaps:
            return f"{self.group} {_verb(self.group, 'overlap', 's')} {self.against}"
        return f"{self.group} {_negated(self.group, 'overlap')} {_any(self.against)}"

    def findings(self, context: Context) -> Findings:
        limit = _touch_gap(context)
        claims = tuple(self._claim(context, a, b, limit) for a, b in self._pairs(context))
        return Findings(claims, limit, context.setting.unit)

    def _pairs(self, context: Context) -> Iterable[tuple[str, str]]:
        ordinary = set(context.zones)
        # A keep-clear zone that is not there has a rule of its own, which says so.
        there = tuple(zone for zone in context.all_zones if zone in ordinary or context.measures.count(zone))
        if self.against is None:
            return [pair for pair in combinations(there, 2) if ordinary & set(pair)]
        zones = there if self.group.mode == "every" else context.zones
        things = [zone for thing in self.group.things(zones) for zone in thing]
        others = [(a, b) for a in things for thing in self.against.things(there, (a,)) for b in thing]
        return _distinct(others)

    def _claim(self, context: Context, a: str, b: str, limit: float) -> Claim | Unknown:
        missing = context.missing((a, b))
        found = None if missing else context.measures.overlap(a, b)
        if missing or found is None:
            return missing or Unknown(f"whether {a} and {b} overlap is not known", (a, b))
        gaps = _in_unit(found.candidates, context)
        depth = max(0.0, -gaps[0].value)
        label = f"{context.said(Quantity(depth, gaps[0].sensitivity), _unit(context))} deep"
        mark = Mark("overlap", found.pieces, found.between, label)
        low, high = (None, -limit) if self.overlaps else (-limit, None)
        return Claim(gaps, low, high, (a, b), (mark,), strict=self.overlaps, shown=depth)


@dataclass(frozen=True)
class InsideRule(Rule):
    """`every zone is inside the parcel`: the tape's middle nowhere beyond the parcel's edge; the value is how far."""

    kind: ClassVar[str] = "place"
    group: Group

    def reads_as(self) -> str:
        return f"{self.group} {'are' if self.group.plural else 'is'} inside the parcel"

    def findings(self, context: Context) -> Findings:
        zones = _single_zones(self.group, context)
        return Findings(tuple(self._claim(context, zone) for zone in zones), 0.0, context.setting.unit)

    def _claim(self, context: Context, zone: str) -> Claim | Unknown:
        missing = context.missing((zone,))
        found = None if missing else context.measures.inside_parcel(zone)
        if missing or found is None:
            return missing or Unknown(NO_PLACE, (zone,))
        places = _in_unit(found.candidates, context)
        beyond = max(0.0, -places[0].value)
        label = f"{context.said(Quantity(beyond, places[0].sensitivity), _unit(context))} outside"
        mark = Mark("edge", found.pieces, found.between, label)
        return Claim(places, 0.0, None, (zone,), (mark,), shown=beyond)


def _gap_claim(
    candidates: tuple[Quantity, ...], scale: float, limit: Limit, over: tuple[str, ...], mark: Mark
) -> Claim:
    """A limit on the smallest gap; where it is negative 0 is reported, and the signed value decides."""
    gaps = tuple(gap / scale for gap in candidates)
    low, high = limit.low, limit.high
    return Claim(gaps, low, high, over, (mark,), limit.strict, shown=max(0.0, min(gap.value for gap in gaps)))


def _in_unit(candidates: tuple[Quantity, ...], context: Context) -> tuple[Quantity, ...]:
    """Lengths in the challenge's unit, the smallest first."""
    scale = to_mm(1.0, context.setting.unit)
    return tuple(sorted((gap / scale for gap in candidates), key=lambda gap: gap.value))


def _touch_gap(context: Context) -> float:
    return context.setting.touch_gap / to_mm(1.0, context.setting.unit)


def _unit(context: Context) -> str:
    return str(context.setting.unit)


def _pairs(group: Group, other: Group, context: Context) -> Iterable[tuple[str, str]]:
    """Every pair of different zones that a rule is about, each once."""
    things = _single_zones(group, context)
    return _distinct([(a, b) for a in things for thing in other.things(context.zones, (a,)) for b in thing])


def _distinct(pairs: Iterable[tuple[str, str]]) -> list[tuple[str, str]]:
    seen: dict[frozenset[str], tuple[str, str]] = {}
    for a, b in pairs:
        if a != b:
            seen.setdefault(frozenset((a, b)), (a, b))
    return list(seen.values())


def _single_zones(group: Group, context: Context) -> tuple[str, ...]:
    return tuple(zone for thing in group.things(context.zones) for zone in thing)


def _any(group: Group) -> str:
    return "any other zone" if group.mode == "other" else str(group)


def _verb(group: Group, verb: str, ending: Literal["s", "es"]) -> str:
    return verb + ("" if group.plural else ending)


def _negated(group: Group, verb: str) -> str:
    return f"{'do' if group.plural else 'does'} not {verb}"

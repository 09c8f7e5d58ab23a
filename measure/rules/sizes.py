"""Rules about how large something is: a share of the parcel, an area or another size, one zone against another."""
# ruff: noqa: D102  (reads_as and findings are explained where they are declared, in kind.py)

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar, Literal

from measure.quantity import Quantity
from measure.rules.kind import Context, Group, Rule
from measure.rules.parts import Amount, Limit, Measure
from measure.rules.verdict import Claim, Findings, Mark, Unknown
from measure.units import LengthUnit, area_to_mm2, to_mm, volume_to_mm3

Size = Literal["area", "perimeter", "volume", "surface area", "side surface area"]
OF_SIZE: dict[Size, Measure] = {
    "area": "area",
    "perimeter": "length",
    "volume": "volume",
    "surface area": "area",
    "side surface area": "area",
}
WHOLE_MODEL = Group(("structures",))
"""What `the volume of all structures` is about; `structures` is a word of the rules and no zone's name."""


@dataclass(frozen=True)
class ShareRule(Rule):
    """`library covers at most 1/5 of the parcel`: area over the parcel's area as the challenge states it."""

    kind: ClassVar[str] = "share"
    group: Group
    limit: Limit

    def reads_as(self) -> str:
        return f"the area of {self.group} is {self.limit} of the parcel{self.limit.within_text}"

    def findings(self, context: Context) -> Findings:
        parcel = context.setting.parcel
        whole = parcel.width * parcel.depth
        things = self.group.things(context.zones)
        return Findings(tuple(self._claim(context, thing, whole) for thing in things), self.limit.stated)

    def _claim(self, context: Context, thing: tuple[str, ...], whole: float) -> Claim | Unknown:
        area = measured("area", thing, context)
        if isinstance(area, Unknown):
            return area
        share = area / whole
        return claim(share, self.limit, thing, zone_marks(thing, context.said(share, "%")))


@dataclass(frozen=True)
class SizeRule(Rule):
    """`landing covers at least 12 sq in`, `the perimeter of meadow is at most 40 in`, `stables hold ... cubic cm`."""

    size: Size
    group: Group
    limit: Limit

    @property
    def kind(self) -> str:  # type: ignore[override]
        """`size`, of structures `volume` or `surface`."""
        if self.size in ("area", "perimeter"):
            return "size"
        return "volume" if self.size == "volume" else "surface"

    def reads_as(self) -> str:
        group = "all structures" if self.group == WHOLE_MODEL else self.group
        return f"the {self.size} of {group} is {self.limit}{self.limit.within_text}"

    def findings(self, context: Context) -> Findings:
        things = self.group.things(context.zones)
        claims = tuple(self._claim(context, thing) for thing in things)
        return Findings(claims, self.limit.stated, self.limit.amount.unit_text)

    def _claim(self, context: Context, thing: tuple[str, ...]) -> Claim | Unknown:
        found = measured(self.size, thing, context)
        if isinstance(found, Unknown):
            return found
        own = found / mm_per(self.limit.amount)
        marks = zone_marks(thing, context.said(own, self.limit.amount.unit_text))
        return claim(own, self.limit, thing, marks)


@dataclass(frozen=True)
class ComparisonRule(Rule):
    """One zone against another: `covers at least 1.4 times landing`, `covers less than market`.

    What is limited is the ratio of the two; they share the photo's scale, which drops out of it.
    """

    kind: ClassVar[str] = "comparison"
    size: Size
    group: Group
    other: Group
    limit: Limit

    def reads_as(self) -> str:
        factor = f"{self._factor()} the {self.size} of {self.other}"
        return f"the {self.size} of {self.group} is {factor}{self.limit.within_text}"

    def _factor(self) -> str:
        limit = self.limit
        if limit.upper is not None:
            return f"between {limit.amount} and {limit.upper} x"
        return limit.relation if limit.amount.number == 1 else f"{limit.relation} {limit.amount} x"

    def findings(self, context: Context) -> Findings:
        pairs = paired(self.group, self.other, context)
        return Findings(tuple(self._claim(context, *pair) for pair in pairs), self.limit.stated)

    def _claim(self, context: Context, thing: tuple[str, ...], other: tuple[str, ...]) -> Claim | Unknown:
        both = [measured(self.size, names, context) for names in (thing, other)]
        for found in both:
            if isinstance(found, Unknown):
                return found
        first, second = (found for found in both if isinstance(found, Quantity))
        if second.value <= 0:
            return Unknown(f"{' and '.join(other)} has no {self.size} to compare with", other)
        ratio = first / second
        marks = zone_marks(thing, f"{context.said(ratio, '')} x")
        return claim(ratio, self.limit, (*thing, *other), marks)


@dataclass(frozen=True)
class DifferenceRule(Rule):
    """`market covers at least 3 sq in more than stables`: the difference of two sizes."""

    kind: ClassVar[str] = "comparison"
    size: Size
    group: Group
    other: Group
    limit: Limit

    def reads_as(self) -> str:
        more = f"{self.limit} more than the {self.size} of {self.other}"
        return f"the {self.size} of {self.group} is {more}{self.limit.within_text}"

    def findings(self, context: Context) -> Findings:
        pairs = paired(self.group, self.other, context)
        claims = tuple(self._claim(context, *pair) for pair in pairs)
        return Findings(claims, self.limit.stated, self.limit.amount.unit_text)

    def _claim(self, context: Context, thing: tuple[str, ...], other: tuple[str, ...]) -> Claim | Unknown:
        both = [measured(self.size, names, context) for names in (thing, other)]
        for found in both:
            if isinstance(found, Unknown):
                return found
        first, second = (found for found in both if isinstance(found, Quantity))
        difference = (first - second) / mm_per(self.limit.amount)
        marks = zone_marks(thing, f"{context.said(difference, self.limit.amount.unit_text)} more")
        return claim(difference, self.limit, (*thing, *other), marks)


def measured(size: Size, names: Sequence[str], context: Context) -> Quantity | Unknown:
    """A size in mm, mm2 or mm3 of the union of zones, or why it is unknown."""
    if size in ("area", "perimeter"):
        missing = context.missing(names)
        if missing:
            return missing
        found = context.measures.area(names) if size == "area" else context.measures.perimeter(names[0])
        return found if found is not None else Unknown(f"the {size} of {names[0]} is not known", tuple(names))
    return _of_structures(size, names, context)


def _of_structures(size: Size, names: Sequence[str], context: Context) -> Quantity | Unknown:
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


NO_STRUCTURES = "no table of structures was given"


def paired(group: Group, other: Group, context: Context) -> tuple[tuple[tuple[str, ...], tuple[str, ...]], ...]:
    """Every pair of things that a comparison is about."""
    things = group.things(context.zones)
    return tuple((thing, against) for thing in things for against in other.things(context.zones, thing))


def claim(quantity: Quantity, limit: Limit, over: Sequence[str], marks: tuple[Mark, ...]) -> Claim:
    """The claim that one quantity, in the limit's unit, keeps to the limit."""
    named = tuple(dict.fromkeys(over))
    return Claim((quantity,), limit.low, limit.high, named, marks, strict=limit.strict)


def zone_marks(zones: Sequence[str], label: str) -> tuple[Mark, ...]:
    """A mark on every piece of the zones."""
    return tuple(Mark("zone", ((zone, 0),), label=label) for zone in zones if (zone,) != WHOLE_MODEL.names)


def mm_per(amount: Amount) -> float:
    """How many mm, mm2 or mm3 one of the amount's unit is; 1 for plain numbers."""
    if amount.unit is None:
        return 1.0
    scale = {"length": to_mm, "area": area_to_mm2, "volume": volume_to_mm3}[amount.measure]
    unit: LengthUnit = amount.unit
    return scale(1.0, unit)

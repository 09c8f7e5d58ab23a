"""Rules about what stands on the land: how many structures, of what solids, how tall, for how many people."""
# ruff: noqa: D102  (reads_as and findings are explained where they are declared, in kind.py)

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import ClassVar

from measure.numbers import written
from measure.quantity import Quantity
from measure.rules.kind import Context, Group, Rule
from measure.rules.parts import Amount, Limit, listed
from measure.rules.presence import whole_bounds
from measure.rules.sizes import NO_STRUCTURES, measured, mm_per, zone_marks
from measure.rules.verdict import Claim, Findings, Mark, Unknown
from measure.rules.words import forms
from measure.units import LengthUnit


@dataclass(frozen=True)
class StructureCountRule(Rule):
    """`there are at least 2 cylinders`: structures of a solid (None: any), in the zones, or everywhere (no zones)."""

    kind: ClassVar[str] = "structures"
    solid: str | None
    zones: tuple[str, ...]
    limit: Limit

    def reads_as(self) -> str:
        if self.limit.stated == 0 and self.limit.relation == "exactly":
            return f"there is no {noun_of(self.solid, one=True)}{where(self.zones)}"
        number = self.limit.upper or self.limit.amount
        noun = noun_of(self.solid, one=number.number == 1)
        return f"there {'is' if number.number == 1 else 'are'} {self.limit} {noun}{where(self.zones)}"

    def findings(self, context: Context) -> Findings:
        return Findings((self._claim(context),), self.limit.stated)

    def _claim(self, context: Context) -> Claim | Unknown:
        if context.structures is None:
            return Unknown(NO_STRUCTURES, self.zones)
        counts = [context.structures.count(zone, self.solid) for zone in self.zones or (None,)]
        known = [count for count in counts if count is not None]
        if len(known) < len(counts):
            return Unknown("how many structures there are is not known", self.zones)
        return Claim((Quantity(float(sum(known))),), *whole_bounds(self.limit), self.zones)


@dataclass(frozen=True)
class DifferentSolidsRule(Rule):
    """`workshops use at least 3 different solids`; without a zone, in the whole model."""

    kind: ClassVar[str] = "structures"
    zone: str | None
    limit: Limit

    def reads_as(self) -> str:
        number = self.limit.upper or self.limit.amount
        one = number.number == 1
        place = where((self.zone,) if self.zone else ())
        return f"there {'is' if one else 'are'} {self.limit} different {'solid' if one else 'solids'}{place}"

    def findings(self, context: Context) -> Findings:
        return Findings((self._claim(context),), self.limit.stated)

    def _claim(self, context: Context) -> Claim | Unknown:
        over = (self.zone,) if self.zone else ()
        if context.structures is None:
            return Unknown(NO_STRUCTURES, over)
        count = context.structures.different_solids(self.zone)
        if count is None:
            return Unknown("how many different solids there are is not known", over)
        return Claim((Quantity(float(count)),), *whole_bounds(self.limit), over)


@dataclass(frozen=True)
class HeightRule(Rule):
    """`no structure is taller than 7 in`: every structure, or the tallest one alone, in the zones or everywhere."""

    kind: ClassVar[str] = "structures"
    zones: tuple[str, ...]
    limit: Limit
    tallest: bool = False

    def reads_as(self) -> str:
        who = "the tallest" if self.tallest else "every"
        return f"{who} structure{where(self.zones)} is {self.limit} tall{self.limit.within_text}"

    def findings(self, context: Context) -> Findings:
        return Findings(self._claims(context), self.limit.stated, self.limit.amount.unit_text)

    def _claims(self, context: Context) -> tuple[Claim | Unknown, ...]:
        if context.structures is None:
            return (Unknown(NO_STRUCTURES, self.zones),)
        scale = mm_per(self.limit.amount)
        made: list[Claim | Unknown] = []
        for zone in self.zones or (None,):
            over = (zone,) if zone else ()
            heights = context.structures.heights(zone, None)
            if heights is None:
                return (Unknown("how tall the structures are is not known", over),)
            known = [height / scale for height in heights if height is not None]
            if len(known) < len(heights):
                made.append(Unknown("how tall some of the structures are is not known", over))
            made += self._of_zone(known, over, context) if known or not heights else []
        return tuple(made)

    def _of_zone(self, heights: list[Quantity], over: tuple[str, ...], context: Context) -> list[Claim | Unknown]:
        low, high, strict = self.limit.low, self.limit.high, self.limit.strict
        if not self.tallest:
            return [Claim((h,), low, high, over, self._marks(over, h, context), strict) for h in heights]
        if not heights:
            return [Unknown("there is no structure", over)]
        tallest = max(heights, key=lambda h: h.value)
        # The largest is minus the smallest of the negatives, so the limits change places.
        turned = tuple(-h for h in heights)
        flipped = (None if high is None else -high, None if low is None else -low)
        return [Claim(turned, *flipped, over, self._marks(over, tallest, context), strict, shown=tallest.value)]

    def _marks(self, over: tuple[str, ...], height: Quantity, context: Context) -> tuple[Mark, ...]:
        return zone_marks(over, f"{context.said(height, self.limit.amount.unit_text)} tall")


@dataclass(frozen=True)
class PeopleRule(Rule):
    """`cottages house at least 600 people at 8 people per cubic cm`: the structures' volume times the density."""

    kind: ClassVar[str] = "people"
    group: Group
    limit: Limit
    density: Fraction
    unit: LengthUnit

    def reads_as(self) -> str:
        verb = "house" if self.group.plural else "houses"
        rate = f"{written(self.density)} people per cubic {self.unit}"
        return f"{self.group} {verb} {self.limit} people at {rate}"

    def findings(self, context: Context) -> Findings:
        things = self.group.things(context.zones)
        return Findings(tuple(self._claim(context, thing) for thing in things), self.limit.stated, "people")

    def _claim(self, context: Context, thing: tuple[str, ...]) -> Claim | Unknown:
        volume = measured("volume", thing, context)
        if isinstance(volume, Unknown):
            return volume
        people = volume * (float(self.density) / mm_per(Amount(Fraction(1), "volume", self.unit)))
        marks = zone_marks(thing, f"{context.said(people, '')} people")
        return Claim((people,), self.limit.low, self.limit.high, thing, marks, self.limit.strict)


def noun_of(solid: str | None, *, one: bool) -> str:
    """`cylinder`, `cylinders`; `unit cubes` for the counted ones; `structures` for any."""
    name = {None: "structure", "cubes": "unit cube"}.get(solid, solid) or "structure"
    if one:
        return name
    if name == "prism on outline":
        return "prisms on outline"
    if name == "box":
        return "boxes"
    plurals = forms(name) - {name}
    return f"{name}s" if f"{name}s" in plurals else next(iter(plurals))


def where(zones: tuple[str, ...]) -> str:
    """` in workshops`, or nothing for the whole model."""
    return f" in {listed(zones)}" if zones else ""

"""`landing covers at least 12 sq in`, `the perimeter of meadow is at most 40 in`, `stables hold ... cubic cm`."""
# ruff: noqa: D102  (what a kind offers is explained in measure/rules/rule.py)

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import ClassVar

from measure.quantity import Quantity
from measure.rules.amounts import ON_LAND, Amount
from measure.rules.bounds import Most, Range, allowed
from measure.rules.demand import DemandOnStructures, Size, Volume
from measure.rules.measured_sizes import built, built_claims, claim, measured, zone_marks
from measure.rules.rule import Kind, Rule
from measure.rules.rule_context import Context
from measure.rules.setting import Setting, SettingParcel, zones_laid_out
from measure.rules.sheet_text import SQUARE, Asked, amount_text, group_text, number_text
from measure.rules.told import Teller, Told, subject_of
from measure.rules.verdict import Claim, Findings, Unknown
from measure.rules.zone_groups import WHOLE_MODEL, listed

_EASY = 4
"""The largest lower number of a side that a class works out."""
_FLOOR = {"in": 4.0, "cm": 20.0, "mm": 2000.0, "ft": 0.5, "m": 0.01}
"""The floor of the box in questions about volume, in squares of the unit."""


@dataclass(frozen=True)
class ZoneSize(Kind):
    """A limit on one of the sizes of the subject: rule.size says which."""

    measured_by_hand: ClassVar[bool] = True

    def name_of(self, rule: Rule) -> str:
        """`size`, of structures `volume` or `surface`."""
        if rule.size in ON_LAND:
            return "size"
        return "volume" if rule.size == "volume" else "surface"

    def reads_as(self, rule: Rule) -> str:
        group = "all structures" if rule.subject == WHOLE_MODEL else rule.subject
        return f"the {rule.size} of {group} is {rule.bound.said}"

    def told(self, rule: Rule, teller: Teller) -> Told:
        who = subject_of(rule.subject, teller.outcome.over)
        if rule.size == "area":
            return f"{who} {who.verb('cover')} {teller.value()}", f"{who.they} must cover {teller.asked()}"
        of = who if rule.size in ON_LAND or rule.subject == WHOLE_MODEL else f"the structures in {who}"
        return f"the {rule.size} of {of} is {teller.value()}", f"it must be {teller.asked()}"

    def findings(self, rule: Rule, context: Context) -> Findings:
        things = rule.subject.things(context.zones)
        claims = tuple(part for thing in things for part in self._claims(rule, context, thing))
        return Findings(claims, rule.bound.stated, rule.bound.amount.unit_text)

    def _claims(self, rule: Rule, context: Context, thing: tuple[str, ...]) -> tuple[Claim | Unknown, ...]:
        assert rule.size is not None
        if rule.size in ON_LAND:
            found = measured(rule.size, thing, context)
            return (found,) if isinstance(found, Unknown) else (self._claim(rule, context, thing, found),)
        there = built(rule.size, thing, context)
        if there.value is None:
            return (Unknown(there.more, thing),)
        return built_claims(self._claim(rule, context, thing, there.value), there)

    def _claim(self, rule: Rule, context: Context, thing: tuple[str, ...], found: Quantity) -> Claim:
        own = found / rule.bound.amount.mm
        label = context.said(own, rule.bound.amount.unit_text, rule.bound)
        return claim(own, rule.bound, thing, zone_marks(thing, label))

    def most(self, rule: Rule, parcel: SettingParcel) -> Most | None:
        return Most(parcel.area, "the whole parcel") if rule.size == "area" else None

    def ranges(self, rule: Rule, zones: Sequence[str], parcel: SettingParcel) -> Iterator[Range]:
        for thing in rule.subject.things(zones):
            alone = thing[0] if len(thing) == 1 and rule.size == "area" else ""
            yield allowed(rule.bound, (rule.size, thing), f"the {rule.size} of {listed(thing)}", area_of=alone)

    def as_fine_as_areas(self, rule: Rule) -> bool:
        return rule.size == "area"

    def demands(self, rule: Rule, setting: Setting) -> tuple[Size, ...] | None:
        size = rule.size
        if size != "area" and size != "perimeter":
            return None
        things = rule.subject.things(zones_laid_out(setting))
        return tuple(Size(size, thing, *rule.bound.bounds_mm, rule.bound.strict) for thing in things)

    def demands_on_structures(self, rule: Rule, setting: Setting) -> tuple[DemandOnStructures, ...]:
        low = rule.bound.bounds_mm[0]
        if rule.size != "volume" or not low:
            return ()
        things = rule.subject.things(zones_laid_out(setting))
        return tuple(Volume(() if thing == WHOLE_MODEL.names else thing, low) for thing in things)

    def about_structures(self, rule: Rule) -> bool:
        return rule.size not in ON_LAND

    def question(self, rule: Rule, setting: Setting) -> Asked | None:
        """What the limit means for a rectangle, for a square by its perimeter, or for a box on a given floor."""
        amount, unit, who = rule.bound.amount, rule.bound.amount.unit, group_text(rule.subject)
        if unit is None or rule.size not in ("area", "perimeter", "volume"):
            return None
        if rule.size == "volume":
            floor = _FLOOR[unit]
            box = f"Make {who} one box. Its floor is {floor:g} {SQUARE[unit]}; it holds {amount_text(amount)}."
            answer = number_text(amount.value / floor, unit, setting)
            return Asked(f"{box} How tall is it?", answer, f"{amount_text(amount)} ÷ {floor:g}")
        if rule.size == "area":
            return _other_side(amount, who, setting)
        side = amount.value / 4
        text = f"Make {who} a square, {amount_text(amount)} around. How many {SQUARE[unit]} does it cover?"
        working = f"each side is {side:g}, and {side:g} × {side:g}"
        return Asked(text, number_text(side * side, f"sq {unit}", setting), working)


def _other_side(amount: Amount, who: str, setting: Setting) -> Asked | None:
    """Of a rectangle of an area that divides well by one of its sides."""
    unit = amount.unit
    assert unit is not None
    for side in range(math.isqrt(int(amount.number)), 1, -1):
        other = amount.number / side
        if other.denominator <= _EASY:
            text = f"Make {who} a rectangle of exactly {amount_text(amount)}. One side is {side} {unit}."
            answer = number_text(float(other), unit, setting)
            return Asked(f"{text} How long is the other side?", answer, f"{amount_text(amount)} ÷ {side}")
    return None


SIZE = ZoneSize()

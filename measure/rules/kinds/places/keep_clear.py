"""What holds for keep-clear zones although no sentence says so: nothing on them, and they are where they belong."""
# ruff: noqa: D102  (what a kind offers is explained in measure/rules/rule.py)

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from measure.quantity import Quantity
from measure.rules.demand import Demand
from measure.rules.kinds.places.overlapping_zones import OVERLAP
from measure.rules.kinds.places.zone_gaps import NO_PLACE
from measure.rules.rule import Kind, Rule, SettingWithRules
from measure.rules.rule_context import Context
from measure.rules.setting import KEEP_CLEAR, Setting, SettingZone
from measure.rules.told import Teller, Told, noun
from measure.rules.verdict import Claim, Findings, Mark, Unknown
from measure.rules.zone_groups import EVERY, Group
from measure.units import format_length, to_mm


def implied_rules(setting: SettingWithRules) -> Iterator[Rule]:
    """The rules that the challenge's keep-clear zones imply, without those that a sentence states already."""
    stated = {line.rule for line in setting.rules}
    for zone in setting.zones:
        if zone.kind != KEEP_CLEAR:
            continue
        clear, group = Rule(OVERLAP, EVERY, others=(Group((zone.name,)),), negated=True), Group((zone.name,))
        if clear not in stated:
            yield Rule(NOTHING_ON_IT, EVERY, others=(group,), negated=True)
        if zone.place is not None and zone.place_within is not None:
            yield Rule(IN_PLACE, group, detail=format_length(zone.place_within, setting.unit))
        if zone.size is not None and zone.size_within is not None:
            yield Rule(AS_LARGE, group, detail=format_length(zone.size_within, setting.unit))


@dataclass(frozen=True)
class NothingOnIt(Kind):
    """Nothing overlaps the zone, as if a sentence said so."""

    name: ClassVar[str] = KEEP_CLEAR

    def reads_as(self, rule: Rule) -> str:
        return OVERLAP.reads_as(rule)

    def told(self, rule: Rule, teller: Teller) -> Told:
        return OVERLAP.told(rule, teller)

    def findings(self, rule: Rule, context: Context) -> Findings:
        return OVERLAP.findings(rule, context)

    def demands(self, rule: Rule, setting: Setting) -> tuple[Demand, ...] | None:
        return OVERLAP.demands(rule, setting)


@dataclass(frozen=True)
class _AsStated(Kind):
    """The zone is as the challenge says; rule.detail is the tolerance in words. No layout moves it."""

    name: ClassVar[str] = KEEP_CLEAR

    def findings(self, rule: Rule, context: Context) -> Findings:
        scale = to_mm(1.0, context.setting.unit)
        zone = next(zone for zone in context.setting.zones if zone.name == rule.subject.names[0])
        missing = context.missing((zone.name,))
        found = None if missing else self._off(zone, context)
        if missing or found is None:
            claims: tuple[Claim | Unknown, ...] = (missing or Unknown(NO_PLACE, (zone.name,)),)
        else:
            claims = tuple(self._claim(zone, off / scale, side / scale, context) for off, side in found)
        return Findings(claims, (self._within(zone) or 0.0) / scale, context.setting.unit)

    def _claim(self, zone: SettingZone, off: Quantity, side: Quantity, context: Context) -> Claim:
        unit = context.setting.unit
        within = (self._within(zone) or 0.0) / to_mm(1.0, unit)
        mark = Mark("zone", ((zone.name, 0),), label=f"{context.said(side, unit)}{self._label}")
        return Claim((off,), -within if self._signed else None, within, (zone.name,), (mark,), shown=abs(off.value))

    def demands(self, rule: Rule, setting: Setting) -> tuple[Demand, ...] | None:
        return ()

    _label: ClassVar[str] = ""
    _signed: ClassVar[bool] = False
    """Whether it can be off to either side."""

    @abstractmethod
    def _within(self, zone: SettingZone) -> float | None:
        """The tolerance in mm."""

    @abstractmethod
    def _off(self, zone: SettingZone, context: Context) -> list[tuple[Quantity, Quantity]] | None:
        """How far it is off, and what the picture says, in mm; the worse one of several is reported."""


@dataclass(frozen=True)
class InPlace(_AsStated):
    """The zone's centre is where the challenge says, within `place_within`."""

    _label: ClassVar[str] = " away"

    def reads_as(self, rule: Rule) -> str:
        return f"the centre of {rule.subject} is where the challenge puts it, within {rule.detail}"

    def told(self, rule: Rule, teller: Teller) -> Told:
        who = noun(rule.subject.names[0])
        return f"the middle of {who} is {teller.value()} from its place", f"it may be {teller.play} away at most"

    def _within(self, zone: SettingZone) -> float | None:
        return zone.place_within

    def _off(self, zone: SettingZone, context: Context) -> list[tuple[Quantity, Quantity]] | None:
        assert zone.place is not None
        found = context.measures.centre_offset(zone.name, zone.place)
        return None if found is None else [(found, found)]


@dataclass(frozen=True)
class AsLarge(_AsStated):
    """The zone's width and depth are as the challenge says, each within `size_within`."""

    _signed: ClassVar[bool] = True

    def reads_as(self, rule: Rule) -> str:
        return f"{rule.subject} is as large as the challenge says, within {rule.detail}"

    def told(self, rule: Rule, teller: Teller) -> Told:
        who = noun(rule.subject.names[0])
        return f"one way {who} is {teller.value()} too long or too short", f"{teller.play} is allowed"

    def _within(self, zone: SettingZone) -> float | None:
        return zone.size_within

    def _off(self, zone: SettingZone, context: Context) -> list[tuple[Quantity, Quantity]] | None:
        assert zone.size is not None
        found = context.measures.extent(zone.name)
        if found is None:
            return None
        return [(side - stated, side) for side, stated in zip(found, zone.size, strict=True)]


NOTHING_ON_IT, IN_PLACE, AS_LARGE = NothingOnIt(), InPlace(), AsLarge()

"""What holds for keep-clear zones although no sentence says so: nothing on them, and they are where they belong."""
# ruff: noqa: D102  (reads_as and findings are explained where they are declared, in kind.py)

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from measure.quantity import Quantity
from measure.rules.kind import Context, Group, Rule, SettingWithRules
from measure.rules.places import NO_PLACE, OverlapRule
from measure.rules.setting import KEEP_CLEAR
from measure.rules.verdict import Claim, Findings, Mark, Unknown
from measure.units import format_length, to_mm


@dataclass(frozen=True)
class PlaceRule(Rule):
    """The zone's centre is where the challenge says, within `place_within`; lengths in mm."""

    kind: ClassVar[str] = KEEP_CLEAR
    zone: str
    place: tuple[float, float]
    within: float
    words: str

    def reads_as(self) -> str:
        return self.words

    def findings(self, context: Context) -> Findings:
        scale = to_mm(1.0, context.setting.unit)
        return Findings((self._claim(context, scale),), self.within / scale, context.setting.unit)

    def _claim(self, context: Context, scale: float) -> Claim | Unknown:
        missing = context.missing((self.zone,))
        found = None if missing else context.measures.centre_offset(self.zone, self.place)
        if missing or found is None:
            return missing or Unknown(NO_PLACE, (self.zone,))
        own = found / scale
        mark = Mark("zone", ((self.zone, 0),), label=f"{context.said(own, context.setting.unit)} away")
        return Claim((own,), None, self.within / scale, (self.zone,), (mark,))


@dataclass(frozen=True)
class ExtentRule(Rule):
    """The zone's width and depth are as the challenge says, each within `size_within`; lengths in mm.

    What is reported is how far the worse of the two is off.
    """

    kind: ClassVar[str] = KEEP_CLEAR
    zone: str
    size: tuple[float, float]
    within: float
    words: str

    def reads_as(self) -> str:
        return self.words

    def findings(self, context: Context) -> Findings:
        scale = to_mm(1.0, context.setting.unit)
        return Findings(self._claims(context, scale), self.within / scale, context.setting.unit)

    def _claims(self, context: Context, scale: float) -> tuple[Claim | Unknown, ...]:
        missing = context.missing((self.zone,))
        found = None if missing else context.measures.extent(self.zone)
        if missing or found is None:
            return (missing or Unknown(NO_PLACE, (self.zone,)),)
        return tuple(
            self._claim(context, side / scale, stated / scale, self.within / scale)
            for side, stated in zip(found, self.size, strict=True)
        )

    def _claim(self, context: Context, side: Quantity, stated: float, within: float) -> Claim:
        off = side - stated
        label = context.said(side, context.setting.unit)
        return Claim(
            (off,), -within, within, (self.zone,), (Mark("zone", ((self.zone, 0),), label=label),), shown=abs(off.value)
        )


@dataclass(frozen=True)
class ClearRule(Rule):
    """Nothing overlaps the zone, as if a sentence said so."""

    kind: ClassVar[str] = KEEP_CLEAR
    zone: str

    @property
    def stated(self) -> OverlapRule:
        """The same, as a sentence's rule."""
        return OverlapRule(Group(mode="every"), Group((self.zone,)))

    def reads_as(self) -> str:
        return self.stated.reads_as()

    def findings(self, context: Context) -> Findings:
        return self.stated.findings(context)


def implied_rules(challenge: SettingWithRules) -> Iterator[Rule]:
    """The rules that the challenge's keep-clear zones imply, without those that a sentence states already."""
    stated = {line.rule for line in challenge.rules}
    for zone in challenge.zones:
        if zone.kind != KEEP_CLEAR:
            continue
        clear = ClearRule(zone.name)
        if clear.stated not in stated:
            yield clear
        if zone.place is not None and zone.place_within is not None:
            within = _length(zone.place_within, challenge)
            words = f"the centre of {zone.name} is where the challenge puts it, within {within}"
            yield PlaceRule(zone.name, zone.place, zone.place_within, words)
        if zone.size is not None and zone.size_within is not None:
            words = f"{zone.name} is as large as the challenge says, within {_length(zone.size_within, challenge)}"
            yield ExtentRule(zone.name, zone.size, zone.size_within, words)


def _length(mm: float, challenge: SettingWithRules) -> str:
    return format_length(mm, challenge.unit)

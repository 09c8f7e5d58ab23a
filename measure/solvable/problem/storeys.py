"""Rules about people and volumes as heights: how tall the land must be built on, and whether that is allowed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from measure.challenge import Challenge
from measure.plat.measures import Measures
from measure.rules.kind import Context, Group
from measure.rules.parts import Amount, Limit
from measure.rules.sizes import SizeRule, mm_per
from measure.rules.solids import HeightRule, PeopleRule
from measure.solvable.problem.layout import Layout, plat_of


@dataclass(frozen=True)
class NeededHeight:
    """A rule's wanted volume (mm3) over the land that its zones have in the sample layout (mm2), built on all over.

    height is in mm; most is the tallest structure that rules allow there, in mm, None where none says.
    """

    number: int
    zones: tuple[str, ...]
    volume: float
    land: float
    most: float | None

    @property
    def height(self) -> float:
        """mm."""
        return self.volume / self.land

    @property
    def reasonable(self) -> bool | None:
        """Whether the allowed height is enough; None where no rule says what is allowed."""
        return None if self.most is None else self.height <= self.most


def needed_heights(challenge: Challenge, layout: Layout) -> tuple[NeededHeight, ...]:
    """For every rule that wants people housed, or a volume held, how tall that is on the layout's land."""
    measures = Measures(plat_of(layout), challenge.tape_edge, challenge.touch_gap, challenge.subtract)
    return tuple(_needed(challenge, Context(challenge, measures)))


def _needed(challenge: Challenge, context: Context) -> Iterator[NeededHeight]:
    for number, line in enumerate(challenge.rules, 1):
        rule = line.rule
        if not isinstance(rule, PeopleRule | SizeRule) or (isinstance(rule, SizeRule) and rule.size != "volume"):
            continue
        low = rule.limit.low
        for thing in _things(rule.group, context) if low else ():
            area = context.measures.area(thing)
            if low and area is not None and area.value > 0:
                yield NeededHeight(number, thing, low * _volume_of_one(rule), area.value, _most(challenge, thing))


def _things(group: Group, context: Context) -> tuple[tuple[str, ...], ...]:
    """The zones that a rule is about; `all structures` stand on all of them."""
    known = set(context.all_zones)
    return tuple(thing if set(thing) <= known else context.zones for thing in group.things(context.zones))


def _volume_of_one(rule: PeopleRule | SizeRule) -> float:
    """mm3 that one of the rule's numbers stands for: a person's share, or a cubic unit."""
    if isinstance(rule, SizeRule):
        return mm_per(rule.limit.amount)
    return mm_per(Amount(rule.density, "volume", rule.unit)) / float(rule.density)


def _most(challenge: Challenge, thing: tuple[str, ...]) -> float | None:
    """The smallest of the heights that rules allow on all of these zones."""
    allowed = []
    for line in challenge.rules:
        rule = line.rule
        if isinstance(rule, HeightRule) and (not rule.zones or set(rule.zones) >= set(thing)):
            limit: Limit = rule.limit
            if limit.high is not None:
                allowed.append(limit.high * mm_per(limit.amount))
    return min(allowed, default=None)

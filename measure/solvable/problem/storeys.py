"""Rules about people and volumes as heights: how tall the land must be built on, and whether that is allowed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from measure.challenge import Challenge
from measure.plat.measures import Measures
from measure.rules.demand import DemandOnStructures, Height, Volume
from measure.rules.rule import Rule
from measure.rules.setting import zones_laid_out
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
    measures = challenge.measures(plat_of(layout))
    return tuple(_needed(challenge, measures))


def _needed(challenge: Challenge, measures: Measures) -> Iterator[NeededHeight]:
    demands = [(n, d) for n, line in enumerate(challenge.rules, 1) for d in _demands(line.rule, challenge)]
    allowed = [demand for _, demand in demands if isinstance(demand, Height)]
    for number, demand in demands:
        if isinstance(demand, Volume):
            zones = demand.of or zones_laid_out(challenge)
            area = measures.area(zones)
            if area is not None and area.value > 0:
                most = min((a.high for a in allowed if not a.of or set(a.of) >= set(zones)), default=None)
                yield NeededHeight(number, zones, demand.low, area.value, most)


def _demands(rule: Rule, challenge: Challenge) -> tuple[DemandOnStructures, ...]:
    return rule.kind.demands_on_structures(rule, challenge)

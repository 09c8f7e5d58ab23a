"""How many people the structures hold, and what is missing for more: as storeys, or as more of what is there.

The number of people is volume times a density (people per mm3), with the volume's uncertainty.  A wanted number is
judged like a rule; the missing volume is what is wanted less what is measured, and a second, larger one makes up for
the uncertainty too: with it the number is reached with the chance from which a rule is called met (JCGM 106:2012).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from measure.conformity import chance_within
from measure.quantity import Quantity
from measure.rules.verdict import Verdict, verdict_of
from measure.structures.standing import StandingName
from measure.units import LengthUnit, decimals
from measure.voice import Measured

_SURE = 1.645
"""Standard uncertainties below a measured value that it exceeds with a chance of 0.95 (normal distribution)."""
_WHOLE = 1e-6
"""Relative: as near to a whole number as this is at it."""


@dataclass(frozen=True, eq=False)
class Building:
    """A row of structures: volume in mm3 of all `count` together; height in mm and floor in mm2 of one, if known.

    by_photos: row is the number of a structure that photos show and no table has.
    """

    row: int
    solid: StandingName
    count: int
    volume: Quantity | None
    height: Quantity | None = None
    floor: Quantity | None = None
    by_photos: bool = False

    @property
    def called(self) -> str:
        """`row 3`, `number 3 of the photos`."""
        return f"number {self.row} of the photos" if self.by_photos else f"row {self.row}"


@dataclass(frozen=True, eq=False)
class Housing:
    """A zone with its structures and their volume in mm3, None where it is not known."""

    zone: str
    volume: Quantity | None
    buildings: tuple[Building, ...] = ()


@dataclass(frozen=True)
class Settlement:
    """What the result file of one model says of its structures."""

    title: str
    team: str
    unit: LengthUnit
    zones: tuple[Housing, ...]


@dataclass(frozen=True)
class Taller:
    """All of a row's structures built higher: by how much each in mm, and that in storeys."""

    building: Building
    by: float
    storeys: int


@dataclass(frozen=True)
class More:
    """More structures like those of a row."""

    building: Building
    count: int


@dataclass(frozen=True, eq=False)
class Wanted:
    """Whether a zone holds a wanted number of people: missing is the volume in mm3 for it (0: none), surely the one
    that makes up for the uncertainty too.

    ways are what the missing volume is, or the sure one where it is too close to call.
    """

    verdict: Verdict
    missing: Quantity
    surely: float
    ways: tuple[Taller | More, ...]


def people(volume: Quantity, density: float) -> Quantity:
    """How many people a volume in mm3 holds at a density in people per mm3."""
    return volume * density


def whole_people(number: Measured) -> str:
    """Whole people, rounded to the uncertainty; of an exact volume the last started person does not fit."""
    if number.u95 < 1:
        return f"{math.floor(number.value * (1 + 1e-9) + 1e-9)}"
    return f"{round(number.value, min(0, decimals(number.u95))):.0f}"


def people_in_words(number: Measured) -> str:
    """Whole people with the uncertainty, where that is of a person or more: `1440 ± 50 people`."""
    u95 = f" ± {max(1.0, round(number.u95, min(0, decimals(number.u95)))):.0f}" if number.u95 >= 1 else ""
    return f"{whole_people(number)}{u95} people"


def wanted(zone: Housing, number: float, density: float, storey: float) -> Wanted | None:
    """What it takes for a zone to hold that many people, with storeys of a height in mm; None where it is not known."""
    if zone.volume is None:
        return None
    target = number / density
    held = people(zone.volume, density)
    verdict = verdict_of(chance_within(held, low=number))
    short = Quantity(target, zone.volume.sensitivity * 0.0) - zone.volume
    missing = short if short.value > _WHOLE * target else Quantity(0.0, short.sensitivity)
    surely = 0.0 if verdict == "met" else max(0.0, target + _SURE * zone.volume.u - zone.volume.value)
    amount = missing.value if verdict == "not met" else surely
    return Wanted(verdict, missing, surely, tuple(_ways(zone, amount, storey)))


def together(settlement: Settlement) -> Housing:
    """All zones as one; its volume is None where one zone's is."""
    volumes = [zone.volume for zone in settlement.zones if zone.volume is not None]
    buildings = tuple(building for zone in settlement.zones for building in zone.buildings)
    # A result file keeps no more of volumes than their uncertainty; those of two zones are independent.
    u95 = math.hypot(*(volume.u95 for volume in volumes))
    total = from_u95(sum(volume.value for volume in volumes), u95)
    return Housing("all zones together", total if len(volumes) == len(settlement.zones) else None, buildings)


def _ways(zone: Housing, missing: float, storey: float) -> Iterator[Taller | More]:
    if missing <= 0:
        return
    for building in zone.buildings:
        if building.volume is None or building.volume.value <= 0:
            continue
        if building.floor is not None and building.floor.value > 0:
            by = missing / (building.floor.value * building.count)
            yield Taller(building, by, _whole_number(by / storey))
        yield More(building, _whole_number(missing * building.count / building.volume.value))


def _whole_number(value: float) -> int:
    """The whole number that is enough."""
    return max(1, math.ceil(value * (1 - _WHOLE)))


def from_u95(value: float, u95: float) -> Quantity:
    """A quantity on its own, from a file."""
    return Quantity(value, np.array([u95 / 2.0]))

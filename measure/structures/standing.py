"""What stands on the land, from whatever source: a row of a team's table, or a structure that photos show."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from measure.plat.outline import norms
from measure.plat.seen_solid import SeenKind, SeenSolid
from measure.quantity import COVERAGE_FACTOR, Quantity
from measure.rules.verdict import Origin
from measure.structures.solid_volumes import SOLIDS, SolidName
from measure.structures.structure_rows import Structure

StandingName = SolidName | Literal["other"]
SOLID_OF: Mapping[SeenKind, StandingName] = {
    "box": "box",
    "prism": "triangular prism",
    "pyramid": "square pyramid",
    "cylinder": "cylinder",
    "cone": "cone",
    "other": "other",
}
"""What the table calls the solids that photos tell apart."""
MAY_BE: Mapping[SeenKind, tuple[SolidName, ...]] = {
    "box": ("cubes", "prism on outline"),
    "prism": ("half cylinder",),
    "pyramid": (),
    "cylinder": ("half cylinder", "prism on outline"),
    "cone": ("hemisphere",),
    "other": SOLIDS,
}
"""What else a solid may be that photos call so: they do not tell these from it."""
QUANTITIES = 4
"""Of a structure that photos show, each with an uncertainty of its own."""


@dataclass(frozen=True, eq=False)
class Seen:
    """A structure that photos show, its number from 1, and the zone that most of it stands in."""

    number: int
    zone: str | None
    solid: SeenSolid

    def called(self, name: SolidName) -> bool:
        """Whether it may be what a table calls by a name."""
        kind = self.solid.kind
        return name == SOLID_OF[kind] or name in MAY_BE[kind] or (name == "cube" and kind == "box")


@dataclass(frozen=True, eq=False)
class Standing:
    """`count` structures that are alike: one's height in mm, of all together the volume (mm3) and surfaces (mm2).

    may_be holds the other solids that it may be; pieces is how many structures it is: counted cubes are one.
    """

    zone: str | None
    solid: StandingName
    count: int
    pieces: int
    height: Quantity | None
    volume: Quantity | None
    surface: Quantity | None
    side_surface: Quantity | None
    origin: Origin
    may_be: tuple[SolidName, ...] = ()


def of_row(structure: Structure, count: int | None = None) -> Standing:
    """What a row of a table says; count of the row's structures, all of them where it is left out."""
    row = structure.row
    share = 1.0 if count is None else count / row.count

    def part(whole: Quantity | None) -> Quantity | None:
        return None if whole is None else whole * share

    return Standing(
        row.zone,
        row.solid,
        row.count if count is None else count,
        structure.pieces if count is None else count,
        structure.height,
        part(structure.volume),
        part(structure.surface(sides_only=False)),
        part(structure.surface(sides_only=True)),
        "hand",
    )


def of_seen(seen: Seen, first: int) -> Standing:
    """What photos show of a structure; its quantities' sources are numbered from first."""
    solid, name = seen.solid, SOLID_OF[seen.solid.kind]
    may_be: tuple[SolidName, ...] = MAY_BE[solid.kind]
    if name == "box" and _may_be_cube(solid):
        may_be = (*may_be, "cube")
    known = (solid.height, solid.volume, solid.surface, solid.side_surface)
    height, volume, surface, sides = (_own(quantity, first + at) for at, quantity in enumerate(known))
    return Standing(seen.zone, name, 1, 1, height, volume, surface, sides, solid.origin, may_be)


def in_zone_of_table(standing: Standing, structure: Structure) -> Standing:
    """The structure as it is, by the name and in the zone that the table has for it."""
    return replace(standing, zone=structure.row.zone, solid=structure.row.solid, may_be=())


def total(parts: Iterable[Quantity | None]) -> tuple[Quantity, bool]:
    """The sum of those that are known, and whether all are."""
    known = list(parts)
    return sum((part for part in known if part is not None), Quantity(0.0)), None not in known


def _own(quantity: Quantity | None, source: int) -> Quantity | None:
    """With a source of its own: nothing else moves with it."""
    if quantity is None:
        return None
    return Quantity(quantity.value, np.append(np.zeros(source), quantity.u))


def _may_be_cube(solid: SeenSolid) -> bool:
    """Whether a box's sides and its height may be equal, each side as uncertain as its floor says."""
    sides = list(_sides(solid))
    if solid.height is None or solid.floor.value <= 0:
        return True
    u = float(np.hypot(solid.floor.u / math.sqrt(solid.floor.value), solid.height.u)) * COVERAGE_FACTOR
    return all(abs(side - solid.height.value) <= u for side in sides)


def _sides(solid: SeenSolid) -> Iterator[float]:
    lengths = norms(np.roll(solid.footprint, -1, axis=0) - solid.footprint)
    yield from (float(length) for length in lengths[:2])

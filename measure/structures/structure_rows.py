"""A table of structures as it is read: its rows, each with the solid that it describes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from measure.notices import Notice
from measure.quantity import Quantity
from measure.ruler_readings import reading_u
from measure.structures.solid_volumes import SIZES, Size, Sizes, Solid, SolidName
from measure.teams import team_key
from measure.units import LengthUnit


@dataclass(frozen=True)
class StructureRow:
    """One row as read: its number in the file, sizes and division in mm (0: exact), the file's unit.

    team is empty where the file names none; piece counts from 1, None where the row does not say.
    """

    number: int
    team: str
    zone: str
    solid: SolidName
    sizes: Mapping[Size, float]
    unit: LengthUnit
    count: int
    division: float
    piece: int | None = None
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True)
class StructuresFile:
    """A table of structures, of one team or of all."""

    name: str
    rows: tuple[StructureRow, ...]
    notices: tuple[Notice, ...] = ()

    @property
    def teams(self) -> tuple[str, ...]:
        """The teams' names as first written; empty where the file names none."""
        named: dict[str, str] = {}
        for row in self.rows:
            named.setdefault(team_key(row.team), row.team)
        return tuple(name for key, name in named.items() if key)


@dataclass(frozen=True, eq=False)
class Structure:
    """A row with its solid: one of `count` alike; for counted cubes one cube. None where its outline is not known."""

    row: StructureRow
    solid: Solid | None

    @property
    def pieces(self) -> int:
        """How many structures the row is: counted cubes are one."""
        return 1 if self.row.solid == "cubes" else self.row.count

    @property
    def volume(self) -> Quantity | None:
        """Of all of them together, in mm3."""
        return None if self.solid is None else self.solid.volume * self.row.count

    @property
    def height(self) -> Quantity | None:
        """Of one, in mm; of counted cubes as stacked, where that was measured."""
        return None if self.solid is None else self.solid.height

    def surface(self, *, sides_only: bool) -> Quantity | None:
        """Of all of them together, in mm2; None for counted cubes: it depends on how they are stacked."""
        if self.solid is None:
            return None
        one = self.solid.lateral if sides_only else self.solid.surface
        return None if one is None else one * self.row.count


def readings(sizes: Mapping[Size, float], division: float, first: int) -> Sizes:
    """The sizes in mm with the uncertainty of reading each to the division; their sources are numbered from first."""
    u = reading_u(division)
    made: dict[Size, Quantity] = {}
    for name, size in sizes.items():
        moves = np.zeros(first + SIZES.index(name) + 1) if u else np.zeros(0)
        moves[-1:] = u
        made[name] = Quantity(size, moves)
    return made

"""What a result file holds of what stands on the land: rows of a table, and structures that photos show."""

from __future__ import annotations

from dataclasses import dataclass

from pydantic import PositiveInt, with_config

from measure.plat.seen_solid import HeightMark, SeenKind, SeenOrigin
from measure.result.result_values import FINITE, Place, Value
from measure.structures.solid_volumes import SolidName


@with_config(FINITE)
@dataclass(frozen=True)
class StructureResult:
    """One row of the structures' table."""

    row: int
    zone: str
    solid: SolidName
    count: PositiveInt = 1
    height: Value | None = None
    floor: Value | None = None
    volume: Value | None = None
    surface: Value | None = None
    side_surface: Value | None = None


@with_config(FINITE)
@dataclass(frozen=True)
class SeenStructure:
    """One structure as several photos show it; the file has it among `structures`, with origin as `from`.

    zone is None where it stands in none; height and what follows from it are None where the photos do not tell them.
    row is the row of the table that is the same structure, the two En numbers say how far its values are from these:
    (hand - photos) / sqrt(U_hand^2 + U_photos^2), above 1 either way where they disagree.  mark is what a height was
    marked by on one photo.
    """

    zone: str | None
    solid: SeenKind
    centre: Place
    footprint: tuple[Place, ...]
    floor: Value | None
    height: Value | None = None
    volume: Value | None = None
    surface: Value | None = None
    side_surface: Value | None = None
    origin: SeenOrigin = "photos"
    row: int | None = None
    en_height: float | None = None
    en_volume: float | None = None
    mark: HeightMark | None = None

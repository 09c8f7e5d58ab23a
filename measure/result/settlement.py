"""The structures that a result tells of, as buildings in mm in which people live."""

from __future__ import annotations

from measure.errors import InputMistakes, Mistake
from measure.quantity import Quantity
from measure.result.built_results import SeenStructure, StructureResult
from measure.result.result import Result, ZoneResult
from measure.result.result_values import Value
from measure.structures.people import Building, Housing, Settlement, from_u95
from measure.structures.standing import SOLID_OF
from measure.units import Unit, area_to_mm2, to_mm, volume_to_mm3

_ALIKE = ("box", "cylinder")
"""Solids all of whose storeys are alike."""


def settlement_of(result: Result) -> Settlement:
    """The structures in a result, zone by zone. Raises InputMistakes where it has none."""
    if not result.structures and not result.seen:
        do = "measure or check the model again with `--structures FILE.csv`, or with two or three photos"
        raise InputMistakes([Mistake("result.json", "there are no structures in this result", do)])
    zones = tuple(_housing(zone, result) for zone in result.zones if zone.kind == "zone" or _built(zone.name, result))
    return Settlement(result.title, result.team, result.unit, zones)


def _built(zone: str, result: Result) -> list[StructureResult]:
    return [structure for structure in result.structures if structure.zone == zone]


def _housing(zone: ZoneResult, result: Result) -> Housing:
    buildings = [_building(structure, result.unit) for structure in _built(zone.name, result)]
    seen = [(at, one) for at, one in enumerate(result.seen, 1) if one.zone == zone.name]
    alone = [(at, one) for at, one in seen if one.row is None and one.solid != "other"]
    buildings += [_seen_building(at, one, result.unit) for at, one in alone]
    return Housing(zone.name, _quantity(zone.volume, volume_to_mm3(1.0, result.unit)), tuple(buildings))


def _building(structure: StructureResult, unit: Unit) -> Building:
    return Building(
        structure.row,
        structure.solid,
        structure.count,
        _quantity(structure.volume, volume_to_mm3(1.0, unit)),
        _quantity(structure.height, to_mm(1.0, unit)),
        _quantity(structure.floor, area_to_mm2(1.0, unit)),
    )


def _seen_building(number: int, seen: SeenStructure, unit: Unit) -> Building:
    return Building(
        number,
        SOLID_OF[seen.solid],
        1,
        _quantity(seen.volume, volume_to_mm3(1.0, unit)),
        _quantity(seen.height, to_mm(1.0, unit)),
        _quantity(seen.floor, area_to_mm2(1.0, unit)) if seen.solid in _ALIKE else None,
        by_photos=True,
    )


def _quantity(measured: Value | None, scale: float) -> Quantity | None:
    return None if measured is None else from_u95(measured.value * scale, measured.u95 * scale)

"""The structures that a result tells of, as rules ask for them, where their table is not given again.

A result keeps of every row what was told by it, not the sizes that were read.  A row's volume, surfaces and height are
therefore taken as independent of each other; prisms on outlines are made anew on the outlines as they are now.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from measure.challenge import Challenge
from measure.notices import Notice
from measure.plat.measures import Measures
from measure.quantity import COVERAGE_FACTOR, Quantity
from measure.result.built_results import StructureResult
from measure.result.result import Result
from measure.result.result_values import Value
from measure.rules.language.zone_names import ZoneNames
from measure.structures.solid_volumes import Size, Solid
from measure.structures.structure_rows import Structure, StructureRow
from measure.structures.structures import TeamStructures, of_row, on_outline
from measure.units import area_to_mm2, to_mm, volume_to_mm3

_PER_ROW = 5
"""Quantities that a result keeps of a row."""
_SAME = 1e-9
"""Relative: two areas of one result are the same."""


def kept_structures(result: Result, challenge: Challenge, measures: Measures) -> TeamStructures | None:
    """The structures in a result, and what was remarked of their table; None where no table was counted for it."""
    if not result.structures and (result.seen or all(zone.volume is None for zone in result.zones)):
        return None
    names = ZoneNames({zone.name: zone.aliases for zone in challenge.zones})
    first, made, anew = measures.source_count(), list[Structure](), dict[int, str]()
    for at, kept in enumerate(result.structures):
        row = _row(kept, result, names)
        moves = first + at * _PER_ROW
        if kept.solid == "prism on outline" and kept.height is not None:
            solid, anew[row.number] = on_outline(row, measures, _quantity(kept.height, to_mm(1.0, result.unit), moves))
        else:
            solid = _solid(kept, result, moves)
        made.append(Structure(row, solid))
    return TeamStructures(tuple(made), tuple(_notices(result, anew, measures)))


def without_structures(result: Result) -> Result:
    """The result as if no table of structures had been counted; its rules' verdicts stay as they are."""
    return replace(result, structures=(), zones=tuple(replace(zone, volume=None) for zone in result.zones))


def is_of_table(notice: Notice) -> bool:
    """Whether a notice of a model is about its table of structures."""
    return bool(notice.subject.file)


def _row(kept: StructureResult, result: Result, names: ZoneNames) -> StructureRow:
    height: dict[Size, float] = {} if kept.height is None else {"height": to_mm(kept.height.value, result.unit)}
    zone, piece = names.named(kept.zone) or kept.zone, _piece(kept, result)
    return StructureRow(kept.row, result.team, zone, kept.solid, height, result.unit, kept.count, 0.0, piece)


def _piece(kept: StructureResult, result: Result) -> int | None:
    """On which of several pieces a prism stands: the one that has its floor's area; None where it is on each."""
    areas = [piece.area for zone in result.zones if zone.name == kept.zone for piece in zone.pieces]
    if kept.solid != "prism on outline" or kept.floor is None or len(areas) < 2:
        return None
    known = [area.value for area in areas if area is not None]
    if len(known) == len(areas) == kept.count and _same(sum(known) / len(known), kept.floor.value):
        return None
    return next((at for at, area in enumerate(areas, 1) if area and _same(area.value, kept.floor.value)), None)


def _same(a: float, b: float) -> bool:
    return math.isclose(a, b, rel_tol=_SAME)


def _solid(kept: StructureResult, result: Result, first: int) -> Solid | None:
    """One of the row's `count` solids: a result has their volume and surfaces together."""
    if kept.volume is None:
        return None
    cubic, square, one = volume_to_mm3(1.0, result.unit), area_to_mm2(1.0, result.unit), 1.0 / kept.count
    return Solid(
        _quantity(kept.volume, cubic * one, first),
        None if kept.side_surface is None else _quantity(kept.side_surface, square * one, first + 1),
        None if kept.surface is None else _quantity(kept.surface, square * one, first + 2),
        None if kept.height is None else _quantity(kept.height, to_mm(1.0, result.unit), first + 3),
        floor=None if kept.floor is None else _quantity(kept.floor, square, first + 4),
    )


def _quantity(kept: Value, scale: float, source: int) -> Quantity:
    """A value whose uncertainty is a source of its own."""
    if kept.u95 == 0:
        return Quantity(kept.value * scale)
    moves = np.zeros(source + 1)
    moves[source] = kept.u95 * scale / COVERAGE_FACTOR
    return Quantity(kept.value * scale, moves)


def _notices(result: Result, anew: dict[int, str], measures: Measures) -> Iterator[Notice]:
    """Those of the table, without what outlines that have changed since made of it."""
    areas = {zone.name: zone.area for zone in result.zones}
    for notice in filter(is_of_table, result.notices):
        row, zone = notice.subject.row, notice.subject.zone
        if notice.code == "base-does-not-fit":
            now, area = measures.area([zone]), areas.get(zone)
            if now and area and _same(now.value, area_to_mm2(area.value, result.unit)):
                yield notice
        elif row not in anew:
            yield notice
    file = next((notice.subject.file for notice in result.notices if is_of_table(notice)), "the structures")
    yield from (of_row(file, row, text) for row, text in anew.items() if text)

"""The structures that photos show, as a result file keeps them, and as a plat has them again."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from measure.plat.seen_solid import SeenSolid
from measure.quantity import COVERAGE_FACTOR, Quantity
from measure.result.built_results import SeenStructure
from measure.result.result import Result
from measure.result.result_values import Value
from measure.result.stated import area_in, length_in, number_of, places_in, volume_in
from measure.structures.built_structures import BuiltStructures
from measure.structures.pairing import Measure, Pair
from measure.units import Unit, area_to_mm2, to_mm, volume_to_mm3

_FARTHEST = 1e6


def seen_structures(built: BuiltStructures, unit: Unit) -> Iterator[SeenStructure]:
    """The structures that photos show, in the unit, each with the row of the table that is the same one."""
    pairs = {pair.seen.number: pair for pair in built.pairs}
    for one in built.seen:
        solid, pair = one.solid, pairs.get(one.number)
        yield SeenStructure(
            zone=one.zone,
            solid=solid.kind,
            centre=places_in(np.array([solid.centre]), unit)[0],
            footprint=places_in(solid.footprint, unit),
            floor=None if solid.kind == "other" else area_in(solid.floor, unit),
            height=length_in(solid.height, unit),
            volume=volume_in(solid.volume, unit),
            surface=area_in(solid.surface, unit),
            side_surface=area_in(solid.side_surface, unit),
            origin=solid.origin,
            row=None if pair is None else pair.row.row.number,
            en_height=_en(pair, "height"),
            en_volume=_en(pair, "volume"),
            mark=solid.mark,
        )


def _en(pair: Pair | None, measure: Measure) -> float | None:
    """Finite, as a file's numbers are: what has no uncertainty at all is as far apart as can be."""
    en = None if pair is None else pair.en(measure)
    return None if en is None else number_of(max(-_FARTHEST, min(_FARTHEST, en)))


def solids_in(result: Result) -> tuple[SeenSolid, ...]:
    """The structures that photos showed, in mm again."""
    unit = result.unit
    one, square, cubic = to_mm(1.0, unit), area_to_mm2(1.0, unit), volume_to_mm3(1.0, unit)
    return tuple(
        SeenSolid(
            seen.solid,
            np.array(seen.footprint, dtype=np.float64).reshape(-1, 2) * one,
            Quantity(0.0) if seen.floor is None else _certain(seen.floor, square),
            _quantity(seen.height, one),
            _quantity(seen.volume, cubic),
            _quantity(seen.surface, square),
            _quantity(seen.side_surface, square),
            seen.origin,
            seen.mark,
        )
        for seen in result.seen
    )


def _quantity(kept: Value | None, scale: float) -> Quantity | None:
    return None if kept is None else _certain(kept, scale)


def _certain(kept: Value, scale: float) -> Quantity:
    return Quantity(kept.value * scale, np.array([kept.u95 * scale / COVERAGE_FACTOR]))

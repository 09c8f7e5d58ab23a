"""The structures that photos show, as a result file keeps them, and as a plat has them again."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from measure.plat.plat import Plat
from measure.plat.seen_solid import SeenSolid
from measure.quantity import COVERAGE_FACTOR, Quantity
from measure.result.result import Result, SeenStructure
from measure.result.result_values import Value
from measure.result.stated import area_in, length_in, places_in, volume_in
from measure.units import Unit, area_to_mm2, to_mm, volume_to_mm3

MOST = 0.5
"""The share of its footprint that stands in a zone of which a structure is."""


def seen_structures(plat: Plat, unit: Unit) -> Iterator[SeenStructure]:
    """The structures of a plat in the unit, each in the zone that most of its footprint stands in."""
    lands = _lands(plat) if plat.solids else {}
    for solid in plat.solids:
        floor = area_in(solid.floor, unit)
        assert floor is not None
        yield SeenStructure(
            zone=_zone_under(solid, lands),
            solid=solid.kind,
            centre=places_in(np.array([solid.centre]), unit)[0],
            footprint=places_in(solid.footprint, unit),
            floor=floor,
            height=length_in(solid.height, unit),
            volume=volume_in(solid.volume, unit),
            surface=area_in(solid.surface, unit),
            side_surface=area_in(solid.side_surface, unit),
        )


def _lands(plat: Plat) -> dict[str, BaseGeometry]:
    """Every measured zone's land, along the tape's middle, in the plat's order."""
    found: dict[str, list[BaseGeometry]] = {}
    for p in plat.pieces:
        if p.status == "measured":
            shape = Polygon(p.ring.points, [hole.points for hole in p.holes]).buffer(0)
            found.setdefault(p.zone, []).append(shape)
    return {zone: unary_union(shapes) for zone, shapes in found.items()}


def _zone_under(solid: SeenSolid, lands: Mapping[str, BaseGeometry]) -> str | None:
    """The zone whose land holds most of a structure's footprint."""
    foot = Polygon(solid.footprint).buffer(0)
    shares = {zone: foot.intersection(land).area / max(foot.area, 1e-9) for zone, land in lands.items()}
    best = max(shares, key=lambda zone: shares[zone], default=None)
    return best if best is not None and shares[best] > MOST else None


def solids_in(result: Result) -> tuple[SeenSolid, ...]:
    """The structures that photos showed, in mm again."""
    unit = result.unit
    one, square, cubic = to_mm(1.0, unit), area_to_mm2(1.0, unit), volume_to_mm3(1.0, unit)
    return tuple(
        SeenSolid(
            seen.solid,
            np.array(seen.footprint, dtype=np.float64).reshape(-1, 2) * one,
            _certain(seen.floor, square),
            _quantity(seen.height, one),
            _quantity(seen.volume, cubic),
            _quantity(seen.surface, square),
            _quantity(seen.side_surface, square),
        )
        for seen in result.seen
    )


def _quantity(kept: Value | None, scale: float) -> Quantity | None:
    return None if kept is None else _certain(kept, scale)


def _certain(kept: Value, scale: float) -> Quantity:
    return Quantity(kept.value * scale, np.array([kept.u95 * scale / COVERAGE_FACTOR]))

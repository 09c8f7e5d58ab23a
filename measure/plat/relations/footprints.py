"""Where on the land the structures stand that photos show: in which zone, and how far from what."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from measure.plat.measures import Measures
from measure.plat.plat import Piece, Plat, Ring, signed_area
from measure.plat.seen_solid import SeenSolid
from measure.quantity import Quantity

MOST = 0.5
"""The share of its footprint that stands in a zone of which a structure is."""


def zones_under(plat: Plat, solids: Sequence[SeenSolid]) -> tuple[str | None, ...]:
    """The zone that holds most of each structure's footprint, along the tape's middle; None where none does."""
    lands = _lands(plat) if solids else {}
    return tuple(_zone_under(solid, lands) for solid in solids)


def zone_at(plat: Plat, x: float, y: float) -> str | None:
    """The zone that a place in mm lies in; None where it lies in none."""
    point = shapely.Point(x, y)
    return next((zone for zone, land in _lands(plat).items() if land.covers(point)), None)


def _lands(plat: Plat) -> dict[str, BaseGeometry]:
    """Every measured zone's land, along the tape's middle, in the plat's order."""
    found: dict[str, list[BaseGeometry]] = {}
    for p in plat.pieces:
        if p.status == "measured":
            shape = shapely.Polygon(p.ring.points, [hole.points for hole in p.holes]).buffer(0)
            found.setdefault(p.zone, []).append(shape)
    return {zone: shapely.union_all(shapes) for zone, shapes in found.items()}


def _zone_under(solid: SeenSolid, lands: dict[str, BaseGeometry]) -> str | None:
    foot = shapely.Polygon(solid.footprint).buffer(0)
    shares = {zone: foot.intersection(land).area / max(foot.area, 1e-9) for zone, land in lands.items()}
    best = max(shares, key=lambda zone: shares[zone], default=None)
    return best if best is not None and shares[best] > MOST else None


# ---- footprints measured like land

_PLACE, _FLATNESS = 0.7, 0.3
"""Standard uncertainties in mm of where a footprint lies as a whole, and of its edges beyond what its area says."""


def footprint_name(number: int) -> str:
    """What measures with footprints call that of a structure, numbered from 1; no zone can be called so."""
    return f"*footprint {number}"


def with_footprints(measures: Measures) -> Measures:
    """The measures of the plat's land and of its structures' footprints, each as one piece of a zone of its own.

    An edge of a footprint is as uncertain as its area says, u(area) / perimeter, and all of it may lie a little aside.
    """
    return measures.once(("footprints",), lambda: _with_footprints(measures))


def _with_footprints(measures: Measures) -> Measures:
    plat, first = measures.plat, measures.source_count()
    pieces = tuple(
        Piece(footprint_name(number), _ring(solid, first + 3 * (number - 1)), Quantity(0.0))
        for number, solid in enumerate(plat.solids, 1)
    )
    return replace(measures, plat=replace(plat, pieces=(*plat.pieces, *pieces)))


def _ring(solid: SeenSolid, first: int) -> Ring:
    """The footprint with three sources: it lies to the side, up or down, and is larger all round."""
    points = solid.footprint if signed_area(solid.footprint) > 0 else solid.footprint[::-1]
    sides = np.roll(points, -1, axis=0) - points
    lengths = np.maximum(np.hypot(sides[:, 0], sides[:, 1]), 1e-9)
    out = np.column_stack([sides[:, 1], -sides[:, 0]]) / lengths[:, None]
    grown = out + np.roll(out, 1, axis=0)
    grown /= np.maximum(1.0 + (out * np.roll(out, 1, axis=0)).sum(axis=1), 0.2)[:, None]
    moves = np.zeros((len(points), 2, first + 3))
    moves[:, 0, first] = moves[:, 1, first + 1] = _PLACE
    moves[:, :, first + 2] = grown * float(np.hypot(solid.floor.u / lengths.sum(), _FLATNESS))
    return Ring(points, moves)


def host_of(measures: Measures, number: int, among: Sequence[str]) -> str | None:
    """The one of some zones that a structure stands in most, or, where in none, the nearest; None without any."""
    plat = measures.plat
    lands = {zone: land for zone, land in _lands(plat).items() if zone in among}
    foot = shapely.Polygon(plat.solids[number - 1].footprint).buffer(0)

    def order(zone: str) -> tuple[float, float]:
        return -float(foot.intersection(lands[zone]).area), float(foot.distance(lands[zone]))

    return min(lands, key=order, default=None)


def reach_beyond(measures: Measures, number: int, zone: str) -> float:
    """How far in mm the farthest corner of a structure's footprint lies from a zone's land (tape's middle)."""
    land = _lands(measures.plat).get(zone)
    corners = shapely.points(measures.plat.solids[number - 1].footprint)
    return 0.0 if land is None else float(np.max(shapely.distance(corners, land)))

"""Where on the land the structures stand that photos show: in which zone."""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from shapely.geometry.base import BaseGeometry

from measure.plat.plat import Plat
from measure.plat.seen_solid import SeenSolid

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

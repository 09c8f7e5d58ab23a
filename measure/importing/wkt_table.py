"""Outlines as WKT in a CSV file with the columns `zone`, `wkt` and, optional, `u95`."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from measure.challenge import Challenge
from measure.csv_table import read_csv
from measure.errors import Mistake
from measure.file_content import Readable
from measure.importing.given_outlines import GivenOutline, corner_u, zone_named
from measure.plat.ring_validity import rings_of


def outlines_of_wkt(file: Readable, challenge: Challenge, mistakes: list[Mistake]) -> Iterator[GivenOutline]:
    """The outlines of all rows; what is wrong is added to the mistakes."""
    table = read_csv(file, ("zone", "wkt", "u95"), ("zone", "wkt"))
    for row in table.rows:
        where = table.where(row)
        zone = zone_named(row["zone"] or None, where, challenge, mistakes)
        u = corner_u(row["u95"] or None, where, challenge.unit, mistakes)
        named = f"{where}, zone {zone}" if zone else where
        for coordinates in _polygons(row["wkt"], where, mistakes):
            rings = rings_of(coordinates, named, challenge.unit, mistakes)
            if rings is not None and zone is not None and u is not None:
                yield GivenOutline(where, zone, rings, u)


def _polygons(wkt: str, where: str, mistakes: list[Mistake]) -> list[list[list[list[float]]]]:
    """The rings of a WKT text's polygons, as GeoJSON nests them."""
    try:
        with np.errstate(invalid="ignore"):  # nan is refused with the other coordinates, below
            shape = shapely.from_wkt(wkt)
    except shapely.errors.ShapelyError as error:
        why = "an outline is not closed" if "closed" in str(error) else "it cannot be read as WKT"
        do = "write POLYGON ((x y, x y, x y, x y)), the last point being the first again"
        mistakes.append(Mistake(where, why, do))
        return []
    if shape is None or shape.geom_type not in ("Polygon", "MultiPolygon") or shape.is_empty:
        kind = "nothing" if shape is None or shape.is_empty else shape.geom_type
        mistakes.append(Mistake(where, f"its outline is {kind}", "give a POLYGON or a MULTIPOLYGON"))
        return []
    parts = getattr(shape, "geoms", [shape])
    return [[[list(p) for p in ring.coords] for ring in (part.exterior, *part.interiors)] for part in parts]

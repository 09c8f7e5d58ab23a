"""Whether the structures fit into the measured outlines: a base that cannot is a slip of the ruler, or of the unit.

Of a base that fits into an outline three things are true: its area is no larger, the widest disc on it is no wider than
the widest in the outline, and its longest extent is no longer than the outline's.  What fails one of these by more than
the uncertainty of both is reported; a base that passes all three may still not fit.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

import numpy as np
import shapely

from measure.conformity import chance_within
from measure.notices import Fact, Notice, Subject
from measure.plat.measures import Measures
from measure.plat.outline import norms
from measure.quantity import COVERAGE_FACTOR, Quantity
from measure.structures.solid_volumes import Footprint
from measure.structures.structure_rows import Structure
from measure.units import MM_PER, LengthUnit

_UNLIKELY = 0.05
"""A base that fits with a smaller chance is reported."""
_SMALLER: Mapping[LengthUnit, LengthUnit] = {"ft": "in", "in": "cm", "cm": "mm"}
_DISC_STEP = 0.1
"""mm: how closely the widest disc of an outline is found."""


@dataclass(frozen=True, eq=False)
class _Room:
    """The most that the pieces of a zone offer: area in mm2, widest disc and longest extent in mm, u of such lengths.

    several says that there is more than one piece.
    """

    area: Quantity
    disc: float
    longest: float
    u: float
    several: bool


def fit_notices(file: str, structures: Iterable[Structure], measures: Measures) -> Iterator[Notice]:
    """A notice for every structure whose base cannot fit into its zone, with team, zone, row and the numbers."""
    placed = [structure for structure in structures if structure.solid and structure.solid.footprint]
    rooms = {zone: _room(zone, measures) for zone in {structure.row.zone for structure in placed}}
    for structure in placed:
        row, room = structure.row, rooms[structure.row.zone]
        if room is None or structure.solid is None or structure.solid.footprint is None:
            continue
        base = structure.solid.footprint
        problem = _problem(base, room)
        if problem is not None:
            facts: dict[str, Fact] = {"team": row.team, "solid": row.solid, "unit": row.unit, "several": room.several}
            facts |= {**problem, "fits_in": _other_unit(base, room, row.unit)}
            yield Notice("base-does-not-fit", Subject(row.zone, file=file, row=row.number), facts)


def _problem(base: Footprint, room: _Room) -> dict[str, Fact] | None:
    """What of the base does not fit: base and room in mm2 for an area, else in mm; None where all may."""
    if chance_within(base.area - room.area, high=0.0) < _UNLIKELY:
        mine, there = base.area, room.area
        return {"extent": "area", "base": mine.value, "base_u95": mine.u95, "room": there.value, "room_u95": there.u95}
    extents = ((base.disc, room.disc, "wide"), (base.longest, room.longest, "long"))
    for extent, most, word in extents:
        margin = COVERAGE_FACTOR * float(np.hypot(extent.u, room.u))
        if extent.value > most + margin:
            return {"extent": word, "base": extent.value, "base_u95": margin, "room": most, "room_u95": margin}
    return None


def _other_unit(base: Footprint, room: _Room, unit: LengthUnit) -> str:
    """The smaller unit in which the same numbers would fit; empty where there is none."""
    smaller = _SMALLER.get(unit)
    if smaller is None:
        return ""
    fits = base.area.value * (MM_PER[smaller] / MM_PER[unit]) ** 2 <= room.area.value
    return smaller if fits else ""


def _room(zone: str, measures: Measures) -> _Room | None:
    """None where a piece of the zone, or all of it, is not measured."""
    pieces = range(1, measures.count(zone) + 1)
    areas = [area for at in pieces if (area := measures.piece_area(zone, at)) is not None]
    outlines = [polygon for at in pieces for polygon in measures.edge_outlines(zone, at)]
    if not areas or not outlines or measures.unmeasured(zone):
        return None
    discs = [2 * float(shapely.maximum_inscribed_circle(p, tolerance=_DISC_STEP).length) for p in outlines]
    largest = max(areas, key=lambda area: area.value)
    longest = max(_longest(polygon) for polygon in outlines)
    return _Room(largest, max(discs) + 2 * _DISC_STEP, longest, _u(zone, measures), len(areas) > 1)


def _longest(polygon: shapely.Polygon) -> float:
    """The largest distance between two corners."""
    corners = shapely.get_coordinates(polygon.convex_hull)
    return max(float(norms(corners - corner).max()) for corner in corners)


def _u(zone: str, measures: Measures) -> float:
    """Standard uncertainty in mm of a length between two points of the outlines: that of the least certain corner."""
    moves = [piece.ring.sensitivity for piece in measures.pieces(zone)]
    corners = [float(np.sqrt((m**2).sum(axis=(1, 2)).max(initial=0.0))) for m in moves]
    return float(np.sqrt(2.0)) * max(corners, default=0.0)

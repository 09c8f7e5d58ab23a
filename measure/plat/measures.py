"""Everything that a rule may ask of a plat: areas, perimeters, separations, places, each with its uncertainty.

What counts:
- Pieces that are "not measurable" are left out of every measure but the count; `unmeasured` says how many there are.
- A zone's area is the union of its pieces: land that two of them claim counts once.  Pieces that touch in a corner or
  along a side stay two pieces, their areas and perimeters add.  A piece inside a hole of its own zone adds its land;
  makers of plats turn a same-tape ring inside a ring into a hole (measure.plat.plat.nested).
- A perimeter is the whole boundary of the land: holes' outlines are part of it, other zones inside are not.
- With `subtract`, the land of other zones wholly inside a piece (up to touch_gap beyond its outline) is no land of
  that piece, for its area, its separations, and its centre alike.
- To first order in the uncertainties (JCGM 100:2008, 5.2).  Where two zones abut, the area of their union is taken as
  overlapping or apart, whichever the outlines show.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal, TypeVar

import numpy as np
import shapely

from measure.plat import outline, regions
from measure.plat.offset import TapeEdge, region
from measure.plat.place import beyond, beyond_line, distance_from_point, extent, inside, least_rectangle
from measure.plat.plat import Piece, Plat, Ring
from measure.plat.regions import Region
from measure.plat.separation import Separation, between_regions, smallest
from measure.quantity import Quantity

__all__ = ["Edge", "Measures", "Separation", "TapeEdge"]

Edge = Literal["tape_edge", "middle", "inner", "outer"]
_PIECE = re.compile(r"(.+), piece (\d+)")
"""No zone's name has a comma in it."""
_Kept = TypeVar("_Kept")


def piece_name(zone: str, index: int) -> str:
    """The name by which one piece (from 1) is asked for as if it were a zone of its own."""
    return f"{zone}, piece {index}"


def piece_of(name: str) -> tuple[str, int | None]:
    """The zone that a name means, and the piece where it means one."""
    found = _PIECE.fullmatch(name)
    return (found[1], int(found[2])) if found else (name, None)


def pieces_of(name: str, measures: Measures) -> tuple[str, ...]:
    """The names of a zone's pieces; of a piece its own."""
    if piece_of(name)[1] is not None:
        return (name,)
    return tuple(piece_name(name, index) for index in range(1, measures.count(name) + 1))


@dataclass(frozen=True, eq=False)
class Measures:
    """The measures of one plat along one line of its tape; each is worked out once.

    Where a zone is named, piece_name may name one of its pieces; its index then is 1.

    touch_gap is in mm; subtract names the zones whose enclosed zones are taken off.
    """

    plat: Plat
    tape_edge: TapeEdge = "middle"
    touch_gap: float = 3.0
    subtract: frozenset[str] = frozenset()
    _known: dict[tuple[Any, ...], Any] = field(default_factory=dict, init=False, repr=False)

    def all_pieces(self, zone: str) -> tuple[Piece, ...]:
        """Every piece of the zone, in the plat's order: piece 1 first."""
        whole, index = piece_of(zone)
        found = tuple(piece for piece in self.plat.pieces if piece.zone == whole)
        return found if index is None else found[index - 1 : index]

    def pieces(self, zone: str) -> tuple[Piece, ...]:
        """The zone's measured pieces."""
        return tuple(piece for piece in self.all_pieces(zone) if piece.status == "measured")

    def count(self, zone: str) -> int:
        """How many pieces there are, the ones that are not measurable included: their tape is there."""
        return len(self.all_pieces(zone))

    def unmeasured(self, zone: str) -> int:
        """How many of the zone's pieces are not measurable, and so are missing in its other measures."""
        return self.count(zone) - len(self.pieces(zone))

    def unseen(self, zone: str) -> int:
        """How many of the unmeasured ones only stand for a zone that may be there or not: they have no outline."""
        return sum(piece.status != "measured" and not len(piece.ring.points) for piece in self.all_pieces(zone))

    def area(self, zones: Sequence[str]) -> Quantity | None:
        """Area in mm2 of the union of the zones along tape_edge; None where one has no measured piece."""
        return self.once(("area", *zones), lambda: self._area(zones, self.tape_edge))

    def perimeter(self, zone: str) -> Quantity | None:
        """Length in mm of the boundaries of all pieces along tape_edge; None without a measured piece."""
        found = [self.piece_perimeter(zone, index) for index in self._indices(zone)]
        return sum((p for p in found if p is not None), Quantity(0.0)) if found else None

    def piece_area(self, zone: str, index: int) -> Quantity | None:
        """Area in mm2 of one piece (from 1) along tape_edge; None where it is not measurable."""
        land = self._land(zone, index, self.tape_edge)
        return None if land is None else outline.area(land.sides)

    def piece_perimeter(self, zone: str, index: int) -> Quantity | None:
        """Length in mm of one piece's boundary (from 1) along tape_edge; None where it is not measurable."""
        whole = self._whole(zone, index, self.tape_edge)
        return None if whole is None else outline.perimeter(whole.sides)

    def edge_outlines(self, zone: str, index: int) -> tuple[shapely.Polygon, ...]:
        """What one piece (from 1) encloses along tape_edge: mostly one polygon, none where tape covers all of it."""
        whole = self._whole(zone, index, self.tape_edge)
        return () if whole is None else tuple(regions.polygons_of(whole.geometry))

    def separation(self, a: str, b: str, *, edge: Edge = "tape_edge") -> Separation | None:
        """The signed separation of two zones in mm, negative: penetration depth; None without measured pieces.

        See measure.plat.separation for what that means.  Raises ValueError where a and b are the same zone.
        """
        if a == b:
            raise ValueError(f"a separation is between two zones, not {a} and itself")
        line = self.tape_edge if edge == "tape_edge" else edge
        return self.once(("separation", a, b, line), lambda: self._separation(a, b, line))

    def overlap(self, a: str, b: str) -> Separation | None:
        """The signed separation along the tapes' middles, negative where the zones overlap."""
        return self.separation(a, b, edge="middle")

    def edge_clearance(self, zone: str) -> Separation | None:
        """The smallest distance in mm from the outline along tape_edge to the parcel's edge, negative beyond it.

        None without a measured piece, and where the place on the parcel is unknown.
        """
        return self.once(("clearance", zone), lambda: self._inside(zone, self.tape_edge))

    def inside_parcel(self, zone: str) -> Separation | None:
        """Like edge_clearance, of the tape's middle: positive where the zone is inside by that much."""
        return self.once(("inside", zone), lambda: self._inside(zone, "middle"))

    def centre_offset(self, zone: str, target: tuple[float, float]) -> Quantity | None:
        """Distance in mm of the zone's centroid (tape's middle) from a point; None where the place is unknown."""
        land = self._zone(zone, "middle")
        if land is None or land.empty or self.plat.frame == "card":
            return None
        return distance_from_point(outline.centroid(land.sides), target)

    def centroid_along(self, zone: str, way: tuple[float, float]) -> Quantity | None:
        """How far in mm along a unit vector from the origin the zone's centroid (tape's middle) lies."""
        land = self._placed(zone)
        if land is None:
            return None
        x, y = outline.centroid(land.sides)
        return x * way[0] + y * way[1]

    def ahead_of_line(self, zone: str, way: tuple[float, float], line: float) -> Separation | None:
        """How far in mm a zone (tape's middle) lies beyond the line at right angles to a way; negative before it."""
        land = self._placed(zone)
        return None if land is None else smallest(beyond_line(land.sides, way, line, (zone, 1)))

    def ahead(self, zone: str, other: str, way: tuple[float, float]) -> Separation | None:
        """How far in mm all of a zone lies beyond all of another along a unit vector; negative where not."""
        return self.once(("ahead", zone, other, *way), lambda: self._ahead(zone, other, way))

    def _ahead(self, zone: str, other: str, way: tuple[float, float]) -> Separation | None:
        land, behind = self._placed(zone), self._placed(other)
        if land is None or behind is None:
            return None
        return smallest(beyond(land.sides, behind.sides, way, ((zone, 1), (other, 1))))

    def containment(self, zone: str, *hosts: str) -> Separation | None:
        """How far in mm a zone stays within others' outlines (tape's middle); negative: how far it reaches out."""
        land, wholes = (
            self._zone(zone, "middle"),
            [self._whole(h, i, "middle") for h in hosts for i in self._indices(h)],
        )
        there = [whole for whole in wholes if whole is not None and not whole.empty]
        if land is None or land.empty or not there:
            return None
        around = regions.surroundings([land, *there])
        return smallest(between_regions(land, regions.difference(around, there), ((zone, 1), (hosts[0], 1))))

    def rectangle(self, zone: str) -> tuple[Quantity, Quantity] | None:
        """Length and width in mm of the enclosing rectangle of least area, along tape_edge; None without a piece."""
        land = self._zone(zone, self.tape_edge)
        return None if land is None or land.empty else least_rectangle(land.geometry, land.sides)

    def extent(self, zone: str) -> tuple[Quantity, Quantity] | None:
        """Width and height in mm of the zone's bounding box along the parcel's sides (tape's middle), or None."""
        land = self._zone(zone, "middle")
        if land is None or land.empty or self.plat.frame == "card":
            return None
        return extent(land.sides)

    def enclosed(self, zone: str) -> tuple[str, ...]:
        """The other zones that have a piece wholly inside one of this zone's."""
        inside_it = (other for index in self._indices(zone) for other, _ in self._enclosed(zone, index))
        return tuple(dict.fromkeys(inside_it))

    def land(self, zones: Sequence[str], edge: Edge = "tape_edge") -> Region | None:
        """The union of the zones' land along a line of the tape; None where one has no measured piece."""
        line = self.tape_edge if edge == "tape_edge" else edge
        return self.once(("lands", line, *zones), lambda: self._lands(tuple(dict.fromkeys(zones)), line))

    def _lands(self, zones: Sequence[str], line: TapeEdge) -> Region | None:
        parts = [self._zone(zone, line) for zone in zones]
        there = [part for part in parts if part is not None]
        return regions.union(there, there[0].sources) if there and len(there) == len(parts) else None

    def _placed(self, zone: str) -> Region | None:
        """A zone's land along the tape's middle where its place on the parcel is known."""
        land = self._zone(zone, "middle")
        return None if land is None or land.empty or self.plat.frame == "card" else land

    def once(self, key: tuple[Any, ...], work: Callable[[], _Kept]) -> _Kept:
        """What the work makes, worked out at the first call with this key."""
        if key not in self._known:
            self._known[key] = work()
        kept: _Kept = self._known[key]
        return kept

    def _indices(self, zone: str) -> tuple[int, ...]:
        """The numbers, from 1, of the measured pieces."""
        return tuple(i for i, piece in enumerate(self.all_pieces(zone), 1) if piece.status == "measured")

    def _zones(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(piece.zone for piece in self.plat.pieces))

    def source_count(self) -> int:
        """How many sources the longest sensitivity has; sources from elsewhere are numbered from there."""
        rings = [ring for piece in self.plat.pieces for ring in (piece.ring, *piece.holes)]
        rings += [self.plat.parcel] if self.plat.parcel else []
        known = [len(self.plat.sources), *(ring.sensitivity.shape[-1] for ring in rings)]
        return max(0, *map(int, known), *(len(piece.tape_width.sensitivity) for piece in self.plat.pieces))

    def _whole(self, zone: str, index: int, edge: TapeEdge) -> Region | None:
        """What one piece encloses, other zones inside it or not."""
        piece = self.all_pieces(zone)[index - 1]
        if piece.status != "measured":
            return None
        sources = self.once(("sources",), self.source_count)
        return self.once(("whole", zone, index, edge), lambda: region(piece, edge, sources))

    def _land(self, zone: str, index: int, edge: TapeEdge) -> Region | None:
        """What one piece holds: without the enclosed zones, where they are to be subtracted."""
        whole = self._whole(zone, index, edge)
        if whole is None or piece_of(zone)[0] not in self.subtract:
            return whole
        others = [self._whole(other, at, edge) for other, at in self._enclosed(zone, index)]
        there = [other for other in others if other is not None and not other.empty]
        return self.once(("land", zone, index, edge), lambda: regions.difference(whole, there) if there else whole)

    def _enclosed(self, zone: str, index: int) -> tuple[tuple[str, int], ...]:
        """The measured pieces of other zones wholly inside this one."""
        host = self._whole(zone, index, "middle")
        if host is None:
            return ()
        reach = shapely.buffer(host.geometry, self.touch_gap, join_style="mitre")
        own = piece_of(zone)[0]
        candidates = ((other, at) for other in self._zones() if other != own for at in self._indices(other))
        return tuple(pair for pair in candidates if self._is_within(self._whole(*pair, "middle"), host, reach))

    @staticmethod
    def _is_within(other: Region | None, host: Region, reach: shapely.Geometry) -> bool:
        """Smaller, too: of two zones laid on the same line neither is inside the other."""
        if other is None or other.empty or other.geometry.area >= host.geometry.area:
            return False
        return bool(reach.covers(other.geometry)) and bool(host.geometry.intersection(other.geometry).area > 0)

    def _zone(self, zone: str, edge: TapeEdge) -> Region | None:
        """All the land of a zone; None without a measured piece."""
        parts = [self._land(zone, index, edge) for index in self._indices(zone)]
        there = [part for part in parts if part is not None]
        if not there:
            return None
        return self.once(("zone", zone, edge), lambda: regions.union(there, there[0].sources))

    def _area(self, zones: Sequence[str], edge: TapeEdge) -> Quantity | None:
        land = self.land(zones, edge)
        return None if land is None else outline.area(land.sides)

    def _separation(self, a: str, b: str, edge: TapeEdge) -> Separation | None:
        found = []
        for i in self._indices(a):
            for j in self._indices(b):
                first, second = self._land(a, i, edge), self._land(b, j, edge)
                if first is not None and second is not None:
                    found += between_regions(first, second, ((a, i), (b, j)))
        return smallest(found)

    def _inside(self, zone: str, edge: TapeEdge) -> Separation | None:
        parcel = self.parcel_sides()
        if parcel is None:
            return None
        wholes = ((index, self._whole(zone, index, edge)) for index in self._indices(zone))
        there = [(index, whole) for index, whole in wholes if whole is not None]
        return smallest(place for index, whole in there for place in inside(whole.sides, parcel, (zone, index)))

    def parcel_sides(self) -> outline.Sides | None:
        """The parcel's sides: as measured, else as stated; None where nothing ties the frame to the parcel."""
        if self.plat.frame == "card":
            return None
        width, depth = self.plat.width, self.plat.depth
        stated = np.array([[0.0, 0.0], [width, 0.0], [width, depth], [0.0, depth]])
        ring = self.plat.parcel or Ring(stated, np.zeros((4, 2, 0)))
        return outline.ring_sides(ring, self.once(("sources",), self.source_count))

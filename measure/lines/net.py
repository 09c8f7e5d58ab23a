"""What the lines of a plat reach, what hangs together over them, and in how many separate ways."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import partial
from itertools import combinations

import numpy as np
import shapely

from measure.lines.bottleneck import bottleneck
from measure.lines.line_crossing import crossing_of
from measure.lines.line_gaps import end_gap, gap_to_line, gaps_to_region, meetings, own_meetings
from measure.lines.net_graph import Contact, Junction, Near, NetGraph
from measure.lines.track import Track, track_of
from measure.plat.measures import Edge, Measures, piece_of, pieces_of
from measure.plat.outline import Sides
from measure.plat.plat import LinePiece
from measure.plat.regions import Region
from measure.quantity import Quantity

_STANDS_ON = 0.5
"""The share of its footprint that stands in a zone of which a structure is."""
Bridges = tuple[tuple[Junction, Junction], ...]
"""Ends that are joined under something."""


@dataclass(frozen=True, eq=False)
class Joining:
    """The widest gap in mm on the best way that joins several zones (or makes so many ways), and where it is.

    near is None where no gap is on the way.
    """

    gap: Quantity
    near: Near | None


def net_of(measures: Measures) -> Net:
    """The lines of a plat, the same for every rule that asks."""
    return measures.once(("net",), lambda: Net(measures))


@dataclass(frozen=True, eq=False)
class Net:
    """The lines of one plat against its zones and each other; each answer is worked out once."""

    measures: Measures
    _known: dict[str, tuple[Track, ...]] = field(default_factory=dict, init=False, repr=False)

    def pieces(self, line: str) -> tuple[LinePiece, ...]:
        """The pieces of a line, in the plat's order."""
        return tuple(piece for piece in self.measures.plat.lines if piece.line == line)

    def unread(self, line: str) -> bool:
        """Whether nothing is known of a line: it may be there or not."""
        return line in self.measures.plat.unread_lines

    def length(self, line: str) -> Quantity | None:
        """The length in mm of all pieces of a line; None where it has none."""
        lengths = [piece.length for piece in self.pieces(line)]
        return sum(lengths[1:], lengths[0]) if lengths else None

    def gaps(self, line: str, zone: str, edge: Edge = "outer") -> tuple[Near, ...]:
        """The gaps of every piece of a line to every piece of a zone and structure on it, the smallest first."""
        return self.measures.once(("line gaps", line, zone, edge), lambda: self._gaps(line, zone, edge))

    def end_gaps(self, line: str, number: int, zone: str) -> tuple[Near, ...]:
        """The gaps of the start and the end of a piece (from 1) to a zone's tape or structures, the smaller of all."""
        track = self.tracks(line)[number - 1]
        regions = self._regions(zone, "outer")
        ends = (0, 1) if regions else ()
        found = ([(end_gap(track, which, region), of) for region, of in regions] for which in ends)
        least = (min(of_end, key=lambda one: one[0].gap.value) for of_end in found)
        return tuple(Near(touch, ((line, number), of)) for touch, of in least)

    def crossings(self, line: str, other: str) -> tuple[Near, ...]:
        """How far every piece of a line and every one of another go on beyond each other, the farthest first."""
        found = [
            Near(crossing_of(track, far), ((line, at), (other, to)))
            for at, track in enumerate(self.tracks(line), 1)
            for to, far in enumerate(self.tracks(other), 1)
        ]
        return tuple(sorted(found, key=lambda near: -near.gap.value))

    def joining(self, line: str, zones: Sequence[str]) -> tuple[Joining, ...] | None:
        """The gap that one net of a line must bridge to reach all the zones, once for each way that it could go on.

        None where none could.
        """
        return self._bottlenecks(line, tuple(zones), 0)

    def ways(self, line: str, start: str, end: str, count: int) -> tuple[Joining, ...] | None:
        """The gap that must be bridged so that there are so many ways from a zone to another that share no stretch."""
        return self._bottlenecks(line, (start, end), count)

    def nets(self, line: str) -> tuple[tuple[int, ...], ...]:
        """The pieces (from 1) of a line that hang together as measured, within touch_gap of each other."""
        tracks, groups = self.tracks(line), [{at} for at in range(len(self.tracks(line)))]
        for a, b in combinations(range(len(tracks)), 2):
            mine, theirs = (next(group for group in groups if at in group) for at in (a, b))
            if mine is not theirs and gap_to_line(tracks[a], tracks[b]).gap.value <= self.measures.touch_gap:
                groups.remove(theirs)
                mine |= theirs
        return tuple(tuple(at + 1 for at in sorted(group)) for group in groups)

    def tracks(self, line: str) -> tuple[Track, ...]:
        """The pieces of a line as tracks."""
        if line not in self._known:
            sources = self.measures.once(("sources",), self.measures.source_count)
            self._known[line] = tuple(track_of(piece, sources) for piece in self.pieces(line))
        return self._known[line]

    # ---- steps

    def _gaps(self, line: str, zone: str, edge: Edge) -> tuple[Near, ...]:
        found = [
            Near(touch, ((line, at), of))
            for at, track in enumerate(self.tracks(line), 1)
            for region, of in self._regions(zone, edge)
            for touch in gaps_to_region(track, region)
        ]
        return tuple(sorted(found, key=lambda near: near.gap.value))

    def _regions(self, zone: str, edge: Edge) -> list[tuple[Region, tuple[str, int]]]:
        """The land of every piece of a zone, and what its structures stand on, each with the piece that it is of."""
        return self.measures.once(("line regions", zone, edge), lambda: self._made_regions(zone, edge))

    def _made_regions(self, zone: str, edge: Edge) -> list[tuple[Region, tuple[str, int]]]:
        found = []
        for name in pieces_of(zone, self.measures):
            land, (whole, number) = self.measures.land((name,), edge), piece_of(name)
            if land is None or land.empty:
                continue
            of = (whole, number or 0)
            found.append((land, of))
            feet = (shapely.Polygon(solid.footprint).buffer(0) for solid in self.measures.plat.solids)
            on_it = (foot for foot in feet if foot.intersection(land.geometry).area > _STANDS_ON * foot.area)
            found += [(_still(foot, land.sources), of) for foot in on_it if foot.geom_type == "Polygon"]
        return found

    def _bottlenecks(self, line: str, zones: tuple[str, ...], ways: int) -> tuple[Joining, ...] | None:
        contacts = self._contacts(line, zones)
        gaps = [contact.near.gap for contact in contacts]
        limit, found = self.measures.touch_gap, []
        for bridges in self._bridges(line):
            graph = NetGraph(self.tracks(line), contacts, bridges)
            holds = partial(graph.joins, zones) if not ways else partial(graph.has_ways, zones[0], zones[1], ways)
            least = bottleneck(gaps, limit, holds)
            if least is not None:
                gap, at = least
                found.append(Joining(gap, contacts[at].near if at >= 0 else None))
        return tuple(found) if len(found) == len(self._bridges(line)) else None

    def _contacts(self, line: str, zones: Iterable[str]) -> list[Contact]:
        """Where pieces may hang together, with themselves too, and where they may reach the zones."""
        tracks = self.tracks(line)
        found = []
        for a, b in combinations(range(len(tracks)), 2):
            for touch in meetings(tracks[a], tracks[b]):
                near = Near(touch, ((line, a + 1), (line, b + 1)))
                found.append(Contact(near, (a, touch.along), (b, touch.along_other)))
        for at, track in enumerate(tracks):
            for touch in own_meetings(track):
                near = Near(touch, ((line, at + 1), (line, at + 1)))
                found.append(Contact(near, (at, touch.along), (at, touch.along_other)))
        for zone in dict.fromkeys(zones):
            for region, of in self._regions(zone, "outer"):
                for at, track in enumerate(tracks):
                    ends = [end_gap(track, which, region) for which in ((0, 1) if not track.closed else ())]
                    for touch in (*ends, *gaps_to_region(track, region)):
                        found.append(Contact(Near(touch, ((line, at + 1), of)), (at, touch.along), zone))
        return found

    def _bridges(self, line: str) -> list[Bridges]:
        """The ends that are joined, for each way in which a line could go on; one way where that is plain."""
        numbers = {id(piece): at for at, piece in enumerate(self.pieces(line))}
        every: list[Bridges] = [()]
        for doubt in self.measures.plat.line_doubts:
            if doubt.line == line:
                ends = [(numbers[id(self.measures.plat.lines[at])], which) for at, which in doubt.ends]
                places = [(at, self.tracks(line)[at].length if which else 0.0) for at, which in ends]
                ways = [tuple((places[a], places[b]) for a, b in way) for way in doubt.ways]
                every = [(*before, *way) for before in every for way in ways]
        return every


def _still(foot: shapely.Polygon, sources: int) -> Region:
    """What a structure stands on; the photos do not say how it hangs together with lines and tape."""
    starts = shapely.get_coordinates(foot.normalize().exterior)[:-1]
    still = np.zeros((len(starts), 2, sources))
    return Region(foot, Sides(starts, np.roll(starts, -1, axis=0), still, still))

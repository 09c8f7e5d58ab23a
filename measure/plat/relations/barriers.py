"""Land that lies across every way between two others: which gaps of it have to be closed for that."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

_BRIDGE = 0.01
"""mm: half as wide is what closes a gap."""
_LEAST = 1.0
"""mm2: less land than this is none that anything lies on."""
Link = tuple[int, int | str]
"""A gap: from a piece to another one, or to a side of the parcel, `0` to `3` from the top clockwise."""


@dataclass(frozen=True)
class Barrier:
    """The pieces of the land that is to lie across, the gaps between them and to the parcel's sides, and its size.

    All in mm, in the parcel's frame; a gap is below 0 where they overlap.
    """

    pieces: Sequence[BaseGeometry]
    gaps: Mapping[Link, float]
    size: tuple[float, float]

    def side(self, name: str) -> BaseGeometry:
        """A side of the parcel as a line."""
        w, d = self.size
        ends = {"0": [(0, 0), (w, 0)], "1": [(w, 0), (w, d)], "2": [(0, d), (w, d)], "3": [(0, 0), (0, d)]}
        return shapely.LineString(ends[name])

    def bridge(self, link: Link) -> BaseGeometry:
        """What closes a gap."""
        at, to = link
        other = self.side(to) if isinstance(to, str) else self.pieces[to]
        return shapely.shortest_line(self.pieces[at], other).buffer(_BRIDGE)

    def free(self, links: Sequence[Link]) -> list[BaseGeometry]:
        """The rest of the parcel, part by part, with these gaps closed."""
        closed = shapely.union_all([*self.pieces, *(self.bridge(link) for link in links)])
        rest = shapely.box(0.0, 0.0, *self.size).difference(closed)
        return [part for part in shapely.get_parts(rest).tolist() if part.area > _LEAST]


def closing(barrier: Barrier, first: BaseGeometry, second: BaseGeometry) -> tuple[Link, ...] | None:
    """The gaps to be closed so that no way leads from the first land to the second; None where none do.

    Of all such sets one whose widest gap is the smallest, without what it does not need.
    """
    in_order = sorted(barrier.gaps, key=lambda link: barrier.gaps[link])
    if not _parted(barrier.free(in_order), first, second):
        return None
    low, high = 0, len(in_order)  # parted with the first `high` of them
    while low < high:
        middle = (low + high) // 2
        if _parted(barrier.free(in_order[:middle]), first, second):
            high = middle
        else:
            low = middle + 1
    needed = [link for link in in_order[:high] if barrier.gaps[link] > 0]
    for link in tuple(needed):
        without = [each for each in needed if each != link]
        if _parted(barrier.free(without), first, second):
            needed = without
    closed_already = [link for link in in_order if barrier.gaps[link] <= 0]
    return (*needed, *closed_already)


def _parted(free: Sequence[BaseGeometry], first: BaseGeometry, second: BaseGeometry) -> bool:
    """Whether both lie on free land, and no part of it holds some of both."""
    on = [[part.intersection(land).area > _LEAST for land in (first, second)] for part in free]
    there = all(any(row[at] for row in on) for at in range(2))
    return there and not any(all(row) for row in on)

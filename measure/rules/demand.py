"""What rules demand of a layout, one inequality at a time, in mm and mm2.

A rule that speaks of several zones gives several demands.  Zones of a plan lie side by side, so the area of a union is
the sum of the areas.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

AreaOrPerimeter = Literal["area", "perimeter"]


@dataclass(frozen=True)
class Size:
    """(the sum of `of` less the sum of `minus`) over the sum of `per`, where there is any, lies from low to high.

    low and high are in mm2 (perimeters: mm); of a ratio plain numbers.
    """

    size: AreaOrPerimeter
    of: tuple[str, ...]
    low: float | None
    high: float | None
    strict: bool = False
    minus: tuple[str, ...] = ()
    per: tuple[str, ...] = ()

    @property
    def zones(self) -> tuple[str, ...]:
        """The zones that must be there."""
        return tuple(dict.fromkeys((*self.of, *self.minus, *self.per)))


@dataclass(frozen=True)
class Gap:
    """The smallest gap between two zones, in mm. touching: the limit is the tape's touch gap, not the rule's."""

    a: str
    b: str
    low: float | None
    high: float | None
    strict: bool = False
    touching: bool = False

    @property
    def zones(self) -> tuple[str, ...]:
        """The zones that must be there."""
        return (self.a, self.b)


@dataclass(frozen=True)
class Sharing:
    """Two zones overlap (share True), or do not."""

    a: str
    b: str
    share: bool

    @property
    def zones(self) -> tuple[str, ...]:
        """The zones that must be there."""
        return (self.a, self.b)


@dataclass(frozen=True)
class Edge:
    """The smallest distance of a zone from the parcel's edge, in mm."""

    zone: str
    low: float | None
    high: float | None
    strict: bool = False

    @property
    def zones(self) -> tuple[str, ...]:
        """The zone that must be there."""
        return (self.zone,)


@dataclass(frozen=True)
class Centre:
    """The distance of a zone's centroid from a point, in mm."""

    zone: str
    at: tuple[float, float]
    low: float | None
    high: float | None
    strict: bool = False

    @property
    def zones(self) -> tuple[str, ...]:
        """The zone that must be there."""
        return (self.zone,)


@dataclass(frozen=True)
class Count:
    """How many pieces a zone has; high None: any number. A zone that may have none need not be there."""

    zone: str
    low: int
    high: int | None

    @property
    def zones(self) -> tuple[str, ...]:
        """The zone, where it must be there."""
        return (self.zone,) if self.low > 0 else ()


@dataclass(frozen=True)
class Nearer:
    """The smallest gap of a zone to `near` is smaller than that to `far`."""

    zone: str
    near: str
    far: str

    @property
    def zones(self) -> tuple[str, ...]:
        """The zones that must be there."""
        return (self.zone, self.near, self.far)


@dataclass(frozen=True)
class Ahead:
    """All of a zone lies beyond all of another along a unit vector along one of the parcel's sides."""

    zone: str
    behind: str
    way: tuple[float, float]

    @property
    def zones(self) -> tuple[str, ...]:
        """The zones that must be there."""
        return (self.zone, self.behind)


@dataclass(frozen=True)
class InHalf:
    """All of a zone lies at least so many mm from the origin along a unit vector along one of the parcel's sides."""

    zone: str
    way: tuple[float, float]
    line: float

    @property
    def zones(self) -> tuple[str, ...]:
        """The zone that must be there."""
        return (self.zone,)


Demand = Size | Gap | Sharing | Edge | Centre | Count | Nearer | Ahead | InHalf


@dataclass(frozen=True)
class Volume:
    """The structures on all of these zones together (none: on the whole model) hold at least low mm3."""

    of: tuple[str, ...]
    low: float


@dataclass(frozen=True)
class Height:
    """No structure on these zones (none: anywhere) is taller than high mm."""

    of: tuple[str, ...]
    high: float


DemandOnStructures = Volume | Height

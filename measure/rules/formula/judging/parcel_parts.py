"""Halves, thirds, quarters and points of the parcel, in its frame (x right, y down, mm)."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from measure.rules.compass import directions
from measure.rules.setting import SettingParcel

_BEYOND = 1000.0
"""mm: a part of the parcel goes on so far beyond the parcel's edge."""
_MIDDLE = "middle third from "
Plane = tuple[tuple[float, float], float]


@dataclass(frozen=True)
class Box:
    """A rectangle along the parcel's sides: from x, y to x, y; None where it ends at the parcel's edge."""

    left: float | None = None
    top: float | None = None
    right: float | None = None
    bottom: float | None = None
    width: float = 0.0
    depth: float = 0.0

    @property
    def wide(self) -> tuple[float, float, float, float]:
        """Its ends, well beyond the parcel where it ends at the edge."""
        return (
            -_BEYOND if self.left is None else self.left,
            -_BEYOND if self.top is None else self.top,
            self.width + _BEYOND if self.right is None else self.right,
            self.depth + _BEYOND if self.bottom is None else self.bottom,
        )


def box_of(region: str, parcel: SettingParcel) -> Box:
    """The part of a name: `north half`, `north-west corner`, `south third`, `middle third from west to east`."""
    box = Box(width=parcel.width, depth=parcel.depth)
    if region.startswith(_MIDDLE):
        first, last = region.removeprefix(_MIDDLE).split(" to ")
        ways = (*directions(first, parcel.north), *directions(last, parcel.north))
        return _kept(_kept(box, ways[0], 2 / 3), ways[1], 2 / 3)
    name, what = region.rsplit(" ", 1)
    share = 1 / 3 if what == "third" else 1 / 2
    for way in directions(name, parcel.north):
        box = _kept(box, way, share)
    return box


def planes_of(box: Box) -> Iterator[Plane]:
    """The lines that bound it inside the parcel: a unit vector inwards, and how far along it the line lies."""
    if box.left is not None:
        yield (1.0, 0.0), box.left
    if box.right is not None:
        yield (-1.0, 0.0), -box.right
    if box.top is not None:
        yield (0.0, 1.0), box.top
    if box.bottom is not None:
        yield (0.0, -1.0), -box.bottom


def point_of(corner: str, parcel: SettingParcel) -> tuple[float, float]:
    """A corner of the parcel (`north-west`), or its centre."""
    x, y = parcel.width / 2, parcel.depth / 2
    for right, down in directions(corner, parcel.north) if corner else ():
        x, y = x + right * parcel.width / 2, y + down * parcel.depth / 2
    return x, y


def _kept(box: Box, way: tuple[float, float], share: float) -> Box:
    """What lies furthest along a way, so much of the parcel."""
    x, y = way
    if x > 0.5:
        return replace(box, left=box.width * (1 - share))
    if x < -0.5:
        return replace(box, right=box.width * share)
    return replace(box, top=box.depth * (1 - share)) if y > 0.5 else replace(box, bottom=box.depth * share)

"""Compass directions on the parcel: which way they point in its frame (x right, y down)."""

from __future__ import annotations

from typing import Literal

Top = Literal["top", "right", "bottom", "left"]
"""The side of the parcel that is north."""
Point = tuple[float, float]
_CLOCKWISE: tuple[Point, ...] = ((0.0, -1.0), (1.0, 0.0), (0.0, 1.0), (-1.0, 0.0))
_SIDES: tuple[Top, ...] = ("top", "right", "bottom", "left")
_COMPASS = ("north", "east", "south", "west")


def directions(name: str, north: Top) -> tuple[Point, ...]:
    """Unit vectors of `north`, of both parts of `north-west`, or of a side of the picture such as `left`."""
    turn = _SIDES.index(north)
    made = []
    for part in name.split("-"):
        if part in _COMPASS:
            made.append(_CLOCKWISE[(_COMPASS.index(part) + turn) % 4])
        else:
            made.append(_CLOCKWISE[[str(side) for side in _SIDES].index(part)])
    return tuple(made)

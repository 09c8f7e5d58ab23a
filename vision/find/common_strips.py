"""Outlines that hold the tiles of two zones, parted by the strip of tape between them.

Two zones of one tape may share a strip.  Where something hides a part of it, or paper of its colour touches it on both
sides, no area closes at it; yet two tiles in one outline say that there are two zones, and the strip says where.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
import shapely.ops
from shapely.geometry import LineString, Point, Polygon

from vision.find.borrowed_sides import OpenTape
from vision.find.closing import (
    BAND,
    LEAST_INSIDE,
    LONGEST_BRIDGE,
    SPARE,
    not_along,
    over_bare,
    profile,
    straightened,
)
from vision.find.rough_outlines import Found
from vision.find.strips import Strip, merge_collinear

LEAST_SHOWN = 0.6
"""Share of the strip, clear of the outline's own tape, on which tape shows; its ends reach the outline, whatever lies
between.
"""


def parted(found: Sequence[Found], own: OpenTape) -> list[Found]:
    """The outlines, with those of this tape that hold two of its tiles parted where a strip between them shows it."""
    done: list[Found] = []
    todo = list(found)
    while todo:
        outline = todo.pop(0)
        halves = _halves(outline, [*done, *todo], own) if outline.swatch == own.swatch else None
        if halves:
            todo += halves
        else:
            done.append(outline)
    return done


def _halves(outline: Found, others: Sequence[Found], own: OpenTape) -> list[Found] | None:
    """Both parts of an outline that holds two zones; None where it is one, or nothing shows where they part."""
    land = Polygon(outline.corners)
    smaller = [Polygon(f.corners) for f in others if f.swatch == own.swatch and Polygon(f.corners).area < land.area]
    tiles = [Point(t) for t in own.tiles if land.contains(Point(t)) and not any(s.contains(Point(t)) for s in smaller)]
    if len(tiles) < 2 or outline.curved or outline.borrowed or not land.is_valid:
        return None
    bands = [s for s in own.strips if s.paired]
    inside = not_along(bands, [outline.corners], own.width)
    whole = merge_collinear(inside, own.width, own.tape, LONGEST_BRIDGE, over_ground=True)
    for strip in sorted(whole, key=lambda s: -s.length):
        line = _across(strip, land, own)
        parts = [p for p in shapely.ops.split(land, line).geoms if p.geom_type == "Polygon"] if line else []
        if len(parts) == 2 and all(_is_zone(p, tiles, own) for p in parts):
            return [replace(outline, corners=straightened(np.asarray(p.exterior.coords)[:-1])) for p in parts]
    return None


def _across(strip: Strip, land: Polygon, own: OpenTape) -> LineString | None:
    """A strip prolonged to an outline's sides; None where it does not reach them, or too little of it shows."""
    far = np.array([strip.low - LONGEST_BRIDGE, strip.high + LONGEST_BRIDGE])
    crossed = LineString(strip.at(far)).intersection(land)
    if crossed.geom_type != "LineString" or crossed.is_empty:
        return None
    at = np.sort((shapely.get_coordinates(crossed) - strip.origin) @ strip.direction)
    missing = (strip.low - at[0], at[1] - strip.high)
    if any(over_bare(strip, end, gap - own.width / 2, own.tape) for end, gap in enumerate(missing)):
        return None
    clear = LineString(strip.at(at + own.width / 2 * np.array([1.0, -1.0])))
    shown, band = profile(clear, own.width, own.tape)
    if shown.mean() < LEAST_SHOWN or band[shown].mean() < BAND:
        return None
    return LineString(strip.at(at + SPARE * np.array([-1.0, 1.0])))


def _is_zone(part: Polygon, tiles: Sequence[Point], own: OpenTape) -> bool:
    """Whether a part holds a tile and has room inside its tape."""
    roomy = not part.buffer(-own.width / 2 - LEAST_INSIDE / 2).is_empty
    return roomy and any(part.contains(tile) for tile in tiles)

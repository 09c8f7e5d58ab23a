"""Which zone an outline belongs to: by its tape, and by the zone tile that lies in it where zones share a tape."""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from shapely.geometry import Polygon

from calib.plane import Plane
from calib.printed import ZONE_TAGS
from calib.tags import TagSquare
from vision.outlines import TapeSpec
from vision.pieces import Found


def name_outlines(
    found: Sequence[Found], plane: Plane, tags: Sequence[TagSquare], tapes: Sequence[TapeSpec]
) -> tuple[list[tuple[Found, str]], list[str]]:
    """Pairs of outline and zone, and warnings about outlines that cannot be told apart."""
    tiles = {t.tag: shapely.Point(plane.camera.locate(t.corners).mean(axis=0)) for t in tags if t.tag in ZONE_TAGS}
    named, warnings = [], []
    for outline in found:
        zone = _zone(outline, found, tiles, tapes)
        if zone is None:
            warnings.append(f"an outline in the tape of box {outline.swatch} has no zone tile in it and is left out")
        else:
            named.append((outline, zone))
    known = {t.tile for t in tapes if t.tile is not None}
    warnings += [f"zone tile {tag} is no zone's of this challenge" for tag in tiles if tag not in known]
    return named, warnings


def _zone(
    outline: Found, found: Sequence[Found], tiles: dict[int, shapely.Point], tapes: Sequence[TapeSpec]
) -> str | None:
    """The zone of the tile innermost in this outline, else the only zone of this tape that needs no tile."""
    own = [t for t in tapes if t.swatch == outline.swatch]
    by_tile = [t.zone for t in own if t.tile in tiles and _innermost(tiles[t.tile], found, outline.swatch) is outline]
    if by_tile:
        return by_tile[0]
    without = [t.zone for t in own if t.tile is None]
    if len(own) == 1:
        return own[0].zone
    return without[0] if len(without) == 1 else None


def _innermost(tile: shapely.Point, found: Sequence[Found], swatch: int) -> Found | None:
    around = [f for f in found if f.swatch == swatch and Polygon(f.corners).contains(tile)]
    return min(around, key=lambda f: Polygon(f.corners).area, default=None)

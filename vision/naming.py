"""Which zone an outline belongs to: by its tape, and by the zone tile that lies in it where zones share a tape."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import shapely
from shapely.geometry import Polygon

from calib.edges import FloatArray
from calib.estimate.plane import Plane
from calib.printed import ZONE_TAGS
from calib.prints.tags import TagSquare
from vision.find.doubts import Doubt
from vision.find.rough_outlines import Borrowed, Found
from vision.fit.inner_support import outer_edge_alone
from vision.picture.remarks import Remark, remark
from vision.picture.traced import TapeSpec

EDGES = ("top", "right", "bottom", "left")


def name_outlines(
    found: Sequence[Found], plane: Plane, tags: Sequence[TagSquare], tapes: Sequence[TapeSpec]
) -> tuple[list[tuple[Found, str]], list[Remark]]:
    """Pairs of outline and zone, and remarks on outlines that cannot be told apart."""
    tiles = {tag: shapely.Point(place) for tag, place in tile_places(tags, plane).items()}
    zones = [(outline, _zone(outline, found, tiles, tapes)) for outline in found]
    named = [(outline, zone) for outline, zone in zones if zone is not None]
    nameless = [outline for outline, zone in zones if zone is None and not _tiles_in(outline, found, tiles, tapes)]
    remarks = [remark("no-zone-tile", swatch=outline.swatch) for outline in nameless]
    known = {t.tile for t in tapes if t.tile is not None}
    remarks += [remark("unknown-zone-tile", tile=tag) for tag in tiles if tag not in known]
    return named, remarks


def unsure(
    named: Sequence[tuple[Found, str]],
    found: Sequence[Found],
    tags: Sequence[TagSquare],
    tapes: Sequence[TapeSpec],
    alike: Sequence[tuple[int, int]],
) -> list[Remark]:
    """Of zones that may be there although no outline is theirs, by their tile, or by tapes that look alike: why."""
    there, shown = {zone for _, zone in named}, {t.tag for t in tags}
    unknown = []
    for tape in (t for t in tapes if t.tile is not None and t.zone not in there):
        if tape.tile in shown:
            unknown.append(remark("tile-in-no-outline", tape.zone))
        elif _left_out(tape.swatch, named, found):
            unknown.append(remark("tile-not-seen", tape.zone))
    return [*unknown, *_like_found(named, tapes, alike)]


def not_measured(
    doubts: Sequence[Doubt],
    surely: Sequence[Remark],
    named: Sequence[tuple[Found, str]],
    tapes: Sequence[TapeSpec],
    swallowed: Sequence[int],
    *,
    besides: Sequence[Remark],
    in_sight: bool,
) -> list[Remark]:
    """Why zones are not measured: what is known surely, the last of it about a zone, in place of all doubts about it.

    besides: other doubts; in_sight: whether the photo tells where the parcel ends.
    """
    doubted = [*doubted_zones(doubts, named, tapes), *besides]
    doubted += in_ground(named, doubted, tapes, swallowed)
    if not in_sight:
        doubted += out_of_sight(named, doubted, tapes)
    told = {said.zone: said for said in surely}
    return [*(said for said in doubted if said.zone not in told), *told.values()]


def doubted_zones(
    doubts: Sequence[Doubt], named: Sequence[tuple[Found, str]], tapes: Sequence[TapeSpec]
) -> list[Remark]:
    """Of zones that doubts are about, why: those of the tape that have no outline, or its only one."""
    there = {zone for _, zone in named}
    remarks = []
    for doubt in doubts:
        own = [t.zone for t in tapes if t.swatch == doubt.swatch]
        about = [zone for zone in own if zone not in there] or (own if len(own) == 1 else [])
        remarks += [Remark(doubt.why, zone, facts=(("side", doubt.side),) if doubt.side else ()) for zone in about]
    return list(dict.fromkeys(remarks))


def out_of_sight(
    named: Sequence[tuple[Found, str]], doubted: Sequence[Remark], tapes: Sequence[TapeSpec]
) -> list[Remark]:
    """Of zones without an outline or a doubt, where the photo does not tell where the parcel ends."""
    return [remark("zone-out-of-sight", tape.zone) for tape in _missing(named, doubted, tapes)]


def in_ground(
    named: Sequence[tuple[Found, str]],
    doubted: Sequence[Remark],
    tapes: Sequence[TapeSpec],
    swallowed: Sequence[int],
) -> list[Remark]:
    """Of zones without an outline or a doubt whose tape is not told from what covers much of the picture."""
    missing = _missing(named, doubted, tapes)
    return [remark("paper-of-its-colour", tape.zone) for tape in missing if tape.swatch in swallowed]


def like_board(named: Sequence[tuple[Found, str]], tapes: Sequence[TapeSpec], alike: Sequence[int]) -> list[Remark]:
    """Of zones without an outline whose tape looks like the board, by its swatch among those alike."""
    there = {zone for _, zone in named}
    return [remark("like-board", tape.zone) for tape in tapes if tape.swatch in alike and tape.zone not in there]


def without_board(
    found: Sequence[Found], doubts: Sequence[Doubt], tapes: Sequence[TapeSpec], alike: Sequence[int]
) -> list[Found]:
    """The outlines but those of tapes that look like the board, of which more shows than their zones' outlines."""
    doubted = {doubt.swatch for doubt in doubts}
    zones, pieces = (Counter(of.swatch for of in every) for every in (tapes, found))
    lost = {swatch for swatch in alike if swatch in doubted or pieces[swatch] > zones[swatch]}
    return [f for f in found if f.swatch not in lost]


def _missing(
    named: Sequence[tuple[Found, str]], doubted: Sequence[Remark], tapes: Sequence[TapeSpec]
) -> list[TapeSpec]:
    known = {zone for _, zone in named} | {doubt.zone for doubt in doubted}
    return [tape for tape in tapes if tape.zone not in known]


def _like_found(
    named: Sequence[tuple[Found, str]], tapes: Sequence[TapeSpec], alike: Sequence[tuple[int, int]]
) -> list[Remark]:
    """Of zones without an outline whose tape looks like one that has some: one of those may be theirs."""
    there, shown = {zone for _, zone in named}, {outline.swatch for outline, _ in named}
    lost = {one for pair in alike for one, other in (pair, pair[::-1]) if other in shown and one not in shown}
    return [remark("like-unread-tape", tape.zone) for tape in tapes if tape.swatch in lost and tape.zone not in there]


def _left_out(swatch: int, named: Sequence[tuple[Found, str]], found: Sequence[Found]) -> bool:
    """Whether some outline of this tape has no name."""
    return sum(f.swatch == swatch for f in found) > sum(f.swatch == swatch for f, _ in named)


def tile_places(tags: Sequence[TagSquare], plane: Plane) -> dict[int, FloatArray]:
    """Where each zone tile's middle (2,) lies, mm, by its tag."""
    return {t.tag: plane.camera.locate(t.corners).mean(axis=0) for t in tags if t.tag in ZONE_TAGS}


def what_bounds(named: Sequence[tuple[Found, str]]) -> list[Remark]:
    """Remarks on sides that have no tape of the zone's own, and on tape of which the inner edge does not show."""
    found = []
    for outline, zone in named:
        for b in outline.borrowed:
            if b.lender is None:
                found.append(remark("parcel-edge-bounds", zone, edge=EDGES[b.edge]))
            else:
                found.append(remark("shared-strip", zone, other=_owner(outline, b, named)))
    found += [remark("laid-partly-over", zone) for outline, zone in named if outline.doubled]
    return list(dict.fromkeys([*found, *_seen_from_outside(named)]))


def _seen_from_outside(named: Sequence[tuple[Found, str]]) -> list[Remark]:
    said = [remark("width-doubtful", zone) for outline, zone in named if outline.width_doubtful]
    said += [
        remark("outer-edge-alone", zone, sides=int(alone.sum()), of=len(alone))
        for outline, zone in named
        if not outline.width_doubtful and (alone := outer_edge_alone(outline)).any()
    ]
    return said


def _owner(outline: Found, borrowed: Borrowed, named: Sequence[tuple[Found, str]]) -> str:
    """The zone of the outline whose strip another one's side is; empty where none is named."""
    i = borrowed.side
    middle = shapely.Point((outline.corners[i] + outline.corners[(i + 1) % len(outline.corners)]) / 2)
    others = [(f, z) for f, z in named if f is not outline and borrowed.lender and f.swatch == borrowed.lender.swatch]
    nearest = min(others, key=lambda other: Polygon(other[0].corners).exterior.distance(middle), default=None)
    return nearest[1] if nearest else ""


def _zone(
    outline: Found, found: Sequence[Found], tiles: dict[int, shapely.Point], tapes: Sequence[TapeSpec]
) -> str | None:
    """The zone of the tile innermost in this outline, else the only zone of this tape that needs no tile.

    None also where two tiles lie in it: a strip between them has not been found.
    """
    own = [t for t in tapes if t.swatch == outline.swatch]
    by_tile = _tiles_in(outline, found, tiles, tapes)
    if by_tile:
        return by_tile[0] if len(by_tile) == 1 else None
    without = [t.zone for t in own if t.tile is None]
    if len(own) == 1:
        return own[0].zone
    return without[0] if len(without) == 1 else None


def _tiles_in(
    outline: Found, found: Sequence[Found], tiles: dict[int, shapely.Point], tapes: Sequence[TapeSpec]
) -> list[str]:
    """The zones of the tape whose tiles lie in this outline and in no smaller one."""
    own = [t for t in tapes if t.swatch == outline.swatch]
    return [t.zone for t in own if t.tile in tiles and _innermost(tiles[t.tile], found, outline.swatch) is outline]


def _innermost(tile: shapely.Point, found: Sequence[Found], swatch: int) -> Found | None:
    around = [f for f in found if f.swatch == swatch and Polygon(f.corners).contains(tile)]
    return min(around, key=lambda f: Polygon(f.corners).area, default=None)

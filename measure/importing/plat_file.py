"""Outlines from elsewhere as a plat: GeoJSON's shape, WKT rows in a CSV file, or a result file.

Coordinates are in the parcel's frame and the challenge's unit.  A corner's u95 (k = 2) holds for x and y alike, each by
itself; 0 where the file gives none.  Such an outline is the line that bounds the zone: it has no tape, so that its
inner and outer edges are the same.  A result file gives the plat that was measured (see measure.result.result_plat).
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import shapely

from measure.challenge import Challenge
from measure.content_kinds import WORDS, kind_of
from measure.errors import InputMistakes, Mistake
from measure.file_content import Readable, bytes_of
from measure.importing.geojson import outlines_of_geojson
from measure.importing.given_lines import GivenLine, line_pieces, lines_of_geojson
from measure.importing.given_outlines import GivenOutline, zone_named
from measure.importing.wkt_table import outlines_of_wkt
from measure.name_folding import folded
from measure.notices import Fact, Notice, Subject
from measure.plat.plat import Piece, Plat, Source, nested, normalised, ordered
from measure.plat.ring_validity import rings_of
from measure.quantity import Quantity
from measure.result.result import Result, parse_result
from measure.result.result_plat import plat_of
from measure.units import Unit

_MOST_BYTES = 20_000_000
_FORMAT = "tapeplat/result-"
_PLATS = ("result", "outlines", "outline table", "other JSON", "empty")
_GIVE_PLAT = "give a result.json, or outlines as GeoJSON or as a table with WKT"
OTHER_PARCEL = "other-parcel"
_SAME_PARCEL = 0.01
"""mm."""


@dataclass(frozen=True, eq=False)
class PlatFile:
    """A plat from a file, and the whole result where the file is a result file."""

    plat: Plat
    result: Result | None = None


def read_plat(file: Readable, challenge: Challenge) -> Plat:
    """The plat in a file. Raises InputMistakes with everything that is wrong with it, each with its place."""
    return read_plat_file(file, challenge).plat


def read_plat_file(file: Readable, challenge: Challenge) -> PlatFile:
    """The plat in a file, and what else a result file says. Raises InputMistakes as read_plat does."""
    text = _text(file)
    _check_kind(file.name, text.encode("utf-8", "replace"))
    content = _json(text, file.name) if text.lstrip().startswith("{") else None
    if content is not None and str(content.get("format", "")).startswith(_FORMAT):
        result = parse_result(text, file.name)
        return PlatFile(plat_of_result(result, challenge), result)
    mistakes: list[Mistake] = []
    lines = list[GivenLine]()
    if content is None:
        outlines = list(outlines_of_wkt(file, challenge, mistakes))
    else:
        outlines = list(outlines_of_geojson(content, challenge, mistakes))
        lines = list(lines_of_geojson(content, challenge, mistakes))
    if mistakes:
        raise InputMistakes(mistakes)
    if not outlines and not lines:
        raise InputMistakes([Mistake(file.name, "there is no outline in it", "give at least one zone's outline")])
    return PlatFile(_plat(outlines, challenge, lines))


def plat_of_geojson(content: dict[str, Any], challenge: Challenge) -> Plat:
    """The plat in a GeoJSON FeatureCollection. Raises InputMistakes as read_plat does; no outline is no mistake."""
    mistakes: list[Mistake] = []
    outlines = list(outlines_of_geojson(content, challenge, mistakes))
    lines = list(lines_of_geojson(content, challenge, mistakes))
    if mistakes:
        raise InputMistakes(mistakes)
    return _plat(outlines, challenge, lines)


def _text(file: Readable) -> str:
    try:
        data = bytes_of(file, _MOST_BYTES)
    except OSError as error:
        raise InputMistakes([Mistake(file.name, f"it cannot be read ({error.strerror or error})")]) from error
    if data is None:
        raise InputMistakes([Mistake(file.name, "the file is too large for a plat", "give the outlines alone")])
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        _check_kind(file.name, data)
        raise InputMistakes([Mistake(file.name, "it is no UTF-8 text", "save it as GeoJSON or CSV")]) from error


def _check_kind(name: str, content: bytes) -> None:
    """Raise InputMistakes for a file that is known to be something else."""
    kind = kind_of(content)
    if kind is not None and kind not in _PLATS:
        raise InputMistakes([Mistake(name, f"this is {WORDS[kind]}, and no plat", _GIVE_PLAT)])


def _json(text: str, name: str) -> dict[str, Any]:
    do = "write it again from your program"
    try:
        content: dict[str, Any] = json.loads(text)
    except json.JSONDecodeError as error:
        place = f"{name}, line {error.lineno}"
        raise InputMistakes([Mistake(place, f"it is no JSON: {error.msg}", do)]) from error
    except (ValueError, RecursionError) as error:
        raise InputMistakes([Mistake(name, "it is no JSON that can be read", do)]) from error
    return content


def plat_of_result(result: Result, challenge: Challenge) -> Plat:
    """The result's plat, its outlines checked like any other's and its zones named as the challenge names them.

    Raises InputMistakes as read_plat does.
    """
    mistakes: list[Mistake] = []
    names = {z.name: zone_named(z.name, "zones", challenge, mistakes) for z in result.zones if z.pieces}
    for zone in result.zones:
        for number, piece in enumerate(zone.pieces, 1):
            if piece.status == "measured":
                closed = [[list(point) for point in (*ring, *ring[:1])] for ring in (piece.outline, *piece.holes)]
                rings_of(closed, f"piece {number} of {zone.name}", result.unit, mistakes)
    if mistakes:
        raise InputMistakes(mistakes)
    plat = plat_of(result)
    named = [replace(_normal(piece), zone=names[piece.zone] or piece.zone) for piece in plat.pieces]
    parcel = challenge.parcel
    notices = tuple(_about_parcel(plat, result.unit, challenge))
    pieces = ordered(nested(named))
    known = {folded(name): line.name for line in challenge.lines for name in (line.name, *line.aliases)}
    lines = tuple(replace(piece, line=known.get(folded(piece.line), piece.line)) for piece in plat.lines)
    doubts = tuple(replace(doubt, line=known.get(folded(doubt.line), doubt.line)) for doubt in plat.line_doubts)
    unread = tuple(known.get(folded(line), line) for line in plat.unread_lines)
    return replace(
        plat,
        width=parcel.width,
        depth=parcel.depth,
        pieces=pieces,
        notices=notices,
        lines=lines,
        line_doubts=doubts,
        unread_lines=unread,
    )


def _about_parcel(plat: Plat, unit: Unit, challenge: Challenge) -> Iterator[Notice]:
    """The plat's notices, and one where the challenge has another parcel than that on which the model was measured.

    A result that was judged since by another challenge says in its own notice what was measured.
    """
    parcel, told = challenge.parcel, [notice for notice in plat.notices if notice.code == OTHER_PARCEL]
    yield from (notice for notice in plat.notices if notice.code != OTHER_PARCEL)
    measured: dict[str, Fact] = {"measured_width": plat.width, "measured_depth": plat.depth, "measured_unit": unit}
    measured = next((notice.facts for notice in told if notice.facts), measured)
    width, depth = float(measured["measured_width"]), float(measured["measured_depth"])  # type: ignore[arg-type]
    if max(abs(width - parcel.width), abs(depth - parcel.depth)) > _SAME_PARCEL:
        now: dict[str, Fact] = {"width": parcel.width, "depth": parcel.depth, "unit": challenge.unit}
        yield Notice(OTHER_PARCEL, facts={**measured, **now})
    elif told and not told[-1].facts:  # an earlier version did not say what was measured
        yield told[-1]


def _normal(piece: Piece) -> Piece:
    """A file edited by hand may start its outlines anywhere."""
    if piece.status != "measured":
        return piece
    rings = (piece.ring, *piece.holes)
    made = [normalised(r.points, r.sensitivity, curved=r.curved, inferred=r.inferred, taped=r.taped) for r in rings]
    return replace(piece, ring=made[0], holes=tuple(made[1:]))


def _plat(outlines: Iterable[GivenOutline], challenge: Challenge, given_lines: Iterable[GivenLine]) -> Plat:
    """Every ring's corners with their own sources; the parcel is taken as stated."""
    given = list(outlines)
    total = sum(2 * len(ring) for outline in given if outline.u > 0 for ring in outline.rings)
    pieces, sources = [], list[Source]()
    for outline in given:
        rings = []
        for ring in outline.rings:
            moves = np.zeros((2 * len(ring), total))
            if outline.u > 0:
                own = np.arange(2 * len(ring))
                moves[own, len(sources) + own] = outline.u
                sources += [Source(f"{outline.where}: corner {at // 2 + 1} {'xy'[at % 2]}", "given") for at in own]
            rings.append(normalised(ring, moves.reshape(len(ring), 2, total)))
        pieces.append(Piece(outline.zone, rings[0], Quantity(0.0), tuple(rings[1:])))
    lines = line_pieces(given_lines, challenge, sources)
    parcel, made = challenge.parcel, ordered(nested(pieces))
    beyond = _beyond(made, challenge)
    return Plat(parcel.width, parcel.depth, made, tuple(sources), "given", notices=beyond, lines=lines)


def _beyond(pieces: Iterable[Piece], challenge: Challenge) -> tuple[Notice, ...]:
    """A notice where outlines leave the parcel: such a file may have another unit, or another origin."""
    parcel = shapely.box(0.0, 0.0, challenge.parcel.width, challenge.parcel.depth).buffer(_SAME_PARCEL)
    zones = dict.fromkeys(p.zone for p in pieces if not parcel.covers(shapely.Polygon(p.ring.points)))
    return tuple(Notice("beyond-parcel", Subject(zone), {"unit": challenge.unit}) for zone in zones)

"""Outlines from elsewhere as a plat: GeoJSON's shape, WKT rows in a CSV file, or a result file.

Coordinates are in the parcel's frame and the challenge's unit.  A corner's u95 (k = 2) holds for x and y alike, each by
itself; 0 where the file gives none.  A result file keeps each piece's uncertainty but not how those of different pieces
hang together, so that a comparison of two areas comes out less certain than it was from the photo.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path
from typing import Any

import numpy as np
import shapely

from measure.challenge import Challenge
from measure.csv_table import read_csv
from measure.errors import InputMistakes, Mistake
from measure.plat import Piece, Plat, Ring, Source, nested, normalised, ordered
from measure.quantity import COVERAGE_FACTOR, FloatArray, Quantity
from measure.units import MM_PER, Unit, from_mm

_MOST_BYTES = 20_000_000
_FORMAT = "tapeplat/result-"


@dataclass(frozen=True, eq=False)
class _Outline:
    """One polygon as read: where it stands in the file, its zone, rings (n, 2) in mm, and a corner's u in mm."""

    where: str
    zone: str
    rings: tuple[FloatArray, ...]
    u: float
    tape_width: float = 0.0
    measurable: bool = True


def read_plat(path: Path, challenge: Challenge) -> Plat:
    """The plat in a file. Raises InputMistakes with everything that is wrong with it, each with its place."""
    text = _text(path)
    mistakes: list[Mistake] = []
    outlines = list(_outlines(text, path, challenge, mistakes))
    if mistakes:
        raise InputMistakes(mistakes)
    if not outlines:
        raise InputMistakes([Mistake(path.name, "there is no outline in it", "give at least one zone's outline")])
    return _plat(outlines, challenge)


def _text(path: Path) -> str:
    try:
        if path.stat().st_size > _MOST_BYTES:
            raise InputMistakes([Mistake(path.name, "the file is too large for a plat", "give the outlines alone")])
        return path.read_bytes().decode("utf-8-sig")
    except OSError as error:
        raise InputMistakes([Mistake(path.name, f"it cannot be read ({error.strerror or error})")]) from error
    except UnicodeDecodeError as error:
        raise InputMistakes([Mistake(path.name, "it is no UTF-8 text", "save it as GeoJSON or CSV")]) from error


def _outlines(text: str, path: Path, challenge: Challenge, mistakes: list[Mistake]) -> Iterator[_Outline]:
    if not text.lstrip().startswith("{"):
        return _from_csv(path, challenge, mistakes)
    try:
        content = json.loads(text)
    except json.JSONDecodeError as error:
        place = f"{path.name}, line {error.lineno}"
        do = "write it again from your program"
        raise InputMistakes([Mistake(place, f"it is no JSON: {error.msg}", do)]) from error
    if str(content.get("format", "")).startswith(_FORMAT):
        return _from_result(content, challenge, mistakes)
    return _from_geojson(content, challenge, mistakes)


def _from_geojson(content: dict[str, Any], challenge: Challenge, mistakes: list[Mistake]) -> Iterator[_Outline]:
    features = content.get("features")
    if content.get("type") != "FeatureCollection" or not isinstance(features, list):
        do = 'start it with {"type": "FeatureCollection", "features": ['
        mistakes.append(Mistake("the file", "it is no FeatureCollection", do))
        return
    for number, feature in enumerate(features, 1):
        where = f"feature {number}"
        if not isinstance(feature, dict) or not isinstance(feature.get("geometry"), dict):
            mistakes.append(Mistake(where, "it has no geometry", "give it a Polygon or a MultiPolygon"))
            continue
        properties = feature.get("properties") or {}
        zone = _zone(properties.get("zone"), where, challenge, mistakes)
        u = _corner_u(properties.get("u95"), where, challenge.unit, mistakes)
        kind, coordinates = feature["geometry"].get("type"), feature["geometry"].get("coordinates")
        if kind not in ("Polygon", "MultiPolygon"):
            mistakes.append(Mistake(where, f"its geometry is a {kind}", "give a Polygon or a MultiPolygon"))
        elif zone is not None and u is not None:
            for polygon in [coordinates] if kind == "Polygon" else _list(coordinates):
                rings = _rings(polygon, f"{where}, zone {zone}", challenge.unit, mistakes)
                if rings is not None:
                    yield _Outline(where, zone, rings, u)


def _from_csv(path: Path, challenge: Challenge, mistakes: list[Mistake]) -> Iterator[_Outline]:
    table = read_csv(path, ("zone", "wkt", "u95"), ("zone", "wkt"))
    for row in table.rows:
        where = table.where(row)
        zone = _zone(row["zone"] or None, where, challenge, mistakes)
        u = _corner_u(row["u95"] or None, where, challenge.unit, mistakes)
        for coordinates in _polygons(row["wkt"], where, mistakes) if zone is not None and u is not None else ():
            rings = _rings(coordinates, f"{where}, zone {zone}", challenge.unit, mistakes)
            if rings is not None and zone is not None and u is not None:
                yield _Outline(where, zone, rings, u)


def _polygons(wkt: str, where: str, mistakes: list[Mistake]) -> list[list[list[list[float]]]]:
    """The rings of a WKT text's polygons, as GeoJSON nests them."""
    try:
        shape = shapely.from_wkt(wkt)
    except shapely.errors.ShapelyError as error:
        why = "an outline is not closed" if "closed" in str(error) else "it cannot be read as WKT"
        do = "write POLYGON ((x y, x y, x y, x y)), the last point being the first again"
        mistakes.append(Mistake(where, why, do))
        return []
    if shape is None or shape.geom_type not in ("Polygon", "MultiPolygon") or shape.is_empty:
        kind = "nothing" if shape is None or shape.is_empty else shape.geom_type
        mistakes.append(Mistake(where, f"its outline is {kind}", "give a POLYGON or a MULTIPOLYGON"))
        return []
    parts = getattr(shape, "geoms", [shape])
    return [[[list(p) for p in ring.coords] for ring in (part.exterior, *part.interiors)] for part in parts]


def _from_result(content: dict[str, Any], challenge: Challenge, mistakes: list[Mistake]) -> Iterator[_Outline]:
    unit = content.get("unit")
    if unit not in MM_PER:
        mistakes.append(Mistake("unit", f"the result's unit is {unit!r}", "measure the model again"))
        return
    for entry in _list(content.get("zones")):
        zone = _zone(entry.get("name"), "zones", challenge, mistakes)
        for number, piece in enumerate(_list(entry.get("pieces")), 1):
            where = f"piece {number} of {zone}"
            if zone is None:
                continue
            if piece.get("status") != "measured":
                yield _Outline(where, zone, (np.zeros((0, 2)),), 0.0, measurable=False)
                continue
            closed = [ring + ring[:1] for ring in (piece.get("outline"), *_list(piece.get("holes"))) if ring]
            rings = _rings(closed, where, unit, mistakes)
            if rings is not None:
                u = _u_from_area(rings, piece.get("area"), MM_PER[unit])
                width = (piece.get("tape_width") or {}).get("value") or 0.0
                yield _Outline(where, zone, rings, u, float(width) * MM_PER[unit])


def _u_from_area(rings: tuple[FloatArray, ...], area: Any, per_unit: float) -> float:
    """The corners' u that, taken as independent, gives the area its stated uncertainty."""
    u_area = float((area or {}).get("u95") or 0.0) * per_unit**2 / COVERAGE_FACTOR
    across = np.concatenate([np.roll(r, -1, axis=0) - np.roll(r, 1, axis=0) for r in rings]) / 2
    size = float(np.sqrt((across**2).sum()))
    return u_area / size if size > 0 else 0.0


def _zone(name: Any, where: str, challenge: Challenge, mistakes: list[Mistake]) -> str | None:
    known = {alias.lower(): z.name for z in challenge.zones for alias in (z.name, *z.aliases)}
    found = known.get(str(name).strip().lower()) if name is not None else None
    if found is None:
        near = get_close_matches(str(name).lower(), known, n=1)
        do = f"did you mean {near[0]}?" if near else f"the zones are {', '.join(z.name for z in challenge.zones)}"
        what = "it names no zone" if name in (None, "") else f"{name} is no zone of this challenge"
        mistakes.append(Mistake(where, what, do))
    return found


def _corner_u(value: Any, where: str, unit: Unit, mistakes: list[Mistake]) -> float | None:
    """Standard uncertainty of a corner in mm from the file's u95, 0 where it gives none."""
    try:
        u95 = 0.0 if value is None else float(str(value).replace(",", "."))
    except ValueError:
        u95 = math.nan
    if not 0 <= u95 < math.inf:
        mistakes.append(Mistake(where, f"its u95 is {value}", f"give a length in {unit}, 0 or more"))
        return None
    return u95 * MM_PER[unit] / COVERAGE_FACTOR


def _rings(coordinates: Any, where: str, unit: Unit, mistakes: list[Mistake]) -> tuple[FloatArray, ...] | None:
    """Rings (n, 2) in mm, the closing point left off; None, with the mistake noted, where one cannot be used."""
    rings = []
    for ring in _list(coordinates):
        points = _points(ring)
        problem = "an outline has something else than pairs of numbers in it"
        if points is not None:
            problem = _problem(points, unit)
        if points is None or problem:
            mistakes.append(Mistake(where, problem, "mend that outline in the file"))
            return None
        rings.append(points[:-1] * MM_PER[unit])
    if not rings:
        mistakes.append(Mistake(where, "it has no outline", "give at least three corners"))
        return None
    if len(rings) > 1 and not shapely.Polygon(rings[0], rings[1:]).is_valid:
        mistakes.append(Mistake(where, "a hole crosses or leaves its outline", "mend that hole in the file"))
        return None
    return tuple(rings)


def _points(ring: Any) -> FloatArray | None:
    try:
        points = np.array([[float(p[0]), float(p[1])] for p in ring], dtype=np.float64).reshape(-1, 2)
    except (TypeError, ValueError, IndexError, KeyError):
        return None
    return points if np.isfinite(points).all() else None


def _problem(points: FloatArray, unit: Unit) -> str:
    """What is wrong with a closed ring, with the place in the file's unit; nothing where it is sound."""
    if len(points) < 4:
        return f"an outline has only {max(0, len(points) - 1)} corners"
    if not np.allclose(points[0], points[-1], rtol=0, atol=1e-9 * max(1.0, float(np.abs(points).max()))):
        first, last = (_place(p) for p in (points[0], points[-1]))
        return f"an outline is open: it starts at {first} and ends at {last}"
    if len(np.unique(points[:-1], axis=0)) < 3:
        return "an outline has fewer than three different corners"
    ring = shapely.LinearRing(points)
    if not ring.is_simple:
        return f"the outline crosses itself at {_crossing(points)}"
    if shapely.Polygon(ring).area < 1e-6 * from_mm(1.0, unit) ** 2:
        return "an outline encloses no area"
    return ""


def _crossing(points: FloatArray) -> str:
    """Where a ring's sides cross or run over each other first."""
    sides = [shapely.LineString(points[i : i + 2]) for i in range(len(points) - 1)]
    for i, one in enumerate(sides):
        for j in range(i + 1, len(sides)):
            common = one.intersection(sides[j])
            neighbours = j == i + 1 or (i == 0 and j == len(sides) - 1)
            if not common.is_empty and not (neighbours and common.geom_type == "Point"):
                return _place(np.asarray(common.representative_point().coords[0]))
    return _place(points[0])


def _place(point: FloatArray) -> str:
    return f"({point[0]:.4g}, {point[1]:.4g})"


def _list(value: Any) -> list[Any]:
    return value if isinstance(value, list) else []


def _plat(outlines: Iterable[_Outline], challenge: Challenge) -> Plat:
    """Every ring's corners with their own sources; the parcel is taken as stated."""
    given = list(outlines)
    total = sum(2 * len(ring) for o in given if o.u > 0 for ring in o.rings)
    pieces, sources = [], list[Source]()
    for outline in given:
        rings = []
        for ring in outline.rings:
            sensitivity = np.zeros((len(ring), 2, total))
            if outline.u > 0:
                for i in range(2 * len(ring)):
                    sensitivity[i // 2, i % 2, len(sources)] = outline.u
                    sources.append(Source(f"{outline.where}: corner {i // 2 + 1} {'xy'[i % 2]}", "given"))
            rings.append(normalised(ring, sensitivity) if len(ring) else Ring(ring, sensitivity))
        status = "measured" if outline.measurable else "not measurable"
        width = Quantity(outline.tape_width)
        pieces.append(Piece(outline.zone, rings[0], width, tuple(rings[1:]), status=status))  # type: ignore[arg-type]
    parcel = challenge.parcel
    corners = np.array([[0, 0], [parcel.width, 0], [parcel.width, parcel.depth], [0, parcel.depth]])
    border = Ring(corners, np.zeros((4, 2, total)))
    return Plat(parcel.width, parcel.depth, ordered(nested(pieces)), tuple(sources), "given", border)

"""Lines in GeoJSON's shape: (Multi)LineStrings with `properties: {"line": ..., "u95": ..., "width": ...}`."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any

import numpy as np

from measure.challenge import Challenge
from measure.errors import Mistake
from measure.importing.given_outlines import corner_u
from measure.name_folding import folded
from measure.plat.outline import norms
from measure.plat.plat import LineEndKind, LinePiece, Source
from measure.plat.ring_validity import line_of
from measure.quantity import FloatArray, Quantity

_LINE_KINDS = ("LineString", "MultiLineString")


@dataclass(frozen=True, eq=False)
class GivenLine:
    """One line as read: where it stands in the file, its name, points (n, 2) in mm, a point's u and its width in mm."""

    where: str
    line: str
    points: FloatArray
    u: float
    width: float


def lines_of_geojson(content: dict[str, Any], challenge: Challenge, mistakes: list[Mistake]) -> Iterator[GivenLine]:
    """The lines of a Feature or FeatureCollection; what is wrong with them is added to the mistakes."""
    features = [content] if content.get("type") == "Feature" else content.get("features")
    for number, feature in enumerate(features if isinstance(features, list) else (), 1):
        if isinstance(feature, dict) and is_line(feature):
            yield from _from_feature(feature, f"feature {number}", challenge, mistakes)


def is_line(feature: dict[str, Any]) -> bool:
    """Whether a feature is a line; a LineString that names a zone and no line is a zone's outline gone wrong."""
    geometry, properties = feature.get("geometry"), feature.get("properties")
    kind = geometry.get("type") if isinstance(geometry, dict) else None
    named = properties if isinstance(properties, dict) else {}
    return kind in _LINE_KINDS and ("line" in named or "zone" not in named)


def line_pieces(lines: Iterable[GivenLine], challenge: Challenge, sources: list[Source]) -> tuple[LinePiece, ...]:
    """Pieces in the challenge's order of lines, then top to bottom, left to right; adds a source a coordinate."""
    order = [line.name for line in challenge.lines]
    given = sorted(lines, key=lambda line: (order.index(line.line), *line.points.mean(axis=0)[::-1].round(6)))
    return tuple(_piece(line, sources) for line in given)


def _from_feature(
    feature: dict[str, Any], where: str, challenge: Challenge, mistakes: list[Mistake]
) -> Iterator[GivenLine]:
    given = feature.get("properties")
    properties = given if isinstance(given, dict) else {}
    name = _line_named(properties, where, challenge, mistakes)
    u = corner_u(properties.get("u95"), where, challenge.unit, mistakes)
    width = corner_u(properties.get("width"), where, challenge.unit, mistakes, "width")
    kind, coordinates = feature["geometry"]["type"], feature["geometry"].get("coordinates")
    for part in [coordinates] if kind == "LineString" or not isinstance(coordinates, list) else coordinates:
        points = line_of(part, f"{where}, line {name}" if name else where, challenge.unit, mistakes)
        if points is not None and name is not None and u is not None and width is not None:
            yield GivenLine(where, name, points, u, 2.0 * width)


def _line_named(properties: dict[str, Any], where: str, challenge: Challenge, mistakes: list[Mistake]) -> str | None:
    """The challenge's own name of a line; None, with the mistake noted, where it has none of that name."""
    name = properties.get("line")
    known = {folded(alias): line.name for line in challenge.lines for alias in (line.name, *line.aliases)}
    found = known.get(folded(str(name))) if name is not None else None
    if found is None:
        near = get_close_matches(folded(str(name)), known, n=1)
        names = ", ".join(line.name for line in challenge.lines)
        do = f"did you mean {near[0]}?" if near else f"the lines are {names}" if names else "declare one under [[line]]"
        what = "it names no line" if name in (None, "") else f"{name} is no line of this challenge"
        mistakes.append(Mistake(where, what, do))
    return found


def _piece(line: GivenLine, sources: list[Source]) -> LinePiece:
    """A piece whose coordinates are each uncertain by themselves."""
    count = 2 * len(line.points)
    first = len(sources)
    moves = np.zeros((count, first + (count if line.u > 0 else 0)))
    if line.u > 0:
        own = np.arange(count)
        moves[own, first + own] = line.u
        sources += [Source(f"{line.where}: point {at // 2 + 1} {'xy'[at % 2]}", "given") for at in own]
    closed = bool(len(line.points) > 3 and (line.points[0] == line.points[-1]).all())
    sensitivity = moves.reshape(len(line.points), 2, -1)
    if closed:
        sensitivity[-1] = sensitivity[0]
    along = np.diff(line.points, axis=0)
    lengths = norms(along)
    stretch = np.einsum("nd,ndk->k", along / lengths[:, None], np.diff(sensitivity, axis=0))
    length = Quantity(float(lengths.sum()), stretch)
    ends: LineEndKind = "joined" if closed else "free"
    return LinePiece(
        line.line, line.points, sensitivity, length, Quantity(line.width), ends=(ends, ends), closed=closed
    )

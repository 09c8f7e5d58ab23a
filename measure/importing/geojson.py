"""Outlines in GeoJSON's shape: Polygons and MultiPolygons with `properties: {"zone": ..., "u95": ...}`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from measure.challenge import Challenge
from measure.errors import Mistake
from measure.importing.given_lines import is_line
from measure.importing.given_outlines import GivenOutline, corner_u, zone_named
from measure.plat.ring_validity import rings_of


def outlines_of_geojson(
    content: dict[str, Any], challenge: Challenge, mistakes: list[Mistake]
) -> Iterator[GivenOutline]:
    """The outlines of a Feature or FeatureCollection, lines left out; what is wrong is added to the mistakes."""
    features = [content] if content.get("type") == "Feature" else content.get("features")
    if content.get("type") not in ("Feature", "FeatureCollection") or not isinstance(features, list):
        do = 'start it with {"type": "FeatureCollection", "features": ['
        mistakes.append(Mistake("the file", "it is no FeatureCollection", do))
        return
    for number, feature in enumerate(features, 1):
        where = f"feature {number}"
        if not isinstance(feature, dict) or not isinstance(feature.get("geometry"), dict):
            mistakes.append(Mistake(where, "it has no geometry", "give it a Polygon or a MultiPolygon"))
        else:
            yield from _from_feature(feature, where, challenge, mistakes)


def _from_feature(
    feature: dict[str, Any], where: str, challenge: Challenge, mistakes: list[Mistake]
) -> Iterator[GivenOutline]:
    given = feature.get("properties")
    properties = given if isinstance(given, dict) else {}
    kind, coordinates = feature["geometry"].get("type"), feature["geometry"].get("coordinates")
    if is_line(feature):
        return
    zone = zone_named(properties.get("zone"), where, challenge, mistakes)
    u = corner_u(properties.get("u95"), where, challenge.unit, mistakes)
    if kind not in ("Polygon", "MultiPolygon"):
        mistakes.append(Mistake(where, f"its geometry is a {kind}", "give a Polygon or a MultiPolygon"))
        return
    named = f"{where}, zone {zone}" if zone else where
    polygons = [coordinates] if kind == "Polygon" or not isinstance(coordinates, list) else coordinates
    for polygon in polygons:
        rings = rings_of(polygon, named, challenge.unit, mistakes)
        if rings is not None and zone is not None and u is not None:
            yield GivenOutline(where, zone, rings, u)

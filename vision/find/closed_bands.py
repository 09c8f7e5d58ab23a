"""Bands found by the area they close around, for curves that straight strips do not describe."""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from calib.edges import FloatArray
from vision.find.closing import BAND, LEAST_SHOWN, LEAST_TURN, Candidate, not_along, shown_share, turned_off
from vision.find.strips import NARROWEST, WIDEST, Strip
from vision.find.tape_mask import TapeMask

SMALLEST = 150.0
"""Area that a band must close around to count, mm2."""
SMOOTH = 0.6
LONG, ALONG, MOSTLY_STRAIGHT, SAME_LAND = 60.0, 0.35, 0.75, 0.85
"""Length of a strip, mm, that no curve falls into; how far off a band's middle it runs, in widths; the share of a band
that such strips make up, and the overlap over union of the band with the polygon that they make, at least.
"""
BESIDE, LEAST_GROUND = 2.5, 0.3
"""How far outside a band the ground is looked for, mm, and along which share of it it must show."""


def closed_bands(tape: TapeMask, known: Sequence[Candidate]) -> list[tuple[Candidate, float]]:
    """Outlines around enclosed areas that no known outline explains, each with its band's width in mm."""
    contours, hierarchy = cv2.findContours(tape.mask, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_NONE)
    if hierarchy is None:
        return []
    taken = shapely.union_all([Polygon(c.corners) for c in known]) if known else Polygon()
    found = []
    for contour, link in zip(contours, hierarchy[0], strict=True):
        if link[3] < 0 or len(contour) < 20:
            continue
        inside = Polygon(tape.picture.to_mm(contour[:, 0].astype(np.float64))).buffer(0)
        if (
            inside.area < SMALLEST
            or inside.geom_type != "Polygon"
            or inside.intersection(taken).area > 0.3 * inside.area
        ):
            continue
        band = _band(inside, tape)
        if band is not None:
            found.append(band)
    return found


def straight_sided(band: Candidate, strips: Sequence[Strip], width: float, tape: TapeMask) -> Candidate | None:
    """A band (of this width, mm) that long strips make up, as the polygon whose corners lie where they meet.

    Something hides a corner of it, or a side belongs to another outline too, so that the strips closed nothing alone.
    None where it really bends, and where paper of the tape's colour makes the band's edges.
    """
    if tape.paper is not None:
        return None
    ring = shapely.LinearRing(band.corners)
    near = ring.buffer(ALONG * width + 1.0)
    sides, covered = list[tuple[float, Strip]](), 0.0
    for strip in (s for s in strips if s.paired and s.length >= max(LONG, 3.0 * width)):
        shared = LineString(strip.at(np.array([strip.low, strip.high]))).intersection(near)
        if shared.length >= max(20.0, width):
            covered += shared.length
            sides.append((float(ring.project(shared.centroid)), strip))
    ordered = [strip for _, strip in sorted(sides, key=lambda side: side[0])]
    if len(ordered) < 3 or covered < MOSTLY_STRAIGHT * ring.length:
        return None
    met = [_met(before, strip) for before, strip in zip([ordered[-1], *ordered[:-1]], ordered, strict=True)]
    corners = [corner for corner in met if corner is not None]
    if len(corners) < len(met):
        return None
    polygon, land = Polygon(corners), Polygon(band.corners).buffer(0)
    if not polygon.is_valid:
        return None
    if polygon.intersection(land).area < SAME_LAND * polygon.union(land).area:
        return None
    at = np.asarray(polygon.exterior.coords)[:-1]
    shown, clear = shown_share(at, width, tape)
    goes_on = turned_off(at, not_along(strips, [at], width), tape, width)
    return Candidate(at, shown) if shown >= LEAST_SHOWN and clear >= BAND and not goes_on else None


def _met(one: Strip, other: Strip) -> FloatArray | None:
    """Where the lines of two strips meet; None where they hardly turn."""
    turn = float(one.direction[0] * other.direction[1] - one.direction[1] * other.direction[0])
    if abs(turn) < LEAST_TURN:
        return None
    between = other.origin - one.origin
    return one.at(float(between[0] * other.direction[1] - between[1] * other.direction[0]) / turn)


def _band(inside: Polygon, tape: TapeMask) -> tuple[Candidate, float] | None:
    width = _width(inside, tape)
    if width is None:
        return None
    middle = inside.buffer(width / 2).simplify(SMOOTH)
    corners: FloatArray = np.asarray(middle.exterior.coords)[:-1]
    shown, clear = shown_share(corners, width, tape)
    lies = shown > 0.85 and clear > 0.5 and _on_board(middle.buffer(width / 2), tape)
    return (Candidate(corners, shown), width) if lies else None


def _on_board(land: Polygon, tape: TapeMask) -> bool:
    """Whether bare ground shows outside a band; between two shades of another tape or of its paper there is none."""
    ring = land.buffer(BESIDE).exterior
    places = shapely.line_interpolate_point(ring, np.arange(0.5, ring.length, 1.0))
    return bool(tape.read_ground(shapely.get_coordinates(places)).mean() > LEAST_GROUND)


def _width(inside: Polygon, tape: TapeMask) -> float | None:
    """The band's common width around an enclosed area, or None where it has none."""
    ring = inside.buffer(1.0).simplify(SMOOTH).exterior
    along = np.arange(0, ring.length, 2.0)
    points = shapely.get_coordinates(shapely.line_interpolate_point(ring, along))
    ahead = shapely.get_coordinates(shapely.line_interpolate_point(ring, (along + 0.5) % ring.length))
    way = ahead - points
    way /= np.maximum(np.linalg.norm(way, axis=1, keepdims=True), 1e-9)
    outwards = np.column_stack([way[:, 1], -way[:, 0]])
    if not Polygon(ring).contains(shapely.Point(points[0] - 0.5 * outwards[0])):
        outwards = -outwards
    depth = np.arange(-1.0, WIDEST, tape.picture.mm_per_px)
    taped = tape.read(points[:, None] + depth[None, :, None] * outwards[:, None])
    first = np.argmax(taped, axis=1)
    rest = np.where(np.arange(len(depth))[None, :] >= first[:, None], ~taped, False)
    last = np.where(rest.any(axis=1), np.argmax(rest, axis=1), len(depth) - 1)
    widths = (last - first) * tape.picture.mm_per_px
    width = float(np.median(widths))
    agree = float((np.abs(widths - width) < 0.25 * width + 0.6).mean())
    return width if NARROWEST <= width <= WIDEST * 0.9 and agree > 0.6 else None

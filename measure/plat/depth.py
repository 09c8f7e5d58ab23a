"""How deep one outline reaches into another's land: the deepest points of either outline inside the other.

Where the land that both share is clearly thicker than that, as where outlines run along each other, its thickness is
the depth (measure.plat.thickness).

Along a straight side the depth is the smallest of the distances to the other outline's sides.  Its maximum lies at a
corner or where two of those distances are equal, one rising and one falling; there it moves as the mixture of the two
that does not change when the point slides along its side (the envelope theorem).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from measure.plat.nearest_pairs import Found, as_place, distances, place_on
from measure.plat.outline import Sides
from measure.plat.regions import Region
from measure.plat.thickness import thickness
from measure.quantity import FloatArray, Quantity

_SAMPLES = 17
"""Points along each stretch of a side inside the other outline; the deepest places are refined from them."""
_SHORT = 1.0
"""mm: a stretch shorter than this is looked at in its middle and ends only."""
_MOST_STRETCHES = 8
_ACROSS = 0.5
"""Sine of the angle from which one side runs across another."""
_CLEARLY = 3.0
"""Standard uncertainties by which shared land must be thicker than the deepest place to be the depth."""
_EQUAL = 1e-5
"""mm: two distances closer than this count as equal."""


def deepest(first: Region, second: Region) -> list[Found]:
    """Minus the depth at the deepest places, (quantity, (on the first, on the second)); empty where they are apart.

    Clear places are preferred to a place deeper by less than its standard uncertainty: near a corner of the other
    outline two distances compete for being the smaller, so that a depth there is no linear measure of either.
    """
    if not shapely.relate_pattern(first.geometry, second.geometry, "T********"):
        return []
    forth = _places(first.sides, second)
    back = [replace(p, found=(p.found[0], p.found[1][::-1])) for p in _places(second.sides, first)]
    places = sorted(forth + back, key=lambda place: place.found[0].value)
    clear = [place.found for place in places if place.clear]
    if places and not any(depth.value <= places[0].found[0].value + depth.u + _EQUAL for depth, _ in clear):
        clear = [places[0].found, *clear]
    thick = thickness(first, second)
    if thick is not None and all(thick[0].value < depth.value - _CLEARLY * depth.u - _EQUAL for depth, _ in clear):
        return [thick, *clear]
    return clear


@dataclass(frozen=True, eq=False)
class _Stretch:
    """A part of a side inside the other outline: the shares of its length that are sampled, and the depths there."""

    side: int
    shares: FloatArray
    depths: FloatArray


@dataclass(frozen=True, eq=False)
class _Place:
    """The depth at one place; clear where no side across the nearest one could be nearer, given the uncertainty."""

    found: Found
    clear: bool


def _places(outline: Sides, other: Region) -> list[_Place]:
    """The deepest place of each of the outline's deepest stretches, and the ends of where it is nearly as deep."""
    stretches = sorted(_stretches(outline, other), key=lambda stretch: -float(stretch.depths.max()))
    found = []
    for stretch in stretches[:_MOST_STRETCHES]:
        best = _place_at(outline, stretch.side, _refined(stretch, outline, other.sides), other.sides)
        found += [best, *_plateau_ends(stretch, best.found[0].u, outline, other.sides)]
    return found


def _stretches(outline: Sides, other: Region) -> list[_Stretch]:
    """The parts of the outline inside the other's land, sampled."""
    lines = shapely.linestrings(np.stack([outline.starts, outline.ends], axis=1))
    inside, side = shapely.get_parts(shapely.intersection(lines, other.geometry), return_index=True)
    boundary = shapely.boundary(other.geometry)
    kept = [(part, int(at)) for part, at in zip(inside, side, strict=True) if part.length > 0]
    return [_sampled(part, at, outline, boundary) for part, at in kept]


def _sampled(part: shapely.LineString, side: int, outline: Sides, boundary: shapely.Geometry) -> _Stretch:
    start, along = outline.starts[side], outline.ends[side] - outline.starts[side]
    ends = (shapely.get_coordinates(part)[[0, -1]] - start) @ along / max(float(along @ along), 1e-24)
    count = 3 if part.length < _SHORT else _SAMPLES
    shares = np.linspace(ends[0], ends[1], count).clip(0.0, 1.0)
    depths = shapely.distance(shapely.points(start + shares[:, None] * along), boundary)
    return _Stretch(side, shares, depths)


def _refined(stretch: _Stretch, outline: Sides, other: Sides) -> float:
    """The share at which the depth is largest, to about 1e-6 mm."""
    at = int(np.argmax(stretch.depths))
    low, high = stretch.shares[max(at - 1, 0)], stretch.shares[min(at + 1, len(stretch.shares) - 1)]

    def shallowness(share: float) -> float:
        point, _ = place_on(outline, stretch.side, share)
        return -float(distances(point[None], other)[1].min())

    from scipy.optimize import minimize_scalar  # half a second to import, and only overlaps need it

    best = minimize_scalar(shallowness, bounds=(low, high), method="bounded", options={"xatol": 1e-9})
    return float(best.x) if -best.fun > stretch.depths[at] else float(stretch.shares[at])


def _plateau_ends(stretch: _Stretch, u: float, outline: Sides, other: Sides) -> list[_Place]:
    """The first and the last clear sample nearly as deep: of two almost parallel sides either end may be deepest."""
    near = stretch.shares[stretch.depths >= stretch.depths.max() - 3.0 * u]
    start, along = outline.starts[stretch.side], outline.ends[stretch.side] - outline.starts[stretch.side]
    clear = near[_are_clear(distances(start + near[:, None] * along, other)[1], u, other)]
    ends = np.unique(clear[[0, -1]]) if len(clear) else clear
    return [_place_at(outline, stretch.side, float(share), other) for share in ends]


def _place_at(outline: Sides, side: int, share: float, other: Sides) -> _Place:
    """Minus the depth of a place on an outline's side, and the nearest place of the other outline."""
    point, moves = place_on(outline, side, share)
    along = (outline.ends[side] - outline.starts[side]) / max(float(outline.lengths[side]), 1e-12)
    shares, gaps = (row[0] for row in distances(point[None], other))
    nearest = int(np.argmin(gaps))
    equal = np.flatnonzero(gaps <= gaps[nearest] + _EQUAL)
    parts = [_gap(point, moves, along, place_on(other, int(at), float(shares[at])), other, int(at)) for at in equal]
    sensitivity = _mixture([slope for _, slope in parts]) @ np.stack([part for part, _ in parts])
    foot, _ = place_on(other, nearest, float(shares[nearest]))
    depth = Quantity(-float(gaps[nearest]), -sensitivity)
    clear = bool(_are_clear(gaps[None], depth.u, other)[0])
    return _Place((depth, (as_place(point), as_place(foot))), clear)


def _are_clear(gaps: FloatArray, u: float, other: Sides) -> NDArray[np.bool_]:
    """For places with distances (places, sides): whether no side across the nearest could be nearer."""
    directions = (other.ends - other.starts) / np.maximum(other.lengths, 1e-12)[:, None]
    nearest = directions[np.argmin(gaps, axis=1)]
    sine = nearest[:, :1] * directions[:, 1] - nearest[:, 1:] * directions[:, 0]
    rivals = (np.abs(sine) > _ACROSS) & (gaps < gaps.min(axis=1, keepdims=True) + 4.0 * u + _EQUAL)
    return np.asarray(~rivals.any(axis=1))


def _gap(
    point: FloatArray,
    moves: FloatArray,
    along: FloatArray,
    foot: tuple[FloatArray, FloatArray],
    other: Sides,
    at: int,
) -> tuple[FloatArray, float]:
    """Sensitivity of one distance, and its slope along the point's side."""
    away = point - foot[0]
    size = float(np.hypot(*away))
    inward = -other.outward[at] / max(float(other.lengths[at]), 1e-12)
    direction = away / size if size > 1e-9 else inward
    return direction @ (moves - foot[1]), float(direction @ along)


def _mixture(slopes: list[float]) -> FloatArray:
    """Weights of the equal distances: of the most rising and the most falling, none left over along the side."""
    weights = np.zeros(len(slopes))
    rising, falling = int(np.argmax(slopes)), int(np.argmin(slopes))
    if slopes[rising] > 0 > slopes[falling]:
        weights[rising] = -slopes[falling] / (slopes[rising] - slopes[falling])
        weights[falling] = 1.0 - weights[rising]
    else:
        weights[int(np.argmin(np.abs(slopes)))] = 1.0
    return weights

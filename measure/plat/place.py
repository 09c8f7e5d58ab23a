"""Where land lies: inside the parcel, how far from a point, how wide and high."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.polynomial.hermite_e import hermegauss
from shapely.geometry.base import BaseGeometry

from measure.plat.nearest_pairs import as_place
from measure.plat.outline import Sides
from measure.plat.separation import Candidate
from measure.quantity import FloatArray, Quantity

_NEAR = 5.0
"""mm: a corner so much further on than the first is not the first."""
_NODES = 40
"""Of the Gauss-Hermite rule on either axis; the mean of a Rayleigh distribution comes out to 0.1 %."""


def inside(sides: Sides, parcel: Sides, piece: tuple[str, int]) -> list[Candidate]:
    """How far each corner lies inside each side of a convex parcel, in mm; negative outside. The smallest counts."""
    normals = parcel.outward / parcel.lengths[:, None]
    directions = (parcel.ends - parcel.starts) / parcel.lengths[:, None]
    within = (parcel.starts * normals).sum(axis=1) - sides.starts @ normals.T
    shares = (sides.starts @ directions.T - (parcel.starts * directions).sum(axis=1)) / parcel.lengths
    corner, side = np.nonzero(within <= within.min(initial=np.inf) + _reach(sides, parcel))
    found = []
    for c, s in zip(corner.tolist(), side.tolist(), strict=True):
        share = shares[c, s]
        edge_moves = (1.0 - share) * parcel.start_moves[s] + share * parcel.end_moves[s]
        gap = Quantity(float(within[c, s]), normals[s] @ (edge_moves - sides.start_moves[c]))
        foot = sides.starts[c] + within[c, s] * normals[s]
        found.append(Candidate(gap, (as_place(sides.starts[c]), as_place(foot)), (piece,)))
    return found


def distance_from_point(centre: tuple[Quantity, Quantity], target: tuple[float, float]) -> Quantity:
    """Distance in mm of an uncertain point from a fixed one.

    The mean and the standard deviation of the distance, the point being normally distributed about its measured place:
    near 0, where a linear treatment would give a distance of 0 and any sign of error, they are those of a Rayleigh or
    Rice distribution; far off they are the linear ones (compare JCGM 101:2008, 9.4).
    """
    offset = np.array([centre[0].value - target[0], centre[1].value - target[1]])
    covariance = np.array([[a.covariance(b) for b in centre] for a in centre])
    mean, deviation = _distance_moments(offset, covariance)
    direction = _direction(offset, covariance)
    linear = centre[0] * float(direction[0]) + centre[1] * float(direction[1])
    scale = deviation / linear.u if linear.u > 0 else 0.0
    return Quantity(mean, linear.sensitivity * scale)


def beyond_line(sides: Sides, way: tuple[float, float], line: float, piece: tuple[str, int]) -> list[Candidate]:
    """How far each corner lies beyond a line at right angles to a unit vector, in mm. The smallest counts."""
    along = np.array(way)
    found = []
    for at in _lowest(sides.starts @ along):
        gap = Quantity(float(sides.starts[at] @ along - line), along @ sides.start_moves[at])
        foot = sides.starts[at] - gap.value * along
        found.append(Candidate(gap, (as_place(sides.starts[at]), as_place(foot)), (piece,)))
    return found


def beyond(
    sides: Sides, behind: Sides, way: tuple[float, float], pieces: tuple[tuple[str, int], ...]
) -> list[Candidate]:
    """How far the corners of one outline lie beyond those of another along a unit vector, in mm."""
    along = np.array(way)
    found = []
    for near in _lowest(sides.starts @ along):
        for far in _lowest(-(behind.starts @ along)):
            gap = Quantity(
                float((sides.starts[near] - behind.starts[far]) @ along),
                along @ (sides.start_moves[near] - behind.start_moves[far]),
            )
            ends = as_place(sides.starts[near]), as_place(sides.starts[near] - gap.value * along)
            found.append(Candidate(gap, ends, pieces))
    return found


def least_rectangle(geometry: BaseGeometry, sides: Sides) -> tuple[Quantity, Quantity]:
    """Length and width in mm of the enclosing rectangle of least area; its direction is taken as it is measured."""
    corners = shapely.get_coordinates(shapely.oriented_envelope(geometry))
    along = corners[1] - corners[0]
    along = along / max(float(np.hypot(*along)), 1e-12)
    spans = [_span_along(sides, way) for way in (along, np.array([-along[1], along[0]]))]
    longer, shorter = sorted(spans, key=lambda span: -span.value)
    return longer, shorter


def _span_along(sides: Sides, way: FloatArray) -> Quantity:
    reach = sides.starts @ way
    low, high = int(np.argmin(reach)), int(np.argmax(reach))
    return Quantity(float(reach[high] - reach[low]), way @ (sides.start_moves[high] - sides.start_moves[low]))


def _lowest(values: FloatArray) -> list[int]:
    """The corners that may be the lowest: no further than a few mm above it."""
    return np.nonzero(values <= values.min(initial=np.inf) + _NEAR)[0].tolist()[:8]


def extent(sides: Sides) -> tuple[Quantity, Quantity]:
    """Width and height in mm of the bounding box."""
    width, height = (_span(sides, axis) for axis in (0, 1))
    return width, height


def _span(sides: Sides, axis: int) -> Quantity:
    low, high = int(np.argmin(sides.starts[:, axis])), int(np.argmax(sides.starts[:, axis]))
    size = float(sides.starts[high, axis] - sides.starts[low, axis])
    return Quantity(size, sides.start_moves[high, axis] - sides.start_moves[low, axis])


def _reach(sides: Sides, parcel: Sides) -> float:
    """Six standard deviations of the most uncertain difference, in mm: what is further off does not compete."""
    largest = (float(np.sqrt((s.start_moves**2).sum(axis=2).max(initial=0.0))) for s in (sides, parcel))
    return 12.0 * sum(largest) + 1e-9


def _distance_moments(offset: FloatArray, covariance: FloatArray) -> tuple[float, float]:
    """Mean and standard deviation of the length of a normal vector, by Gauss-Hermite quadrature."""
    nodes, weights = hermegauss(_NODES)
    x, y = np.meshgrid(nodes, nodes)
    weight = np.outer(weights, weights) / (2.0 * np.pi)
    values, axes = np.linalg.eigh(covariance)
    spread = axes * np.sqrt(np.maximum(values, 0.0))
    drawn = offset[:, None] + spread @ np.stack([x.ravel(), y.ravel()])
    length = np.hypot(*drawn)
    mean = float(weight.ravel() @ length)
    return mean, float(np.sqrt(max(0.0, weight.ravel() @ (length - mean) ** 2)))


def _direction(offset: FloatArray, covariance: FloatArray) -> FloatArray:
    """Towards the point; where it is right there, the direction that is known least."""
    size = float(np.hypot(*offset))
    if size > 1e-9 and float(offset @ covariance @ offset) > 0:
        return np.asarray(offset / size)
    return np.asarray(np.linalg.eigh(covariance)[1][:, -1])

"""The region that a piece's tape bounds, along the tape's middle, its inner edge or its outer edge.

A straight-sided outline is offset with mitred corners, as tape strips laid past each other leave them; a curved one
along its normals.  Each side is moved by its own tape (Ring.taped), and not at all along the parcel's edge.  "inner" is
the edge towards the zone's land, so around a hole it is the edge away from the hole's middle.  A mitre that would reach
further than MITRE_LIMIT half widths (corners sharper than about 23 degrees) is cut square to the corner's bisector at
that reach, as shapely's mitre join does.
"""

from __future__ import annotations

from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray

from measure.plat.outline import Sides, cross, joined, norms, ring_sides, widened
from measure.plat.plat import Piece, Ring, signed_area
from measure.plat.regions import Region, traced
from measure.quantity import FloatArray, Quantity

TapeEdge = Literal["middle", "inner", "outer"]
MITRE_LIMIT = 5.0
"""Shapely's own limit."""
_STEP = 1e-4
"""mm, of the central differences that give a corner's derivatives; corners are smooth at this scale."""

LEAST_OPENING = 0.005
"""1 - cos of the turn below which two sides of unequal tapes have no corner (sides of one tape need none)."""
_MITRE, _CUT_BEFORE, _CUT_AFTER, _NORMAL = range(4)


def region(piece: Piece, edge: TapeEdge, sources: int) -> Region:
    """The piece's land, its holes left out; empty where tape covers all of it.

    The outline's and the tape width's uncertainties are both carried along.
    """
    rings = (piece.ring, *piece.holes)
    reach = piece.tape_width * {"middle": 0.0, "inner": -0.5, "outer": 0.5}[edge]
    if edge != "middle":
        moved = [_offset_ring(ring, reach, sources, hole=at > 0) for at, ring in enumerate(rings)]
        if any(ring is None for ring in moved) or not _polygon(moved).is_valid:
            return _buffered(rings, reach, sources)
        rings = tuple(ring for ring in moved if ring is not None)
    sides = joined((ring_sides(ring, sources, hole=at > 0) for at, ring in enumerate(rings)), sources)
    polygon = _polygon(rings)
    return Region(polygon, sides) if polygon.is_valid else traced(shapely.make_valid(polygon), sides)


def _polygon(rings: tuple[Ring, ...] | list[Ring | None]) -> shapely.Polygon:
    shell, *holes = (ring.points for ring in rings if ring is not None)
    return shapely.Polygon(shell, holes)


def _offset_ring(ring: Ring, reach: Quantity, sources: int, *, hole: bool) -> Ring | None:
    """The ring moved outwards from the land by reach (mm, negative: inwards); None where sides vanish or cross."""
    sides = ring_sides(ring, sources, hole=hole)
    shares = _shares(ring, hole=hole)
    corner, kind = _corner_kinds(sides, reach.value, curved=ring.curved)
    around = (sides.starts[corner - 1], sides.starts[corner], sides.ends[corner])
    beside = (shares[corner - 1], shares[corner])
    points = _moved_corners(*around, reach.value, kind, beside)
    if not _same_sides(points, corner, kind, sides):
        return None
    moves = (sides.start_moves[corner - 1], sides.start_moves[corner], sides.end_moves[corner])
    return Ring(points, _corner_moves(around, moves, reach, kind, beside), curved=ring.curved)


def _shares(ring: Ring, *, hole: bool) -> FloatArray:
    """How far each side of ring_sides is moved against the piece's own tape, shape (n,)."""
    shares = np.array(ring.taped) if ring.taped else np.ones(len(ring.points))
    if (signed_area(ring.points) < 0) != hole:
        return np.roll(shares[::-1], -1)
    return shares


def _corner_kinds(sides: Sides, reach: float, *, curved: bool) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """The corner that each new corner comes from and how: a mitre too long gives two new corners."""
    count = len(sides)
    if curved:
        return np.arange(count), np.full(count, _NORMAL)
    unit = sides.outward / np.maximum(sides.lengths, 1e-12)[:, None]
    total = norms(unit + np.roll(unit, 1, axis=0))
    bends_away = cross(np.roll(unit, 1, axis=0), unit) * reach > 0
    cut = bends_away & (total * MITRE_LIMIT < 2.0)  # the mitre's reach is 2 / total half widths
    corner = np.repeat(np.arange(count), np.where(cut, 2, 1))
    kind = np.where(cut[corner], _CUT_BEFORE, _MITRE)
    kind[1:][(corner[1:] == corner[:-1])] = _CUT_AFTER
    return corner, kind


def _moved_corners(
    before: FloatArray,
    here: FloatArray,
    after: FloatArray,
    reach: float,
    kind: NDArray[np.intp],
    beside: tuple[FloatArray, FloatArray],
) -> FloatArray:
    """New corners (n, 2) of corners with their two neighbours, all (n, 2).

    beside: the shares of reach, each (n,), by which the sides before and after the corners move.
    """
    reach_in, reach_out = (reach * share[:, None] for share in beside)
    mean, apart = (reach_in + reach_out) / 2, (reach_out - reach_in) / 2
    along_in, along_out = _unit(here - before), _unit(after - here)
    normal_in, normal_out = _outward(along_in), _outward(along_out)
    total = normal_in + normal_out
    size = np.maximum(norms(total), 1e-9)[:, None]
    bisector = total / size
    # Where the lines n_in x = reach_in and n_out x = reach_out meet.
    opening = np.maximum(1.0 - (normal_in * normal_out).sum(axis=1, keepdims=True), LEAST_OPENING)
    mitred = here + mean * 2.0 * bisector / size + apart * (normal_out - normal_in) / opening
    along_normal = here + mean * bisector
    # On either offset line, up to MITRE_LIMIT half widths along the bisector; 0.5 * size is cos(normal, bisector).
    slope = np.maximum(np.abs((along_in * bisector).sum(axis=1)), 1e-9)[:, None]
    run = np.abs(mean) * (MITRE_LIMIT - 0.5 * size) / slope
    cut_before = here + reach_in * normal_in + run * along_in
    cut_after = here + reach_out * normal_out - run * along_out
    return np.stack([mitred, cut_before, cut_after, along_normal])[kind, np.arange(len(here))]


def _corner_moves(
    around: tuple[FloatArray, FloatArray, FloatArray],
    around_moves: tuple[FloatArray, FloatArray, FloatArray],
    reach: Quantity,
    kind: NDArray[np.intp],
    beside: tuple[FloatArray, FloatArray],
) -> FloatArray:
    """Movements (n, 2, k): those of the corner, its neighbours and the tape's width, by central differences."""

    def moved(steps: FloatArray) -> FloatArray:
        """New corners after steps (4, 2): of the corner before, the corner, the one after; the last is the reach's."""
        before, here, after = (points + step for points, step in zip(around, steps[:3], strict=True))
        return _moved_corners(before, here, after, reach.value + float(steps[3, 0]), kind, beside)

    def slope(row: int, axis: int) -> FloatArray:
        steps = np.zeros((4, 2))
        steps[row, axis] = _STEP
        return (moved(steps) - moved(-steps)) / (2 * _STEP)

    sources = around_moves[0].shape[2]
    total = slope(3, 0)[:, :, None] * widened(reach.sensitivity, sources)
    for row, moves in enumerate(around_moves):
        for axis in (0, 1):
            total = total + slope(row, axis)[:, :, None] * moves[:, axis, None, :]
    return total


def _same_sides(points: FloatArray, corner: NDArray[np.intp], kind: NDArray[np.intp], sides: Sides) -> bool:
    """Whether every side is still there, running the same way, and the ring does not cross itself."""
    along = np.roll(points, -1, axis=0) - points
    kept = kind != _CUT_BEFORE
    same_way = (along[kept] * (sides.ends - sides.starts)[corner[kept]]).sum(axis=1) > 0
    turned = (signed_area(points) > 0) == (signed_area(sides.starts) > 0)
    return bool(same_way.all() and turned and shapely.Polygon(points).is_valid)


def _buffered(rings: tuple[Ring, ...], reach: Quantity, sources: int) -> Region:
    """Where sides vanish or cross, shapely decides what is left; every side left lies on an offset side's line."""
    middle = shapely.make_valid(_polygon(rings))
    if any(ring.taped for ring in rings):
        strips = [_strip(rings, at, reach.value, sources) for at in range(len(rings))]
        grown = shapely.union_all([middle, *strips]) if reach.value > 0 else middle - shapely.union_all(strips)
    else:
        grown = shapely.buffer(middle, reach.value, join_style="mitre", mitre_limit=MITRE_LIMIT)
    lines = (
        _shifted(ring_sides(ring, sources, hole=at > 0), reach, _shares(ring, hole=at > 0))
        for at, ring in enumerate(rings)
    )
    return traced(grown, joined(lines, sources))


def _strip(rings: tuple[Ring, ...], at: int, reach: float, sources: int) -> shapely.Geometry:
    """All that the tape along a ring covers, each side as wide as it is."""
    sides, shares = ring_sides(rings[at], sources, hole=at > 0), _shares(rings[at], hole=at > 0)
    lines = shapely.linestrings(np.stack([sides.starts, sides.ends], axis=1))[shares > 0]
    return shapely.union_all(shapely.buffer(lines, abs(reach) * shares[shares > 0], cap_style="square"))


def _shifted(sides: Sides, reach: Quantity, shares: FloatArray) -> Sides:
    """Every side moved along its own normal, by its share of reach."""
    lengths = np.maximum(sides.lengths, 1e-12)[:, None]
    along, normal = (sides.ends - sides.starts) / lengths, sides.outward / lengths
    turning = np.einsum("md,mdk->mk", normal, sides.end_moves - sides.start_moves) / lengths
    normal = normal * shares[:, None]
    shift_moves = normal[:, :, None] * widened(reach.sensitivity, sides.start_moves.shape[2])
    shift_moves = shift_moves - reach.value * (along * shares[:, None])[:, :, None] * turning[:, None, :]
    shift = reach.value * normal
    return Sides(
        sides.starts + shift, sides.ends + shift, sides.start_moves + shift_moves, sides.end_moves + shift_moves
    )


def _unit(vectors: FloatArray) -> FloatArray:
    return np.asarray(vectors / np.maximum(norms(vectors), 1e-12)[:, None])


def _outward(directions: FloatArray) -> FloatArray:
    return np.stack([directions[:, 1], -directions[:, 0]], axis=1)

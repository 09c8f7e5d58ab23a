"""How near a line comes to an outline and to another line, with the uncertainty of both.

A gap is between the band that a line covers and the other's edge; it runs through 0 without a jump and is negative
where the line enters: minus the depth of its deepest point, and half the line's width.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from measure.lines.track import Spot, Track
from measure.plat.nearest_pairs import Place, as_place, distances, place_on
from measure.plat.regions import Region
from measure.plat.separation import Candidate, smallest
from measure.quantity import FloatArray, Quantity

_NOTHING = 1e-9
"""mm."""
_OWN_PART = 20.0
"""mm along a line from its end that are the end itself, not another part of the line."""
_RIVALS, _MOST_RIVALS = 6.0, 24
"""Places that may be the nearest: within so many standard uncertainties, and so many at most."""
_MOST_MEETINGS = 20
"""Of two pieces: lines laid on each other cross by chance, again and again."""


@dataclass(frozen=True, eq=False)
class Touch:
    """The gap in mm of a line and something else, at which places, and how far from the line's start (mm).

    along_other is the same on the other where it is a line.
    """

    gap: Quantity
    between: tuple[Place, Place]
    along: float
    along_other: float = 0.0


def gaps_to_region(track: Track, region: Region) -> list[Touch]:
    """The gap of a whole piece to a region that is not empty, then those that may be smaller, as far as is known.

    To first order in the uncertainties: where two points face each other, they are to be farther apart than they move.
    """
    least = _least_gap(track, region)
    if least.gap.value < 0:
        return [least]
    reach = least.gap.value + track.half.value + _RIVALS * _largest_move(track, region) + _NOTHING
    given = shapely.points(np.array([track.spot(along).point for along in track.given]))
    corners = shapely.points(region.sides.starts)
    apart = np.concatenate([shapely.distance(given, region.geometry), shapely.distance(corners, track.shape)])
    feet = [*track.given.tolist(), *shapely.line_locate_point(track.shape, corners).tolist()]
    near = [at for at in np.argsort(apart, kind="stable")[:_MOST_RIVALS] if apart[at] <= reach]
    found = [least, *(_spot_gap(track, track.spot(feet[at]), region) for at in near)]
    plausible = smallest(Candidate(touch.gap, touch.between) for touch in found)
    kept = {id(gap) for gap in plausible.candidates} if plausible else set()
    return sorted((touch for touch in found if id(touch.gap) in kept), key=lambda touch: touch.gap.value)


def _largest_move(track: Track, region: Region) -> float:
    """The largest standard uncertainty of any coordinate, in mm."""
    return max(float(np.sqrt((moves**2).sum(axis=2).max())) for moves in (track.moves, region.sides.start_moves))


def _least_gap(track: Track, region: Region) -> Touch:
    found = [end_gap(track, which, region) for which in ((0, 1) if not track.closed else ())]
    nearest = shapely.get_coordinates(shapely.shortest_line(track.shape, region.geometry))
    found.append(_spot_gap(track, track.spot(track.nearest(nearest[0])), region))
    inside = np.flatnonzero(shapely.contains_xy(region.geometry, track.points))
    if len(inside):
        depths = shapely.distance(shapely.points(track.points[inside]), shapely.boundary(region.geometry))
        inner = np.minimum(track.arc[inside], track.length - track.arc[inside]) / max(track.half.value, _NOTHING)
        deepest = int(inside[np.argmax(depths + track.half.value * np.clip(inner, 0.0, 1.0))])
        found.append(_spot_gap(track, track.spot(float(track.arc[deepest])), region))
    return min(found, key=lambda touch: touch.gap.value)


def end_gap(track: Track, which: int, region: Region) -> Touch:
    """The gap of a piece's start (0) or end (1) to a region that is not empty."""
    return _spot_gap(track, track.end(which), region)


def _spot_gap(track: Track, spot: Spot, region: Region) -> Touch:
    boundary = shapely.boundary(region.geometry)
    foot = shapely.get_coordinates(shapely.shortest_line(shapely.points(spot.point), boundary))[1]
    share, apart = distances(foot[None], region.sides)
    side = int(np.argmin(apart[0]))
    foot, foot_moves = place_on(region.sides, side, float(share[0, side]))
    away = foot - spot.point
    size = float(np.hypot(*away))
    inside = bool(shapely.contains_xy(region.geometry, spot.point[None])[0]) and size > _NOTHING
    outward = region.sides.outward[side] / max(float(region.sides.lengths[side]), 1e-12)
    direction = outward if size <= _NOTHING else away / size if inside else -away / size
    less, share_of_half = track.less_for_band(spot.along, np.zeros(2) if inside else away)
    value = (-size if inside else size) - less
    moves = direction @ (spot.moves - foot_moves)
    return Touch(
        _narrower(Quantity(value, moves), track, share_of_half), (as_place(spot.point), as_place(foot)), spot.along
    )


def gap_to_line(track: Track, other: Track) -> Touch:
    """The smallest gap of two pieces."""
    ends = shapely.get_coordinates(shapely.shortest_line(track.shape, other.shape))
    return line_touch(track, other, track.nearest(ends[0]), other.nearest(ends[1]))


def meetings(track: Track, other: Track) -> list[Touch]:
    """Where two pieces may hang together: where their middles cross, the ends of either, and the nearest places."""
    found = [line_touch(track, other, track.nearest(at), other.nearest(at)) for at in crossings(track, other)]
    for which in (0, 1) if not track.closed else ():
        spot = track.end(which)
        found.append(line_touch(track, other, spot.along, other.nearest(spot.point)))
    for which in (0, 1) if not other.closed else ():
        spot = other.end(which)
        found.append(line_touch(track, other, track.nearest(spot.point), spot.along))
    found.append(gap_to_line(track, other))
    return _once_a_place(found)


def own_meetings(track: Track) -> list[Touch]:
    """Where an end of a piece comes near another part of the same piece: a loop that is all one piece."""
    found = []
    for which in (0, 1) if not track.closed else ():
        spot = track.end(which)
        apart = np.hypot(*(track.points - spot.point).T)
        apart[np.abs(track.arc - spot.along) < _OWN_PART + 4.0 * track.half.value] = np.inf
        if np.isfinite(apart).any():
            found.append(line_touch(track, track, spot.along, float(track.arc[int(np.argmin(apart))])))
    return found


def crossings(track: Track, other: Track) -> FloatArray:
    """The places (n, 2) at which two pieces' middles meet."""
    return np.unique(shapely.get_coordinates(shapely.intersection(track.shape, other.shape)), axis=0)[:_MOST_MEETINGS]


def line_touch(track: Track, other: Track, along: float, along_other: float) -> Touch:
    """The gap of two pieces between two places of them."""
    spot, far = track.spot(along), other.spot(along_other)
    away = far.point - spot.point
    size = float(np.hypot(*away))
    across = np.array([-far.direction[1], far.direction[0]])
    direction = -away / size if size > _NOTHING else across
    gap = Quantity(size, direction @ (spot.moves - far.moves))
    for own, place, towards in ((track, along, away), (other, along_other, -away)):
        less, share = own.less_for_band(place, towards)
        gap = _narrower(Quantity(gap.value - less, gap.sensitivity), own, share)
    return Touch(gap, (as_place(spot.point), as_place(far.point)), along, along_other)


def _narrower(gap: Quantity, track: Track, share: float) -> Quantity:
    """The gap, uncertain by half the line's width as well."""
    return gap - Quantity(0.0, track.half.sensitivity) * share


def _once_a_place(found: list[Touch]) -> list[Touch]:
    kept: list[Touch] = []
    for touch in sorted(found, key=lambda touch: touch.gap.value):
        if all(max(abs(touch.along - k.along), abs(touch.along_other - k.along_other)) > 1.0 for k in kept):
            kept.append(touch)
    return kept

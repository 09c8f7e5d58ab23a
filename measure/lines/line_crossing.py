"""Whether one line crosses another: how far both go on beyond the place where their middles meet."""

from __future__ import annotations

import numpy as np
import shapely

from measure.lines.line_gaps import Touch, crossings, line_touch
from measure.lines.track import Track
from measure.plat.nearest_pairs import as_place
from measure.quantity import FloatArray, Quantity

_BESIDE = 0.5
"""mm before and after a meeting at which it is looked on which side of the other a line runs."""


def crossing_of(track: Track, other: Track) -> Touch:
    """How far in mm two pieces go on beyond each other's edge where they cross: on both sides of it at least so far.

    Where their middles do not meet it is minus what is missing to the other's far edge; where one ends on the other, or
    only touches it, 0 or little.
    """
    found = [_beyond(track, other, at) for at in crossings(track, other)]
    if not found:
        return _short_of(track, other)
    return max(found, key=lambda touch: touch.gap.value)


def _short_of(track: Track, other: Track) -> Touch:
    ends = shapely.get_coordinates(shapely.shortest_line(track.shape, other.shape))
    spot, far = track.spot(track.nearest(ends[0])), other.spot(other.nearest(ends[1]))
    away = far.point - spot.point
    apart = Quantity(float(np.hypot(*away)), away / max(float(np.hypot(*away)), 1e-9) @ (far.moves - spot.moves))
    wider = max(track.half, other.half, key=lambda half: half.value)
    return Touch(-apart - wider, (as_place(spot.point), as_place(far.point)), spot.along, far.along)


def _beyond(track: Track, other: Track, place: FloatArray) -> Touch:
    here, there = track.nearest(place), other.nearest(place)
    sides = [*_sides(track, other, here, place), *_sides(other, track, there, place)]
    least = min(sides, key=lambda side: side.value) if _goes_through(track, other, here, there) else None
    met = line_touch(track, other, here, there)
    return Touch(Quantity(0.0) if least is None else least, met.between, here, there)


def _sides(track: Track, other: Track, along: float, place: FloatArray) -> list[Quantity]:
    """How far a piece goes beyond the other's edge before and after a meeting, up to where they meet again."""
    met = np.sort([track.nearest(at) for at in crossings(track, other)])
    before, after = met[met < along - _BESIDE], met[met > along + _BESIDE]
    start = float(before[-1]) if len(before) else 0.0
    end = float(after[0]) if len(after) else track.length
    spans = [(start, along)], [(along, end)]
    if track.closed and not len(before):
        spans[0].append((float(after[-1]) if len(after) else along, track.length))
    if track.closed and not len(after):
        spans[1].append((0.0, float(before[0]) if len(before) else along))
    return [_farthest(track, other, span) for span in spans]


def _farthest(track: Track, other: Track, spans: list[tuple[float, float]]) -> Quantity:
    """The largest distance from the other's edge on some stretches of a piece."""
    inner = np.zeros(len(track.arc), dtype=bool)
    for start, end in spans:
        inner |= (track.arc >= start) & (track.arc <= end)
    places = [*track.arc[inner].tolist(), *(end for span in spans for end in span)]
    spots = [track.spot(along) for along in places]
    apart = shapely.distance(shapely.points(np.array([spot.point for spot in spots])), other.shape)
    farthest = spots[int(np.argmax(apart))]
    foot = other.spot(other.nearest(farthest.point))
    away = farthest.point - foot.point
    size = float(np.hypot(*away))
    direction = away / size if size > 0 else np.array([-foot.direction[1], foot.direction[0]])
    return Quantity(size, direction @ (farthest.moves - foot.moves)) - other.half


def _goes_through(track: Track, other: Track, here: float, there: float) -> bool:
    """Whether a piece runs on the one side of the other before their meeting and on the other side after it."""
    if other.at_end(there) is not None or track.at_end(here) is not None:
        return False
    way, place = other.spot(there).direction, other.spot(there).point
    ends = [track.spot(float(np.clip(here + step, 0.0, track.length))).point - place for step in (-_BESIDE, _BESIDE)]
    first, last = (float(way[0] * end[1] - way[1] * end[0]) for end in ends)
    return first * last < 0

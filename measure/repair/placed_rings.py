"""Rings whose corners were, all or some of them, placed by hand, with the uncertainty of each corner."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from measure.notices import Notice
from measure.plat.plat import Piece, Plat, Ring, Source, normalised
from measure.quantity import FloatArray
from measure.repair.pointing import HAND, UNKNOWN_SCALE, PictureExtent, pointing_u, shared_moves

IntArray = NDArray[np.intp]

SAME_PLACE = 0.02
"""mm: a corner that is moved by less was not moved; numbers on the page are rounded that far."""


@dataclass(eq=False)
class RingMaker:
    """Makes rings for one plat and gathers the sources and notices that they bring."""

    plat: Plat
    shown: PictureExtent
    sources: list[Source] = field(default_factory=list)
    notices: list[Notice] = field(default_factory=list)
    _scale: int | None = None

    def new_source(self, source: Source) -> int:
        """Its number among the new plat's sources."""
        self.sources.append(source)
        return len(self.plat.sources) + len(self.sources) - 1

    def drawn(self, points: FloatArray, width: float) -> Ring:
        """A ring (n, 2) in mm of which every corner was placed by hand, on tape of that width in mm."""
        moves = self._by_hand(points, np.arange(len(points)), width, curved=False)
        return normalised(points, moves)

    def changed(self, points: FloatArray, piece: Piece) -> Ring:
        """A ring of a piece that was there: corners that stayed keep their uncertainty and what is inferred of them."""
        origin, places = _origins(points, piece)
        points = np.where(origin[:, :1] >= 0, places, points)
        curved = piece.ring.curved and len(points) == len(piece.ring.points)
        new = np.flatnonzero(origin[:, 0] < 0)
        moves = self._by_hand(points, new, piece.tape_width.value, curved=curved)
        rings = (piece.ring, *piece.holes)
        for at in np.flatnonzero(origin[:, 0] >= 0):
            old = rings[origin[at, 0]].sensitivity[origin[at, 1]]
            moves[at, :, : old.shape[1]] = old
        return normalised(
            points,
            moves,
            curved=curved,
            inferred=_still_inferred(origin, piece.ring),
            taped=_still_taped(origin, piece.ring),
        )

    def kept_share(self, points: FloatArray, piece: Piece) -> float:
        """The share of the points that stayed where they were."""
        return float((_origins(points, piece)[0][:, 0] >= 0).mean())

    def _by_hand(self, points: FloatArray, new: IntArray, width: float, *, curved: bool) -> FloatArray:
        """Sensitivities (n, 2, k) of which those of the new points are filled in.

        Corners are pointed at one by one; along a curve a run of points is, all of it, too far out or too far in.
        """
        shared = self.shared(points[new])  # may bring a source, so it comes first
        first = len(self.plat.sources) + len(self.sources)
        own = [np.array([at]) for at in new for _ in "xy"]
        directions = np.tile(np.eye(2), (len(new), 1))[:, None]
        if curved and len(new):
            own = _runs(new, len(points))
            directions = [_outward(points)[run] for run in own]  # type: ignore[assignment]
        for at, run in enumerate(own):
            self.new_source(Source(f"place {at + 1} by hand near point {int(run[0]) + 1}", HAND))
        moves = np.zeros((len(points), 2, len(self.plat.sources) + len(self.sources)))
        moves[new, :, : shared.shape[2]] = shared
        u = pointing_u(self.shown.mm_per_px, width)
        for at, (run, direction) in enumerate(zip(own, directions, strict=True)):
            moves[run, :, first + at] = u * direction
        return moves

    def shared(self, places: FloatArray) -> FloatArray:
        """How the causes that the whole picture shares move places, shape (n, 2, k); a guess where nothing tells."""
        known = shared_moves(self.plat, places, self.shown)
        if known is not None or not self.plat.photos:
            return np.zeros((len(places), 2, 0)) if known is None else known
        if self._scale is None:
            self._scale = self.new_source(Source("scale of the picture by hand", "plane"))
            self.notices.append(Notice("scale-taken", facts={"percent": 100 * UNKNOWN_SCALE}))
        moves = np.zeros((len(places), 2, self._scale + 1))
        moves[:, :, self._scale] = UNKNOWN_SCALE * (places - self.shown.middle)
        return moves


def same_ring(points: FloatArray, ring: Ring) -> bool:
    """Whether points (n, 2) in mm are the ring's own, from whichever corner and in whichever direction."""
    if len(points) != len(ring.points):
        return False
    turns = [np.roll(way, -_nearest(way, ring.points[0]), axis=0) for way in (points, points[::-1])]
    return any(np.hypot(*(turn - ring.points).T).max() <= SAME_PLACE for turn in turns)


def _nearest(points: FloatArray, place: FloatArray) -> int:
    return int(np.argmin(np.hypot(*(points - place).T)))


def _origins(points: FloatArray, piece: Piece) -> tuple[IntArray, FloatArray]:
    """Of every point the ring (0: the outline) and corner that it was before, (n, 2), -1 where it is new; its place.

    Every corner of a piece that could not be measured is new: somebody says by hand where it is.
    """
    origin, places = np.full((len(points), 2), -1), points.copy()
    for number, ring in enumerate((piece.ring, *piece.holes) if piece.status == "measured" else ()):
        apart = np.hypot(*(points[:, None] - ring.points[None]).transpose(2, 0, 1))
        near = apart.argmin(axis=1)
        there = (apart.min(axis=1) <= SAME_PLACE) & (origin[:, 0] < 0)
        origin[there] = np.column_stack([np.full(int(there.sum()), number), near[there]])
        places[there] = ring.points[near[there]]
    return origin, places


def _still_inferred(origin: IntArray, ring: Ring) -> tuple[tuple[int, float, float], ...]:
    """The outline's inferred stretches on sides of which both ends stayed; by their new sides."""
    found = []
    count, now = len(ring.points), {int(corner): at for at, (of, corner) in enumerate(origin) if of == 0}
    for side, start, end in ring.inferred:
        a, b = now.get(side), now.get((side + 1) % count)
        if a is not None and b == (a + 1) % len(origin):
            found.append((a, start, end))
        elif b is not None and a == (b + 1) % len(origin):
            found.append((b, 1.0 - end, 1.0 - start))
    return tuple(found)


def _still_taped(origin: IntArray, ring: Ring) -> tuple[float, ...]:
    """The tape's share along every new side: as it was where both ends stayed, else the piece's own."""
    if not ring.taped:
        return ()
    count, shares = len(ring.points), [1.0] * len(origin)
    for at, (of, corner) in enumerate(origin):
        after_of, after = origin[(at + 1) % len(origin)]
        if of == after_of == 0 and after == (corner + 1) % count:
            shares[at] = ring.taped[corner]
        elif of == after_of == 0 and corner == (after + 1) % count:
            shares[at] = ring.taped[after]
    return tuple(shares)


def _runs(chosen: IntArray, count: int) -> list[IntArray]:
    """Chosen points of a closed line of `count` as runs of neighbours."""
    runs = np.split(chosen, np.flatnonzero(np.diff(chosen) > 1) + 1)
    if len(runs) > 1 and chosen[0] == 0 and chosen[-1] == count - 1:
        runs = [np.concatenate([runs[-1], runs[0]]), *runs[1:-1]]
    return runs


def _outward(points: FloatArray) -> FloatArray:
    """Unit vectors (n, 2) across a closed line at its points."""
    along = np.roll(points, -1, axis=0) - np.roll(points, 1, axis=0)
    across = np.column_stack([along[:, 1], -along[:, 0]])
    return np.asarray(across / np.maximum(np.hypot(*across.T), 1e-12)[:, None])

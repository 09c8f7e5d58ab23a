"""A board that the picture's edge cuts, by those of its sides that show, where none is found whole."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import product

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.card.colours import log_colour
from calib.edges import FloatArray
from vision.board.edge_pixels import beside_calm, edge_pixels, main_turns
from vision.picture.rectified import Rectified

TURNS, FINE = 5, np.deg2rad((-0.5, -0.25, 0.0, 0.25, 0.5))
"""How many of the edges' main directions are tried, and how far beside each."""
STEEP = np.cos(np.deg2rad(14))
"""Of an edge's normal along an axis, from which on it counts for a side across that axis."""
BIN = 1.5
"""Width of the histograms, mm."""
NEAR = 1
"""Bins beside a side in which an edge still lies on it."""
MOST_LINES = 12
"""Longest edges along each axis that are tried as sides."""
LEAST_LINE = 60.0
"""The least length of an edge that is tried, mm."""
LEAST_SHARE, SEEN, UNSEEN = 0.7, 0.3, 0.2
"""Share of what shows of a side that must fall on an edge; share of a side that must show, and up to which one may that
was not found.
"""
INSIDE, BESIDE, BEYOND = 3.0, (3.0, 7.0), (4.0, 10.0)
"""How far tape may reach beyond the board, and where from a side its ground is looked at, and what lies outside, mm."""
FEWEST = 20
"""Places that must show along a side, and along the picture's edge."""
LEAST_TAPE = 0.7
"""Share of what has tape's colours that must lie on the board: a cloth's pattern may have them, too."""
ALIKE = (0.08, 0.5)
"""Largest distance in log colour of one ground, with its grain and the light's fall."""
MOSTLY, APART, AT_RIM = 0.45, 0.35, 0.2
"""Share of the places along every side that have the board's ground inside, and that have it outside, and of those
where the picture's edge cuts the board.
"""
SURE_SIDES, SURE_SHARE, SURE_GROUND, SURE_BEYOND, SURE_OUT = 3, 0.85, 0.6, 0.15, 0.04
"""The same of a board that needs no closer look: how many sides show, the share of each that falls on an edge, that has
the ground inside and that has it outside, and the share of its size by which it reaches out of the picture.
"""
_LOCAL = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])


@dataclass(frozen=True, eq=False)
class CutBoard:
    """Corners (4, 2) mm of a board, how much of its sides shows, mm, and whether it needs no closer look."""

    corners: FloatArray
    length: float
    is_sure: bool


def cut_boards(
    picture: Rectified, size: tuple[float, float], tape: FloatArray, slack: float, step: float, *, patterned: bool
) -> list[CutBoard]:
    """Every board of about this size (mm) that reaches out of the picture and otherwise shows.

    Two sides at a corner show, or three; what the picture's edge cuts has the ground that lies along them, and
    what lies beyond them has not.  The rest is as in vision.board.board_edges.find_board.  The sure ones first.
    """
    places, normals = edge_pixels(picture, step)
    if patterned:
        places, normals = beside_calm(places, normals, picture)
    if len(places) < 200:
        return []
    view, found = _View(picture, tape), list[CutBoard]()
    for turn in main_turns(normals, TURNS):
        near = max((_Lines(view, places, normals, turn + by) for by in FINE), key=lambda lines: lines.length)
        found += near.boards(size, slack)
        if found and found[-1].is_sure:
            break
    return sorted(found, key=lambda board: (board.is_sure, board.length), reverse=True)


class _View:
    """A corrected picture's colours, what of it the photo shows, and where tape lies (n, 2) mm."""

    def __init__(self, picture: Rectified, tape: FloatArray) -> None:
        self.picture, self.tape = picture, tape
        self.shown: NDArray[np.bool_] = (
            cv2.morphologyEx((picture.bgr.max(axis=2) > 0).astype(np.uint8), cv2.MORPH_CLOSE, np.ones((5, 5), np.uint8))
            > 0
        )

    @cached_property
    def colours(self) -> FloatArray:
        return np.asarray(cv2.blur(log_colour(self.picture.bgr), (3, 3)))

    def shows(self, places: FloatArray) -> NDArray[np.bool_]:
        """Which places (..., 2) mm the photo shows."""
        at, inside = self._at(places)
        return np.asarray(inside & self.shown[at], dtype=np.bool_)

    def colours_at(self, places: FloatArray) -> FloatArray:
        """Log colours (n, 3) of those of the places (..., 2) mm that the photo shows."""
        at, _ = self._at(places)
        return np.asarray(self.colours[at][self.shows(places)])

    def _at(self, places: FloatArray) -> tuple[tuple[NDArray[np.int64], NDArray[np.int64]], NDArray[np.bool_]]:
        column, row = np.moveaxis(np.rint(self.picture.to_px(places)).astype(np.int64), -1, 0)
        height, width = self.shown.shape
        inside = (column >= 0) & (row >= 0) & (column < width) & (row < height)
        return (np.clip(row, 0, height - 1), np.clip(column, 0, width - 1)), np.asarray(inside, dtype=np.bool_)


@dataclass(frozen=True, eq=False)
class _Line:
    """An edge across an axis: where it lies, mm, and how many bins up to each show an edge, and are in the photo."""

    at: float
    seen: FloatArray
    shown: FloatArray

    def shares(self, start: int, end: int) -> tuple[float, float]:
        """Of a stretch of bins the share that the photo shows, and of that the share that falls on an edge."""
        a, b = (int(np.clip(v, 0, len(self.seen) - 1)) for v in (start, end))
        shown = self.shown[b] - self.shown[a]
        return float(shown / max(1, end - start)), float((self.seen[b] - self.seen[a]) / max(1.0, shown))


@dataclass(frozen=True)
class _Ground:
    """Shares of the places that have the board's ground: inside and outside each side, and at the picture's edge."""

    inside: list[float]
    outside: list[float]
    at_rim: float

    @property
    def is_likely(self) -> bool:
        apart = (within - beyond for within, beyond in zip(self.inside, self.outside, strict=True))
        return min(self.inside) > MOSTLY and min(apart) > APART and self.at_rim > AT_RIM

    @property
    def is_sure(self) -> bool:
        return min(self.inside) > SURE_GROUND and max(self.outside) < SURE_BEYOND and self.at_rim > AT_RIM


class _Lines:
    """The longest edges along the axes of a frame that is turned by so many radians, and the boards that they make."""

    def __init__(self, view: _View, places: FloatArray, normals: FloatArray, turn: float) -> None:
        c, s = np.cos(turn), np.sin(turn)
        self.view, self.axes = view, np.array([[c, -s], [s, c]])
        local, facing = places @ self.axes, np.abs(normals @ self.axes)
        self.low, self.high = local.min(axis=0), local.max(axis=0)
        self.sides = [self._longest(local[facing[:, axis] > STEEP], axis) for axis in (0, 1)]
        self.length = sum(sum(line.seen[-1] ** 2 for line in side[:4]) for side in self.sides)

    def _longest(self, local: FloatArray, axis: int) -> list[_Line]:
        size = np.ceil((self.high - self.low) / BIN).astype(int) + 1
        at = np.floor((local - self.low) / BIN).astype(int)
        seen = np.zeros((size[axis], size[1 - axis]), np.uint8)
        seen[at[:, axis], at[:, 1 - axis]] = 1
        seen = cv2.dilate(seen, np.ones((2 * NEAR + 1, 3), np.uint8))
        length, found = seen.sum(axis=1).astype(np.float64), list[_Line]()
        for _ in range(MOST_LINES):
            best = int(length.argmax())
            if length[best] * BIN < LEAST_LINE:
                break
            where, along = self.low[axis] + (best + 0.5) * BIN, self.low[1 - axis] + np.arange(size[1 - axis]) * BIN
            shown = self._shown(axis, where, along)
            found.append(_Line(where, _summed(seen[best] * shown), _summed(shown)))
            length[max(0, best - 2 * NEAR) : best + 2 * NEAR + 1] = 0
        return found

    def _shown(self, axis: int, at: float, along: FloatArray) -> NDArray[np.bool_]:
        local = np.empty((len(along), 2))
        local[:, axis], local[:, 1 - axis] = at, along
        return self.view.shows(local @ self.axes.T)

    def boards(self, size: tuple[float, float], slack: float) -> Iterator[CutBoard]:
        """Cut boards of this size, either way round, up to the first that is sure."""
        for turned in {False, size[0] != size[1]}:
            across = size[::-1] if turned else size
            spans = [list(_spans(side, apart, slack)) for side, apart in zip(self.sides, across, strict=True)]
            for first, second in product(*spans):
                board = self._board(first, second, turned)
                if board is not None:
                    yield board
                    if board.is_sure:
                        return

    def _board(self, first: _Span, second: _Span, turned: bool) -> CutBoard | None:
        """The board between these sides, or None where it is none, or not cut by the picture's edge."""
        low, high = np.array([first[0], second[0]]), np.array([first[1], second[1]])
        corners = (low + _LOCAL * (high - low)) @ self.axes.T
        if self.view.shows(corners).sum() > 2 or not self._holds_tape(low, high):
            return None
        sides = list[tuple[int, float, float]]()
        length, least, sure = 0.0, 1.0, True
        for axis, span, along in ((0, first, second), (1, second, first)):
            ends = np.rint((np.array(along[:2]) - self.low[1 - axis]) / BIN).astype(int)
            for at, line, inwards in ((span[0], span[2], 1.0), (span[1], span[3], -1.0)):
                if line is None:
                    places, by = np.linspace(*along[:2], 60), SURE_OUT * (span[1] - span[0])
                    if self._shown(axis, at, places).mean() > UNSEEN:
                        return None
                    sure = sure and self._shown(axis, at + inwards * by, places).mean() <= UNSEEN
                    continue
                shown, share = line.shares(*ends)
                if shown < SEEN or share < LEAST_SHARE:
                    return None
                length, least = length + shown * (along[1] - along[0]), min(least, share)
                sides.append((axis, line.at, inwards))
        ground = self._ground(sides, low, high)
        if not ground.is_likely:
            return None
        sure = sure and len(sides) >= SURE_SIDES and least >= SURE_SHARE and ground.is_sure
        return CutBoard(np.roll(corners, -int(turned), axis=0), length, sure)

    def _holds_tape(self, low: FloatArray, high: FloatArray) -> bool:
        inside = self.view.tape @ self.axes
        on_it = ((inside > low - INSIDE) & (inside < high + INSIDE)).all(axis=1)
        return not len(inside) or bool(on_it.mean() > LEAST_TAPE)

    def _ground(self, sides: list[tuple[int, float, float]], low: FloatArray, high: FloatArray) -> _Ground:
        """What of one ground lies along the sides (axis, place, direction inwards) and at the picture's edge."""
        strips = [[self._strip(*side, low, high, by) for side in sides] for by in (BESIDE, (-BEYOND[1], -BEYOND[0]))]
        within, beyond = ([self.view.colours_at(strip) for strip in both] for both in strips)
        rim = self.view.colours_at(self._rim(low, high))
        if min(len(colours) for colours in (*within, rim)) < FEWEST or not any(map(len, beyond)):
            return _Ground([0.0], [0.0], 0.0)
        ground = np.median(np.concatenate(within), axis=0)
        away = np.linalg.norm(np.concatenate(beyond) - ground, axis=1)
        alike = float(np.clip(0.5 * np.percentile(away, 25), *ALIKE))

        def share(colours: FloatArray) -> float:
            return float((np.linalg.norm(colours - ground, axis=1) < alike).mean()) if len(colours) else 0.0

        return _Ground([share(colours) for colours in within], [share(colours) for colours in beyond], share(rim))

    def _strip(
        self, axis: int, at: float, inwards: float, low: FloatArray, high: FloatArray, by: tuple[float, float]
    ) -> FloatArray:
        """Places (n, m, 2) mm beside a side, from so far to so far inwards."""
        along, away = np.meshgrid(np.arange(low[1 - axis] + 8, high[1 - axis] - 8, 2.0), np.arange(*by, 1.5))
        local = np.empty((*along.shape, 2))
        local[..., axis], local[..., 1 - axis] = at + inwards * away, along
        return np.asarray(local @ self.axes.T)

    def _rim(self, low: FloatArray, high: FloatArray) -> FloatArray:
        """Places (n, 2) mm of the board along the picture's edge."""
        shown = self.view.shown.astype(np.uint8)
        framed = np.pad(shown, 1)
        inner, outer = (cv2.erode(framed, np.ones((n, n), np.uint8))[1:-1, 1:-1] for n in (5, 11))
        rows, columns = np.nonzero(inner > outer)
        places = self.view.picture.to_mm(np.column_stack([columns, rows]).astype(np.float64))
        local = places @ self.axes
        return np.asarray(places[((local > low + 8) & (local < high - 8)).all(axis=1)])


_Span = tuple[float, float, _Line | None, _Line | None]
"""Where two opposite sides lie, mm, and the edges that show them."""


def _spans(lines: list[_Line], apart: float, slack: float) -> Iterator[_Span]:
    """Two edges so far apart, within slack, or one of them and where the other one would be."""
    for line in lines:
        yield line.at, line.at + apart, line, None
        yield line.at - apart, line.at, None, line
        for other in lines:
            if abs(other.at - line.at - apart) <= slack + BIN:
                yield line.at, other.at, line, other


def _summed(seen: NDArray[np.generic]) -> FloatArray:
    return np.concatenate([[0.0], np.cumsum(seen)])

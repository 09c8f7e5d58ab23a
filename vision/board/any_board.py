"""A board of any size around the tape, for a photo that shows none of the size that is stated."""

from __future__ import annotations

from itertools import combinations

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.edges import FloatArray
from vision.board.edge_pixels import edge_pixels, main_turns
from vision.picture.rectified import Rectified

STEEP = np.cos(np.deg2rad(14))
"""Of an edge's normal along an axis, from which on it counts for a side across that axis."""
BIN = 1.5
"""Width of the histograms, mm."""
NEAR = 1
"""Bins beside a side in which an edge still lies on it."""
MOST_LINES = 12
"""Longest edges along each axis that are tried as sides."""
LEAST_EACH, LEAST_ALL = 0.5, 3.2
"""Share of every side, and sum of the four shares, that must fall on an edge."""
LEAST_SIZE, INSIDE = 150.0, 3.0
"""The least side of a board, and how far tape may reach beyond it, mm."""
OFF, NEARLY = 0.05, 0.4
"""How far a board's sides may be off what is stated, relative, and by how much less than the best one's the shares of
such a board may sum up to.
"""
MOST_PIXELS, TURNS = 60_000, 3
"""Edge pixels that are looked at, and the directions of theirs in which a board may lie."""


def any_board(
    picture: Rectified,
    tape: FloatArray,
    stated: tuple[float, float],
    printed: NDArray[np.bool_],
    least: float = LEAST_ALL,
) -> tuple[float, float] | None:
    """Width and depth, mm, of the rectangle that shows best around tape (n, 2) mm; the stated size where one of about
    that size shows nearly as well, as a line in the table may lie along a board.

    None where none shows well: least is the sum of the shares of its four sides that fall on an edge.  printed (h, w):
    where printed paper lies, whose edges are no board's.
    """
    places, normals = edge_pixels(picture)
    column, row = np.rint(picture.to_px(places)).astype(np.int64).T
    places, normals = places[~printed[row, column]], normals[~printed[row, column]]
    if len(places) < 200 or len(tape) < 12:
        return None
    every = max(1, -(-len(places) // MOST_PIXELS))
    places, normals = places[::every], normals[::every]
    found = [one for turn in main_turns(normals, TURNS) for one in _rectangles_at(turn, places, normals, tape)]
    best, size = max(found, default=(0.0, None), key=lambda one: one[0])
    if best < least:
        return None
    fitting = (share for share, one in found if fits_size(one, stated))
    return stated if max(fitting, default=0.0) > best - NEARLY else size


def fits_size(size: tuple[float, float], stated: tuple[float, float]) -> bool:
    """Whether a board's width and depth, either way round, are about those stated."""
    return any(
        all(abs(one / other - 1) <= OFF for one, other in zip(way, stated, strict=True)) for way in (size, size[::-1])
    )


def _rectangles_at(
    turn: float, places: FloatArray, normals: FloatArray, tape: FloatArray
) -> list[tuple[float, tuple[float, float]]]:
    """As _rectangles, of edges (n, 2) and their normals around tape (m, 2), turned by so many radians."""
    c, s = np.cos(turn), np.sin(turn)
    axes = np.array([[c, -s], [s, c]])
    local, facing, inside = places @ axes, np.abs(normals @ axes), tape @ axes
    low, high = local.min(axis=0), local.max(axis=0)
    sides = [_lines(local[facing[:, axis] > STEEP], axis, low, high) for axis in (0, 1)]
    return _rectangles(sides, low, (inside.min(axis=0) + INSIDE, inside.max(axis=0) - INSIDE))


def _lines(local: FloatArray, axis: int, low: FloatArray, high: FloatArray) -> list[tuple[float, FloatArray]]:
    """The longest lines across an axis: where each lies, mm, and how many bins of it up to each show an edge."""
    size = np.ceil((high - low) / BIN).astype(int) + 1
    at = np.floor((local - low) / BIN).astype(int)
    seen = np.zeros((size[axis], size[1 - axis]), np.uint8)
    seen[at[:, axis], at[:, 1 - axis]] = 1
    seen = cv2.dilate(seen, np.ones((2 * NEAR + 1, 3), np.uint8))
    length = seen.sum(axis=1).astype(np.float64)
    found: list[tuple[float, FloatArray]] = []
    for _ in range(MOST_LINES):
        best = int(length.argmax())
        if length[best] * BIN < LEAST_EACH * LEAST_SIZE:
            break
        found.append((low[axis] + (best + 0.5) * BIN, np.concatenate([[0.0], np.cumsum(seen[best])])))
        length[max(0, best - 2 * NEAR) : best + 2 * NEAR + 1] = 0
    return sorted(found, key=lambda line: line[0])


def _rectangles(
    sides: list[list[tuple[float, FloatArray]]], low: FloatArray, around: tuple[FloatArray, FloatArray]
) -> list[tuple[float, tuple[float, float]]]:
    """Every rectangle of lines around the tape whose sides all show: the sum of their shares, and its size."""
    found = []
    for left, right in combinations(sides[0], 2):
        if right[0] - left[0] < LEAST_SIZE or left[0] > around[0][0] or right[0] < around[1][0]:
            continue
        for top, bottom in combinations(sides[1], 2):
            if bottom[0] - top[0] < LEAST_SIZE or top[0] > around[0][1] or bottom[0] < around[1][1]:
                continue
            shares = [
                *(_share(line[1], top[0] - low[1], bottom[0] - low[1]) for line in (left, right)),
                *(_share(line[1], left[0] - low[0], right[0] - low[0]) for line in (top, bottom)),
            ]
            if min(shares) >= LEAST_EACH:
                found.append((sum(shares), (right[0] - left[0], bottom[0] - top[0])))
    return found


def _share(counted: FloatArray, start: float, end: float) -> float:
    a, b = (int(np.clip(round(v / BIN), 0, len(counted) - 1)) for v in (start, end))
    return float((counted[b] - counted[a]) / max(1, b - a))

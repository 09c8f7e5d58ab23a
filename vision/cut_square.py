"""The card's black square where the picture's edge cuts it: what is left of its sides, completed to the whole square.

The part in the picture is a dark patch with straight sides that ends at the picture's edge.  Where two of its corners
are seen, or one, a few squares seen aslant have them; the tag's cells tell which of those it is, if any.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.edges import FloatArray
from calib.printed import CARD_TAG, TAG_CELLS

DARK = 0.5
"""Ink is darker than this share of the lightest around it."""
AROUND = 61
"""Width of what is around, px: more than a cell."""
SHORTEST = 40.0
"""Length of the square's longest side in sight, px, below which nothing is told."""
STRAIGHT = 0.02
"""How far a side may leave its line, of the patch's outline."""
AT_EDGE = 3.0
"""Distance from the picture's edge, px, at which a patch ends in it."""
ASLANT = np.arange(0.7, 1.4, 0.05)
"""Lengths of neighbouring sides over each other, seen aslant."""
LONGER = np.geomspace(1.05, 3.2, 18)
"""How much longer a side may be than the part of it in sight."""
LEAST_CELLS = {1: 14, 2: 10, 3: 10}
"""Data cells that must be seen, by how many of the square's corners are; the fewer, the more squares are tried."""
FRAME_RIGHT = 0.95
"""Share of the cells around the data, black border and white paper, that must be right."""
CONTRAST = 1.6
"""The least ratio of paper to ink."""


def shows_cut_square(grey: NDArray[np.uint8]) -> bool:
    """Whether the edge of a grey picture (h, w) cuts the card's square in two."""
    smooth = np.asarray(cv2.GaussianBlur(grey, (0, 0), 1.0), dtype=np.uint8)
    pattern = _pattern()
    return any(_is_tag(smooth, square, seen, pattern) for seen, square in _squares(smooth))


def _pattern() -> NDArray[np.bool_]:
    """Which of the square's cells and of those around it (cells + 2, cells + 2) are white."""
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    tag = cv2.aruco.generateImageMarker(dictionary, CARD_TAG, TAG_CELLS, borderBits=1)
    return np.pad(tag > 0, 1, constant_values=True)


def _squares(grey: NDArray[np.uint8]) -> Iterator[tuple[int, FloatArray]]:
    """Corners (4, 2), clockwise, that a patch of ink may have beyond the edge, and how many of them are in sight."""
    for sides in _cut_patches(grey):
        corners = len(sides) - 2
        if corners == 1:
            yield from ((1, square) for square in _around_one(*sides))
        elif corners == 2:
            yield from ((2, square) for square in _beside_two(*sides))
        elif corners == 3:
            yield from ((3, square) for square in _missing_one(*sides))


def _cut_patches(grey: NDArray[np.uint8]) -> Iterator[FloatArray]:
    """Of every dark patch at the edge the ends (n, 2) of its sides in sight, clockwise from edge to edge."""
    light = cv2.dilate(grey, np.ones((AROUND, AROUND), np.uint8))
    dark = (grey < DARK * light).astype(np.uint8)
    contours, _ = cv2.findContours(dark, cv2.RETR_LIST, cv2.CHAIN_APPROX_SIMPLE)
    last = np.array(grey.shape[::-1]) - 1
    for contour in contours:
        hull = cv2.convexHull(contour, clockwise=False)
        length = cv2.arcLength(hull, True)
        if length < 3 * SHORTEST:
            continue
        ends = cv2.approxPolyDP(hull, STRAIGHT * length, True)[:, 0].astype(np.float64)
        if cv2.contourArea(ends.astype(np.float32), oriented=True) < 0:
            ends = ends[::-1]
        outer = np.asarray((ends < AT_EDGE).any(axis=1) | (ends > last - AT_EDGE).any(axis=1))
        if outer.sum() >= 2 and not outer.all():
            yield from _sides_in_sight(ends, outer)


def _sides_in_sight(ends: FloatArray, outer: NDArray[np.bool_]) -> Iterator[FloatArray]:
    """The one run of corners in sight between two at the edge; nothing where there are more runs."""
    starts = np.flatnonzero(outer & ~np.roll(outer, -1))
    if len(starts) == 1:
        run = np.roll(ends, -int(starts[0]), axis=0)
        count = int(np.argmax(np.roll(outer, -int(starts[0]))[1:])) + 2
        sides = run[:count]
        if np.linalg.norm(np.diff(sides, axis=0), axis=1).max() >= SHORTEST:
            yield sides


def _around_one(start: FloatArray, corner: FloatArray, end: FloatArray) -> Iterator[FloatArray]:
    """Both sides end beyond the edge: their lengths are those of a square seen aslant."""
    before, after = start - corner, end - corner
    longer, shorter = max(np.linalg.norm(before), np.linalg.norm(after)), np.linalg.norm
    for by, aslant in product(LONGER, ASLANT):
        one = before / shorter(before) * longer * by
        other = after / shorter(after) * longer * by * aslant
        yield np.array([corner + one, corner, corner + other, corner + one + other])


def _beside_two(start: FloatArray, one: FloatArray, other: FloatArray, end: FloatArray) -> Iterator[FloatArray]:
    """One side is whole; the two beside it are about as long."""
    length = float(np.linalg.norm(other - one))
    before, after = start - one, end - other
    for by, aslant in product(ASLANT, (0.92, 1.0, 1.08)):
        first = one + before / np.linalg.norm(before) * length * by
        last = other + after / np.linalg.norm(after) * length * by * aslant
        yield np.array([first, one, other, last])


def _missing_one(
    start: FloatArray, one: FloatArray, middle: FloatArray, other: FloatArray, end: FloatArray
) -> Iterator[FloatArray]:
    """The fourth corner is where the two sides meet that the edge cuts."""
    ways = np.column_stack([start - one, other - end])
    if abs(np.linalg.det(ways)) > 1e-6:
        yield np.array([one + np.linalg.solve(ways, other - one)[0] * ways[:, 0], one, middle, other])


def _is_tag(grey: NDArray[np.uint8], square: FloatArray, seen: int, pattern: NDArray[np.bool_]) -> bool:
    """Whether the cells in sight of a square with these corners are those of the card's tag, whichever way it lies."""
    count = len(pattern)
    grid = (np.arange(count) - 0.5).astype(np.float32)
    centres = np.stack(np.meshgrid(grid, grid), axis=-1).reshape(1, -1, 2)
    whole = np.array([[0, 0], [TAG_CELLS, 0], [TAG_CELLS, TAG_CELLS], [0, TAG_CELLS]], np.float32)
    onto = cv2.getPerspectiveTransform(whole, square.astype(np.float32))
    at = np.rint(cv2.perspectiveTransform(centres, onto)[0]).astype(int).reshape(count, count, 2)
    inside = ((at >= 0) & (at < grey.shape[::-1])).all(axis=-1)
    data = np.zeros_like(inside)
    data[2:-2, 2:-2] = True
    frame = inside & ~data
    if (inside & data).sum() < LEAST_CELLS[seen] or not (frame & _WHITE).any() or not (frame & ~_WHITE).any():
        return False
    cells = grey[at[..., 1] * inside, at[..., 0] * inside].astype(np.float64)
    paper, ink = np.median(cells[frame & _WHITE]), np.median(cells[frame & ~_WHITE])
    white = cells > np.sqrt(paper * max(ink, 1.0))
    if paper < CONTRAST * ink or (white == _WHITE)[frame].mean() < FRAME_RIGHT:
        return False
    shown = inside & data
    return any(bool((white == np.rot90(pattern, turn))[shown].all()) for turn in range(4))


_WHITE = np.pad(np.zeros((TAG_CELLS, TAG_CELLS), dtype=bool), 1, constant_values=True)
"""The cells around the square's, which are paper; inside it only the data have white ones."""

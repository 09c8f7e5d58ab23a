"""The skeleton of a mask taken apart: branches between the places where several meet, as ordered paths of pixels."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.edges import FloatArray

NOWHERE = -1
CUT = 1.25
"""How far around a place where branches meet their middles say nothing, against the mask's half width there."""
LEAST_PX = 3
"""Branches of fewer pixels are none."""
SPUR = 1.1
"""A branch with a loose end that is no longer than so many half widths is a bump of the mask's border."""
HAIR, HAIR_PX = 1.5, 2
"""A branch with a loose end from where others meet is a hair of a ragged border if it is no longer than so many half
widths, and px.
"""
BETWEEN = 4.0
"""Two meeting places whose distance is less than so many half widths are one: lines that cross at an acute angle."""
TRIES = 3
_Pixel = tuple[int, int]
_AROUND = ((0, -1), (1, -1), (1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1))


@dataclass(frozen=True, eq=False)
class Branch:
    """A path of pixels (n, 2), x first, the half width of the mask along it (n,) px, and the number of the meeting
    place at its first and its last pixel, NOWHERE where there is none.  A closed one meets nothing.
    """

    points: FloatArray
    half_width: FloatArray
    meets: tuple[int, int]
    closed: bool = False


@dataclass(frozen=True, eq=False)
class Net:
    """Branches and the places (m, 2) px where they meet."""

    branches: tuple[Branch, ...]
    places: FloatArray


def net_of(mask: NDArray[np.bool_]) -> Net:
    """The branches of a mask's skeleton."""
    from skimage.morphology import skeletonize  # slow to import, and only lines need it

    thin = np.asarray(skeletonize(np.pad(mask, 1)), dtype=np.bool_)[1:-1, 1:-1]  # type: ignore[no-untyped-call]
    around = cv2.distanceTransform(np.pad(mask, 1).astype(np.uint8), cv2.DIST_L2, 5)
    depth = np.asarray(around[1:-1, 1:-1], dtype=np.float32)
    skeleton = _without_hairs(thin, depth)
    meeting = _meeting(skeleton)
    for _ in range(TRIES):
        cut, places = _circles(meeting, depth)
        branches, left = _branches(skeleton & (cut == 0), cut, depth)
        if not left:
            break
        # Two branches may cross without a pixel that shows it: what a path leaves aside does.
        for x, y in left:
            meeting[y, x] = True
    return _merged(Net(tuple(b for b in branches if not _is_spur(b)), places))


def _branches(
    skeleton: NDArray[np.bool_], cut: NDArray[np.int32], depth: NDArray[np.float32]
) -> tuple[list[Branch], list[_Pixel]]:
    """Every connected part of a skeleton (h, w) as a path, and the pixels beside these that no path goes through."""
    count, labels = cv2.connectedComponents(skeleton.astype(np.uint8))
    rows, columns = np.nonzero(labels)
    order = np.argsort(labels[rows, columns], kind="stable")
    rows, columns = rows[order], columns[order]
    starts = np.searchsorted(labels[rows, columns], np.arange(1, count + 1))
    branches, beside = [], []
    for first, last in pairwise(starts):
        pixels = set(zip(columns[first:last].tolist(), rows[first:last].tolist(), strict=True))
        path, closed = _ordered(pixels)
        left = pixels - set(path)
        if len(left) >= LEAST_PX:
            beside += [p for p in path if sum(q in left for q in _around(p))]
        if len(path) >= LEAST_PX:
            points = np.array(path)
            meets = (NOWHERE, NOWHERE) if closed else (_at(cut, path[0]), _at(cut, path[-1]))
            half = depth[points[:, 1], points[:, 0]].astype(np.float64)
            branches.append(Branch(points.astype(np.float64), half, meets, closed))
    return branches, beside


def _without_hairs(skeleton: NDArray[np.bool_], depth: NDArray[np.float32]) -> NDArray[np.bool_]:
    """The skeleton (h, w) without its branches to the mask's ragged border, which would cut a fuzzy line into bits."""
    from skimage.morphology import skeletonize

    kept = skeleton
    for _ in range(TRIES):
        meeting = _meeting(kept)
        if not meeting.any():
            break
        near = cv2.dilate(meeting.astype(np.uint8), np.ones((3, 3), np.uint8)) > 0
        half = cv2.dilate(np.where(meeting, depth, 0.0).astype(np.float32), np.ones((5, 5), np.uint8))
        count, labels = cv2.connectedComponents((kept & ~near).astype(np.uint8), connectivity=8)
        loose = np.bincount(labels[_loose(kept)], minlength=count)
        length = np.bincount(labels.ravel(), minlength=count)
        order = np.argsort(labels[kept], kind="stable")
        deepest = np.zeros(count)
        numbers, firsts = np.unique(labels[kept][order], return_index=True)
        deepest[numbers] = np.maximum.reduceat(half[kept][order], firsts)
        hair = (loose == 1) & (deepest > 0) & (length + 1 <= HAIR * deepest + HAIR_PX)
        hair[0] = False
        if not hair.any():
            break
        kept = kept & ~hair[labels]
        for _ in range(HAIR_PX):
            kept = kept & ~(_loose(kept) & near)
        thin = skeletonize(np.pad(kept, 1))  # type: ignore[no-untyped-call]
        kept = np.asarray(thin, dtype=np.bool_)[1:-1, 1:-1]
    return kept


def _loose(skeleton: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """The pixels (h, w) of a skeleton beside which there is only one more."""
    around = cv2.filter2D(skeleton.astype(np.uint8), -1, np.ones((3, 3), np.uint8), borderType=cv2.BORDER_CONSTANT)
    return np.asarray(skeleton & (around == 2))


def _around(pixel: _Pixel) -> list[_Pixel]:
    return [(pixel[0] + dx, pixel[1] + dy) for dx, dy in _AROUND]


def _meeting(skeleton: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """The skeleton's pixels (h, w) around which more than two branches leave."""
    padded = np.pad(skeleton, 1).astype(np.int8)
    h, w = skeleton.shape
    ring = [padded[1 + dy : 1 + dy + h, 1 + dx : 1 + dx + w] for dx, dy in _AROUND]
    turns = sum((b > a).astype(np.int8) for a, b in zip(ring, [*ring[1:], ring[0]], strict=True))
    return skeleton & (np.asarray(turns) >= 3)


def _circles(meeting: NDArray[np.bool_], depth: NDArray[np.float32]) -> tuple[NDArray[np.int32], FloatArray]:
    """Numbers (h, w) from 1 of the circles around pixels where branches meet, and their centres (m, 2)."""
    rows, columns = np.nonzero(meeting)
    circles = np.zeros(meeting.shape, dtype=np.uint8)
    for x, y in zip(columns.tolist(), rows.tolist(), strict=True):
        cv2.circle(circles, (x, y), max(2, round(CUT * float(depth[y, x]))), 1, -1)
    count, labels = cv2.connectedComponents(circles)
    numbers = labels[rows, columns]
    places = [(columns[numbers == i].mean(), rows[numbers == i].mean()) for i in range(1, count)]
    return labels.astype(np.int32), np.array(places, dtype=np.float64).reshape(-1, 2)


def _ordered(pixels: set[tuple[int, int]]) -> tuple[list[tuple[int, int]], bool]:
    """A path through connected pixels from one of its ends, and whether it is closed."""
    beside = {p: [q for q in _around(p) if q in pixels] for p in pixels}
    ends = sorted(p for p in pixels if len(beside[p]) <= 1)
    at: tuple[int, int] | None = ends[0] if ends else min(pixels)
    path, left = [], set(pixels)
    while at is not None:
        path.append(at)
        left.discard(at)
        here = at
        # A neighbour at the side before one at a corner, so that no pixel of a step is left out.
        at = min((q for q in beside[here] if q in left), key=lambda q: (_apart(here, q), q), default=None)
    return path, not ends and len(path) > 8 and _apart(path[0], path[-1]) <= 2


def _apart(one: tuple[int, int], other: tuple[int, int]) -> int:
    return (one[0] - other[0]) ** 2 + (one[1] - other[1]) ** 2


def _at(cut: NDArray[np.int32], pixel: tuple[int, int]) -> int:
    """The number from 0 of the meeting place beside a pixel."""
    x, y = pixel
    around = cut[max(0, y - 2) : y + 3, max(0, x - 2) : x + 3]
    return int(around.max()) - 1 if around.any() else NOWHERE


def _is_spur(branch: Branch) -> bool:
    loose = branch.meets.count(NOWHERE) == 1
    return loose and len(branch.points) <= SPUR * float(np.median(branch.half_width))


def _merged(net: Net) -> Net:
    """Meeting places that only a short branch keeps apart, as one."""
    number = np.arange(len(net.places))
    kept = []
    for branch in net.branches:
        one, other = branch.meets
        between = one != NOWHERE and other != NOWHERE and one != other
        if between and len(branch.points) < BETWEEN * float(np.median(branch.half_width)):
            number[number == number[other]] = number[one]
        else:
            kept.append(branch)
    meets = [tuple(NOWHERE if m == NOWHERE else int(number[m]) for m in b.meets) for b in kept]
    places = np.array([net.places[number == number[i]].mean(axis=0) for i in range(len(number))]).reshape(-1, 2)
    branches = (Branch(b.points, b.half_width, (m[0], m[1]), b.closed) for b, m in zip(kept, meets, strict=True))
    return Net(tuple(branches), places)

"""How far a photo shifts every edge towards the ink.

A phone blurs light before its tone curve, so the half-way brightness of an edge lies inside the dark side: dark shapes
look a few tenths of a pixel too small on every side, white cells in a black tag too large.  A tag has edges of both
polarities at known places, so the shift can be told from its size.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from statistics import NormalDist

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.edges import FloatArray, half_way, sample_profiles
from calib.printed import TAG_CELLS
from calib.tags import MIN_CONTRAST, TagSquare

PER_CELL_EDGE = 5
"""Profiles along each cell's edge, in its middle 60 %."""
INK, PAPER = 40.0, 225.0
"""Grey levels of a printed tag in a usual exposure; other exposures change the shift of other edges little."""
MODEL_UNCERTAINTY = 0.015
"""What a uniform shift leaves unexplained between tags of one photo, px (spread between a card and its tiles)."""


@dataclass(frozen=True)
class EdgeShift:
    """Shift of every edge towards the ink, px, and its standard uncertainty."""

    value: float
    u: float


def edge_shift(grey: NDArray[np.uint8], squares: Sequence[TagSquare]) -> EdgeShift:
    """The weighted mean over all tags; with no usable tag, 0.25 +- 0.25 (common practice, no source)."""
    found = [one for square in squares if (one := _of_tag(grey, square)) is not None]
    if not found:
        return EdgeShift(0.25, 0.25)
    weights = np.array([1 / one.u**2 for one in found])
    values = np.array([one.value for one in found])
    mean = float(weights @ values / weights.sum())
    chi = float(np.sqrt(max(1.0, float(weights @ (values - mean) ** 2) / max(1, len(found) - 1))))
    return EdgeShift(mean, float(np.hypot(chi / np.sqrt(weights.sum()), MODEL_UNCERTAINTY)))


def shift_between(shift: EdgeShift, one: float, other: float) -> float:
    """How far an edge between two grey levels (0 to 255) is shifted towards the darker one, px.

    Blur in linear light puts the half-way brightness of an edge where its share of light is that of the half-way level;
    how far that is depends on the levels (IEC 61966-2-1), and ink on paper shows the blur's width.
    """
    ink = _off_half(INK, PAPER)
    return shift.value * _off_half(min(one, other), max(one, other)) / ink


def _off_half(dark: float, bright: float) -> float:
    """Where an edge blurred in linear light passes its half-way level, in standard deviations of the blur."""
    low, middle, high = (_linear(v) for v in (dark, (dark + bright) / 2, bright))
    return -NormalDist().inv_cdf((middle - low) / (high - low)) if bright - dark > 1 else 0.0


def _linear(level: float) -> float:
    value = level / 255
    return value / 12.92 if value <= 0.04045 else float(((value + 0.055) / 1.055) ** 2.4)


def _of_tag(grey: NDArray[np.uint8], square: TagSquare) -> EdgeShift | None:
    """Least squares over all cell edges: eight parameters of the homography and one shift."""
    start, end, towards_light = _cell_edges(square.tag)
    t = (np.arange(PER_CELL_EDGE) + 0.5) / PER_CELL_EDGE * 0.6 + 0.2
    places = (start[:, None] + t[None, :, None] * (end - start)[:, None]).reshape(-1, 2)
    lightwards = np.repeat(towards_light, PER_CELL_EDGE, axis=0)
    pixels = _place(square.corners, places)
    ahead = _place(square.corners, places + 0.01 * lightwards) - pixels
    tangent = _place(square.corners, places + 0.01 * lightwards[:, ::-1]) - pixels
    normals = np.column_stack([-tangent[:, 1], tangent[:, 0]])
    normals *= (np.sign(np.sum(normals * ahead, axis=1)) / np.linalg.norm(normals, axis=1))[:, None]
    reach = float(np.clip(0.45 * square.side / TAG_CELLS, 3.0, 8.0))
    seen = half_way(
        sample_profiles(grey, pixels, normals, reach), reach, plateau=0.25 * reach, min_contrast=MIN_CONTRAST
    )
    if seen.found.sum() < 60:
        return None
    design = np.column_stack([_corner_effect(square.corners, places, normals), -np.ones(len(places))])
    return _robust_shift(design[seen.found], seen.offset[seen.found])


def _robust_shift(design: FloatArray, offset: FloatArray) -> EdgeShift | None:
    keep = np.ones(len(offset), dtype=bool)
    for _ in range(3):
        solution = np.linalg.lstsq(design[keep], offset[keep], rcond=None)[0]
        rest = np.abs(offset - design @ solution)
        keep = rest < 3 * 1.4826 * np.median(rest[keep]) + 0.02
    count = int(keep.sum())
    if count < 40:
        return None
    scatter = float(np.sqrt(np.sum(rest[keep] ** 2) / (count - design.shape[1])))
    covariance = np.linalg.inv(design[keep].T @ design[keep])
    # Neighbouring profiles share pixels: count each cell edge's profiles as one.
    return EdgeShift(float(solution[-1]), scatter * float(np.sqrt(covariance[-1, -1] * PER_CELL_EDGE)))


@cache
def _cell_edges(tag: int) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Edges between ink and paper in cells from the square's corner: starts, ends (n, 2) and the way to the paper."""
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    cells = np.pad(cv2.aruco.generateImageMarker(dictionary, tag, TAG_CELLS) > 0, 1, constant_values=True)
    edges: list[tuple[tuple[int, int], tuple[int, int], tuple[int, int]]] = []
    for row in range(1, TAG_CELLS + 2):
        for column in range(1, TAG_CELLS + 2):
            here, above, left = cells[row, column], cells[row - 1, column], cells[row, column - 1]
            x, y = column - 1, row - 1
            if here != above and column <= TAG_CELLS:
                edges.append(((x, y), (x + 1, y), (0, 1 if here else -1)))
            if here != left and row <= TAG_CELLS:
                edges.append(((x, y), (x, y + 1), (1 if here else -1, 0)))
    start, end, way = (np.array(part, dtype=np.float64) for part in zip(*edges, strict=True))
    return start, end, way


def _place(corners: FloatArray, cells: FloatArray) -> FloatArray:
    """Pixels of places in cells by the homography through the four corners."""
    square = np.array([[0, 0], [1, 0], [1, 1], [0, 1]], dtype=np.float32) * TAG_CELLS
    matrix = cv2.getPerspectiveTransform(square, corners.astype(np.float32))
    return np.asarray(cv2.perspectiveTransform(cells[None].astype(np.float64), matrix)[0], dtype=np.float64)


def _corner_effect(corners: FloatArray, places: FloatArray, normals: FloatArray) -> FloatArray:
    """(n, 8): how far each place moves along its normal when a corner's coordinate moves by one pixel."""
    base = _place(corners, places)
    effect = np.empty((len(places), 8))
    for i in range(8):
        moved = corners.copy()
        moved.flat[i] += 1.0
        effect[:, i] = np.sum((_place(moved, places) - base) * normals, axis=1)
    return effect

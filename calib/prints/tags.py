"""Finding the printed tags in a photo and their black squares' edges at full resolution.

A detector's corners are only a start: they may lie half a pixel off or on the inner border.  Here straight lines are
fitted to the four edges of each black square, from brightness profiles across them.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.edges import FloatArray, half_way, sample_profiles, straight
from calib.printed import COVERING_TAG, DRAWN_TAG, TAG_CELLS, ZONE_TAGS
from calib.prints.card_dots import CardDots
from calib.prints.tag_cells import MIN_CONTRAST, CellPoints, read_cells

BINS = 6
"""Averaged edge points per side."""
SAMPLES = 48
"""Profiles per side."""
ROUGHLY, WELL = 0.25, 0.5
"""Shares of a side's profiles that must show its edge, around rough corners and around fitted ones."""
LEAST_CELL = 1.5
"""Height of a cell, in rises of its blurred edges, below which the ink's two edges move each other."""
DETECTION_PIXELS = 3.2e6
"""Detection runs on a picture reduced to at most this size."""


@dataclass(frozen=True, eq=False)
class TagSquare:
    """A tag's black square in the photo, in px.

    corners (4, 2): intersections of the fitted edges, in the tag's own order (top left of the print first, clockwise on
    paper).  points (4, BINS, 2) are averaged edge points of side i from corner i to i + 1, at the fractions `along`
    (BINS,) of the side; normals (4, 2) point away from the ink; spread (4, BINS) is the standard uncertainty of a point
    across the edge as its own scatter shows it.  width is the 10 to 90 % rise of the edges and bend the largest
    distance of an edge's points from its straight line.  cells: the edges inside the square, None where they do not
    show.  dots: those printed beside it, of a dotted card that has been looked at.
    """

    tag: int
    corners: FloatArray
    points: FloatArray
    along: FloatArray
    normals: FloatArray
    spread: FloatArray
    width: float
    bend: float
    cells: CellPoints | None = None
    dots: CardDots | None = None

    @property
    def side(self) -> float:
        """Mean side length, px."""
        return float(np.linalg.norm(self.corners - np.roll(self.corners, 1, axis=0), axis=1).mean())


def find_tags(grey: NDArray[np.uint8], border: int = 1) -> tuple[TagSquare, ...]:
    """Every tag of the printed family in a grey photo (h, w), with refined edges; unrefinable ones are left out.

    border: cells between a tag's data and its black outer side; everything of ours has one.
    """
    refined = (refine(grey, tag, corners, border) for tag, corners in detect(grey, border))
    return tuple(square for square in refined if square is not None)


def with_small(grey: NDArray[np.uint8], tags: tuple[TagSquare, ...], wanted: Collection[int]) -> tuple[TagSquare, ...]:
    """The tags seen, and those of the wanted that show only at full resolution: small, soft or dim ones."""
    missing = set(wanted) - {tag.tag for tag in tags}
    if not missing or grey.size <= DETECTION_PIXELS:
        return tags
    refined = (refine(grey, tag, corners) for tag, corners in detect(grey, most=grey.size) if tag in missing)
    return (*tags, *(square for square in refined if square is not None))


def detect(grey: NDArray[np.uint8], border: int = 1, most: float = DETECTION_PIXELS) -> list[tuple[int, FloatArray]]:
    """Tag numbers and rough corners (4, 2) in px, looked for in so many pixels at most."""
    # A whole-number reduction is many times faster than any other.
    scale = 1.0 / max(1, int(np.ceil(np.sqrt(grey.size / most))))
    small = grey if scale == 1 else cv2.resize(grey, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    parameters = cv2.aruco.DetectorParameters()
    parameters.markerBorderBits = border
    detector = cv2.aruco.ArucoDetector(cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11), parameters)
    corners, tags, _ = detector.detectMarkers(small)
    if tags is None:
        return []
    # Pixel centres: a reduced picture's pixel i covers full pixels around (i + 0.5) / scale - 0.5.
    found = ((np.asarray(c[0], dtype=np.float64) + 0.5) / scale - 0.5 for c in corners)
    return [(int(tag), place) for tag, place in zip(np.ravel(tags), found, strict=True)]


def refine(grey: NDArray[np.uint8], tag: int, corners: FloatArray, border: int = 1) -> TagSquare | None:
    """Fit straight lines to the four edges around rough corners; None where an edge is not seen well enough."""
    square = None
    # Around rough corners fewer profiles need show an edge than around fitted ones.
    for least in (ROUGHLY, WELL):
        square = _fit_square(grey, tag, corners, least)
        if square is None:
            return None
        corners = square.corners
    return None if square is None else replace(square, cells=read_cells(grey, tag, square.corners, border))


def _fit_square(grey: NDArray[np.uint8], tag: int, corners: FloatArray, least: float) -> TagSquare | None:
    along = (np.arange(SAMPLES) + 0.5) / SAMPLES * 0.84 + 0.08
    starts, ends = corners, np.roll(corners, -1, axis=0)
    direction = (ends - starts) / np.linalg.norm(ends - starts, axis=1, keepdims=True)
    # Clockwise on paper may be either way round only if mirrored, which no photo is: ink lies to the right.
    normals = np.column_stack([direction[:, 1], -direction[:, 0]])
    base = starts[:, None] + along[None, :, None] * (ends - starts)[:, None]
    reach = float(np.clip(0.7 * _cell(corners, normals), 3.0, 8.0))
    profiles = sample_profiles(grey, base.reshape(-1, 2), np.repeat(normals, SAMPLES, axis=0), reach)
    crossings = half_way(profiles, reach, plateau=0.3 * reach, min_contrast=MIN_CONTRAST)
    offset, found = crossings.offset.reshape(4, SAMPLES), crossings.found.reshape(4, SAMPLES)
    if (found.sum(axis=1) < least * SAMPLES).any():
        return None
    sides = [_straight(along, offset[i], found[i]) for i in range(4)]
    binned = [_binned(along, offset[i], *sides[i]) for i in range(4)]
    at = (np.arange(BINS) + 0.5) / BINS * 0.84 + 0.08
    points = np.stack(
        [starts[i] + at[:, None] * (ends[i] - starts[i]) + b[0][:, None] * normals[i] for i, b in enumerate(binned)]
    )
    lines = [_line(starts[i], ends[i], normals[i], *sides[i][0]) for i in range(4)]
    fitted = np.stack([_meet(lines[i - 1], lines[i]) for i in range(4)])
    bend = max(float(np.abs(b[0] - s[0][0] - s[0][1] * at).max()) for s, b in zip(sides, binned, strict=True))
    width = float(np.median(crossings.width[crossings.found]))
    # A zone tile only names an outline, the tags of our own pictures tell only that they are there: all may be rough.
    if tag not in (*ZONE_TAGS, DRAWN_TAG, COVERING_TAG) and _cell(fitted, normals) < LEAST_CELL * width:
        return None
    return TagSquare(tag, fitted, points, at, normals, np.stack([b[1] for b in binned]), width, bend)


def _cell(corners: FloatArray, normals: FloatArray) -> float:
    """The least height of a cell across any side, px; seen aslant it is less than the side's own."""
    away = np.einsum("ijk,ik->ij", corners[None] - corners[:, None], normals)
    heights = np.sort(-away, axis=1)[:, 2:].mean(axis=1)
    return float(heights.min()) / TAG_CELLS


def _straight(
    along: FloatArray, offset: FloatArray, found: NDArray[np.bool_]
) -> tuple[tuple[float, float], NDArray[np.bool_]]:
    """A line offset(along) by least squares, twice, leaving out what lies far off; and which samples it kept."""
    keep = found
    for _ in range(2):
        base, slope = straight(along[keep], offset[keep])
        rest = np.abs(offset - base - slope * along)
        keep = found & (rest < 4 * np.median(rest[keep]) + 0.1)
    return straight(along[keep], offset[keep]), keep


def _binned(
    along: FloatArray, offset: FloatArray, line: tuple[float, float], keep: NDArray[np.bool_]
) -> tuple[FloatArray, FloatArray]:
    """Mean offset and its standard uncertainty in BINS equal bins; an empty bin takes the line, with a wide spread."""
    expected = line[0] + line[1] * along
    scatter = max(float((offset - expected)[keep].std()), 0.02)
    own, values = keep.reshape(BINS, -1), np.where(keep, offset, 0.0).reshape(BINS, -1)
    count = own.sum(axis=1)
    mean = np.where(count > 0, values.sum(axis=1) / np.maximum(count, 1), expected.reshape(BINS, -1).mean(axis=1))
    return mean, np.where(count > 0, scatter / np.sqrt(np.maximum(count, 1)), 10.0)


def _line(
    start: FloatArray, end: FloatArray, normal: FloatArray, base: float, slope: float
) -> tuple[FloatArray, FloatArray]:
    return start + base * normal, end + (base + slope) * normal


def _meet(one: tuple[FloatArray, FloatArray], other: tuple[FloatArray, FloatArray]) -> FloatArray:
    step = np.linalg.solve(np.column_stack([one[1] - one[0], other[0] - other[1]]), other[0] - one[0])
    return np.asarray(one[0] + step[0] * (one[1] - one[0]), dtype=np.float64)

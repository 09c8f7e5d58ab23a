"""The cells of a tag in a photo: every edge between ink and paper inside its square, about a hundred of them.

One square's four sides fit any homography; the cells inside it say how well the photo agrees with itself, how far it
shifts edges towards the ink here (white cells look too large, black ones too small), and how straight the paper lies.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.edges import FloatArray, half_way, sample_profiles

DATA_CELLS = 6
"""Along a side of a tag of the 36h11 family, inside its border."""
PER_EDGE = 5
"""Profiles along each cell's edge, in its middle 60 %."""
MIN_CONTRAST = 25.0
"""Grey levels between ink and paper below which an edge is not trusted."""
FEWEST_EDGES = 24
"""Cell edges below which a tag's cells say nothing."""
OUTLYING = 3.5
"""Robust standard deviations beyond which a cell's edge is something else's: a stain, a finger, a glint."""


@dataclass(frozen=True, eq=False)
class CellPoints:
    """Where n cell edges of one tag pass in a photo.

    places (n, 2): their middles on the tag, in units of its black side from its first corner; points (n, 2) px;
    normals (n, 2) px, of length 1, towards the light; line (n,) numbers the grid lines: edges on one line are wrong
    together.  As a homography and one shift fit them: shift, px towards the ink, with its standard uncertainty; scatter
    of one edge, and of one line, px; off (n,): the edges' residuals against that fit, px.
    """

    places: FloatArray
    points: FloatArray
    normals: FloatArray
    line: NDArray[np.intp]
    off: FloatArray
    shift: float
    shift_u: float
    scatter: float
    line_scatter: float


def read_cells(grey: NDArray[np.uint8], tag: int, corners: FloatArray, border: int = 1) -> CellPoints | None:
    """Read a tag's cell edges around its fitted corners (4, 2) px; None where too few of them show.

    border: cells between the tag's data and its black outer side.

    They are read twice.  Blur shrinks the black square, so its corners foretell the cells' edges too far inwards, by
    different distances; a short profile that does not lie about its edge ends before the ink is as dark as ink, and
    moves the edge.  The second time every profile lies about the edge as the first fit shows it.
    """
    first = _read(grey, tag, corners, 0.0, border)
    again = None if first is None else _read(grey, tag, first[1], first[0].shift, border)
    found = again or first
    return None if found is None else found[0]


def _read(
    grey: NDArray[np.uint8], tag: int, corners: FloatArray, shift: float, border: int
) -> tuple[CellPoints, FloatArray] | None:
    """The cells' edges around corners (4, 2), expected `shift` px towards the ink, and the corners that fit them."""
    start, end, lightwards = cell_edges(tag, border)
    t = (np.arange(PER_EDGE) + 0.5) / PER_EDGE * 0.6 + 0.2
    places = (start[:, None] + t[None, :, None] * (end - start)[:, None]).reshape(-1, 2)
    pixels, normals = _seen_along(corners, places, np.repeat(lightwards, PER_EDGE, axis=0))
    side = float(np.linalg.norm(corners - np.roll(corners, 1, axis=0), axis=1).mean())
    reach = float(np.clip(0.45 * side / (DATA_CELLS + 2 * border), 3.0, 8.0))
    profiles = sample_profiles(grey, pixels - shift * normals, normals, reach)
    seen = half_way(profiles, reach, plateau=0.25 * reach, min_contrast=MIN_CONTRAST)
    found = seen.found.reshape(-1, PER_EDGE)
    count = found.sum(axis=1)
    usable = count >= 2
    if usable.sum() < FEWEST_EDGES:
        return None
    offset = np.where(found, seen.offset.reshape(-1, PER_EDGE), 0.0).sum(axis=1) / np.maximum(count, 1) - shift
    middle = (start + end) / 2
    at, normal = _seen_along(corners, middle, lightwards)
    horizontal = lightwards[:, 1] != 0
    cells = DATA_CELLS + 2 * border
    line = np.where(horizontal, 0, cells + 1) + np.rint(np.where(horizontal, middle[:, 1], middle[:, 0]) * cells)
    return _fitted(corners, middle[usable], at[usable], normal[usable], line[usable].astype(np.intp), offset[usable])


@cache
def cell_edges(tag: int, border: int = 1) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Edges between ink and paper in units of the black side: starts, ends (n, 2) and the way to the paper (n, 2)."""
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    count = DATA_CELLS + 2 * border
    drawn = cv2.aruco.generateImageMarker(dictionary, tag, count, borderBits=border)
    paper = np.pad(np.asarray(drawn) > 0, 1, constant_values=True)
    edges: list[tuple[tuple[int, int], tuple[int, int], tuple[int, int]]] = []
    for row in range(1, count + 2):
        for column in range(1, count + 2):
            here, above, left = paper[row, column], paper[row - 1, column], paper[row, column - 1]
            x, y = column - 1, row - 1
            if here != above and column <= count:
                edges.append(((x, y), (x + 1, y), (0, 1 if here else -1)))
            if here != left and row <= count:
                edges.append(((x, y), (x, y + 1), (1 if here else -1, 0)))
    start, end, way = (np.array(part, dtype=np.float64) for part in zip(*edges, strict=True))
    return start / count, end / count, way


def _fitted(
    corners: FloatArray,
    places: FloatArray,
    pixels: FloatArray,
    normals: FloatArray,
    line: NDArray[np.intp],
    offset: FloatArray,
) -> tuple[CellPoints, FloatArray] | None:
    """Eight parameters of the homography and one shift by least squares; edges that do not follow are left out."""
    design = np.column_stack([_corner_effect(corners, places, normals), -np.ones(len(places))])
    keep = np.ones(len(offset), dtype=bool)
    for _ in range(3):
        solution = np.linalg.lstsq(design[keep], offset[keep], rcond=None)[0]
        rest = offset - design @ solution
        keep = np.abs(rest) < OUTLYING * 1.4826 * np.median(np.abs(rest[keep])) + 0.02
        if keep.sum() < FEWEST_EDGES:
            return None
    scatter, line_scatter = _scatters(design[keep], rest[keep], line[keep])
    weight = _covariance_inverse(line[keep], scatter, line_scatter)
    normal = design[keep].T @ weight @ design[keep]
    solution = np.linalg.solve(normal, design[keep].T @ (weight @ offset[keep]))
    cells = CellPoints(
        places[keep], (pixels + offset[:, None] * normals)[keep], normals[keep], line[keep],
        offset[keep] - design[keep] @ solution, float(solution[-1]),
        float(np.sqrt(np.linalg.inv(normal)[-1, -1])), scatter, line_scatter,
    )  # fmt: skip
    return cells, corners + solution[:-1].reshape(4, 2)


def _scatters(design: FloatArray, rest: FloatArray, line: NDArray[np.intp]) -> tuple[float, float]:
    """Scatter of single edges and of whole grid lines about a least-squares fit (Henderson's method 3, 1953).

    Expected sums of squares: the fit's residuals hold both variances; those of a fit with every line free only the
    single edges'.
    """
    _, group = np.unique(line, return_inverse=True)
    lines = np.eye(int(group.max()) + 1)[group]
    free = np.column_stack([design, lines])
    rank = int(np.linalg.matrix_rank(free))
    single = rest - free @ np.linalg.lstsq(free, rest, rcond=None)[0]
    edge = float(single @ single) / max(1, len(rest) - rank)
    q, _ = np.linalg.qr(design)
    inside = lines - q @ (q.T @ lines)
    expected = float(np.sum(inside**2))
    common = (float(rest @ rest) - edge * (len(rest) - design.shape[1])) / max(expected, 1e-9)
    return float(np.sqrt(max(edge, 1e-4))), float(np.sqrt(max(common, 0.0)))


def _covariance_inverse(line: NDArray[np.intp], scatter: float, line_scatter: float) -> FloatArray:
    same = line[:, None] == line[None, :]
    return np.linalg.inv(np.eye(len(line)) * scatter**2 + same * line_scatter**2)


def _seen_along(corners: FloatArray, places: FloatArray, lightwards: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Pixels (n, 2) of places on the tag, and the edges' normals there, of length 1, towards the light."""
    pixels = _place(corners, places)
    ahead = _place(corners, places + 0.001 * lightwards) - pixels
    tangent = _place(corners, places + 0.001 * lightwards[:, ::-1]) - pixels
    normals = np.column_stack([-tangent[:, 1], tangent[:, 0]])
    normals *= (np.sign(np.sum(normals * ahead, axis=1)) / np.linalg.norm(normals, axis=1))[:, None]
    return pixels, normals


def _place(corners: FloatArray, places: FloatArray) -> FloatArray:
    """Pixels of places on the tag by the homography through its four corners."""
    square = np.array([[0, 0], [1, 0], [1, 1], [0, 1]], dtype=np.float32)
    matrix = cv2.getPerspectiveTransform(square, corners.astype(np.float32))
    return np.asarray(cv2.perspectiveTransform(places[None].astype(np.float64), matrix)[0], dtype=np.float64)


def _corner_effect(corners: FloatArray, places: FloatArray, normals: FloatArray) -> FloatArray:
    """(n, 8): how far each place moves along its normal when a corner's coordinate moves by one pixel."""
    base = _place(corners, places)
    effect = np.empty((len(places), 8))
    for i in range(8):
        moved = corners.copy()
        moved.flat[i] += 1.0
        effect[:, i] = np.sum((_place(moved, places) - base) * normals, axis=1)
    return effect

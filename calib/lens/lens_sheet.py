"""Finding the lens sheet, a chessboard with tags, in a photo, to a small fraction of a pixel.

OpenCV's own detector names the corners by the tags around them; their places come from the crossing of black and white,
which blur and ink spread leave where it is.  OpenCV counts pixels from the centre of the top-left one, as we do.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.edges import STEP, FloatArray, sample_profiles
from calib.printed import LENS_COLUMNS, LENS_MARKER, LENS_ROWS, LENS_SQUARE, LENS_TAGS
from calib.prints.tags import DETECTION_PIXELS

FEWEST_CORNERS = 24
"""Of the sheet's 54."""
WIDEST_RISE = 6.0
"""Pixels, in a picture of DETECTION_PIXELS, over which black turns to white in a photo that is just not blurred."""
WINDOW = 0.11
"""Half side of the window that a corner is read from, in squares: it ends before the tags begin, at 0.146."""
PAPER_BESIDE = 0.13
"""White beside a square's side before the tag begins, in squares."""
SMALLEST_WINDOW, LARGEST_WINDOW = 3, 16


class LensRefused(Exception):  # noqa: N818  (named for what happened, as the teacher reads it)
    """No lens profile can be made, or one photo says nothing of the lens; the message says why and what to do."""


@dataclass(frozen=True, eq=False)
class SheetView:
    """Corners of a flat chessboard in one photo: board (n, 2) in mm, pixels (n, 2), and the photo's (width, height)."""

    board: FloatArray
    pixels: FloatArray
    size: tuple[int, int]


def find_sheet(grey: NDArray[np.uint8]) -> SheetView:
    """The lens sheet's corners in a grey photo (h, w). Raises LensRefused where too few show, or blurred ones."""
    scale = 1.0 / max(1, int(np.ceil(np.sqrt(grey.size / DETECTION_PIXELS))))
    small = grey if scale == 1 else cv2.resize(grey, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    found, numbers, _, _ = cv2.aruco.CharucoDetector(_board()).detectBoard(small)
    if numbers is None or len(numbers) == 0:
        raise LensRefused("the lens sheet was not found in it")
    board = np.asarray(_board().getChessboardCorners(), dtype=np.float64)[np.ravel(numbers), :2]
    rough = np.asarray(found, dtype=np.float64).reshape(-1, 2)
    neighbours = _neighbours(board)
    if len(neighbours) and _rise(np.asarray(small, dtype=np.uint8), rough, neighbours) > WIDEST_RISE:
        raise LensRefused("it is blurred; hold the phone still and tap on the sheet to focus")
    if len(numbers) < FEWEST_CORNERS:
        raise LensRefused("too little of the lens sheet is in it; get the whole sheet in, without glare and shadows")
    per_square = float(np.percentile(_apart(rough, neighbours), 10))
    # Pixel centres: a reduced picture's pixel i covers full pixels around (i + 0.5) / scale - 0.5.
    pixels = refined(grey, (rough + 0.5) / scale - 0.5, per_square / scale)
    return SheetView(board, pixels, (grey.shape[1], grey.shape[0]))


def refined(grey: NDArray[np.uint8], rough: FloatArray, per_square: float) -> FloatArray:
    """Corners (n, 2) px read anew from around rough ones, in a window that suits squares of `per_square` px."""
    half = int(np.clip(WINDOW * per_square, SMALLEST_WINDOW, LARGEST_WINDOW))
    stop = (cv2.TERM_CRITERIA_EPS | cv2.TERM_CRITERIA_MAX_ITER, 60, 1e-4)
    start = np.ascontiguousarray(rough, dtype=np.float32).reshape(-1, 1, 2)
    return np.asarray(cv2.cornerSubPix(grey, start, (half, half), (-1, -1), stop), dtype=np.float64).reshape(-1, 2)


@cache
def _board() -> cv2.aruco.CharucoBoard:
    count = LENS_COLUMNS * LENS_ROWS // 2
    return cv2.aruco.CharucoBoard(
        (LENS_COLUMNS, LENS_ROWS),
        LENS_SQUARE,
        LENS_MARKER,
        cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11),
        np.array(LENS_TAGS[:count]),
    )


def _neighbours(board: FloatArray) -> NDArray[np.intp]:
    """Pairs (m, 2) of corners that are the ends of one square's side."""
    apart = np.linalg.norm(board[:, None] - board[None], axis=2)
    return np.argwhere(np.triu(np.abs(apart - LENS_SQUARE) < 1e-3))


def _apart(pixels: FloatArray, pairs: NDArray[np.intp]) -> FloatArray:
    return np.asarray(np.linalg.norm(pixels[pairs[:, 1]] - pixels[pairs[:, 0]], axis=1), dtype=np.float64)


def _rise(grey: NDArray[np.uint8], pixels: FloatArray, pairs: NDArray[np.intp]) -> float:
    """Pixels from black to white across the squares' sides: the step's height over its steepest slope, median."""
    along, length = pixels[pairs[:, 1]] - pixels[pairs[:, 0]], _apart(pixels, pairs)
    middle, normal = pixels[pairs].mean(axis=1), np.column_stack([along[:, 1], -along[:, 0]]) / length[:, None]
    reach = PAPER_BESIDE * float(np.median(length))
    profiles = sample_profiles(grey, middle, normal, reach)
    steepest = np.abs(np.gradient(profiles, STEP, axis=1)).max(axis=1)
    return float(np.median(np.ptp(profiles, axis=1) / np.maximum(steepest, 1e-6)))

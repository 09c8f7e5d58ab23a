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

from calib.edges import FloatArray
from calib.printed import LENS_COLUMNS, LENS_MARKER, LENS_ROWS, LENS_SQUARE, LENS_TAGS
from calib.tags import DETECTION_PIXELS

FEWEST_CORNERS = 24
"""Of the sheet's 54."""
WIDEST_RISE = 6.0
"""Pixels, in a picture of DETECTION_PIXELS, over which black turns to white in a photo that is just not blurred."""
WINDOW = 0.11
"""Half side of the window that a corner is read from, in squares: it ends before the tags begin, at 0.146."""
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
    if len(numbers) < FEWEST_CORNERS:
        raise LensRefused("too little of the lens sheet is in it; get the whole sheet in, without glare and shadows")
    board = np.asarray(_board().getChessboardCorners(), dtype=np.float64)[np.ravel(numbers), :2]
    rough = np.asarray(found, dtype=np.float64).reshape(-1, 2)
    per_square = _spacing(board, rough)
    if _rise(np.asarray(small, dtype=np.uint8), board, rough, per_square) > WIDEST_RISE:
        raise LensRefused("it is blurred; hold the phone still and tap on the sheet to focus")
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


def _spacing(board: FloatArray, pixels: FloatArray) -> float:
    """The smaller tenth of the distances between neighbours, px."""
    apart = np.linalg.norm(board[:, None] - board[None], axis=2)
    one, other = np.nonzero(np.abs(apart - LENS_SQUARE) < 1e-3)
    return float(np.percentile(np.linalg.norm(pixels[one] - pixels[other], axis=1), 10))


def _rise(grey: NDArray[np.uint8], board: FloatArray, pixels: FloatArray, per_square: float) -> float:
    """Pixels from black to white across the squares' sides: the step's height over its steepest slope, median."""
    apart = board[:, None] - board[None]
    one, other = np.nonzero((np.abs(apart[..., 0]) < 1e-3) & (np.abs(np.abs(apart[..., 1]) - LENS_SQUARE) < 1e-3))
    middle, along = (pixels[one] + pixels[other]) / 2, pixels[other] - pixels[one]
    normal = np.column_stack([along[:, 1], -along[:, 0]]) / np.linalg.norm(along, axis=1)[:, None]
    at = np.arange(-0.13 * per_square, 0.13 * per_square, 0.25)
    places = (middle[:, None] + at[None, :, None] * normal[:, None]).astype(np.float32)
    profiles = cv2.remap(grey.astype(np.float32), places[..., 0], places[..., 1], cv2.INTER_LINEAR)
    steepest = np.abs(np.gradient(profiles, 0.25, axis=1)).max(axis=1)
    return float(np.median(np.ptp(profiles, axis=1) / np.maximum(steepest, 1e-6)))

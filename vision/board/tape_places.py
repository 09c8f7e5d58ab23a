"""Where tape lies, by its colour alone, before it is known where the board does: the board is around it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.edges import FloatArray
from vision.colour.colour_classes import Classes
from vision.picture.prints import PrintRims
from vision.picture.rectified import Rectified

LEAST_BLOB = 250.0
"""Tape-coloured areas of less than this, mm2, say nothing of where the board is."""
RIM_PX = 2
"""An area that comes this near to the edge of what the photo shows runs into it."""
EVERY = 25
"""One in so many pixels is handed on."""
ENOUGH = 12
"""Fewer places say nothing."""
LARGER = 1.02
"""By how many times the parcel places that all lie on it may be larger."""
LAND = 1.5
"""By how many times more than its own area an outline of tape encloses."""


def tape_places(
    picture: Rectified, classes: Classes, prints: NDArray[np.bool_], rims: PrintRims, size: tuple[float, float]
) -> FloatArray:
    """Places (n, 2) mm of tape-coloured areas away from the prints (h, w), on a board of size (width, depth) mm.

    What runs into the edge of what the photo shows is none: a dark table may have a dark tape's colour.  Nor is what
    only goes round the card: white cardboard below it may have a white tape's colour.  Where all that is left does not
    fit on the board, a cloth's pattern is among it, and only what encloses land counts.  Where board
    and cloth have tapes' colours, nothing may be left of all together, and each tape is looked at by itself.
    """
    rim, tapes = _rim(picture), range(1, len(classes.tapes) + 1)
    places = np.zeros((0, 2))
    for numbers in ([tuple(tapes)], [(tape,) for tape in tapes]):
        masks = [rims.left_out(np.isin(classes.labels, own) & ~prints) for own in numbers]
        blobs = [blob for mask in masks for blob in _blobs(mask, rim, picture)]
        places = _places(blobs, picture)
        if not _fits(places, size):
            places = _places([b for b in blobs if _encloses(b)], picture)
        if len(places) >= ENOUGH:
            break
    return places


@dataclass(frozen=True, eq=False)
class _Blob:
    """A tape-coloured area: mask (h, w) and where its first pixel's row and column lie in the picture."""

    mask: NDArray[np.bool_]
    row: int
    column: int


def _blobs(mask: NDArray[np.bool_], rim: NDArray[np.bool_], picture: Rectified) -> list[_Blob]:
    """The large areas of a mask (h, w) that do not run into the rim (h, w)."""
    opened = cv2.morphologyEx(mask.astype(np.uint8), cv2.MORPH_OPEN, np.ones((3, 3), np.uint8))
    _, numbers, stats, _ = cv2.connectedComponentsWithStats(opened)
    large = stats[:, cv2.CC_STAT_AREA] > LEAST_BLOB / picture.mm_per_px**2
    large[np.unique(numbers[rim])] = False
    large[0] = False
    return [
        _Blob(np.asarray(numbers[y : y + height, x : x + width] == i), int(y), int(x))
        for i in np.flatnonzero(large)
        for x, y, width, height in [stats[i, :4]]
    ]


def _rim(picture: Rectified) -> NDArray[np.bool_]:
    """What lies along the edge of what the photo shows (h, w)."""
    shown = np.pad((picture.bgr.max(axis=2) > 0).astype(np.uint8), 1)
    whole = cv2.morphologyEx(shown, cv2.MORPH_CLOSE, np.ones((5, 5), np.uint8))
    inner = cv2.erode(whole, np.ones((2 * RIM_PX + 3,) * 2, np.uint8), borderValue=0)
    return np.asarray(inner[1:-1, 1:-1] == 0)


def _places(blobs: Sequence[_Blob], picture: Rectified) -> FloatArray:
    """Some of the places (n, 2) mm of areas."""
    found = [np.zeros((0, 2))]
    for blob in blobs:
        rows, columns = np.nonzero(blob.mask)
        places = np.column_stack([columns + blob.column, rows + blob.row])[::EVERY]
        found.append(places.astype(np.float64))
    return picture.to_mm(np.concatenate(found))


def _fits(places: FloatArray, size: tuple[float, float]) -> bool:
    """Whether places (n, 2) mm all lie on one board of this size, however it is turned."""
    if len(places) < 3:
        return True
    _, sides, _ = cv2.minAreaRect(places.astype(np.float32))
    return all(side <= LARGER * most for side, most in zip(sorted(sides), sorted(size), strict=True))


def _encloses(blob: _Blob) -> bool:
    """Whether an area goes around much land, as a zone's outline does and a cloth's stripes do not."""
    contours, _ = cv2.findContours(np.pad(blob.mask.astype(np.uint8), 1), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    return bool(sum(cv2.contourArea(c) for c in contours) > LAND * blob.mask.sum())

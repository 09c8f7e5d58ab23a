"""Where the corrected picture shows one tape, and where bare ground."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.edges import FloatArray
from vision.picture.rectified import Rectified

AROUND, SURROUNDED = 2.0, 0.7
"""Within how many mm around a print, and on which share of that, a tape's colour must show for the print to lie on it.
"""


@dataclass(frozen=True, eq=False)
class TapeMask:
    """Where the picture shows one tape: mask (h, w) of 0 and 1 in the corrected picture.

    ground: where bare ground shows, by the number of its colour from 1; 0 elsewhere.
    paper: where paper of the tape's own colour lies inside it, which counts as ground; None where there is none.
    proven (k, 2, 2): from where to where, mm, the borders run below which the tape's inner edge to such paper shows.
    """

    mask: NDArray[np.uint8]
    ground: NDArray[np.uint8]
    picture: Rectified
    paper: NDArray[np.uint8] | None = None
    proven: FloatArray | None = None

    def read(self, places: FloatArray) -> NDArray[np.bool_]:
        """Whether places (..., 2) in mm are tape; outside the picture they are not."""
        return self._read(self.mask, places)

    def read_ground(self, places: FloatArray) -> NDArray[np.bool_]:
        """Whether places (..., 2) in mm are bare ground."""
        return self._read(self.ground, places)

    def ground_at(self, places: FloatArray) -> NDArray[np.uint8]:
        """The number of the ground at places (..., 2) in mm, 0 where there is none."""
        return self._value(self.ground, places)

    def read_paper(self, places: FloatArray) -> NDArray[np.bool_]:
        """Whether places (..., 2) in mm are paper of the tape's own colour."""
        return np.zeros(places.shape[:-1], dtype=bool) if self.paper is None else self._read(self.paper, places)

    def _read(self, mask: NDArray[np.uint8], places: FloatArray) -> NDArray[np.bool_]:
        return np.asarray(self._value(mask, places) > 0)

    def _value(self, mask: NDArray[np.uint8], places: FloatArray) -> NDArray[np.uint8]:
        x, y = np.rint(self.picture.to_px(places.reshape(-1, 2))).astype(np.int64).T
        height, width = mask.shape
        inside = (x >= 0) & (x < width) & (y >= 0) & (y < height)
        if inside.all():
            return np.asarray(mask[y, x].reshape(places.shape[:-1]))
        found = np.zeros(len(x), dtype=np.uint8)
        found[inside] = mask[y[inside], x[inside]]
        return found.reshape(places.shape[:-1])


def commonest(numbers: NDArray[np.uint8]) -> int:
    """The commonest number but 0, or 0 where there is none."""
    counts = np.bincount(numbers.ravel(), minlength=2)
    return int(counts[1:].argmax()) + 1 if counts[1:].any() else 0


def clean(mask: NDArray[np.bool_], ground: NDArray[np.uint8], picture: Rectified) -> TapeMask:
    """Drop specks and threads below about 1 mm, close gaps as wide as a string's."""
    raw = mask.astype(np.uint8)
    close = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * round(1.2 / picture.mm_per_px) + 1,) * 2)
    opened = cv2.morphologyEx(raw, cv2.MORPH_OPEN, np.ones((3, 3), np.uint8))
    closed = np.asarray(cv2.morphologyEx(opened, cv2.MORPH_CLOSE, close), dtype=np.uint8)
    return TapeMask(closed, ground, picture)


def with_prints_on_it(mask: NDArray[np.bool_], prints: NDArray[np.bool_], picture: Rectified) -> NDArray[np.bool_]:
    """A tape's mask (h, w) with the prints that lie on its colour: their edges would make bands of what is around."""
    near = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * round(AROUND / picture.mm_per_px) + 1,) * 2)
    count, labels = cv2.connectedComponents(prints.astype(np.uint8))
    filled = mask.copy()
    for number in range(1, count):
        own = labels == number
        around = (cv2.dilate(own.astype(np.uint8), near) > 0) & ~prints
        if around.any() and mask[around].mean() > SURROUNDED:
            filled |= own
    return filled

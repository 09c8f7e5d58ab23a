"""Whether a part of the card's black square is in a picture whose edge cuts it off."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.edges import FloatArray
from calib.printed import CARD_TAG, TAG_CELLS
from vision.cut_square import shows_cut_square

LONGEST = 1600
"""Side of the reduced picture that is searched, px."""
CELL = 40
"""Side of a cell of the drawn square, px; one white cell lies around it."""
RATIO, LEAST_MATCHES, REPROJECTION = 0.85, 7, 5.0
"""How much better a match must be than the next, how many must agree on one plane, and to how many px."""
LEAST_PART, LIKENESS = 0.15, 0.6
"""Share of the square that must be seen, and its least correlation with the drawn one."""
SMALLEST = 40.0
"""Side of the square in the reduced picture, px, below which nothing is told."""


def shows_part_of_card(grey: NDArray[np.uint8]) -> bool:
    """Whether the card's square is in a grey picture (h, w), but not all of it."""
    scale = min(1.0, LONGEST / max(grey.shape))
    small = np.asarray(cv2.resize(grey, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA), dtype=np.uint8)
    return shows_cut_square(small) or _shows_part_of_square(small)


def _shows_part_of_square(small: NDArray[np.uint8]) -> bool:
    """Whether most of the square's features are in a reduced picture, and a corner of it beyond the edge."""
    drawn = _drawn()
    onto = _plane(drawn, small)
    if onto is None:
        return False
    corners = cv2.perspectiveTransform(_corners()[None], onto)[0].astype(np.float64)
    if not _is_square(corners):
        return False
    size = np.array(small.shape[::-1])
    cut = bool((corners < 1).any() or (corners > size - 2).any())
    return cut and _likeness(drawn, small, onto) > LIKENESS


def _drawn() -> NDArray[np.uint8]:
    """The card's square with a white cell around it, blurred as a photo is."""
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    tag = cv2.aruco.generateImageMarker(dictionary, CARD_TAG, TAG_CELLS * CELL, borderBits=1)
    framed = cv2.copyMakeBorder(tag, CELL, CELL, CELL, CELL, cv2.BORDER_CONSTANT, value=255)
    return np.asarray(cv2.GaussianBlur(framed, (0, 0), 2.0), dtype=np.uint8)


def _corners() -> NDArray[np.float32]:
    """The square's corners (4, 2) in the drawn one."""
    side = TAG_CELLS * CELL
    return np.array([[0, 0], [side, 0], [side, side], [0, side]], np.float32) + CELL - 0.5


def _plane(drawn: NDArray[np.uint8], picture: NDArray[np.uint8]) -> FloatArray | None:
    """The homography that takes most of the drawn square's features to the picture's."""
    sift = cv2.SIFT.create(nfeatures=6000)
    own, described = sift.detectAndCompute(drawn, None)
    there, seen = sift.detectAndCompute(picture, None)
    if described is None or seen is None or len(seen) < 2:
        return None
    pairs = cv2.BFMatcher().knnMatch(seen, described, k=2)
    good = [p[0] for p in pairs if len(p) == 2 and p[0].distance < RATIO * p[1].distance]
    if len(good) < LEAST_MATCHES:
        return None
    source = np.array([own[m.trainIdx].pt for m in good], np.float32)
    target = np.array([there[m.queryIdx].pt for m in good], np.float32)
    cv2.setRNGSeed(1)
    onto, agreed = cv2.findHomography(source, target, cv2.RANSAC, REPROJECTION, maxIters=5000)
    if onto is None or int(agreed.sum()) < LEAST_MATCHES:
        return None
    return np.asarray(onto, dtype=np.float64)


def _is_square(corners: FloatArray) -> bool:
    """Whether four corners may be a square seen aslant: convex, turning as on paper, sides of like length."""
    sides = np.roll(corners, -1, axis=0) - corners
    crossed = sides[:, 0] * np.roll(sides[:, 1], -1) - sides[:, 1] * np.roll(sides[:, 0], -1)
    length = np.linalg.norm(sides, axis=1)
    return bool((crossed > 0).all() and length.min() > SMALLEST and length.max() < 2.2 * length.min())


def _likeness(drawn: NDArray[np.uint8], picture: NDArray[np.uint8], onto: FloatArray) -> float:
    """Correlation of the drawn square with what the picture shows of it, 0 where that is too little."""
    size, flags = (drawn.shape[1], drawn.shape[0]), cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    seen = cv2.warpPerspective(picture, onto, size, flags=flags).astype(np.float64)
    shown = cv2.warpPerspective(np.ones_like(picture), onto, size, flags=flags) > 0
    shown[:CELL], shown[-CELL:], shown[:, :CELL], shown[:, -CELL:] = False, False, False, False
    if shown.sum() < LEAST_PART * (TAG_CELLS * CELL) ** 2:
        return 0.0
    return float(np.corrcoef(seen[shown], drawn[shown].astype(np.float64))[0, 1])

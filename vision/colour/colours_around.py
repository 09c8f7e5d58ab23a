"""What a pixel's surroundings tell of its tape: a pattern's two colours side by side, and like tapes' commonest."""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

REACH = 6.0
"""How far from each of its colours the other one lies at most on such tape, mm."""
BETWEEN = 1.5
"""How wide the blur between its colours is at most, mm."""

SURROUNDINGS = 4.0
"""How far around a place like tapes are counted, mm: less than any tape is wide."""


def with_pattern(
    labels: NDArray[np.uint8],
    label: int,
    parts: Sequence[NDArray[np.bool_]],
    ground: NDArray[np.bool_],
    mm_per_px: float,
) -> NDArray[np.uint8]:
    """The labels (h, w) with `label` where the parts (h, w), a tape's two colours, alternate off the ground (h, w)."""
    reach = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * round(REACH / mm_per_px) + 1,) * 2)
    near = [cv2.dilate(part.astype(np.uint8), reach) for part in parts]
    both = np.minimum.reduce(near) & np.maximum.reduce([part.astype(np.uint8) for part in parts])
    blur = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * round(BETWEEN / mm_per_px) + 1,) * 2)
    whole = cv2.morphologyEx(both, cv2.MORPH_CLOSE, blur) > 0
    return np.where(whole & ~ground, np.uint8(label), labels).astype(np.uint8)


def with_commonest(labels: NDArray[np.uint8], like: Sequence[int], mm_per_px: float) -> NDArray[np.uint8]:
    """The labels (h, w) where those of `like` tapes, wherever one of them stands, are the commonest of them around.

    A metallic tape is as bright as another one here and there, and its blurred edges are.
    """
    size = (2 * round(SURROUNDINGS / mm_per_px) + 1,) * 2
    own = np.array(like, dtype=np.uint8)
    counts = np.stack([cv2.blur((labels == label).astype(np.float32), size) for label in own])
    return np.where(np.isin(labels, own), own[counts.argmax(axis=0)], labels).astype(np.uint8)

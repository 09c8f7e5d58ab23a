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


def with_patterns(
    labels: NDArray[np.uint8],
    patterns: Sequence[tuple[int, Sequence[NDArray[np.bool_]]]],
    ground: NDArray[np.bool_],
    mm_per_px: float,
) -> NDArray[np.uint8]:
    """The labels (h, w) with a pattern's own where its parts (h, w), a tape's two colours, alternate off the ground.

    What two patterns claim is neither's: its label stays.
    """
    claims = [(label, _alternating(parts, mm_per_px) & ~ground) for label, parts in patterns]
    once = np.sum([claim for _, claim in claims], axis=0) == 1
    for label, claim in claims:
        labels = np.where(claim & once, np.uint8(label), labels).astype(np.uint8)
    return labels


def _alternating(parts: Sequence[NDArray[np.bool_]], mm_per_px: float) -> NDArray[np.bool_]:
    reach = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * round(REACH / mm_per_px) + 1,) * 2)
    near = [cv2.dilate(part.astype(np.uint8), reach) for part in parts]
    both = np.minimum.reduce(near) & np.maximum.reduce([part.astype(np.uint8) for part in parts])
    blur = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * round(BETWEEN / mm_per_px) + 1,) * 2)
    return np.asarray(cv2.morphologyEx(both, cv2.MORPH_CLOSE, blur) > 0)


def with_commonest(labels: NDArray[np.uint8], like: Sequence[int], mm_per_px: float) -> NDArray[np.uint8]:
    """The labels (h, w) where those of `like` tapes, wherever one of them stands, are the commonest of them around.

    A metallic tape is as bright as another one here and there, and its blurred edges are.
    """
    size = (2 * round(SURROUNDINGS / mm_per_px) + 1,) * 2
    own = np.array(like, dtype=np.uint8)
    counts = np.stack([cv2.blur((labels == label).astype(np.float32), size) for label in own])
    return np.where(np.isin(labels, own), own[counts.argmax(axis=0)], labels).astype(np.uint8)

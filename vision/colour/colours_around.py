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
ALONE = 3.0
"""How broad a patch of one of its colours is at least, mm, that lies beside such tape and not on it; narrower gaps
between tape and paper count as either's.
"""
MOST = 0.95
"""Share of a pattern's other colour that lies within this share of its width."""
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
    reach = _disc(REACH, mm_per_px)
    one, other = (part.astype(np.uint8) for part in parts)
    near_one, near_other = (np.asarray(cv2.dilate(part, reach), dtype=np.uint8) for part in (one, other))
    both = (near_one & near_other) & (one | other)
    deep = _depth(one | other, mm_per_px)
    for plain, second, near_second in ((one, other, near_other), (other, one, near_one)):
        alone = cv2.morphologyEx(plain & (1 - near_second), cv2.MORPH_OPEN, _disc(ALONE / 2, mm_per_px))
        striped = deep[(second & both) > 0]
        if alone.any() and len(striped):
            # Paper of one of the tape's colours: the pattern is as broad as its other colour, from the bare side on.
            width = float(np.percentile(striped, 100 * MOST)) / MOST
            beside = np.asarray(cv2.dilate(alone, _disc(REACH + BETWEEN, mm_per_px)), dtype=np.uint8)
            both &= 1 - (plain & beside & (deep > width))
    return np.asarray(cv2.morphologyEx(both, cv2.MORPH_CLOSE, _disc(BETWEEN, mm_per_px)) > 0)


def _depth(parts: NDArray[np.uint8], mm_per_px: float) -> NDArray[np.float32]:
    """How deep places lie in a pattern's colours (h, w), mm; gaps in them narrower than ALONE are none."""
    whole = cv2.morphologyEx(parts, cv2.MORPH_CLOSE, _disc(ALONE / 2, mm_per_px))
    return np.asarray(cv2.distanceTransform(whole, cv2.DIST_L2, 5) * mm_per_px, dtype=np.float32)


def _disc(radius: float, mm_per_px: float) -> NDArray[np.uint8]:
    """A disc of this radius, mm, as a structuring element."""
    element = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * round(radius / mm_per_px) + 1,) * 2)
    return np.asarray(element, dtype=np.uint8)


def with_commonest(labels: NDArray[np.uint8], like: Sequence[int], mm_per_px: float) -> NDArray[np.uint8]:
    """The labels (h, w) where those of `like` tapes, wherever one of them stands, are the commonest of them around.

    A metallic tape is as bright as another one here and there, and its blurred edges are.
    """
    size = (2 * round(SURROUNDINGS / mm_per_px) + 1,) * 2
    own = np.array(like, dtype=np.uint8)
    counts = np.stack([cv2.blur((labels == label).astype(np.float32), size) for label in own])
    return np.where(np.isin(labels, own), own[counts.argmax(axis=0)], labels).astype(np.uint8)

"""Where printed paper lies in the corrected picture, so that its black and its swatches are not taken for tape."""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.edges import FloatArray
from calib.estimate.plane import Plane
from calib.printed import CARD, CARD_TAG, CORNER_TAGS, CORNER_TILE, TAG_CELLS, ZONE_TAGS
from calib.prints.tags import TagSquare
from vision.picture.rectified import Rectified

SPARE = 1.5
"""Grown by this much, mm: paper casts a thin shadow and is cut by hand."""


def print_mask(picture: Rectified, plane: Plane, tags: Sequence[TagSquare]) -> NDArray[np.bool_]:
    """Mask (h, w) of everything printed that a tag tells the place of."""
    mask = np.zeros(picture.bgr.shape[:2], dtype=np.uint8)
    for tag in tags:
        corners = card_outline(plane) if tag.tag == CARD_TAG else _around(plane, tag)
        centre = corners.mean(axis=0)
        away = corners - centre
        grown = centre + away * (1 + SPARE / np.linalg.norm(away, axis=1, keepdims=True) * np.sqrt(2))
        cv2.fillPoly(mask, [np.rint(picture.to_px(grown)).astype(np.int32)], 1)
    return mask > 0


def card_outline(plane: Plane) -> FloatArray:
    """Corners (4, 2) of the card in the plane's frame, mm."""
    x, y, turn = (plane.value(f"card {part}") for part in ("x", "y", "turn"))
    c, s = np.cos(turn), np.sin(turn)
    scale = np.array([plane.value("scale along"), plane.value("scale up")])
    return np.asarray((CARD.corners * scale) @ np.array([[c, s], [-s, c]]) + (x, y))


def _around(plane: Plane, tag: TagSquare) -> FloatArray:
    """A tile's paper: its square grown by the white rim around it; an unknown print keeps one cell of rim."""
    square = plane.camera.locate(tag.corners)
    if tag.tag in CORNER_TAGS:
        factor = CORNER_TILE.width / 24
    elif tag.tag in ZONE_TAGS:
        factor = 24 / 18
    else:
        factor = 1 + 2 / TAG_CELLS
    return np.asarray(square.mean(axis=0) + (square - square.mean(axis=0)) * factor)

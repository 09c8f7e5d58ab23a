"""Where printed paper lies in the corrected picture, so that its black and its swatches are not taken for tape."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

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
RIM_SPARE = 4.0
"""How far tape along the rim of a corner tile that was not read may lie off it, mm."""
RIM, TOUCHING, MOSTLY = 14.0, 2.0, 0.8
"""How far around a print what belongs to it lies for the most part, and from how near it begins, mm."""


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


@dataclass(frozen=True, eq=False)
class PrintRims:
    """Where (h, w) the rims of card and corner tiles may lie, or paper below them, and where right beside the print."""

    near: NDArray[np.bool_]
    touching: NDArray[np.bool_]

    def left_out(self, mask: NDArray[np.bool_]) -> NDArray[np.bool_]:
        """A tape's mask (h, w) without what only goes round the card or a corner tile."""
        if not (mask & self.touching).any():
            return mask
        count, labels = cv2.connectedComponents(mask.astype(np.uint8))
        size = np.maximum(np.bincount(labels.ravel(), minlength=count), 1)
        near = np.bincount(labels[self.near], minlength=count) / size
        touching = np.bincount(labels[self.touching], minlength=count) > 0
        rims = (near > MOSTLY) & touching
        rims[0] = False
        return np.asarray(mask & ~rims[labels], dtype=np.bool_)


def rims(picture: Rectified, plane: Plane, tags: Sequence[TagSquare]) -> PrintRims:
    """What lies around the card and the corner tiles in a corrected picture."""
    prints = print_mask(picture, plane, [tag for tag in tags if tag.tag not in ZONE_TAGS])
    if not prints.any():
        return PrintRims(prints, prints)
    away = cv2.distanceTransform((~prints).astype(np.uint8), cv2.DIST_L2, 3) * picture.mm_per_px
    return PrintRims(away <= RIM, away <= TOUCHING)


def is_corner_tile(corners: FloatArray, parcel: FloatArray) -> bool:
    """Whether an outline (n, 2) mm lies where a corner tile of the parcel (4, 2) does: its white rim is no tape."""
    middle = parcel.mean(axis=0)
    reach = CORNER_TILE.width + RIM_SPARE
    inwards = (corners[None] - parcel[:, None]) * np.sign(middle - parcel)[:, None]
    return bool(((inwards > -RIM_SPARE) & (inwards < reach)).all(axis=(1, 2)).any())


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

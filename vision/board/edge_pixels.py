"""Pixels of a corrected picture that lie on edges, and those of them that a calm place, as bare board is, ends at."""

from __future__ import annotations

import cv2
import numpy as np

from calib.card.colours import log_colour
from calib.edges import FloatArray
from vision.picture.rectified import Rectified

EDGE_STEP, FAINT_STEP = 0.12, 0.05
"""Step in log colour over about 2 mm that counts as an edge, and as a faint one, of a board of the table's colour."""
CALM = 5.0
"""How far from every edge a place is, mm, that no cloth's pattern has: it may be in the middle of bare board."""
EDGE_WIDTH = 4.0
"""How wide an edge shows in the picture that the board is looked for in, mm."""

LEAST_TURNED = np.deg2rad(3)
"""How far apart main directions are."""


def main_turns(normals: FloatArray, most: int) -> list[float]:
    """The directions, within an eighth of a turn from the frame's, that most of the edges have, radians; most first."""
    quarter = np.mod(np.arctan2(normals[:, 1], normals[:, 0]) + np.pi / 4, np.pi / 2)
    counts, borders = np.histogram(quarter, bins=180, range=(0, np.pi / 2))
    smooth = cv2.GaussianBlur(np.tile(counts.astype(np.float64), 3)[None], (0, 0), 2.0)[0, 180:360]
    turns, width = list[float](), round(LEAST_TURNED / (np.pi / 360))
    for _ in range(most):
        best = int(smooth.argmax())
        turns.append(float((borders[best] + borders[best + 1]) / 2 - np.pi / 4))
        smooth[np.arange(best - width, best + width + 1) % 180] = -1.0
    return turns


def edge_pixels(picture: Rectified, step: float = EDGE_STEP) -> tuple[FloatArray, FloatArray]:
    """Places (n, 2) mm of pixels on edges of colour or brightness, and the edges' unit normals (n, 2)."""
    colour = cv2.GaussianBlur(log_colour(picture.bgr), (0, 0), 1.0)
    dx, dy = (cv2.Sobel(colour, cv2.CV_32F, *order, ksize=3, scale=0.25) for order in ((1, 0), (0, 1)))
    strength = np.sqrt(dx**2 + dy**2)
    channel = strength.argmax(axis=2)[..., None]
    gx, gy = (np.take_along_axis(d, channel, axis=2)[..., 0] for d in (dx, dy))
    size = np.hypot(gx, gy)
    shown = cv2.erode((picture.bgr.max(axis=2) > 0).astype(np.uint8), np.ones((7, 7), np.uint8)) > 0
    y, x = np.nonzero((size > step) & shown)
    unit = np.column_stack([gx[y, x], gy[y, x]]) / size[y, x][:, None]
    return picture.to_mm(np.column_stack([x, y]).astype(np.float64)), unit.astype(np.float64)


def beside_calm(places: FloatArray, normals: FloatArray, picture: Rectified) -> tuple[FloatArray, FloatArray]:
    """The edges (n, 2) with their normals that the calm parts of the picture end at."""
    if not len(places):
        return places, normals
    x, y = np.rint(picture.to_px(places)).astype(np.int64).T
    free = (picture.bgr.max(axis=2) > 0).astype(np.uint8)
    free[y, x] = 0
    calm = cv2.distanceTransform(free, cv2.DIST_L2, 3) * picture.mm_per_px > CALM
    reached = cv2.distanceTransform((~calm).astype(np.uint8), cv2.DIST_L2, 3) * picture.mm_per_px < CALM + EDGE_WIDTH
    kept = reached[y, x]
    return places[kept], normals[kept]

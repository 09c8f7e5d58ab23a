"""The middles of a dotted card's bare dots in a photo, to a fraction of a pixel.

They reach far beyond the black square, so they tell how the card curls and how the camera is tilted; and a dot's middle
stays where it is, however far light spills over its edge.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.edges import FloatArray
from calib.printed import DOT_DIAMETER

LEAST_RADIUS = 1.2
"""Radius of a dot, px, below which its middle is not told."""
FEWEST = 5
"""Dots below which they say nothing: those of the card's mark."""
DARK, PAPER, BETWEEN = DOT_DIAMETER / 2 + 0.35, DOT_DIAMETER / 2 + 0.45, DOT_DIAMETER / 2 + 0.7
"""A dot's ink reaches as far as DARK from its middle, mm, with its blur; from PAPER to BETWEEN all is paper, as its
box's frame lies half a pitch away.
"""
UNEVEN, SPOTS = 0.2, 0.05
"""Paper around a dot that differs by this share of the dot's contrast, over this share of its area, has tape on it."""
ROUNDS = 3
ASTRAY = 0.5
"""mm from its expected place at which something else is taken for a dot's middle."""
OUTLYING = 3.5
"""Robust standard deviations beyond which a dot's middle is something else's."""
LEAST_SCATTER = 0.05
"""px, of one dot (rendered cards: 0.02 to 0.03)."""
SEEN_TOGETHER, PRINTED_TOGETHER = 0.1, 0.03
"""What a part's dots are off against the black square's edges, px in the photo and mm on the print: ink spreads and
phones sharpen both differently, and paper is never quite smooth (common practice, no source).
"""


@dataclass(frozen=True, eq=False)
class CardDots:
    """Where n dots lie: places (n, 2) mm on the card, points (n, 2) px, and part (n,) of the card, a box or the mark.

    Standard uncertainties, px: scatter of each dot's coordinate, and together of what a part's dots have in common.
    """

    places: FloatArray
    points: FloatArray
    part: NDArray[np.intp]
    scatter: float
    together: float


def measure_dots(
    grey: NDArray[np.uint8], places: FloatArray, part: NDArray[np.intp], expected: FloatArray, px_per_mm: FloatArray
) -> CardDots | None:
    """The dots printed at places (n, 2) mm in a part (n,) of the card, expected at (n, 2) px with a scale (n,).

    None where too few are told.
    """
    if len(places) < FEWEST or DOT_DIAMETER / 2 * float(np.median(px_per_mm)) < LEAST_RADIUS:
        return None
    found, whole = _middles(grey, expected, px_per_mm)
    kept, scatter = _kept(places, found, whole)
    if kept.sum() < FEWEST:
        return None
    together = float(np.hypot(SEEN_TOGETHER, PRINTED_TOGETHER * np.median(px_per_mm)))
    return CardDots(places[kept], found[kept], part[kept], max(LEAST_SCATTER, scatter), together)


def _middles(
    grey: NDArray[np.uint8], expected: FloatArray, px_per_mm: FloatArray
) -> tuple[FloatArray, NDArray[np.bool_]]:
    """Centroids (n, 2) of the darkness around expected places, and which of them have nothing but paper around."""
    reach = int(np.ceil(BETWEEN * px_per_mm.max())) + 1
    dx, dy = np.meshgrid(np.arange(-reach, reach + 1), np.arange(-reach, reach + 1))
    away = np.hypot(dx, dy)[None] / px_per_mm[:, None, None]
    # A ring of a pixel's width at least.
    paper = (away > PAPER) & (away < np.maximum(BETWEEN, PAPER + 1 / px_per_mm)[:, None, None])
    found = expected
    for _ in range(ROUNDS):
        x, y = found[:, 0, None, None] + dx, found[:, 1, None, None] + dy
        light = _read(grey, x, y)
        base = np.nanmedian(np.where(paper, light, np.nan), axis=(1, 2))[:, None, None]
        dark = np.where(away < DARK, np.maximum(base - light, 0.0), 0.0)
        total = np.maximum(dark.sum(axis=(1, 2)), 1e-9)
        found = np.stack([(dark * at).sum(axis=(1, 2)) / total for at in (x, y)], axis=1)
    uneven = paper & (np.abs(light - base) > UNEVEN * (base - light[:, reach, reach, None, None]))
    near = np.linalg.norm(found - expected, axis=1) < ASTRAY * px_per_mm
    return found, near & (uneven.sum(axis=(1, 2)) < SPOTS * paper.sum(axis=(1, 2)))


def _read(grey: NDArray[np.uint8], x: FloatArray, y: FloatArray) -> FloatArray:
    flat = (len(x), -1)
    maps = [at.reshape(flat).astype(np.float32) for at in (x, y)]
    return np.asarray(cv2.remap(grey, maps[0], maps[1], cv2.INTER_LINEAR), dtype=np.float64).reshape(x.shape)


def _kept(places: FloatArray, found: FloatArray, keep: NDArray[np.bool_]) -> tuple[NDArray[np.bool_], float]:
    """The dots that follow a smooth map of the card, a cubic in place, and what they scatter about it, px."""
    x, y = ((places - places.mean(axis=0)) / 60).T
    terms = [x**i * y**j for i in range(4) for j in range(4 - i)]
    design = np.stack(terms, axis=1)
    scatter = 0.0
    for _ in range(4):
        if keep.sum() < FEWEST:
            break
        map_, _, rank, _ = np.linalg.lstsq(design[keep], found[keep], rcond=1e-4)
        off = np.linalg.norm(found - design @ map_, axis=1)
        scatter = float(np.sqrt(np.sum(off[keep] ** 2) / max(1, 2 * (int(keep.sum()) - rank))))
        keep = keep & (off < OUTLYING * 1.2 * np.median(off[keep]) + LEAST_SCATTER)
    return keep, scatter

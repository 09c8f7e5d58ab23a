"""Whether photos show all of a parcel and nothing on it but the solids that were found.

A place of the land is seen where two photos show it past all solids.  Where two photos that both show a place disagree
about it all the same, something may stand there that was not found.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.solids.body import Body
from vision.solids.disagreement import Disagreement
from vision.solids.shadow import draw_shadow

SMALLEST = 14.0
"""What nothing fits on that counts as a structure, mm: no disc so wide."""
ASTRAY = 2
"""So many pixels around a solid's picture its blurred edges may disagree, too."""
APART = 0.5
LEAST_AREA = 60.0
"""mm2 of land that two photos disagree about: less is a fringe of tape or print."""
_Mask = NDArray[np.uint8]


@dataclass(frozen=True)
class OpenPlace:
    """A place, mm, and how wide it is, where more may stand: it is hidden, or what photos show there differs."""

    x: float
    y: float
    width: float
    why: Literal["hidden", "differs"]


def open_places(apart: Disagreement, bodies: Sequence[Body], size: tuple[float, float]) -> tuple[OpenPlace, ...]:
    """The places of a parcel of a size (mm) where more than these bodies may stand, the widest first."""
    clear = [1 - _hidden(apart, bodies, photo) for photo in range(len(apart.eyes))]
    seen = np.zeros(apart.compared.shape, np.uint8)
    differs = np.zeros(apart.compared.shape, np.uint8)
    for (i, j), d in apart.pairs.items():
        both = clear[i] * clear[j] * apart.compared.astype(np.uint8)
        seen |= both
        differs |= (d > APART).astype(np.uint8) * both
    hidden = _land(apart, size) * (1 - seen) * (1 - _footprints(apart, bodies))
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (_across(apart),) * 2)
    places = [
        *_places(apart, np.asarray(cv2.morphologyEx(hidden, cv2.MORPH_OPEN, disc), np.uint8), 0.0, "hidden"),
        *_places(apart, differs, LEAST_AREA, "differs"),
    ]
    return tuple(sorted(places, key=lambda place: -place.width))


def _across(apart: Disagreement) -> int:
    return 2 * max(1, round(SMALLEST / 2 / apart.mm_per_px)) + 1


def _hidden(apart: Disagreement, bodies: Sequence[Body], photo: int) -> _Mask:
    """What the bodies hide in one photo, and the rim of it."""
    mask = np.zeros(apart.compared.shape, np.uint8)
    for body in bodies:
        draw_shadow(mask, body, apart.eyes[photo], apart.origin, apart.mm_per_px)
    return np.asarray(cv2.dilate(mask, np.ones((2 * ASTRAY + 1,) * 2, np.uint8)), np.uint8)


def _footprints(apart: Disagreement, bodies: Sequence[Body]) -> _Mask:
    mask = np.zeros(apart.compared.shape, np.uint8)
    for body in bodies:
        at = np.round((body.footprint - apart.origin) / apart.mm_per_px * 16).astype(np.int32)
        cv2.fillConvexPoly(mask, at, 1, cv2.LINE_8, 4)
    return np.asarray(cv2.dilate(mask, np.ones((3, 3), np.uint8)), np.uint8)


def _land(apart: Disagreement, size: tuple[float, float]) -> _Mask:
    height, width = apart.compared.shape
    x, y = (apart.origin[at] + np.arange(n) * apart.mm_per_px for at, n in ((0, width), (1, height)))
    return np.asarray(((x > 0) & (x < size[0]))[None] & ((y > 0) & (y < size[1]))[:, None], np.uint8)


def _places(apart: Disagreement, mask: _Mask, least: float, why: Literal["hidden", "differs"]) -> list[OpenPlace]:
    """Every connected part of a mask that is larger than least, mm2."""
    count, _, stats, middles = cv2.connectedComponentsWithStats(mask, connectivity=8)
    made = []
    for number in range(1, count):
        area = float(stats[number, cv2.CC_STAT_AREA]) * apart.mm_per_px**2
        if area > least:
            x, y = middles[number] * apart.mm_per_px + apart.origin
            made.append(OpenPlace(float(x), float(y), float(np.sqrt(area)), why))
    return made

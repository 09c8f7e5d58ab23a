"""Whether paper of the tape's own colour sticks out from under it, outwards: then the patch's border is the paper's.

Below the tape's inner edge its colour steps to the paper's.  Where the same step shows once more just inside the
patch's border, the tape begins only there.  So near to the border the board's colour is blurred into it and a phone's
sharpening overshoots, both along the difference from the tape to the board: the step must show besides that, too.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.camera import Camera
from calib.card.colours import log_colour
from calib.edges import FloatArray
from vision.find.rough_outlines import Found
from vision.fit.tape_edges import places_along

SURE_PX, PERHAPS_PX = (3.0, 4.0), (2.5, 3.5)
"""How far inside the patch's border a rim is looked for, px, to be sure of it and to think it possible: nearer, there
is nothing but the board's blur.
"""
STEPPED, BESIDES, ASKEW = 0.4, 0.2, 0.2
"""Shares of the step from tape to paper that must show there, the middle one of all sides', as it is and without what
the board may add; and the sine of the angle between that step and the board's colour below which nothing is left then.
"""
TAPE, ASIDE = 0.15, (1.5, 3.5)
"""How far off its middle tape is read, in widths; how far beyond its edges paper and board are, mm."""


def with_rims(photo: NDArray[np.uint8], camera: Camera, found: Sequence[Found]) -> tuple[list[Found], list[Found]]:
    """The outlines, those marked where such paper may stick out a little, and apart from them those where it does."""
    kept, wrong = list[Found](), list[Found]()
    for outline in found:
        if outline.curved or not outline.papered().any():
            kept.append(outline)
        elif _sticks_out(photo, camera, outline, SURE_PX):
            wrong.append(outline)
        else:
            perhaps = _sticks_out(photo, camera, outline, PERHAPS_PX)
            per_px = camera.mm_per_px(outline.corners.mean(axis=0))
            kept.append(replace(outline, rim=PERHAPS_PX[1] * per_px) if perhaps else outline)
    return kept, wrong


def _sticks_out(photo: NDArray[np.uint8], camera: Camera, outline: Found, at_px: tuple[float, float]) -> bool:
    """Whether along most sides of an outline with paper of its tape's colour that paper is its outer border."""
    side, middle, normal = places_along(outline.corners, outline.tapes().width)
    per_px = camera.mm_per_px(outline.corners.mean(axis=0))

    def read(offsets: FloatArray) -> FloatArray:
        places = middle[:, None] + offsets[None, :, None] * normal[:, None]
        pixels = camera.project(places.reshape(-1, 2), outline.face).astype(np.float32)
        x, y = pixels.reshape(places.shape).transpose(2, 0, 1)
        tones = log_colour(np.asarray(cv2.remap(photo, x, y, cv2.INTER_LINEAR), dtype=np.uint8))
        return np.asarray(tones.mean(axis=1), dtype=np.float64)

    half, aside = outline.width / 2, np.linspace(*ASIDE, 8)
    at = (
        np.linspace(-TAPE, TAPE, 7) * outline.width, -half - aside, half - np.linspace(*at_px, 3) * per_px,
        half + aside,
    )  # fmt: skip
    seen = [read(offsets) for offsets in at]
    own = [i for i in np.flatnonzero(outline.papered()) if (side == i).any()]
    sides = [[colour[side == i].mean(axis=0) for colour in seen] for i in own]
    if not sides:
        return False
    plain, besides, askew = np.median([_rim(*colours) for colours in sides], axis=0)
    return bool(plain > STEPPED and (besides > BESIDES or askew < ASKEW))


def _rim(tape: FloatArray, paper: FloatArray, rim: FloatArray, board: FloatArray) -> tuple[float, float, float]:
    """Share of the step from tape to paper (3,), as log ratios and log lightness, that a rim has; the same besides what
    a little of the board's light adds; and the sine of the angle between the two.
    """
    step, away = paper - tape, rim - tape
    light = np.exp(_channels(board) - _channels(tape)) - 1
    added = np.array([light[0] - light[1], light[2] - light[1], light.mean()])
    added /= max(float(np.linalg.norm(added)), 1e-9)
    left = step - (step @ added) * added
    size, size_left = float(step @ step), float(left @ left)
    plain, besides = float(away @ step) / max(size, 1e-12), float(away @ left) / max(size_left, 1e-12)
    return plain, besides, float(np.sqrt(size_left / max(size, 1e-12)))


def _channels(tone: FloatArray) -> FloatArray:
    """Log light of red, green and blue of a colour (3,) as log(R/G), log(B/G) and mean log light."""
    green = tone[2] - (tone[0] + tone[1]) / 3
    return np.array([green + tone[0], green, green + tone[1]])

"""Which swatch boxes of a dotted card hold tape: every box is printed with dots, and tape hides or weakens them.

A dot's contrast against the paper around it says how much of it shows, whatever the light there; the five dots of the
card's mark, which nothing covers, say how strong a bare dot looks in this photo at its blur and resolution.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.card_view import PX_PER_MM, CardView
from calib.dot_places import Mark, dot_places, find_mark
from calib.edges import FloatArray
from calib.printed import SWATCHES, Box

State = Literal["empty", "filled", "see-through", "doubtful"]
BARE = 0.72
"""Contrast of a dot over that of a bare one, from which on nothing lies over it."""
HIDDEN = 0.50
"""Share of a dot's darkness that passes through see-through tape at most."""
COLOURED = 0.35
"""Log colour ratio against the card's white from which on paper is no bare paper in any light."""
TINTED = 0.22
"""The same where its dots are weak, too."""
SHADED = 0.60
"""Paper between strong dots that is darker than this share of the paper around its box: a shadow, or a dark film."""
GLARE = 1.5
"""Paper between dots that is brighter than this many times the paper around its box: there glare can wash dots out."""
SATURATED = 0.94
"""Linear light of a channel that may be clipped."""
SEE_THROUGH, STRAY = 0.03, 20
"""Dots show through tape whose contrast over that of bare ones is more than this, but for so many per cent of them."""
FILLED, SPECK = 5, 2
"""Neighbouring dots that tape covers at least, and that dirt or a hair may cover."""
TAPED, SHOWN_DOT = 0.5, 0.9
"""Around a covered dot's middle all is tape; around a dot that shows through not all is its colour, mm."""
MARGIN = 2.5
"""The paper around a box that tells of its light, mm."""


@dataclass(frozen=True, eq=False)
class BoxReading:
    """One swatch box: its dots' places (6, 11, 2) mm on the card as the photo shows it, and which are covered (6, 11).

    strength is the contrast of dots well under the tape over that of bare ones, 0 where no dot is.
    """

    number: int
    state: State
    places: FloatArray
    covered: NDArray[np.bool_]
    strength: float


def read_boxes(view: CardView) -> tuple[BoxReading, ...] | None:
    """Every swatch box in the order of its number, or None where the card has no dots."""
    mark = find_mark(view)
    if mark is None:
        return None
    return tuple(_reading(view, mark, n, places) for n, places in enumerate(dot_places(view, mark), start=1))


def tape_mask(view: CardView, box: BoxReading) -> NDArray[np.bool_]:
    """Where in the view (h, w) a box's tape lies for sure: at and between covered dots; dots that show are left out."""
    mask = np.zeros(view.bgr.shape[:2], np.uint8)
    rows, columns = box.covered.shape
    at = np.rint(view.pixels(box.places)).astype(np.int32)
    thick = round(2 * TAPED * PX_PER_MM)
    for i, j in np.argwhere(box.covered):
        cv2.circle(mask, tuple(map(int, at[i, j])), thick // 2, 1, cv2.FILLED)
        block = box.covered[i : i + 2, j : j + 2]
        if i + 1 < rows and block[-1, 0]:
            cv2.line(mask, tuple(map(int, at[i, j])), tuple(map(int, at[i + 1, j])), 1, thick)
        if j + 1 < columns and block[0, -1]:
            cv2.line(mask, tuple(map(int, at[i, j])), tuple(map(int, at[i, j + 1])), 1, thick)
        if block.shape == (2, 2) and block.all():
            cv2.fillConvexPoly(mask, np.array([at[i, j], at[i, j + 1], at[i + 1, j + 1], at[i + 1, j]]), 1)
    if box.state == "see-through":
        for x, y in at[box.covered]:
            cv2.circle(mask, (int(x), int(y)), round(SHOWN_DOT * PX_PER_MM), 0, cv2.FILLED)
    return mask > 0


def _reading(view: CardView, mark: Mark, number: int, places: FloatArray) -> BoxReading:
    share = view.contrast_near(places) / mark.contrast
    paper = view.paper_at(places)
    covered, unsure = _covered(share, paper, mark.paper, _light(view, number, mark.paper))
    shown = view.contrast_at(places) / mark.contrast
    inner = cv2.erode(covered.astype(np.uint8), np.ones((3, 3), np.uint8), borderValue=1) > 0
    strength = float(np.median(shown[inner])) if inner.any() else 0.0
    through = inner.any() and np.percentile(shown[inner], STRAY) > SEE_THROUGH
    state: State = "empty"
    if _largest(covered) >= FILLED:
        state = "see-through" if through else "filled"
    elif _largest(covered | unsure) > SPECK:
        state = "doubtful"
    return BoxReading(number, state, places, covered, strength)


def _covered(
    share: FloatArray, paper: FloatArray, white: FloatArray, light: float
) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Which dots are covered, and of which it cannot be said.

    share (6, 11): contrast over that of bare dots; paper (6, 11, 3): linear light between the dots; white (3,): that of
    bare paper; light: paper around the box over white.
    """
    against = paper / white
    bright = against.mean(axis=-1) / light
    tint = np.abs(np.log(np.maximum(against, 0.01)) - np.log(np.maximum(against, 0.01))[..., 1:2]).max(axis=-1)
    # A dot's darkness that comes through, over that of a bare dot in the same light: what tape lets pass.
    passed = share * bright
    coloured = tint > COLOURED
    covered = (passed < HIDDEN) & ((share < BARE) | coloured) | coloured & (share < BARE)
    covered |= (tint > TINTED) & (share < HIDDEN)
    clipped = (paper.min(axis=-1) > SATURATED) & (white.max() * light < SATURATED)
    washed = ((bright > GLARE) | clipped) & ~coloured
    bare = (share >= BARE) & ~coloured & (bright > SHADED)
    covered &= ~washed
    return covered, ~covered & ~bare


def _light(view: CardView, number: int, white: FloatArray) -> float:
    """Light on the paper just outside a box's frame, over `white`."""
    box = SWATCHES[number - 1]
    around = np.concatenate([view.cut(part).reshape(-1, 3) for part in _rim(box)])
    against = around / white
    logs = np.log(np.maximum(against, 0.01))
    plain = (np.abs(logs - logs[:, 1:2]).max(axis=1) < COLOURED) & (against.mean(axis=1) > 0.1)
    if plain.sum() < 0.1 * len(plain):
        return 1.0
    return float(np.percentile(against[plain].mean(axis=1), 60))


def _rim(box: Box) -> list[Box]:
    """The strips of paper along a box, just outside its frame."""
    gap, deep = 0.6, MARGIN - 0.6
    right, bottom = box.x + box.width, box.y + box.height
    return [
        Box(box.x, box.y - MARGIN, box.width, min(deep, 1.0)), Box(box.x, bottom + gap, box.width, min(deep, 1.0)),
        Box(box.x - 1.6, box.y, 1.0, box.height), Box(right + gap, box.y, 1.0, box.height),
    ]  # fmt: skip


def _largest(mask: NDArray[np.bool_]) -> int:
    """Dots in the largest group of neighbours, diagonals counted."""
    _, _, stats, _ = cv2.connectedComponentsWithStats(mask.astype(np.uint8), connectivity=8)
    return int(stats[1:, cv2.CC_STAT_AREA].max(initial=0))

"""A solid fitted to where the photos disagree: they must where one of two shows it, and must not where neither does."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.edges import FloatArray
from vision.solids.body import Body
from vision.solids.disagreement import Disagreement
from vision.solids.edge_fit import is_possible
from vision.solids.shadow import draw_shadow, shadow

AGREED, COVERED, IDLE = 1.5, 0.4, 0.2
"""Against what one photo alone shows and they disagree about: what they agree about all the same, what both show and
they disagree about, what both show and they agree about.
"""
NEVER = 1e9


@dataclass(frozen=True, eq=False)
class Match:
    """How well a body explains what the photos disagree about.

    shown: the share of what only one of two photos shows of it that they disagree about.  rim: how much of the ground
    just around it they disagree about.  gain: what it explains against what it does not, mm2.
    """

    shown: float
    rim: float
    gain: float

    @property
    def promise(self) -> float:
        """What stands alone and is shown whole comes first."""
        return (self.shown - self.rim) * float(np.sqrt(max(self.gain, 0.0)))


class Region:
    """The part of the plane around one solid."""

    def __init__(self, apart: Disagreement, free: NDArray[np.float32], around: Body) -> None:
        low, high = _reach(apart, around)
        first = np.maximum(np.floor((low - apart.origin) / apart.mm_per_px).astype(int), 0)
        last = np.maximum(np.ceil((high - apart.origin) / apart.mm_per_px).astype(int) + 1, first + 2)
        window = slice(first[1], last[1]), slice(first[0], last[0])
        self.origin, self.mm_per_px = apart.origin + first * apart.mm_per_px, apart.mm_per_px
        self.eyes, self.free = apart.eyes, free[window]
        self.pairs = {pair: d[window] * self.free for pair, d in apart.pairs.items()}
        self.any = np.max(list(self.pairs.values()), axis=0)
        by_one = {pair: (1 + AGREED) * d - AGREED * self.free for pair, d in self.pairs.items()}
        self._shown = [sum(d for pair, d in by_one.items() if photo in pair) for photo in range(len(self.eyes))]
        self._by_both = {
            pair: (COVERED + IDLE) * d - IDLE * self.free - 2 * by_one[pair] for pair, d in self.pairs.items()
        }

    def mask(self, body: Body, eye: FloatArray) -> NDArray[np.float32]:
        """The body's shadow (h, w), 1 inside."""
        mask = np.zeros(self.free.shape, np.float32)
        draw_shadow(mask, body, eye, self.origin, self.mm_per_px)
        return mask

    def gain(self, body: Body) -> float:
        """What a body explains against what it does not, px."""
        return self._gain([self.mask(body, eye) for eye in self.eyes])

    def _gain(self, masks: Sequence[NDArray[np.float32]]) -> float:
        """Over all pairs: what one alone shows, and what both show; the sums over single photos are done before."""
        total = sum(float(np.vdot(shown, mask)) for shown, mask in zip(self._shown, masks, strict=True))
        return total + sum(float(np.vdot(d, masks[i] * masks[j])) for (i, j), d in self._by_both.items())

    def match(self, body: Body) -> Match:
        """How well a body fits here."""
        masks = [self.mask(body, eye) for eye in self.eyes]
        alone = found = 0.0
        for (i, j), apart in self.pairs.items():
            one = np.abs(masks[i] - masks[j])
            alone, found = alone + float((self.free * one).sum()), found + float((apart * one).sum())
        whole = np.max(masks, axis=0)
        rim = np.asarray((cv2.dilate(whole, np.ones((5, 5), np.uint8)) - whole) * self.free)
        around = float((self.any * rim).sum() / max(float(rim.sum()), 1.0))
        return Match(found / max(alone, 1.0), around, self._gain(masks) * self.mm_per_px**2)


def fitted(region: Region, body: Body, evaluations: int) -> Body:
    """The body near this one that explains most, by Nelder and Mead's method."""
    from scipy.optimize import minimize  # half a second to import, and one photo alone needs it not

    start = body.vector
    unit = _units(body)

    def loss(change: FloatArray) -> float:
        tried = body.with_vector(start + change * unit)
        return -region.gain(tried) if is_possible(tried) else NEVER

    simplex = np.vstack([np.zeros(len(unit)), np.eye(len(unit))])
    options = {"initial_simplex": simplex, "maxfev": evaluations, "xatol": 0.03, "fatol": 0.5}
    best = minimize(loss, np.zeros(len(unit)), method="Nelder-Mead", options=options)
    return body.with_vector(start + best.x * unit)


def _units(body: Body) -> FloatArray:
    side = 0.2 * body.length + 2
    units = [side, side, 0.25 * body.length, 0.25 * body.height]
    return np.array(units if body.is_round else [*units, 0.25 * body.width, 0.5])


def _reach(apart: Disagreement, body: Body) -> tuple[FloatArray, FloatArray]:
    tall = body.as_high_as(1.4 * body.height).corners
    shown = np.concatenate([shadow(tall, eye) for eye in apart.eyes])
    extent = 14.0 + 0.2 * max(body.length, body.width)
    return shown.min(axis=0) - extent, shown.max(axis=0) + extent

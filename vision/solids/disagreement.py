"""Where photos of one model disagree about what lies on its plane: something stands there, or hides what lies there.

The plane's corrected pictures are evened out against each other first: a smooth gain each, and one for each outline's
tape, which shines differently from different sides.  What then differs by more than the plane's own grain, and is not
found within a pixel, stands above it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.edges import FloatArray
from vision.picture.rectified import Rectified
from vision.solids.edge_fit import DARK

COARSE = 4
"""Fine pixels to one of the pictures that are compared."""
RIM = 2.0
"""So far from the parcel's edge the pictures are compared, mm: its wall and the table are not on the plane."""
LEAST_CONTRAST = 0.05
"""Of logarithms: less is no disagreement, however smooth the plane."""
GRAINS = 6.0
"""Disagreements are that much larger than what half of the plane differs by."""
FLOOR_STEP = 3
_ROUNDS = 6
_Picture = NDArray[np.float32]


@dataclass(frozen=True, eq=False)
class Band:
    """An outline's tape: its middle line (n, 2) and its width, mm."""

    ring: FloatArray
    width: float


@dataclass(frozen=True, eq=False)
class Disagreement:
    """How much every two photos disagree (h, w), 0 to 1, by their numbers; where they are compared; the place of it.

    eyes: every photo's camera, (3,) each.
    """

    pairs: Mapping[tuple[int, int], _Picture]
    compared: NDArray[np.bool_]
    origin: FloatArray
    mm_per_px: float
    eyes: tuple[FloatArray, ...]

    @property
    def any(self) -> _Picture:
        """The largest of all pairs' disagreement."""
        return np.asarray(np.max(list(self.pairs.values()), axis=0), dtype=np.float32)

    def of(self, photo: int) -> _Picture:
        """The least of a photo's disagreement with each other one."""
        least = np.min([d for pair, d in self.pairs.items() if photo in pair], axis=0)
        return np.asarray(least, dtype=np.float32)


def disagreement(
    pictures: Sequence[Rectified], eyes: Sequence[FloatArray], bands: Sequence[Band], size: tuple[float, float]
) -> Disagreement:
    """Compare corrected pictures of one place and scale; size is the parcel's, mm."""
    small = [cv2.GaussianBlur(_reduced(p.bgr, COARSE), (0, 0), 0.8) for p in pictures]
    mm = pictures[0].mm_per_px * COARSE
    origin = pictures[0].origin + (COARSE - 1) / 2 * pictures[0].mm_per_px
    compared = _compared(small, origin, mm, size)
    tones = _evened([np.log(s.astype(np.float32) + DARK) for s in small], compared)
    for band in bands:
        _even_band(tones, _mask(band, tones[0].shape[:2], origin, mm))
    pairs = {
        (i, j): _halved(_scaled(_apart(tones[i], tones[j]), compared))
        for j in range(len(tones)) for i in range(j)
    }  # fmt: skip
    whole = _halved(compared.astype(np.float32)) > 0.99
    return Disagreement(
        {k: np.asarray(d * whole, np.float32) for k, d in pairs.items()}, whole, origin + mm / 2, 2 * mm, tuple(eyes)
    )


def _compared(
    small: Sequence[NDArray[Any]], origin: FloatArray, mm: float, size: tuple[float, float]
) -> NDArray[np.bool_]:
    """What all photos show of the parcel."""
    height, width = small[0].shape[:2]
    x, y = origin[0] + np.arange(width) * mm, origin[1] + np.arange(height) * mm
    inside = ((x > RIM) & (x < size[0] - RIM))[None] & ((y > RIM) & (y < size[1] - RIM))[:, None]
    kernel = np.ones((5, 5), np.uint8)
    shown = [cv2.erode((s.max(axis=-1) > 0).astype(np.uint8), kernel) > 0 for s in small]
    return np.asarray(inside & np.all(shown, axis=0))


def _evened(tones: list[_Picture], compared: NDArray[np.bool_]) -> list[_Picture]:
    """Logarithms without the smooth gain that each has against their middle, fitted robustly."""
    height, width = compared.shape
    y, x = np.mgrid[:height, :width]
    x, y = x / width * 2 - 1, y / height * 2 - 1
    basis = np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], axis=-1).astype(np.float32)
    middle = _middle(tones)
    few = np.zeros_like(compared)
    few[::FLOOR_STEP, ::FLOOR_STEP] = compared[::FLOOR_STEP, ::FLOOR_STEP]
    known = basis[few]
    evened = []
    for tone in tones:
        gains = [_robust(known, (tone - middle)[few][:, c]) for c in range(3)]
        evened.append(tone - basis @ np.stack(gains, axis=-1).astype(np.float32))
    return evened


def _robust(basis: _Picture, values: _Picture) -> FloatArray:
    """Coefficients of the least-squares fit that what disagrees has no weight in."""
    weight = np.ones(len(values), dtype=np.float32)
    gain: FloatArray = np.zeros(basis.shape[1])
    for _ in range(_ROUNDS):
        weighted = basis * weight[:, None]
        known = weighted.T @ basis + 1e-6 * np.eye(len(gain))
        gain = _solution(known, (weighted.T @ values).astype(np.float64))
        left = values - basis @ gain.astype(np.float32)
        spread = 1.48 * float(np.median(np.abs(left))) + 0.01
        weight = (1 / (1 + (left / (1.5 * spread)) ** 2) ** 2).astype(np.float32)
    return gain


def _solution(normal: FloatArray, right: FloatArray) -> FloatArray:
    return np.asarray(np.linalg.solve(normal, right), dtype=np.float64)


def _middle(tones: Sequence[_Picture]) -> _Picture:
    return np.asarray(np.median(np.stack(tones), axis=0), dtype=np.float32)


def _even_band(tones: list[_Picture], mask: NDArray[np.bool_]) -> None:
    """A tape shines from some sides: most of it looks alike in all photos."""
    if mask.sum() < 30:
        return
    middle = _middle([t[mask] for t in tones])
    for tone in tones:
        tone[mask] -= np.median(tone[mask] - middle, axis=0)


def _mask(band: Band, shape: tuple[int, ...], origin: FloatArray, mm: float) -> NDArray[np.bool_]:
    mask = np.zeros(shape, np.uint8)
    at = np.round((band.ring - origin) / mm * 16).astype(np.int32)
    cv2.polylines(mask, [at], True, 1, max(1, round((band.width + 1) / mm)), cv2.LINE_8, 4)
    return mask > 0


def _apart(one: _Picture, other: _Picture) -> _Picture:
    """How far each pixel's colour is from all that the other picture shows within a pixel of it, whichever is more."""
    kernel = np.ones((3, 3), np.uint8)

    def beyond(a: _Picture, b: _Picture) -> _Picture:
        off = np.maximum(a - cv2.dilate(b, kernel), cv2.erode(b, kernel) - a)
        return np.asarray(np.maximum(off, 0).max(axis=-1), dtype=np.float32)

    return np.maximum(beyond(one, other), beyond(other, one))


def _scaled(apart: _Picture, compared: NDArray[np.bool_]) -> _Picture:
    grain = float(np.median(apart[compared])) if compared.any() else 0.0
    return np.asarray((apart / (2 * max(LEAST_CONTRAST, GRAINS * grain))).clip(0, 1) * compared, dtype=np.float32)


def _reduced(picture: NDArray[np.uint8], by: int) -> NDArray[np.uint8]:
    height, width = (n // by * by for n in picture.shape[:2])
    size = (width // by, height // by)
    return np.asarray(cv2.resize(picture[:height, :width], size, interpolation=cv2.INTER_AREA), dtype=np.uint8)


def _halved(picture: _Picture) -> _Picture:
    height, width = (n // 2 for n in picture.shape)
    return np.asarray(cv2.resize(picture[: 2 * height, : 2 * width], (width, height), interpolation=cv2.INTER_AREA))

"""Damage in a JPEG's quantisation tables, which a decoder cannot see: one frequency comes out many times too strong.

A table's values change little from one frequency to the next, and so does the strength of the frequencies in a photo.
Where one value stands out from those around it, and its frequency stands out the same way, the value is wrong (ITU-T
T.81, A.3.4: every coefficient is multiplied by its table's value).
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.edges import FloatArray

ODD = float(np.log(2.5))
"""How far a value may be off its neighbours' median, as a logarithm; cameras' and programs' stay below 0.7, or are
lower and their frequency is not.
"""
FOLLOWS = 0.5
"""Share of it by which the frequency must be off its own neighbours."""
LONGEST, ALONG_ONE, BOTH, MEANS = 1.0, 0.7, -0.45, 3.4
"""Usual strength, as a logarithm over that of its neighbours, of the two lowest frequencies, of others along one axis
only, and of the lowest along both; and the spread of the blocks' means over the strength of the two lowest.
"""
FAINT = 0.3
"""Strength of a frequency, in grey levels of a coefficient, below which it changes nothing that is measured."""
EVERY = 4
"""Every so many rows of blocks are looked at."""


@dataclass(frozen=True, eq=False)
class Component:
    """One colour of a JPEG: its table (8, 8) by frequency up and along, how coarsely it is kept along and up."""

    table: FloatArray
    along: int
    up: int


def tables_are_damaged(bgr: NDArray[np.uint8], components: tuple[Component, ...]) -> bool:
    """Whether a value of a table is wrong; bgr (h, w, 3) is the picture as stored, components are its Y, Cb and Cr."""
    return any(_is_damaged(bgr, number, component) for number, component in enumerate(components))


def _is_damaged(bgr: NDArray[np.uint8], number: int, component: Component) -> bool:
    off = _off_neighbours(np.log(np.maximum(component.table, 1.0)))
    odd = np.abs(off) >= ODD
    if not odd.any():
        return False
    strength, means = _strength(_plane(bgr, number, component))
    seen = _off_neighbours(np.log(strength + 1e-3))
    seen[0, 0] = np.log((means + 1e-3) / (strength[0, 1] + strength[1, 0] + 1e-3) * 2)
    follows = np.sign(off) * (seen - _USUAL) >= FOLLOWS * np.abs(off)
    follows[0, 0] |= off[0, 0] > 0  # no encoder keeps the means more coarsely than what is next to them
    return bool((odd & follows & ((strength > FAINT) | (off < 0))).any())


def _off_neighbours(values: FloatArray) -> FloatArray:
    """Every value (8, 8) less the median of those around it, where the first, of the means, is none."""
    framed = np.pad(values, 1, constant_values=np.nan)
    framed[1, 1] = np.nan
    around = [framed[1 + i : 9 + i, 1 + j : 9 + j] for i in (-1, 0, 1) for j in (-1, 0, 1) if i or j]
    return np.asarray(values - np.nanmedian(around, axis=0))


def _plane(bgr: NDArray[np.uint8], number: int, component: Component) -> NDArray[np.uint8]:
    """Some rows of blocks of one colour (n, w), as coarsely as it is kept."""
    height, width = 8 * component.up, 8 * component.along
    rows = bgr[: len(bgr) // height * height].reshape(-1, height, *bgr.shape[1:])[::EVERY]
    used = np.ascontiguousarray(rows[:, :, : bgr.shape[1] // width * width]).reshape(
        -1, rows.shape[2] // width * width, 3
    )
    plane = cv2.cvtColor(used, cv2.COLOR_BGR2YCrCb)[..., (0, 2, 1)[number]]
    size = (plane.shape[1] // component.along, plane.shape[0] // component.up)
    return np.asarray(cv2.resize(plane, size, interpolation=cv2.INTER_AREA), dtype=np.uint8)


def _strength(plane: NDArray[np.uint8]) -> tuple[FloatArray, float]:
    """Mean size of every frequency (8, 8) over the blocks of a plane (h, w), and the spread of their means."""
    height, width = plane.shape
    blocks = plane.reshape(height // 8, 8, width // 8, 8).transpose(0, 2, 1, 3).astype(np.float32)
    waves = _WAVES.astype(np.float32)
    found = np.einsum("ui,nmij,vj->nmuv", waves, blocks, waves, optimize=True)
    return np.abs(found).mean(axis=(0, 1), dtype=np.float64), float(found[..., 0, 0].std())


def _waves() -> FloatArray:
    """The discrete cosine transform of eight samples (8, 8), orthonormal."""
    at = np.arange(8)
    waves = np.sqrt(2 / 8) * np.cos((2 * at + 1) * at[:, None] * np.pi / 16)
    waves[0] /= np.sqrt(2)
    return np.asarray(waves)


def _usual() -> FloatArray:
    """The usual strength (8, 8) of every frequency over that of its neighbours, as a logarithm."""
    usual = np.zeros((8, 8))
    usual[0], usual[:, 0] = ALONG_ONE, ALONG_ONE
    usual[0, 1], usual[1, 0], usual[1, 1], usual[0, 0] = LONGEST, LONGEST, BOTH, MEANS
    return usual


_WAVES, _USUAL = _waves(), _usual()

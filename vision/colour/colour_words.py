"""What colour words mean, against the card's white in the same photo.

Lightness, chroma and hue are CIELAB's (CIE 15), of the colour divided by the card's white in linear light.  The eleven
words are English's basic ones (Berlin and Kay 1969); their regions are wide and overlap, as people's do.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.edges import FloatArray

PALER, LIGHT, TURN = 0.5, 12.0, 10.0
"""By what factor chroma, and by how much lightness and hue may differ where a line is thin."""


@dataclass(frozen=True)
class Region:
    """Ranges of lightness (0 to 100), chroma and hue (degrees; from above to: across 0)."""

    light: tuple[float, float]
    chroma: tuple[float, float]
    hue: tuple[float, float] = (0.0, 360.0)

    def holds(self, light: FloatArray, chroma: FloatArray, hue: FloatArray) -> NDArray[np.bool_]:
        """Whether colours (n,) lie in it."""
        low, high = self.hue
        turned = (hue >= low) & (hue <= high) if low <= high else (hue >= low) | (hue <= high)
        return np.asarray(
            (light >= self.light[0]) & (light <= self.light[1])
            & (chroma >= self.chroma[0]) & (chroma <= self.chroma[1]) & turned
        )  # fmt: skip

    def loose(self) -> Region:
        """A wider one, for what hangs together with places in this one: thin lines mix with what is beside them."""
        paler = (self.chroma[0] * PALER, self.chroma[1] * (1.0 if self.chroma[0] else 1.5))
        light = (self.light[0] - LIGHT, self.light[1] + LIGHT)
        if self.hue == (0.0, 360.0):
            return Region(light, paler)
        return Region(light, paler, ((self.hue[0] - TURN) % 360, (self.hue[1] + TURN) % 360))


COLOUR_WORDS: dict[str, Region] = {
    "black": Region((0, 36), (0, 14)),
    "white": Region((70, 130), (0, 14)),
    "grey": Region((30, 78), (0, 12)),
    "red": Region((12, 68), (24, 140), (350, 48)),
    "orange": Region((35, 90), (30, 140), (40, 76)),
    "yellow": Region((45, 110), (36, 140), (76, 112)),
    "green": Region((12, 95), (14, 140), (106, 205)),
    "blue": Region((8, 85), (14, 140), (205, 312)),
    "purple": Region((8, 75), (16, 140), (296, 345)),
    "pink": Region((45, 105), (16, 140), (325, 40)),
    "brown": Region((8, 60), (10, 60), (25, 90)),
}


def fits_word(tones: NDArray[np.float32], word: str) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Which colours (n, 3), log ratios and log lightness against the card's white, the word names, and which it may
    name where a line is thin.
    """
    seen, region = _lightness_chroma_hue(tones), COLOUR_WORDS[word]
    return region.holds(*seen), region.loose().holds(*seen)


def _lightness_chroma_hue(tones: NDArray[np.float32]) -> tuple[FloatArray, FloatArray, FloatArray]:
    green = tones[:, 2] - (tones[:, 0] + tones[:, 1]) / 3
    share = np.exp(np.column_stack([green + tones[:, 0], green, green + tones[:, 1]])).astype(np.float32)
    lab = cv2.cvtColor(share[None], cv2.COLOR_LRGB2Lab)[0].astype(np.float64)
    return lab[:, 0], np.hypot(lab[:, 1], lab[:, 2]), np.rad2deg(np.arctan2(lab[:, 2], lab[:, 1])) % 360

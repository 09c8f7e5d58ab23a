"""Which tapes look alike in a photo's light, and which look like what they are stuck on.

Colours are compared as measuring compares them: by the log ratios of linear light, and less by lightness, which shade
and a lamp at one side change most.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.card.colours import Swatch, TapeColours, log_colour
from calib.edges import FloatArray

RATIO, LIGHT = 0.16, 0.7
"""Spread of one tape's log colour ratios, and of its log lightness, over a board."""
NOISE = 0.006
"""Spread of a channel's linear light by noise and glare, which makes dark colours uncertain."""
TOO_NEAR = 2.4
"""Spreads between two colours below which a board's light may make the one look like the other."""
SAME = 0.5
"""The same of a tape and a board that hardly differ, though its outline is found."""
EVEN_LIGHT = 0.28
"""Log lightness by which tapes in the same light differ for sure."""
KINDS, SHARE = 5, 0.15
"""Colours that a board is taken apart into, and the share of it from which on one of them counts."""
MOST_PIXELS = 6000


def alike(colours: TapeColours) -> tuple[tuple[int, int], ...]:
    """Pairs of boxes whose tapes look alike."""
    return tuple(
        (one.number, other.number)
        for one, other in combinations(colours.swatches, 2)
        if _swatches_apart(one, other, colours) < TOO_NEAR
    )


def differs_in_light(one: int, other: int, colours: TapeColours, least: float = EVEN_LIGHT) -> bool:
    """Whether the tapes of two boxes, which look alike in some light, are told from each other where it is even.

    least: in log lightness, what tells them from each other.
    """
    known = [colours.of(number) for number in (one, other)]
    lights = [s.tones[:, 2] for s in known if s is not None]
    return len(lights) == 2 and float(np.abs(lights[0][:, None] - lights[1][None]).min()) > least


def like_ground(colours: TapeColours, ground: NDArray[np.uint8], within: float = TOO_NEAR) -> tuple[int, ...]:
    """Boxes whose tape looks like some broad colour of the ground, bgr pixels (n, 3); within: in spreads."""
    broad = broad_colours(ground)
    if not len(broad):
        return ()
    return tuple(s.number for s in colours.swatches if _apart(_absolute(s, colours), broad) < within)


def broad_colours(ground: NDArray[np.uint8]) -> FloatArray:
    """Log colours (n, 3) that each cover much of the ground, bgr pixels (m, 3)."""
    if len(ground) < KINDS:
        return np.zeros((0, 3))
    few = ground[:: max(1, len(ground) // MOST_PIXELS)]
    tones = log_colour(few).astype(np.float32)
    cv2.setRNGSeed(1)
    criteria = (cv2.TERM_CRITERIA_EPS | cv2.TERM_CRITERIA_MAX_ITER, 20, 0.01)
    _, labels, _ = cv2.kmeans(tones, KINDS, np.empty(0, np.int32), criteria, 2, cv2.KMEANS_PP_CENTERS)
    groups = [tones[labels.ravel() == kind] for kind in range(KINDS)]
    return np.array([np.median(g, axis=0) for g in groups if len(g) >= SHARE * len(tones)]).reshape(-1, 3)


def _absolute(swatch: Swatch, colours: TapeColours) -> FloatArray:
    """A swatch's tones (n, 3) as the photo shows them where the light is the white's."""
    return np.asarray(swatch.tones + np.array([0.0, 0.0, colours.white[2]]))


def _apart(ones: FloatArray, others: Sequence[FloatArray] | FloatArray) -> float:
    """The least distance in spreads between tones (n, 3) and (m, 3)."""
    return min(apart(np.asarray(one), np.asarray(other)) for one in ones for other in others)


def _swatches_apart(one: Swatch, other: Swatch, colours: TapeColours) -> float:
    """How far two tapes' tones are apart, in spreads: a pattern is like another one of the same two colours alone."""
    ones, others = (_absolute(swatch, colours) for swatch in (one, other))
    if one.patterned != other.patterned:
        return float("inf")
    if not one.patterned:
        return _apart(ones, others)
    return min(max(_apart(ones[[i]], turned[[i]]) for i in (0, 1)) for turned in (others, others[::-1]))


def apart(one: FloatArray, other: FloatArray) -> float:
    """How far two tones, each (3,) log ratios and log lightness, are apart, in spreads."""
    darker = one if one[2] < other[2] else other
    green = darker[2] - (darker[0] + darker[1]) / 3
    weakest = np.exp(min(green, green + darker[0], green + darker[1]))
    ratio = np.hypot(RATIO, NOISE / weakest)
    return float(np.sqrt(np.sum(((one[:2] - other[:2]) / ratio) ** 2) + ((one[2] - other[2]) / LIGHT) ** 2))

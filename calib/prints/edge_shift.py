"""How far a photo shifts every edge towards the ink.

A phone blurs light before its tone curve, so the half-way brightness of an edge lies inside the dark side: dark shapes
look a few tenths of a pixel too small on every side, white cells in a black tag too large.  A tag has edges of both
polarities at known places, so the shift can be told from its size.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from calib.edges import FloatArray
from calib.prints.tags import TagSquare

INK, PAPER = 40.0, 225.0
"""Grey levels of a printed tag in a usual exposure; other exposures change the shift of other edges little."""
TYPICAL_BETWEEN, BETWEEN_PLACES = 0.12, 4.0
"""Standard deviation of the shift between places of one photo, px: 0.07 to 0.23 in real photos (a Pixel 7 Pro, an
iPhone 13 Pro; screens and prints), and the number of tags that this knowledge is worth.
"""
TYPICAL_LINE = 0.03
"""Least standard uncertainty of one straight edge that averaging along it does not remove, px (rendered tags)."""
UNKNOWN = 0.25
"""Shift, and its standard uncertainty, of a photo that shows no usable tag (common practice, no source)."""


@dataclass(frozen=True)
class EdgeShift:
    """Shift of the photo's edges towards the ink, px, and its standard uncertainty.

    between: standard deviation of the shift from place to place; line: standard uncertainty of one straight edge,
    beyond its shift, that averaging along it does not remove.
    """

    value: float
    u: float
    between: float = TYPICAL_BETWEEN
    line: float = TYPICAL_LINE


def edge_shift(grey: NDArray[np.uint8], squares: Sequence[TagSquare]) -> EdgeShift:
    """The mean over all tags, how much it differs between them, and how much single lines do within them.

    Each tag's shift is known to its own uncertainty; what they scatter beyond it is the variance between places
    (DerSimonian and Laird 1986), to which the usual variance is added as so many more tags.
    """
    cells = [s.cells for s in squares if s.cells is not None]
    if not cells:
        return EdgeShift(UNKNOWN, UNKNOWN)
    values, own = np.array([c.shift for c in cells]), np.array([c.shift_u for c in cells])
    between = float(np.sqrt(_variance_between(values, own)))
    weight = 1 / (own**2 + between**2)
    mean = float(weight @ values / weight.sum())
    line = float(np.sqrt(np.mean([c.line_scatter**2 for c in cells])))
    return EdgeShift(mean, float(1 / np.sqrt(weight.sum())), between, max(line, TYPICAL_LINE))


def _variance_between(values: FloatArray, own: FloatArray) -> float:
    count = len(values)
    weight = 1 / own**2
    mean = weight @ values / weight.sum()
    excess = float(weight @ (values - mean) ** 2) - (count - 1)
    found = max(0.0, excess / float(weight.sum() - (weight**2).sum() / weight.sum())) if count > 1 else 0.0
    return ((count - 1) * found + BETWEEN_PLACES * TYPICAL_BETWEEN**2) / (count - 1 + BETWEEN_PLACES)


def shift_between(shift: EdgeShift, one: float, other: float) -> float:
    """How far an edge between two grey levels (0 to 255) is shifted towards the darker one, px.

    Blur in linear light puts the half-way brightness of an edge where its share of light is that of the half-way level;
    how far that is depends on the levels (IEC 61966-2-1), and ink on paper shows the blur's width.
    """
    ink = _off_half(INK, PAPER)
    return shift.value * _off_half(min(one, other), max(one, other)) / ink


def _off_half(dark: float, bright: float) -> float:
    """Where an edge blurred in linear light passes its half-way level, in standard deviations of the blur."""
    low, middle, high = (_linear(v) for v in (dark, (dark + bright) / 2, bright))
    return -NormalDist().inv_cdf((middle - low) / (high - low)) if bright - dark > 1 else 0.0


def _linear(level: float) -> float:
    value = level / 255
    return value / 12.92 if value <= 0.04045 else float(((value + 0.055) / 1.055) ** 2.4)

"""Percentiles of a picture's bytes, counted band by band: a picture of 60 megapixels is not copied for them."""

from __future__ import annotations

from collections.abc import Callable
from math import ceil, floor

import numpy as np

_BAND = 256
"""Lines that are looked at together."""


def percentile_of_bytes(band: Callable[[slice], object], rows: int, percent: float) -> float:
    """As numpy.percentile of the bytes (n, ...) that `band` gives of a slice of all rows; at least one row."""
    counts = np.zeros(256, np.int64)
    for first in range(0, rows, _BAND):
        values = np.asarray(band(slice(first, min(first + _BAND, rows))), dtype=np.uint8)
        counts += np.bincount(values.ravel(), minlength=256)
    upto = np.cumsum(counts)
    at = percent / 100 * (float(upto[-1]) - 1)
    below, above = (int(np.searchsorted(upto, whole, side="right")) for whole in (floor(at), ceil(at)))
    return below + (above - below) * (at - floor(at))

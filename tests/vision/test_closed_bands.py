"""A closed band of tape, as the polygon of the strips that make it up."""

from __future__ import annotations

from types import SimpleNamespace
from typing import cast

import numpy as np

from vision.find.closed_bands import straight_sided
from vision.find.closing import Candidate
from vision.find.strips import Strip
from vision.find.tape_mask import TapeMask


def test_strips_that_never_meet_make_no_polygon() -> None:
    """Three that run side by side have no corner at all."""
    band = Candidate(np.array([[0.0, 0.0], [120.0, 0.0], [120.0, 30.0], [0.0, 30.0]]), 1.0)
    along = np.array([1.0, 0.0])
    strips = [Strip(np.array([0.0, y]), along, 0.0, 120.0) for y in (0.0, 2.0, 30.0)]
    assert straight_sided(band, strips, 12.0, cast(TapeMask, SimpleNamespace(paper=None))) is None

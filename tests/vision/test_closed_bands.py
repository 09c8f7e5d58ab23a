"""A closed band of tape, as the polygon of the strips that make it up."""

from __future__ import annotations

from types import SimpleNamespace
from typing import cast

import numpy as np

from vision.find.closed_bands import straight_sided
from vision.find.closing import Candidate
from vision.find.strips import Strip
from vision.find.tape_mask import TapeMask


def test_sides_that_do_not_all_meet_make_no_polygon() -> None:
    """Of three sides two are parallel, as where something hides the fourth: two corners are no polygon."""
    band = Candidate(np.array([[0.0, 0.0], [120.0, 0.0], [120.0, 60.0], [0.0, 60.0]]), 1.0)
    along, up = np.array([1.0, 0.0]), np.array([0.0, 1.0])
    strips = [
        Strip(np.array([0.0, 0.0]), along, 0.0, 120.0),
        Strip(np.array([120.0, 0.0]), up, 0.0, 60.0),
        Strip(np.array([0.0, 60.0]), along, 0.0, 120.0),
    ]
    assert straight_sided(band, strips, 12.0, cast(TapeMask, SimpleNamespace(paper=None))) is None

"""A plat, a photo and notes drawn for the tests: no file, no vision."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from measure.plat.plat import Plat
from tapeplat.wording.notes import GapMark, Notes, OverlapMark, PieceNote, RuleNote, ScaleNote, ZoneMark
from tests.helpers.made.drawn_plats import DEPTH, WIDTH, corrected, ellipse, piece


@pytest.fixture
def plat() -> Plat:
    """A leaning quadrilateral with two sides partly inferred, an L, a pond, a ring with a hole, a keep-clear box."""
    hole = [[70, 180], [72, 235], [130, 230], [125, 185]]
    pieces = (
        piece("library", [[20, 22], [130, 18], [126, 101], [24, 96]], inferred=[(0, 0.5, 1.0), (1, 0.0, 0.4)]),
        piece("stables", [[160, 20], [215, 20], [215, 60], [260, 60], [260, 105], [160, 105]]),
        piece("lake", ellipse(320, 70, 42, 50), curved=True),
        piece("market", [[30, 140], [180, 150], [170, 280], [25, 270]], [hole]),
        piece("crusher", [[220, 150], [330, 160], [320, 270], [230, 260]]),
    )
    return Plat(WIDTH, DEPTH, pieces, (), "tiles")


@pytest.fixture
def picture() -> SimpleNamespace:
    return corrected()


@pytest.fixture
def notes(plat: Plat) -> Notes:
    pieces = tuple(PieceNote(p.zone, p.zone, "12.5 sq in", keep_clear=p.zone == "crusher") for p in plat.pieces)
    overlap = np.array([[150.0, 200.0], [170, 200], [170, 230], [150, 230]])
    gap = GapMark(((128, 60), (160, 60)), "1.26 in")
    rules = (
        RuleNote(1, "library covers at most 1/5 of the parcel", "met", "8.1 %; at most 20 %"),
        RuleNote(2, "stables are at least 4 in from library", "not met", "1.26 in", (gap,)),
        RuleNote(3, "nothing overlaps crusher", "not met", "0.8 in", (OverlapMark(((overlap,),), "overlap"),)),
        RuleNote(4, "lake covers at least 9 sq in", "too close to call", "12 sq in", (ZoneMark("lake", "too small?"),)),
        RuleNote(5, "market covers less than lake", "not measured", "no lake in the photo"),
        RuleNote(6, "by eye: every street can be walked from end to end", "by eye"),
    )
    return Notes("Quarry Lake Village", pieces, rules, ScaleNote(50.8, "2 in"), ("A remark.",))

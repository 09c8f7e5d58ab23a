"""Drawn scenes of which an outline once came out wrong or was missed: right now or not measured, never wrong."""

from __future__ import annotations

import numpy as np
import pytest

from tests.helpers.scenes.laying import pond
from tests.helpers.scenes.model import Patch, Tape
from tests.helpers.scenes.small import BLUE, scene_of, traced
from tests.helpers.scenes.tally import tried

TRAPS = {
    "a lake of the tape's colour in a narrow arm": (7111, "steep"),
    "a notch whose hidden leg leaves no strip": (7108, "crossed"),
    "plain tape": (7012, ""),
    "a neighbour's strip behind a block": (3016, "lent"),
    "a pond that fills an arm of its tape's colour": (5315, "crossed"),
    "another tape over the short side of a hexagon": (125028, "crossed"),
    "a card over the strip that two zones share, a cable over a tile": (8105, "crossed"),
}
SEEN = {
    "a shadow in a box is no second colour of its tape: black tape was taken for it": (92013, "shared"),
    "ends laid on at a slant are no bow": (8207, ""),
    "a pond between two legs is no bow": (8302, "lent"),
    "a zone tile on a pond of the tape's colour, and a block on the strip that two zones share": (8801, "shared"),
    "ponds of its colour on both sides of a strip that two zones share": (8119, "crossed"),
    "a pond that touches a neighbour's strip": (8606, "corner"),
    "short strips that end before a neighbour's broad one": (8313, "lent"),
    "a zone tile that is small and dim": (8600, "corner"),
    "plain tape of which a neighbour's strip covers corners": (8805, "shared"),
    "a block on the corner of a zone that shares a strip of its own tape": (92005, "shared"),
    "blocks of the tape's colour and width beside an outline": (127023, "shared"),
}
"""All of these show."""
BEYOND = 4.5
"""Standard uncertainties."""


@pytest.mark.parametrize("trap", [*TRAPS, *SEEN])
def test_never_wrong(trap: str) -> None:
    seed, kind = (TRAPS | SEEN)[trap]
    tally = tried([seed], more=(kind,) if kind else ())
    assert (tally.extra, tally.refused, tally.crashed) == (0, 0, 0)
    assert tally.scores
    assert not tally.missed or trap not in SEEN
    assert all(abs(score.z) < BEYOND for score in tally.scores), tally.wrong


def test_a_pond_between_a_strips_end_and_the_side_opposite_it_parts_no_zone() -> None:
    """An L's tape seems to close twice: with the pond's two areas, or without it one.  It was measured as the two."""
    ring = np.array([[40.0, 40], [110, 40], [110, 105], [250, 105], [250, 200], [40, 200]])
    lake = pond(np.array([75.0, 105.0]), np.array([24.0, 14.0]), np.random.default_rng(3))
    result = traced(scene_of([ring], [Tape(BLUE, 24.0)], patches=(Patch(lake, BLUE, over=True),)))
    assert (result.pieces, result.unread) == ((), ("library",))
    assert ("closes-in-two-ways", "library") in {(r.code, r.zone) for r in result.remarks}

"""Drawn scenes of which an outline once came out wrong: each is right now, or not measured, never wrong."""

from __future__ import annotations

import pytest

from tests.helpers.scenes.tally import tried

TRAPS = {
    "a lake of the tape's colour in a narrow arm": (7111, "steep"),
    "a notch whose hidden leg leaves no strip": (7108, "crossed"),
    "plain tape": (7012, ""),
    "a neighbour's strip behind a block": (3016, "lent"),
    "a pond that fills an arm of its tape's colour": (5315, "crossed"),
    "a card over the strip that two zones share, a cable over a tile": (8105, "crossed"),
    "ends laid on at a slant are no bow": (8207, ""),
    "a pond between two legs is no bow": (8302, "lent"),
    "a zone tile on a pond of the tape's colour": (8801, "shared"),
}
STRAIGHT = ("ends laid on at a slant are no bow", "a pond between two legs is no bow")
"""All of these show."""
BEYOND = 4.5
"""Standard uncertainties."""


@pytest.mark.parametrize("trap", TRAPS)
def test_never_wrong(trap: str) -> None:
    seed, kind = TRAPS[trap]
    tally = tried([seed], more=(kind,) if kind else ())
    assert (tally.extra, tally.refused, tally.crashed) == (0, 0, 0)
    assert tally.scores
    assert not tally.missed or trap not in STRAIGHT
    assert all(abs(score.z) < BEYOND for score in tally.scores), tally.wrong

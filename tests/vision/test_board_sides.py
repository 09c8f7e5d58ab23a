"""What is taken for the board's sides: neither the card's edge beside them nor the first line that lies near."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.helpers.scenes.files import photo_of, photo_setup_of, tapes_of
from tests.helpers.scenes.model import Print, Scene, Surface
from tests.helpers.scenes.village import DEPTH, village
from vision.tracing import trace


def with_card_along_the_top(away: float) -> Scene:
    """Brown cardboard on a grey table; the card lies on it, so far from its top edge, and the library has made room."""
    scene = village(tiles=False)
    return replace(
        scene,
        prints=(Print(0, "card", (60.0, away), 0.004, height=0.1),),
        board=Surface((165, 130, 95), "noise", 0.03),
        table=Surface((170, 176, 180), "noise", 0.03),
        offcuts=(),
        zones=scene.zones[1:],
        pieces=scene.pieces[1:],
        strips=tuple(strip for strip in scene.strips if strip.tape != 1),
    )


@pytest.mark.parametrize("away", [2.2, 4.0])
def test_the_cards_edge_is_no_side_of_the_board(away: float) -> None:
    """It was, as the innermost line: the board came out 1 to 3.5 mm too small."""
    scene = with_card_along_the_top(away)
    traced = trace(photo_of(scene), photo_setup_of(scene), tapes_of(scene))
    assert traced.frame == "board"
    assert traced.plane.value("parcel depth") == pytest.approx(DEPTH, abs=0.4)
    assert all(remark.code != "parcel-size-differs" for remark in traced.remarks)

"""Tape of two colours, one of which other tapes have, too."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.helpers.scenes.files import photo_of, photo_setup_of, tapes_of
from tests.helpers.scenes.model import Scene, Surface, Tape
from tests.helpers.scenes.scoring import compare
from tests.helpers.scenes.village import village
from vision.tracing import trace

WHITE, RED, BLACK = (238, 238, 234), (205, 40, 45), (32, 32, 34)


def on_wood(**tapes: Tape) -> Scene:
    """The village on brown board, with these tapes (library=, stables=, meadow=) and a dotted card."""
    scene = village()
    prints = tuple(replace(p, dotted=True) if p.kind == "card" else p for p in scene.prints)
    own = {n: replace(tapes[name], width=scene.tapes[n].width) for n, name in enumerate(tapes, start=1)}
    return replace(scene, prints=prints, tapes={**scene.tapes, **own}, board=Surface((196, 158, 112), "noise", 0.03))


@pytest.mark.parametrize("stripe", [3.0, 6.0])
def test_two_striped_tapes_and_a_white_one_share_white(stripe: float) -> None:
    """White stripes were the white tape's, the other ones bits of tape: both were "not closed"."""
    scene = on_wood(
        library=Tape(RED, 0.0, WHITE, stripe), stables=Tape(BLACK, 0.0, WHITE, stripe), meadow=Tape(WHITE, 0.0)
    )
    found = compare(scene, trace(photo_of(scene), photo_setup_of(scene), tapes_of(scene)))
    assert (found.missed, found.extra) == ((), ())
    assert max(abs(score.error) for score in found.scores) < 0.01
    assert max(abs(score.z) for score in found.scores) < 3.0

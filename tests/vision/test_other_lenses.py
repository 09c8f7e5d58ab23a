"""Boards whose edges a lens bends otherwise than most phones': they are found, and the lens with them."""

from __future__ import annotations

import numpy as np
import pytest

from tests.benchmarks.class_lens import with_lens
from tests.helpers.scenes.draw import draw
from tests.helpers.scenes.files import encoded, photo_setup_of, tapes_of
from tests.helpers.scenes.random_scene import random_scene
from tests.helpers.scenes.scoring import compare
from vision.picture.photo import photo_from_bytes
from vision.tracing import trace

BARREL = (-0.045, 0.008, 0.0)
"""The corners are drawn inwards by 3.7 %."""


@pytest.mark.parametrize("seed", [6, 11])
def test_a_board_is_found_whose_sides_are_bent_as_by_a_barrel(seed: int) -> None:
    """The card lies far away on the table and tells hardly anything of the lens: areas were up to 5 % off."""
    scene = with_lens(random_scene(seed, place="table", troubles=()), BARREL)
    photo = photo_from_bytes(encoded(draw(scene), quality=scene.film.quality), "barrel.jpg")
    traced = trace(photo, photo_setup_of(scene), tapes_of(scene))
    scores = compare(scene, traced).scores
    assert traced.frame == "board"
    assert len(scores) >= 2
    assert np.abs([s.error for s in scores]).max() < 0.003
    assert max(s.u for s in scores) < 0.003

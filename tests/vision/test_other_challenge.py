"""A photo and the challenge of another model: refused where no honest model could look so, and only there."""

from __future__ import annotations

from dataclasses import replace

import pytest

from calib.photo_refused import PhotoRefused
from calib.photo_setup import PhotoSetup
from tests.helpers.scenes.draw import draw
from tests.helpers.scenes.files import encoded, photo_setup_of, tapes_of
from tests.helpers.scenes.model import Print, Scene
from tests.helpers.scenes.village import DEPTH, WIDTH, village
from vision.picture.photo import photo_from_bytes
from vision.picture.traced import TapeSpec
from vision.tracing import trace

OTHER_TAPES = (TapeSpec("orchard", 1), TapeSpec("market", 4), TapeSpec("lake", 5))


def reason(scene: Scene, size: tuple[float, float], tapes: tuple[TapeSpec, ...]) -> str:
    """Why the village's photo is refused as a model of this challenge; empty where it is measured."""
    setup: PhotoSetup = replace(photo_setup_of(scene), width=size[0], depth=size[1])
    try:
        trace(photo_from_bytes(encoded(draw(scene)), "photo.jpg"), setup, tapes)
    except PhotoRefused as refused:
        return refused.reason
    return ""


@pytest.mark.parametrize("tiles", [True, False])
@pytest.mark.parametrize(
    "size", [(WIDTH * 1.1, DEPTH), (WIDTH * 0.9, DEPTH * 0.9), (406.4, 406.4), (DEPTH, WIDTH * 1.3)]
)
def test_another_parcel_with_other_tapes(tiles: bool, size: tuple[float, float]) -> None:
    assert reason(village(tiles=tiles), size, OTHER_TAPES) == "other-challenge"


def test_a_zone_tile_of_another_challenge_with_other_tapes() -> None:
    scene = village()
    scene = replace(scene, prints=(*scene.prints, Print(55, "zone", (75.0, 62.0))))
    assert reason(scene, (WIDTH, DEPTH), OTHER_TAPES) == "other-challenge"
    assert reason(scene, (WIDTH, DEPTH), tapes_of(scene)) == ""


def test_other_tapes_alone_or_a_missing_zone_are_no_other_challenge() -> None:
    scene = village()
    one_missing = tuple(t for t in tapes_of(scene) if t.zone != "meadow")
    assert reason(scene, (WIDTH, DEPTH), one_missing) == ""
    assert reason(scene, (WIDTH, DEPTH), (*tapes_of(scene), TapeSpec("orchard", 5))) == ""


@pytest.mark.parametrize("tiles", [True, False])
def test_a_board_cut_a_little_wrong_is_measured(tiles: bool) -> None:
    scene = village(tiles=tiles)
    assert reason(scene, (WIDTH + 1.5, DEPTH - 1.5), (*tapes_of(scene), TapeSpec("orchard", 5))) == ""


def test_another_parcel_with_the_same_tapes_is_told_as_such() -> None:
    scene = village()
    assert reason(scene, (WIDTH * 1.3, DEPTH * 0.8), tapes_of(scene)) == "other-model"

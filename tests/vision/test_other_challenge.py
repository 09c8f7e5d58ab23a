"""A photo and the challenge of another model: refused where no honest model could look so, and only there."""

from __future__ import annotations

from dataclasses import replace

import pytest

from calib.photo_refused import PhotoRefused
from calib.photo_setup import PhotoSetup
from tests.helpers.scenes.draw import draw
from tests.helpers.scenes.files import encoded, photo_of, photo_setup_of, tapes_of
from tests.helpers.scenes.model import Print, Scene
from tests.helpers.scenes.scoring import compare
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


@pytest.mark.parametrize(
    ("off", "line"),
    [
        ((1.1, 1.1), (None, None)), ((0.92, 0.92), (100.0, 80.0)), ((1.08, 1.0), (None, None)),
        ((1.03, 1.03), (100.0, 80.0)), ((1.03, 1.03), (None, None)),
    ],
)  # fmt: skip
def test_a_parcel_that_is_stated_wrong_pulls_no_area_off(
    off: tuple[float, float], line: tuple[float | None, float | None]
) -> None:
    """Lengths come from the card, or the uncertainty carries that print or parcel may be what is off."""
    scene = village()
    setup = replace(photo_setup_of(scene), width=WIDTH * off[0], depth=DEPTH * off[1], printed_line=line)
    traced = trace(photo_of(scene), setup, tapes_of(scene))
    said = [dict(remark.facts) for remark in traced.remarks if remark.code == "parcel-size-differs"]
    assert said
    assert all(0.1 < facts["u95"] < 30.0 for facts in said)
    assert any(remark.code == "print-not-measured" for remark in traced.remarks) == (line == (None, None))
    scores = compare(scene, traced).scores
    assert len(scores) == len(scene.pieces)
    assert max(abs(score.z) for score in scores) < 2.0
    if line != (None, None) or off != (1.03, 1.03):
        assert max(abs(score.error) for score in scores) < 0.01


@pytest.mark.parametrize("scale", [0.94, 1.03])
def test_a_print_that_a_printer_scaled_and_nobody_measured_is_carried_by_the_uncertainty(scale: float) -> None:
    scene = village()
    prints = tuple(scaled(p, scale) for p in scene.prints)
    setup = replace(photo_setup_of(scene), printed_line=(None, None))
    traced = trace(photo_of(replace(scene, prints=prints)), setup, tapes_of(scene))
    scores = compare(scene, traced).scores
    assert max(abs(score.z) for score in scores) < 2.0
    assert any(remark.code == "print-not-measured" for remark in traced.remarks)


def scaled(print_: Print, by: float) -> Print:
    """A print as a printer scales it; a corner tile's outer corner stays where the parcel's is."""
    x, y = print_.place
    shrunk = 32 * (1 - by)
    at = (
        (x + (shrunk if x > WIDTH / 2 else 0), y + (shrunk if y > DEPTH / 2 else 0))
        if print_.kind == "corner"
        else (x, y)
    )
    return replace(print_, scale=(by, by), place=at)

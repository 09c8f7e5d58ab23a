"""How children tape and what stands about: drawn with exact truth, found whole, measured within the uncertainty."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from calib.photo_refused import PhotoRefused
from tests.helpers.scenes.draw import draw
from tests.helpers.scenes.files import encoded, exif, photo_of, photo_setup_of, tapes_of
from tests.helpers.scenes.laying import box, lay, pond
from tests.helpers.scenes.model import (
    Band,
    Block,
    Film,
    Light,
    Patch,
    Print,
    Shadow,
    Surface,
    Tape,
    Thread,
    TruePiece,
    Zone,
)
from tests.helpers.scenes.random_scene import random_scene
from tests.helpers.scenes.scoring import compare
from tests.helpers.scenes.small import BLACK, BLUE, GREEN, RED, check, scene_of, traced
from tests.helpers.scenes.view import looking
from vision.picture.photo import photo_from_bytes
from vision.tracing import trace

U = np.array([[40.0, 40], [130, 42], [128, 110], [200, 108], [200, 40], [290, 41], [288, 205], [42, 206]])


L = np.array([[40.0, 50], [160, 51], [158, 105], [290, 107], [288, 168], [40, 170]])
HEXAGON = np.array([[80.0, 50], [170, 52], [215, 120], [172, 190], [82, 192], [38, 122]])
CASES = {
    "yarn-thin tape": scene_of([box(45, 45, 220, 150)], [Tape(RED, 6.0)]),
    "tape of 50 mm": scene_of([box(55, 55, 210, 140)], [Tape(BLUE, 50.0)]),
    "triangle in wide tape": scene_of([np.array([[160.0, 40], [280, 200], [50, 205]])], [Tape(RED, 25.4)]),
    "hexagon": scene_of([HEXAGON], [Tape(GREEN, 15.0)]),
    "U": scene_of([U], [Tape((120, 50, 140), 19.0)]),
    "strips that stop short": scene_of([box(60, 60, 170, 120)], [Tape(GREEN, 19.0)], over=(-6.0, -1.0)),
    "overshoots": scene_of([box(60, 60, 170, 120)], [Tape(GREEN, 12.0)], over=(4.0, 14.0)),
    "abutting": scene_of(
        [box(50, 60, 80, 110), box(50 + 80 + 15.3, 60, 100, 110)], [Tape(RED, 12.0), Tape(BLUE, 18.0)], over=(-0.2, 0.2)
    ),
    "black tape, black table": scene_of(
        [box(60, 60, 170, 120)], [Tape(BLACK, 19.0)], table=Surface((38, 36, 36), "noise", 0.05)
    ),
    "black tape, black table, no tiles": scene_of(
        [box(60, 60, 170, 120)], [Tape(BLACK, 19.0)], tiles=False, table=Surface((38, 36, 36), "noise", 0.05)
    ),
    "green tape on green felt": scene_of(
        [box(60, 60, 170, 120)], [Tape((60, 190, 90), 15.0)], board=Surface((46, 108, 66), "felt", 0.10)
    ),
    "dark felt": scene_of([box(60, 60, 170, 120)], [Tape(BLUE, 15.0)], board=Surface((52, 52, 58), "felt", 0.10)),
    "wood and cardboard": scene_of(
        [HEXAGON], [Tape(GREEN, 12.0)], board=Surface((186, 148, 108), "paper", 0.05), tiles=False,
        table=Surface((84, 58, 40), "wood", 0.1), thickness=4.0,
    ),
    "warm and dim": scene_of(
        [HEXAGON], [Tape(BLUE, 12.0)], light=Light(0.25, (1.0, 0.78, 0.5), (0.3, -0.2)), film=Film(shot=0.011)
    ),
    "soft shadows across": scene_of(
        [U], [Tape(RED, 12.0)], light=Light(shadows=(Shadow(box(-50, 90, 600, 60), 0.4, 4.0),))
    ),
    "hard shadows across a hexagon": scene_of(
        [HEXAGON], [Tape((74, 189, 233), 19.0)], board=Surface((206, 184, 150), "paper", 0.06),
        light=Light(0.9, shadows=(Shadow(box(60, -60, 22, 400), 0.25, 1.0), Shadow(box(130, -60, 30, 400), 0.25, 1.0))),
    ),
    "narrow hole in a ring": replace(
        scene_of([box(45, 60, 240, 120), box(100, 104, 130, 32)], [Tape(GREEN, 15.0)] * 2),
        zones=(Zone("library", 1),), tapes={1: Tape(GREEN, 15.0)},
        pieces=(TruePiece("library", box(45, 60, 240, 120), (box(100, 104, 130, 32),)),),
        strips=tuple(
            s for r in (box(45, 60, 240, 120), box(100, 104, 130, 32))
            for s in lay(r, 1, 15.0, np.random.default_rng(6), over=(0.0, 2.0))
        ),
    ),
    "small triangle in wide tape, a block of its colour in it": scene_of(
        [np.array([[100.0, 200], [200, 199], [150, 113.5]])], [Tape(RED, 30.0)],
        blocks=(Block(box(144, 165, 12, 10), 10.0, RED, (140, 26, 28)),),
    ),
    "a lake of the tape's colour at a notch, a block across another side": scene_of(
        [L], [Tape(GREEN, 9.0)],
        patches=(Patch(pond(np.array([160.0, 135]), np.array([50.0, 30]), np.random.default_rng(2)), GREEN),),
        blocks=(Block(box(214, 150, 26, 26), 8.0, (70, 50, 110), (50, 36, 80)),),
    ),
    "soft picture": scene_of([HEXAGON], [Tape(RED, 12.0)], film=Film(blur=1.4)),
    "upside down and far aslant": scene_of(
        [HEXAGON], [Tape(RED, 12.0)],
        view=looking((1600, 1200), np.array([[-8.0, -8], [545, 258]]), tilt=32, azimuth=200, roll=180, fill=0.8),
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_a_scene(name: str) -> None:
    check(CASES[name])


def test_a_string_beside_a_notch_does_not_close_it() -> None:
    """The notch's side then shows only one of its edges; its mouth shows bare board and is no side."""
    string = Thread(np.array([[202.0, 20.0], [200, 60], [196, 100], [210, 220]]), 1.5, (150, 150, 200))
    result = check(scene_of([U], [Tape(BLACK, 9.0)], threads=(string,)), 0.01)
    assert len(result.pieces[0].ring.points) == 8


def test_a_lake_and_a_card_on_one_leg_of_a_notch() -> None:
    """Part of the leg has no edge of its own; the lake's border looks like a strip that leads nowhere."""
    purple = (120, 50, 140)
    lake = Patch(pond(np.array([96.0, 90.0]), np.array([26.0, 29.0]), np.random.default_rng(0)), purple)
    card = Patch(box(112, 62, 34, 26), (60, 200, 40), over=True)
    check(scene_of([U], [Tape(purple, 18.0)], patches=(lake, card)), 0.02)


def test_a_narrow_notch_with_a_hidden_leg_is_not_closed_at_its_mouth() -> None:
    """The other leg's tape starts at the mouth, so the outline goes on there: not measured rather than wrong."""
    ring = U.copy()
    ring[1:5, 0] = 145, 144, 175, 176
    card = Patch(box(118, 54, 50, 60), (60, 200, 40), over=True)
    result = traced(scene_of([ring], [Tape((120, 50, 140), 18.0)], patches=(card,)))
    assert (result.pieces, result.unread) == ((), ("library",))


def test_a_tower_on_an_outer_corner_does_not_close_the_notch() -> None:
    """Two sides are prolonged to the hidden corner; the two ends of the notch are not joined over bare board."""
    tower = Block(box(270, 188, 30, 30), 30.0, (150, 170, 60), (110, 120, 40))
    result = check(scene_of([U], [Tape((120, 50, 140), 19.0)], blocks=(tower,)), 0.02)
    assert len(result.pieces[0].ring.points) == 8
    assert 0.02 < result.pieces[0].bridged < 0.25


def test_one_strip_between_two_zones_of_one_tape() -> None:
    """Two outlines share their middle strip; zone tiles name them."""
    left, right = box(50, 60, 90, 120), box(140, 60, 120, 120)
    random = np.random.default_rng(3)
    strips = [*lay(left, 1, 12.0, random, over=(0, 2)), *lay(right, 1, 12.0, random, over=(0, 2), sides=(0, 1, 2))]
    scene = scene_of([left, right], [Tape(RED, 12.0)] * 2, strips=strips)
    tiles = (Print(50, "zone", (80.0, 100.0), 0.1), Print(51, "zone", (190.0, 110.0), -0.1))
    zones = (Zone("library", 1, 50), Zone("stables", 1, 51))
    check(replace(scene, zones=zones, prints=(*scene.prints, *tiles), tapes={1: Tape(RED, 12.0)}))


def test_two_tiles_in_one_outline_name_nothing() -> None:
    """The strip between both zones is not there, or hidden: whose the outline is, nobody can tell."""
    scene = scene_of([box(50, 60, 210, 120)], [Tape(RED, 12.0)])
    tiles = (Print(50, "zone", (80.0, 100.0), 0.1), Print(51, "zone", (190.0, 110.0), -0.1))
    zones = (Zone("library", 1, 50), Zone("stables", 1, 51))
    result = traced(replace(scene, zones=zones, prints=(*scene.prints, *tiles)))
    assert (result.pieces, set(result.unread)) == ((), {"library", "stables"})


def test_a_board_across_the_card() -> None:
    """Without tiles the board's edges give the frame, also where its short sides lie along the card's top."""
    scene = CASES["wood and cardboard"]
    turned = tuple(replace(p, turn=np.pi / 2 - 0.05, place=(p.place[0] + 130, p.place[1])) for p in scene.prints)
    result = check(replace(scene, prints=turned, offcuts=(box(342, 40, 200, 210),)), 0.01)
    assert result.frame == "board"
    # What lies across says nothing of the top, so that it is named which was taken.
    assert [dict(r.facts) for r in result.remarks if r.code == "top-taken"] == [{"side": "left"}]


@pytest.mark.parametrize("tiles", [True, False])
def test_a_zone_without_tape_is_absent_only_where_the_whole_parcel_is_seen(tiles: bool) -> None:
    board = Surface((238, 236, 230), "paper", 0.02)
    scene = scene_of([box(50, 60, 90, 120)], [Tape(RED, 12.0)], tiles=tiles, table=board)
    scene = replace(scene, zones=(*scene.zones, Zone("stables", 2)), tapes={**scene.tapes, 2: Tape(BLUE, 12.0)})
    result = traced(scene)
    assert [p.zone for p in result.pieces] == ["library"]
    assert (result.frame, result.unread) == (("tiles", ()) if tiles else ("card", ("stables",)))
    assert [r.zone for r in result.remarks if r.code == "zone-out-of-sight"] == list(result.unread)
    assert not [r for r in result.remarks if r.code == "top-taken"]


def test_two_pieces_of_one_zone() -> None:
    rings = [box(45, 60, 100, 120), box(180, 60, 100, 120)]
    strips = [s for r in rings for s in lay(r, 1, 12.0, np.random.default_rng(2), over=(0, 3))]
    scene = scene_of(rings, [Tape(BLUE, 12.0)] * 2, strips=strips)
    pieces = tuple(TruePiece("library", r) for r in rings)
    result = check(replace(scene, zones=scene.zones[:1], pieces=pieces, tapes={1: Tape(BLUE, 12.0)}))
    assert [p.zone for p in result.pieces] == ["library", "library"]


def test_yarn_that_stands_above_the_board() -> None:
    """Seen aslant, taking its height for 0 would move it by more than its uncertainty allows; its area by 0.3 %."""
    ring = pond(np.array([160.0, 120.0]), np.array([100.0, 70.0]), np.random.default_rng(8))
    scene = scene_of([ring], [Tape((130, 60, 160), 4.0, height=1.2)], strips=(), bands=(Band(ring, 1),))
    result = check(replace(scene, zones=(Zone("library", 1, height=1.2),)), 0.01)
    assert result.pieces[0].ring.curved


def test_hexagons_keep_their_corners() -> None:
    """Every corner within a quarter of a millimetre, not only the area."""
    ring = check(CASES["hexagon"]).pieces[0].ring
    off = np.linalg.norm(ring.points[:, None] - HEXAGON[None], axis=2)
    assert len(ring.points) == 6
    assert off.min(axis=1).max() < 0.25


def test_random_scenes_within_their_uncertainty() -> None:
    """Errors of print, tiles, board and card height are drawn from the default priors, and those are assumed."""
    z: list[float] = []
    for seed in (608, 609, 610, 612, 614, 616):
        scene = random_scene(seed, size=(1600, 1200))
        result = trace(photo_of(scene), photo_setup_of(scene), tapes_of(scene))
        score = compare(scene, result)
        assert (seed, score.missed, score.extra) == (seed, (), ())
        z += [s.z for s in score.scores]
    assert np.mean(np.abs(z) < 2) >= 0.9
    assert np.sqrt(np.mean(np.square(z))) < 1.4


@pytest.mark.parametrize("orientation", range(1, 9))
def test_every_exif_orientation_shows_the_same_picture(orientation: int) -> None:
    """Exif 2.32, 4.6.4, Orientation (from memory): where the first row and column of the stored picture belong."""
    upright = draw(random_scene(12, size=(400, 320)))
    stored = {
        1: upright, 2: upright[:, ::-1], 3: upright[::-1, ::-1], 4: upright[::-1], 5: upright.swapaxes(0, 1),
        6: np.rot90(upright), 7: upright[::-1, ::-1].swapaxes(0, 1), 8: np.rot90(upright, -1),
    }[orientation]  # fmt: skip
    photo = photo_from_bytes(encoded(np.ascontiguousarray(stored), "PNG", orientation=orientation), "photo.png")
    assert np.array_equal(photo.bgr, upright)


@pytest.mark.parametrize(
    ("stated", "focal", "whole"),
    [((400, 320), True, True), ((4000, 3200), True, True), ((4000, 3000), False, False), (None, True, True)],
    ids=["as taken", "re-sized", "cropped", "no size given"],
)
def test_the_focal_length_counts_where_nothing_was_cut_off(
    stated: tuple[int, int] | None, focal: bool, whole: bool
) -> None:
    """26 mm against a full-frame diagonal of 43.27 mm (the 35 mm equivalent by diagonal; CIPA DCG-001, from memory)."""
    bgr = draw(random_scene(12, size=(400, 320)))
    assert exif(26, stated)
    lens = photo_from_bytes(encoded(bgr, stated=stated), "photo.jpg").lens
    assert lens.whole is whole
    assert lens.focal == (pytest.approx(26 / 43.267 * np.hypot(400, 320), rel=1e-3) if focal else None)


def test_a_photo_without_exif_is_read() -> None:
    bgr = draw(random_scene(12, size=(400, 320)))
    assert photo_from_bytes(encoded(bgr, equivalent=None), "photo.jpg").lens.focal is None


def test_too_small_to_be_a_photo() -> None:
    with pytest.raises(PhotoRefused) as refused:
        photo_from_bytes(encoded(np.full((200, 400, 3), 128, np.uint8)), "photo.jpg")
    assert refused.value.reason == "unreadable"

"""Two layers of tape, strips that do not meet, keep-clear areas in a ring, and far tilted cameras, with exact truth."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.helpers.scenes.laying import box, lay, pond
from tests.helpers.scenes.model import Band, Block, Film, Scene, Strip, Surface, Tape, TruePiece, Zone
from tests.helpers.scenes.random_scene import random_scene
from tests.helpers.scenes.scoring import compare
from tests.helpers.scenes.small import BLACK, BLUE, DEPTH, GREEN, RED, WIDTH, check, scene_of, traced
from tests.helpers.scenes.view import looking
from tests.helpers.scenes.village import village

from tests.helpers.scenes.files import photo_of, photo_setup_of, tapes_of  # isort: skip
from vision.tracing import trace

RING = np.array([[50.0, 60], [210, 62], [208, 190], [52, 188]])


def laid(*more: Strip, over: tuple[float, float] = (0.0, 3.0)) -> Scene:
    """A zone in red tape and one in blue beside it, and more strips on top."""
    other = box(235, 70, 60, 100)
    tapes = [Tape(RED, 15.0), Tape(BLUE, 9.0)]
    random = np.random.default_rng(4)
    strips = [s for i, r in enumerate((RING, other)) for s in lay(r, i + 1, tapes[i].width, random, over=over)]
    return scene_of([RING, other], tapes, strips=[*strips, *more])


def along(side: int, start: float, end: float, aside: float, tape: int = 1, shade: float = 0.96) -> Strip:
    """A strip on a part of a side of RING, `aside` mm beside it."""
    a, b = RING[side], RING[(side + 1) % 4]
    normal = np.array([-(b - a)[1], (b - a)[0]]) / np.linalg.norm(b - a)
    return Strip(a + start * (b - a) + aside * normal, a + end * (b - a) + aside * normal, tape, shade=shade)


LAYERS = {
    "doubled in part, on the line": laid(along(0, 0.2, 0.7, 0.0)),
    "doubled in part, a little aside": laid(along(0, 0.2, 0.6, 1.5), along(2, 0.5, 0.8, -1.2)),
    "crossed by another zone's tape": laid(Strip(np.array([120.0, 45]), np.array([124.0, 80]), 2)),
    "another colour laid over a part": laid(along(1, 0.3, 0.6, 0.0, tape=2)),
    "strips that do not meet": laid(over=(-11.0, -8.5)),
}


@pytest.mark.parametrize("name", LAYERS)
def test_layers(name: str) -> None:
    check(LAYERS[name], 0.006)


def test_a_side_doubled_all_along_and_aside() -> None:
    """Nobody can tell which layer is meant: the uncertainty covers both."""
    result = traced(laid(along(0, 0.0, 1.0, 3.0)))
    score = compare(laid(along(0, 0.0, 1.0, 3.0)), result)
    assert score.missed == ()
    assert all(abs(s.z) < 3 for s in score.scores)


def test_a_ring_around_a_keep_clear_area() -> None:
    """The outer ring is the zone's, the inner one in another tape stands within it: both are outlines of their own."""
    inner = box(105, 100, 60, 46)
    result = check(scene_of([RING, inner], [Tape(GREEN, 12.0), Tape(RED, 9.0)]))
    assert [len(p.holes) for p in result.pieces] == [0, 0]


@pytest.mark.parametrize("tilt", [30.0, 35.0, 40.0])
@pytest.mark.parametrize("tiles", [True, False], ids=["tiles", "board"])
def test_far_tilted(tilt: float, tiles: bool) -> None:
    scene = village(tilt=tilt, tiles=tiles, size=(2400, 1800))
    result = trace(photo_of(scene), photo_setup_of(scene), tapes_of(scene))
    score = compare(scene, result)
    assert (score.missed, score.extra) == ((), ())
    assert np.rad2deg(result.plane.camera.tilt) == pytest.approx(tilt, abs=1.0)
    for one in score.scores:
        assert abs(one.error) < 0.006, one
        assert abs(one.z) < 3, one


def test_a_dark_board_s_side_wall_is_not_its_top() -> None:
    """From 38 degrees a black board shows its black side wall; card and edges then are worth what they are."""
    around = np.array([[-8.0, -8], [WIDTH + 215, -8], [WIDTH + 215, DEPTH + 8], [-8, DEPTH + 8]])
    scene = replace(
        scene_of([RING], [Tape(GREEN, 12.0)], tiles=False), thickness=5.0, board=Surface((40, 40, 42), "plain"),
        view=looking((2400, 1800), around, tilt=38, azimuth=100, fill=0.85), film=Film(blur=0.6),
    )  # fmt: skip
    for one in compare(scene, trace(photo_of(scene), photo_setup_of(scene), tapes_of(scene))).scores:
        assert abs(one.z) < 3, one


def test_a_block_of_another_colour_on_an_inner_corner_makes_no_diagonal_side() -> None:
    """What hides tape has an edge, too: it must not pass for the tape's."""
    ell = np.array([[50.0, 50], [130, 50], [130, 120], [230, 120], [230, 200], [50, 200]])
    turn = np.deg2rad(35)
    axes = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    block = Block(box(-24, -15, 48, 30) @ axes + (136, 116), 14.0, (90, 150, 110), (60, 110, 80))
    scene = scene_of([ell], [Tape((10, 80, 10), 19.0)], blocks=(block,))
    for one in compare(scene, traced(scene)).scores:
        assert abs(one.z) < 3, one


def test_random_layers_and_tilts() -> None:
    z = []
    for seed, kind in ((4000, "doubled"), (4002, "crossed"), (4006, "steep"), (4008, "steep")):
        scene = random_scene(seed, size=(2000, 1500), more=(kind,))
        score = compare(scene, trace(photo_of(scene), photo_setup_of(scene), tapes_of(scene)))
        assert (seed, score.missed, score.extra) == (seed, (), ())
        z += [s.z for s in score.scores]
    assert np.mean(np.abs(z) < 2) >= 0.85


def test_the_space_between_two_pieces_is_no_third() -> None:
    """10 mm apart; the ends of their strips, laid on by 6 to 8 mm, touch and close the space between them."""
    rings = [box(50, 60, 80, 110), box(152, 60, 90, 110)]
    random = np.random.default_rng(2)
    strips = [s for r in rings for s in lay(r, 1, 12.0, random, over=(6.0, 8.0))]
    scene = scene_of(rings, [Tape(RED, 12.0)] * 2, strips=strips)
    pieces = tuple(TruePiece("library", r) for r in rings)
    check(replace(scene, zones=scene.zones[:1], pieces=pieces, tapes={1: Tape(RED, 12.0)}))


def test_yarn_behind_a_block_of_its_own_colour() -> None:
    """A part of the yarn's round is hidden; the block's own edges are no yarn, and the uncertainty says so."""
    ring = pond(np.array([160.0, 125.0]), np.array([80.0, 70.0]), np.random.default_rng(8))
    block = Block(box(70, 105, 45, 34), 16.0, BLACK, (28, 28, 30))
    scene = scene_of([ring], [Tape(BLACK, 4.0, height=1.2)], strips=(), bands=(Band(ring, 1),), blocks=(block,))
    scene = replace(scene, zones=(Zone("library", 1, height=1.2),))
    result = traced(scene)
    score = compare(scene, result).scores[0]
    assert abs(score.z) < 2
    assert 0.03 < score.bridged < 0.25
    assert result.pieces[0].ring.inferred


def test_a_curve_across_bare_ground_is_no_outline() -> None:
    """Two-coloured stripes in dim, soft light: what joins up their edges runs across the board."""
    scene = random_scene(9001)
    assert compare(scene, trace(photo_of(scene), photo_setup_of(scene), tapes_of(scene))).extra == ()

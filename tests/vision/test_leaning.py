"""Zones that share a neighbour's strip or lie open along the parcel's edge, drawn with exact truth.

The truth: such an outline runs along the middle of the strip that is there, or along the parcel's edge.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.helpers.scenes.laying import box, lay, pond
from tests.helpers.scenes.model import Band, Block, Print, Scene, Strip, Tape, TruePiece, Zone
from tests.helpers.scenes.random_scene import random_scene
from tests.helpers.scenes.raster import FloatArray
from tests.helpers.scenes.scoring import compare
from tests.helpers.scenes.small import BLUE, DEPTH, GREEN, RED, WIDTH, check, scene_of, traced
from vision.picture.remarks import remark

from tests.helpers.scenes.files import photo_of, photo_setup_of, tapes_of  # isort: skip
from vision.tracing import trace

LEFT = box(50, 60, 90, 120)
RIGHT = np.array([[140.0, 72], [250, 70], [248, 168], [140, 166]])


def guest(ring: FloatArray, number: int, width: float, ends: tuple[float, float], sides: int = 3) -> list[Strip]:
    """Strips along the first sides of a ring; the first one's start and the last one's end by so many mm beyond."""
    strips = lay(ring, number, width, np.random.default_rng(5), over=(0.0, 3.0), sides=tuple(range(sides)))
    first, last = strips[0], strips[-1]
    strips[0] = replace(first, before=ends[0])
    strips[-1] = replace(strips[-1], after=ends[1]) if sides > 1 else replace(first, before=ends[0], after=last.after)
    return strips


def shared(ends: tuple[float, float], *, under: bool = False, **more: object) -> Scene:
    """Stables of 9 mm tape against the library's 15 mm strip."""
    host = lay(LEFT, 1, 15.0, np.random.default_rng(3), over=(0.0, 3.0))
    own = guest(RIGHT, 2, 9.0, ends)
    strips = [*own, *host] if under else [*host, *own]
    return scene_of([LEFT, RIGHT], [Tape(RED, 15.0), Tape(BLUE, 9.0)], strips=strips, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "scene",
    [shared((4.0, 6.0)), shared((3.0, 7.0), under=True), shared((-9.0, -11.0)), shared((2.0, -10.0), tiles=False)],
    ids=["over it", "under it", "short of it", "no corner tiles"],
)
def test_one_strip_between_two_zones(scene: Scene) -> None:
    result = check(scene)
    stables = next(p for p in result.pieces if p.zone == "stables")
    assert remark("shared-strip", "stables", other="library") in result.remarks
    assert stables.bridged < 0.03  # the strip is there to be seen
    assert sorted(stables.ring.taped) == pytest.approx([1, 1, 1, 15 / 9], abs=0.05)


def test_three_zones_in_a_row_each_lean_on_the_one_before() -> None:
    rings = [box(40, 60, 70, 120), box(110, 60, 90, 120), box(200, 70, 80, 100)]
    order = [rings[0], np.roll(rings[1], 0, axis=0), rings[2]]
    strips = lay(order[0], 1, 12.0, np.random.default_rng(3), over=(0, 2))
    for number, ring in ((2, order[1]), (3, order[2])):
        strips += guest(ring, number, 12.0, (3.0, -8.0))
    result = check(scene_of(rings, [Tape(RED, 12.0), Tape(BLUE, 12.0), Tape(GREEN, 12.0)], strips=strips))
    assert sum(said.code == "shared-strip" for said in result.remarks) == 2


def test_a_shared_strip_of_one_tape_with_zone_tiles() -> None:
    """The second zone is shorter than the strip that it shares, and named by its tile."""
    host = lay(LEFT, 1, 12.0, np.random.default_rng(3), over=(0, 2))
    scene = scene_of([LEFT, RIGHT], [Tape(RED, 12.0)] * 2, strips=[*host, *guest(RIGHT, 1, 12.0, (1.0, -8.0))])
    tiles = (Print(50, "zone", (80.0, 100.0), 0.1), Print(51, "zone", (190.0, 110.0), -0.1))
    zones = (Zone("library", 1, 50), Zone("stables", 1, 51))
    check(replace(scene, zones=zones, prints=(*scene.prints, *tiles), tapes={1: Tape(RED, 12.0)}))


def open_along(edge: int, gap: float = 2.0, **more: object) -> Scene:
    """A zone open along one edge of the parcel, its strips ending `gap` mm before it."""
    rings = {
        0: np.array([[210.0, 0], [208, 90], [100, 92], [98, 0]]),
        1: np.array([[WIDTH, 170.0], [240, 172], [238, 80], [WIDTH, 78]]),
        2: np.array([[90.0, DEPTH], [92, 160], [200, 162], [204, DEPTH]]),
        3: np.array([[0.0, 70], [100, 72], [98, 180], [0, 182]]),
    }
    ring = rings[edge]
    return scene_of([ring], [Tape(RED, 12.0)], strips=guest(ring, 1, 12.0, (-gap, -gap)), **more)  # type: ignore[arg-type]


@pytest.mark.parametrize("edge", range(4))
@pytest.mark.parametrize("tiles", [True, False], ids=["tiles", "board"])
def test_open_along_the_parcel_s_edge(edge: int, tiles: bool) -> None:
    result = check(open_along(edge, tiles=tiles))
    name = ("top", "right", "bottom", "left")[edge]
    assert remark("parcel-edge-bounds", "library", edge=name) in result.remarks
    assert min(result.pieces[0].ring.taped) == 0
    assert result.pieces[0].bridged < 0.03


def test_open_along_two_edges_in_a_corner_of_the_board() -> None:
    ring = np.array([[110.0, 0], [112, 90], [0, 88], [0, 0]])
    strips = guest(ring, 1, 12.0, (-1.0, -2.0), sides=2)
    result = check(scene_of([ring], [Tape(RED, 12.0)], strips=strips, tiles=False))
    assert np.abs(result.pieces[0].ring.points).min(axis=0).max() < 0.01


def test_the_parcel_s_edge_and_a_neighbour_s_strip_together() -> None:
    """The market leans on the library, which is open along the edge as well."""
    host = np.array([[60.0, DEPTH], [62, 150], [150, 150], [150, DEPTH]])
    other = np.array([[150.0, 165], [240, 165], [242, DEPTH], [150, DEPTH]])
    strips = [*guest(host, 1, 12.0, (-1.0, -2.0)), *guest(other, 2, 12.0, (3.0, -1.0), sides=2)]
    check(scene_of([host, other], [Tape(RED, 12.0), Tape(BLUE, 12.0)], strips=strips))


def test_strips_that_end_well_before_the_edge_close_nothing() -> None:
    result = traced(open_along(3, gap=22.0))
    assert (result.pieces, result.unread) == ((), ("library",))


def test_a_hidden_side_near_the_edge_is_no_open_side() -> None:
    """The side's own tape lies 9 mm from the parcel's edge; a block hides all of it, and the ground there."""
    ring = box(15, 70, 90, 100)
    scene = scene_of([ring], [Tape(RED, 12.0)], blocks=(Block(box(4, 55, 26, 130), 12.0, (90, 120, 70), (70, 90, 50)),))
    result = traced(scene)
    assert not any(said.code == "parcel-edge-bounds" for said in result.remarks)
    assert all(not p.ring.taped for p in result.pieces)


def test_a_hidden_side_beside_a_neighbour_is_no_shared_one() -> None:
    """Two zones whose own strips lie side by side; a wall stands on both of them, but for the neighbour's ends."""
    rings = [LEFT, box(140 + 15, 72, 100, 96)]
    wall = Block(box(144, 74, 18, 92), 14.0, (90, 120, 70), (70, 90, 50))
    result = traced(scene_of(rings, [Tape(RED, 15.0), Tape(BLUE, 15.0)], over=(-0.2, 0.2), blocks=(wall,)))
    assert not any(said.code == "shared-strip" for said in result.remarks)


def test_a_curve_lends_no_side_yet() -> None:
    """Then the zone that leans on it is not measured, and the photo says so."""
    lake = pond(np.array([95.0, 125.0]), np.array([55.0, 70.0]), np.random.default_rng(8))
    ring = np.array([[148.0, 90], [250, 90], [250, 160], [148, 160]])
    scene = scene_of(
        [lake, ring], [Tape(BLUE, 4.0, height=1.2), Tape(RED, 9.0)], strips=guest(ring, 2, 9.0, (0.0, 0.0)),
        bands=(Band(lake, 1),), zones=(Zone("library", 1, height=1.2), Zone("stables", 2)),
        pieces=(TruePiece("library", lake),),
    )  # fmt: skip
    result = check(scene, 0.01)
    assert result.unread == ("stables",)


def test_random_zones_that_lean() -> None:
    """Both kinds, with errors of print, tiles and board drawn from the default priors."""
    z = []
    for seed, kind in ((3000, "lent"), (3001, "open"), (3003, "lent"), (3006, "open"), (3007, "corner")):
        scene = random_scene(seed, size=(1600, 1200), more=(kind,))
        score = compare(scene, trace(photo_of(scene), photo_setup_of(scene), tapes_of(scene)))
        assert (seed, score.missed, score.extra) == (seed, (), ())
        z += [s.z for s in score.scores]
    assert np.mean(np.abs(z) < 2) >= 0.85
    assert np.sqrt(np.mean(np.square(z))) < 1.5

"""Lines of known course in drawn scenes: found, measured, none where none is, outlines as without them."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import shapely

from tests.helpers.scenes.files import photo_of, photo_setup_of, tapes_of
from tests.helpers.scenes.laying import box
from tests.helpers.scenes.line_scenes import compared
from tests.helpers.scenes.model import Block, Patch, Scene, Shadow, Tape, Thread
from tests.helpers.scenes.small import BLUE, DEPTH, EXACT, GREEN, RED, WIDTH, scene_of
from tests.helpers.scenes.view import looking
from vision.picture.traced import Traced
from vision.picture.traced_lines import LineSpec
from vision.tracing import trace

BLACK = (26, 26, 28)
AT = np.linspace(0.0, 1.0, 90)
PIPE = np.column_stack([60 + 200 * AT, 120 + 30 * np.sin(2 * np.pi * AT)])
STRING = np.column_stack([150 + 25 * np.sin(3 * AT), 45 + 170 * AT])
BRANCH = np.linspace(PIPE[65], PIPE[65] + (10.0, 55.0), 10)
SPECS = (
    LineSpec("power line", colour="black", made_of=("pipe cleaner",)),
    LineSpec("water pipe", swatch=3, made_of=("string",)),
)


def scene() -> Scene:
    """A black pipe cleaner with a branch goes over red tape and crosses a blue string."""
    made = scene_of([box(45, 45, 80, 60)], [Tape(RED, 9.0)])
    threads = (
        Thread(PIPE, 4.0, BLACK, 2.0, "power line", True),
        Thread(BRANCH, 4.0, BLACK, 2.0, "power line", True),
        Thread(STRING, 1.8, BLUE, 0.9, "water pipe", True),
    )
    around = np.array([[-8.0, -8], [WIDTH + 215, -8], [WIDTH + 215, DEPTH + 8], [-8, DEPTH + 8]])
    view = looking((1200, 900), around, tilt=5, azimuth=50)
    return replace(made, view=view, threads=threads, tapes={**made.tapes, 3: Tape(BLUE, 6.0)})


def look(of: Scene, specs: tuple[LineSpec, ...]) -> Traced:
    return trace(photo_of(of), photo_setup_of(of, EXACT), tapes_of(of), lines=specs)


@cache
def with_lines() -> Traced:
    return look(scene(), SPECS)


def test_every_piece_is_found_whole_and_its_length_is_right() -> None:
    result = compared(scene(), with_lines())
    assert result.invented == ()
    for score in result.scores:
        assert score.pieces == 1, score
        assert score.error is not None
        assert abs(score.error) < 0.012, score
        assert abs(score.error) < 1.5 * score.u95, score


def test_middles_lie_on_the_true_ones() -> None:
    for thread in scene().threads:
        true = shapely.LineString(thread.line)
        found = [shapely.LineString(p.points) for p in with_lines().lines.pieces if p.name == thread.name]
        nearest = min(shapely.hausdorff_distance(line, true, densify=0.1) for line in found)
        assert nearest < 0.8, thread.name


def test_crossing_and_branch_are_told() -> None:
    lines = with_lines().lines
    names = {m.kind: {lines.pieces[i].name for i in m.pieces} for m in lines.meetings}
    assert names == {"crossing": {"power line", "water pipe"}, "branch": {"power line"}}
    crossing = next(m for m in lines.meetings if m.kind == "crossing")
    true = shapely.LineString(PIPE).intersection(shapely.LineString(STRING))
    assert shapely.Point(crossing.at).distance(true) < 0.5


def test_outlines_are_as_without_declared_lines() -> None:
    bare, lined = look(scene(), ()), with_lines()
    assert bare.lines.pieces == ()
    count = len(bare.causes)
    assert lined.causes[:count] == bare.causes
    for one, other in zip(bare.pieces, lined.pieces, strict=True):
        assert np.array_equal(one.ring.points, other.ring.points)
        assert np.array_equal(one.ring.sensitivity, other.ring.sensitivity[..., :count])
        assert not other.ring.sensitivity[..., count:].any()


CORNER = np.array([[60.0, 200.0], [150.0, 130.0], [250.0, 205.0]])
GRID = [box(60.0 + 12 * i, 50.0, 1.2, 60.0) for i in range(8)] + [box(60.0, 50.0 + 12 * i, 84.0, 1.2) for i in range(6)]


def hidden_scene() -> Scene:
    """A black stroke with a sharp bend, a green grid, and a building that hides where four blue strings end."""
    strings = [[(170.0, 60.0), (210.0, 66.0)], [(170.0, 78.0), (210.0, 72.0)]]
    strings += [[(2 * 225.0 - x, y) for x, y in line] for line in strings]
    threads = [
        Thread(CORNER, 5.0, BLACK, 0.05, "road"),
        *(Thread(np.array(s), 2.0, BLUE, 1.0, "pipe") for s in strings),
    ]
    made = scene_of([box(260, 150, 40, 40)], [Tape(RED, 9.0)])
    patches = tuple(Patch(ring, GREEN, 0.05) for ring in GRID)
    block = Block(box(205, 50, 40, 40), 6.0, (150, 140, 126), (75, 70, 60))
    return replace(made, threads=tuple(threads), patches=patches, blocks=(block,))


@cache
def hidden() -> Traced:
    road = LineSpec("road", colour="black", made_of=("drawn stroke",))
    return look(hidden_scene(), (road, LineSpec("hedge", colour="green"), LineSpec("pipe", colour="blue")))


def test_a_sharp_bend_is_not_cut_short() -> None:
    (road,) = (p for p in hidden().lines.pieces if p.name == "road")
    true = shapely.LineString(CORNER).length
    assert abs(road.length - true) < 2 * float(np.linalg.norm(road.length_sensitivity))
    assert abs(road.length - true) < 0.003 * true


def test_a_printed_grid_of_a_lines_colour_is_not_measured_and_said() -> None:
    assert hidden().lines.unread == ("hedge",)
    assert [dict(r.facts)["line"] for r in hidden().remarks if r.code == "line-like-print"] == ["hedge"]
    assert not [p for p in hidden().lines.pieces if p.name == "hedge"]


def test_ends_that_could_go_on_in_two_ways_under_a_building_are_said() -> None:
    (doubt,) = hidden().lines.two_ways
    assert (doubt.name, len(doubt.ends)) == ("pipe", 4)
    assert len(doubt.ways) > 1
    assert [r.code for r in hidden().remarks].count("line-two-ways") == 1


RING = np.column_stack([200 + 60 * np.sin(2 * np.pi * AT), 130 + 55 * np.cos(2 * np.pi * AT)])
ORANGE, BROWN = (232, 122, 36), (112, 70, 42)
ROAD = LineSpec("road", colour="brown", made_of=("drawn stroke",))


def ring_scene() -> Scene:
    """Orange tape in a shadow, and a drawn brown ring as broad as it."""
    made = scene_of([box(45, 45, 60, 60)], [Tape(ORANGE, 10.0)])
    shade = Shadow(np.array([[-20.0, -20], [130, -20], [130, 300], [-20, 300]]), 0.5, 2.0)
    threads = (Thread(RING, 10.0, BROWN, 0.05, "road"),)
    return replace(made, threads=threads, light=replace(made.light, shadows=(shade,)))


def test_a_drawn_ring_near_a_tapes_colour_is_a_line_and_no_zone() -> None:
    traced = look(ring_scene(), (ROAD,))
    (zone,), (road,) = traced.pieces, traced.lines.pieces
    assert abs(shapely.Polygon(zone.ring.points).area - 3600) < 60
    assert road.closed
    assert abs(road.length - shapely.LineString(RING).length) < 0.01 * road.length
    assert [r.code for r in traced.remarks if "line" in r.code] == ["line-not-tape"]
    assert not traced.unread


def test_an_outline_that_may_be_tape_or_a_line_is_not_measured() -> None:
    """The ring alone: its zone may be it, laid in a strip of another roll."""
    ring = replace(ring_scene(), pieces=(), strips=())
    traced = look(ring, (ROAD,))
    assert not traced.pieces
    assert traced.unread == ("library",)
    assert "line-or-tape" in [r.code for r in traced.remarks]


def test_nothing_is_invented_where_no_line_lies() -> None:
    bare = replace(scene(), threads=())
    assert look(bare, (*SPECS, LineSpec("hedge", colour="green"), LineSpec("track", colour="red"))).lines.pieces == ()

"""Zones laid out with paper of their tape's own colour: the tape's inner edge is a faint step of the colour."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from shapely.geometry import Polygon

from tests.helpers.scenes.laying import box, lay, pond
from tests.helpers.scenes.model import Block, Film, Light, Patch, Scene, Shadow, Surface, Tape, TruePiece, Zone
from tests.helpers.scenes.raster import FloatArray
from tests.helpers.scenes.small import BLACK, BLUE, GREEN, RED, check, scene_of, traced

YELLOW, LIME = (240, 205, 60), (120, 175, 30)
L = np.array([[40.0, 50], [160, 51], [158, 105], [290, 107], [288, 200], [40, 202]])
TRIANGLE = np.array([[160.0, 40], [285, 205], [45, 208]])
CARDBOARD = Surface((186, 148, 108), "paper", 0.05)
BLOCK = Block(box(80, 100, 40, 40), 25.0, (150, 110, 80), (120, 84, 58))
SLANT = np.array([[-20.0, -20], [150, -20], [230, 270], [-20, 270]])
PAPERS = {
    "darker": (box(50, 50, 220, 150), Tape(RED, 18.0), (172, 28, 22), {}),
    "hardly lighter": (box(50, 50, 220, 150), Tape(GREEN, 12.0), (64, 142, 96), {}),
    "another hue": (TRIANGLE, Tape(BLUE, 18.0), (54, 92, 180), {}),
    "narrow tape": (L, Tape(YELLOW, 6.0), (226, 186, 40), {"board": CARDBOARD}),
    "a shadow's edge across": (
        L, Tape(RED, 12.0), (172, 28, 22), {"light": Light(0.8, shadows=(Shadow(box(-20, 110, 400, 90), 0.5, 2.0),))},
    ),
    "light that falls off": (L, Tape(BLUE, 24.0), (40, 90, 170), {"light": Light(0.7, gradient=(0.5, 0.3))}),
    "a shadow that slants across": (
        box(50, 50, 220, 150), Tape(BLUE, 24.0), (36, 86, 182),
        {"light": Light(0.8, shadows=(Shadow(SLANT, 0.45, 3.0),))},
    ),
    "a block on it": (L, Tape(GREEN, 15.0), (44, 118, 74), {"blocks": (BLOCK,)}),
}  # fmt: skip


def papered(ring: FloatArray, tape: Tape, paper: tuple[int, int, int], under: float = 0.3, **more: object) -> Scene:
    """One zone with paper that ends `under` of the tape's width beyond its inner edge, below the tape."""
    sheet = Polygon(ring).buffer((under - 0.5) * tape.width, join_style="mitre")
    sheets = (Patch(np.asarray(sheet.exterior.coords)[:-1], paper),)
    return scene_of([ring], [tape], patches=sheets, film=Film(linear=False), **more)


@pytest.mark.parametrize("name", PAPERS)
def test_a_zone_full_of_paper_of_its_tapes_colour(name: str) -> None:
    ring, tape, paper, more = PAPERS[name]
    result = check(papered(ring, tape, paper, **more), 0.02)
    assert not result.pieces[0].ring.curved
    assert abs(result.pieces[0].width - tape.width) < 0.06 * tape.width + 0.3


def test_paper_that_sticks_out_from_under_its_tape_is_no_outline() -> None:
    """Its border was taken for the tape's outer edge: the outline half a rim too large, and sure of it."""
    ring, tape = box(50, 50, 220, 150), Tape(BLUE, 12.0)
    result = traced(papered(ring, tape, (52, 104, 204), under=1.15))
    assert not result.pieces
    assert ("paper-of-its-colour", "library") in [(said.code, said.zone) for said in result.remarks]
    check(papered(ring, tape, (52, 104, 204), under=0.9), 0.02)


def test_a_striped_tape_ends_where_its_stripes_do_on_paper_of_one_of_their_colours() -> None:
    """Paper within a stripe's reach was taken for tape: the outline was 12 % too small."""
    ring, tape = box(50, 50, 220, 150), Tape(RED, 12.0, (240, 240, 238), 6.0)
    scene = papered(ring, tape, RED, under=0.5, board=CARDBOARD)
    prints = tuple(replace(p, dotted=True) if p.kind == "card" else p for p in scene.prints)
    result = check(replace(scene, prints=prints), 0.01)
    assert abs(result.pieces[0].width - tape.width) < 0.6


def test_a_rough_paper_of_the_very_colour_of_its_tape() -> None:
    """Not its colour but its unrest tells it from the tape."""
    ring, tape = box(50, 50, 220, 150), Tape(GREEN, 18.0)
    scene = papered(ring, tape, GREEN)
    check(replace(scene, patches=tuple(replace(p, texture="felt") for p in scene.patches)), 0.02)


def test_a_pond_that_follows_its_tape_is_not_where_the_tape_ends() -> None:
    ring, tape = box(50, 50, 220, 150), Tape(YELLOW, 18.0)
    scene = papered(ring, tape, (232, 194, 48), board=CARDBOARD)
    check(replace(scene, patches=(*scene.patches, Patch(box(64, 64, 192, 122), (224, 184, 40)))), 0.02)


def with_pond(tape: Tape, paper: tuple[int, int, int], aside: float) -> Scene:
    """A small zone with paper, and a pond of the board's colour on it, whose border runs `aside` mm from the tape's
    outer edge for a while along three sides.
    """
    scene = papered(box(60, 60, 54, 98), tape, paper)
    low, high = np.array([60.0, 60]) - tape.width / 2 + aside, np.array([114.0, 158]) + tape.width / 2 - aside
    (left, top), (right, bottom) = low, high
    border = [
        (left, top + 36), (left + 5, top + 30), ((left + right) / 2, top + 25), (right - 3, top + 30),
        (right - 1, top + 45), (right, top + 52), (right, bottom), (left + 10, bottom), (left, bottom - 12),
    ]  # fmt: skip
    return replace(scene, patches=(*scene.patches, Patch(np.array(border), (238, 236, 230), over=True)))


def test_the_border_of_a_pond_that_runs_along_the_tape_is_not_where_the_tape_ends() -> None:
    """All strips pair with the pond's border at 24 mm; the paper's faint step, at 18 mm, is the tape's inner edge."""
    result = check(with_pond(Tape(RED, 18.0), (172, 28, 22), 24.0), 0.02)
    assert abs(result.pieces[0].width - 18.0) < 1.0


def test_tape_whose_inner_edge_hardly_shows_may_be_narrower_than_it_seems() -> None:
    """On paper of the tape's very colour no step shows where it ends: the uncertainty holds both widths."""
    result = check(with_pond(Tape(BLACK, 6.0), BLACK, 9.5), 0.12, 2.0)
    assert [r.zone for r in result.remarks if r.code == "width-doubtful"] == ["library"]


def test_sides_that_show_only_their_outer_edge_are_told() -> None:
    """Paper of the very colour lies against one side: its tape's middle is half the width from the outer edge."""
    scene = replace(
        papered(box(50, 50, 220, 150), Tape(BLUE, 18.0), BLUE), patches=(Patch(box(50, 50, 100, 150), BLUE),)
    )
    result = check(scene, 0.01)
    told = [r.facts for r in result.remarks if r.code == "outer-edge-alone"]
    assert told == [(("sides", 1), ("of", 4))]


@pytest.mark.parametrize("place", [box(235, 100, 70, 60), box(240, 30, 60, 60)], ids=["a side", "a corner"])
def test_a_block_of_the_tapes_colour_across_the_border_makes_no_detour(place: FloatArray) -> None:
    """Its own border may pass for the tape's: then the outline closes in two ways."""
    ring, tape = box(50, 50, 220, 150), Tape(YELLOW, 6.0)
    block = Block(place, 6.0, YELLOW, (224, 188, 50))
    result = traced(papered(ring, tape, (214, 176, 40), board=CARDBOARD, blocks=(block,)))
    measured = [Polygon(p.ring.points).area for p in result.pieces if p.measurable]
    assert result.unread == ("library",) if not measured else measured == [pytest.approx(220 * 150, rel=0.01)]


def test_worn_bands_beside_a_zone_with_paper() -> None:
    """Thin tape's edges take the board's colour: its band looks narrower than where it lies on paper of its colour."""
    rings, tape = [box(45, 60, 100, 120), box(185, 60, 100, 120)], Tape((181, 216, 39), 6.0)
    strips = [s for r in rings for s in lay(r, 1, 6.0, np.random.default_rng(2), over=(0, 3))]
    patches = (Patch(box(47, 62, 96, 116), (158, 200, 36)), Patch(box(187, 62, 96, 116), (180, 180, 177)))
    scene = scene_of(rings, [tape] * 2, strips=strips, patches=patches, film=Film(linear=False))
    pieces = tuple(TruePiece("library", r) for r in rings)
    check(replace(scene, zones=scene.zones[:1], pieces=pieces, tapes={1: tape}), 0.02)


def test_one_piece_with_paper_and_one_without() -> None:
    rings = [box(45, 60, 100, 120), box(185, 60, 100, 120)]
    strips = [s for r in rings for s in lay(r, 1, 12.0, np.random.default_rng(2), over=(0, 3))]
    scene = scene_of(
        rings, [Tape(BLUE, 12.0)] * 2, strips=strips, patches=(Patch(box(48, 63, 94, 114), (40, 92, 170)),)
    )
    pieces = tuple(TruePiece("library", r) for r in rings)
    check(replace(scene, zones=scene.zones[:1], pieces=pieces, tapes={1: Tape(BLUE, 12.0)}), 0.02)


@pytest.mark.parametrize(
    "thing",
    [
        {"patches": (Patch(pond(np.array([160.0, 125.0]), np.array([60.0, 40.0]), np.random.default_rng(4)), RED),)},
        {"patches": (Patch(box(110, 95, 90, 60), (172, 28, 22)),)},
        {"blocks": (Block(box(120, 90, 70, 60), 30.0, RED, (150, 24, 20)),)},
    ],
    ids=["a lake", "a sheet of paper", "a block with a roof"],
)
def test_things_of_the_tapes_colour_are_no_pieces(thing: dict[str, object]) -> None:
    result = check(scene_of([box(45, 50, 230, 155)], [Tape(RED, 12.0)], film=Film(seed=3), **thing), 0.01)
    assert len(result.pieces) == 1


def test_paper_without_any_step_is_not_measured() -> None:
    """Nothing says where the tape ends: the zone is there, and how large nobody can tell."""
    ring = box(50, 50, 220, 150)
    result = traced(papered(ring, Tape(RED, 18.0), RED, strips=lay(ring, 1, 18.0)))
    assert [p for p in result.pieces if p.measurable] == []


def test_paper_that_hides_its_tape_whole_does_not_make_the_zone_absent() -> None:
    """Broad paper somewhat off its tape's colour counts as part of the board: what lies there cannot be told."""
    sheet = Patch(box(150, 50, 130, 150), (150, 180, 42))
    scene = scene_of([box(30, 50, 90, 120)], [Tape(RED, 12.0)], patches=(sheet,), film=Film(linear=False))
    scene = replace(scene, zones=(*scene.zones, Zone("stables", 2)), tapes={**scene.tapes, 2: Tape(LIME, 12.0)})
    result = traced(scene)
    assert ([p.zone for p in result.pieces], result.unread) == (["library"], ("stables",))
    assert [r.zone for r in result.remarks if r.code == "paper-of-its-colour"] == ["stables"]

"""What has a tape's colour and goes round a print, or lies twice along a side, is never a zone's outline."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.helpers.scenes import printing
from tests.helpers.scenes.laying import box
from tests.helpers.scenes.model import Patch, Scene, Strip, Surface, Tape
from tests.helpers.scenes.scoring import area
from tests.helpers.scenes.small import BLUE, DEPTH, RED, WIDTH, check, scene_of, traced
from vision.find.borrowed_sides import OpenTape
from vision.find.doubts import doubtful_outlines
from vision.find.rough_outlines import Found
from vision.find.tape_mask import TapeMask
from vision.picture.prints import is_corner_tile
from vision.picture.rectified import Rectified
from vision.picture.traced import Traced

WHITE, WOOD = (240, 240, 236), Surface((186, 148, 108), "paper", 0.05)
RINGS = [box(50, 60, 90, 110), box(190, 60, 90, 110)]
TAPES = [Tape(WHITE, 12.0), Tape(RED, 12.0)]


def dotted(scene: Scene) -> Scene:
    """The scene with a dotted card, which tells white tape from an empty box."""
    return replace(scene, prints=tuple(replace(p, dotted=True) if p.kind == "card" else p for p in scene.prints))


def test_white_paper_below_the_card_is_no_zone_of_white_tape() -> None:
    """Only red tape lies on the board, and the card on paper that is 8 mm larger all round."""
    scene = dotted(scene_of(RINGS, TAPES, board=WOOD, tiles=False))
    card = replace(scene.prints[0], place=(100.0, 180.0), turn=0.02)
    paper = Patch(printing.placed(card, np.array([[-8.0, -8], [188, -8], [188, 128], [-8, 128]])), WHITE)
    red = tuple(s for s in scene.strips if s.tape == 2)
    result = traced(replace(scene, prints=(card,), patches=(paper,), strips=red, width=330.0, depth=330.0, offcuts=()))
    assert [p.zone for p in result.pieces] == ["stables"]


def test_white_paper_below_a_card_beside_the_board_hides_no_edge_of_it() -> None:
    """White tape's colour shows around the card, which was taken for a place on the board."""
    scene = dotted(scene_of(RINGS, TAPES, board=WOOD, tiles=False, offcuts=()))
    paper = printing.placed(scene.prints[0], np.array([[-8.0, -8], [188, -8], [188, 128], [-8, 128]]))
    result = traced(replace(scene, patches=(Patch(paper, WHITE),)))
    assert result.frame == "board"
    assert [p.zone for p in result.pieces] == ["library", "stables"]


def test_the_rim_of_a_corner_tile_that_is_not_read_is_no_outline() -> None:
    parcel = box(0, 0, WIDTH, DEPTH)
    assert is_corner_tile(box(2, 2, 28, 28), parcel)
    assert is_corner_tile(box(WIDTH - 31, DEPTH - 30, 29, 29), parcel)
    assert not is_corner_tile(box(2, 2, 60, 28), parcel)
    assert not is_corner_tile(box(45, 45, 28, 28), parcel)


def test_a_side_that_is_laid_twice_well_apart_is_not_measured() -> None:
    """Whichever of the two strips is meant, the other one gives another area."""
    ring = RINGS[0]
    scene = scene_of([ring, RINGS[1]], [Tape(BLUE, 12.0), Tape(RED, 12.0)])
    second = Strip(ring[0] + (3, 9.0), ring[1] + (-3, 9.0), 1)
    result = traced(replace(scene, strips=(*scene.strips, second)))
    assert "library" in result.unread
    assert any(said.code == "laid-twice" and said.zone == "library" for said in result.remarks)
    assert [p.zone for p in result.pieces] == ["stables"]


@pytest.mark.parametrize("slant", [(4, 12), (8, 14)])
def test_a_side_that_is_laid_twice_at_a_slant_is_no_curve(slant: tuple[float, float]) -> None:
    """It was followed as a curve, which cut the corners: areas 7 %, gaps 10 mm off."""
    ring = RINGS[0]
    scene = scene_of([ring, RINGS[1]], [Tape(BLUE, 12.0), Tape(RED, 12.0)])
    second = Strip(ring[0] + (3, slant[0]), ring[1] + (-3, slant[1]), 1)
    result = traced(replace(scene, strips=(*scene.strips, second)))
    assert any(said.code == "laid-twice" and said.zone == "library" for said in result.remarks)
    assert [p.zone for p in result.pieces] == ["stables"]


def test_a_second_layer_a_little_aside_is_measured() -> None:
    ring = RINGS[0]
    scene = scene_of([ring, RINGS[1]], [Tape(BLUE, 12.0), Tape(RED, 12.0)])
    second = Strip(ring[0] + 0.2 * (ring[1] - ring[0]) + (0, 1.0), ring[0] + 0.5 * (ring[1] - ring[0]) + (0, 1.0), 1)
    check(replace(scene, strips=(*scene.strips, second)), 0.02, 4.5)


def test_an_outline_of_a_tape_whose_box_is_empty_is_not_given_to_the_next_like_it() -> None:
    """White tape lies on the board, its box is empty, and grey's is filled."""
    grey, scene = Tape((150, 150, 148), 12.0), dotted(scene_of(RINGS, TAPES, board=WOOD))
    scene = replace(scene, tapes={1: TAPES[0], 2: grey})
    empty = tuple(replace(p, filled=(2,)) if p.kind == "card" else p for p in scene.prints)
    result = traced(replace(scene, prints=empty))
    assert "library" in result.unread
    assert all(p.zone != "stables" or p.ring.points[:, 0].min() > 150 for p in result.pieces)
    assert len([p for p in result.pieces if p.zone == "stables"]) <= 1


def test_an_outline_larger_than_the_parcel_is_no_zone_s() -> None:
    """A sheet's border round a whole picture was measured as a zone of masking tape."""
    none, picture = np.zeros((4, 4), np.uint8), Rectified(np.zeros((4, 4, 3), np.uint8), 1.0, np.zeros(2))
    rim = Found(1, box(0, 0, 380, 300), 12.0, 0.0, False, TapeMask(none, none, picture))
    own = OpenTape(rim.tape, (), 12.0, 0.0, 1, np.zeros((0, 2)))
    assert [doubt.why for _, doubt in doubtful_outlines([rim], [own], 0.6 * WIDTH * DEPTH)] == ["over-bare-board"]
    assert not doubtful_outlines([rim], [own], 0.6 * 400 * 300)


def _doubled(aside: float) -> Traced:
    """One side of the library is laid a second time, so far inside the first."""
    ring = RINGS[0]
    scene = scene_of([ring, RINGS[1]], [Tape(BLUE, 12.0), Tape(RED, 12.0)])
    second = Strip(ring[0] + (0, aside), ring[1] + (0, aside), 1)
    return traced(replace(scene, strips=(*scene.strips, second)))


def test_where_a_second_strip_lies_partly_over_a_side_the_uncertainty_covers_both() -> None:
    """One photo had the outline by the one, another by the other: areas were 5 % apart, each sure to 0.8 %."""
    result = _doubled(3.0)
    assert [r.zone for r in result.remarks if r.code == "laid-partly-over"] == ["library"]
    value, u = area(next(p for p in result.pieces if p.zone == "library"))
    for depth in (110.0, 107.0):
        assert abs(value - 90.0 * depth) < 2.2 * u
    assert u < 0.03 * value


def test_a_side_whose_second_strip_lies_half_beside_the_first_is_not_measured() -> None:
    result = _doubled(6.0)
    assert any(said.code == "laid-twice" and said.zone == "library" for said in result.remarks)
    assert [p.zone for p in result.pieces] == ["stables"]


def test_a_zone_that_nobody_laid_is_missing_where_its_tape_is_told_from_the_board() -> None:
    """Its masking tape was near enough to the wood for paper of its colour, which a whole board is none of."""
    pale, wood = Tape((222, 200, 150), 12.0), Surface((176, 132, 88), "noise", 0.03)
    scene = dotted(scene_of(RINGS, [Tape(BLUE, 12.0), pale], board=wood))
    built = replace(scene, strips=tuple(s for s in scene.strips if s.tape != 2))
    result = traced(built)
    assert result.unread == ()
    assert [p.zone for p in result.pieces] == ["library"]


def test_a_tape_of_the_boards_colour_is_told_and_nothing_of_the_board_is_a_zone() -> None:
    """The board itself was an outline of grey tape, 5 times as large as the zone, and a filled zone was absent."""
    grey = Tape((142, 144, 147), 12.0)
    scene = dotted(scene_of(RINGS, [Tape(RED, 12.0), grey], board=Surface((148, 150, 152), "noise", 0.02)))
    result = traced(scene)
    assert result.unread == ("stables",)
    assert [r.code for r in result.remarks if r.zone == "stables" and r.code != "tape-like-ground"] == ["like-board"]
    assert [p.zone for p in result.pieces if p.ring is not None] == ["library"]

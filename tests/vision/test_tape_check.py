"""The card with its tapes on an empty board: what can be told apart, before anybody builds."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from calib.photo_setup import Priors
from tests.helpers.scenes.draw import draw
from tests.helpers.scenes.files import encoded, photo_setup_of, tapes_of
from tests.helpers.scenes.model import Scene, Surface, Tape
from tests.helpers.scenes.village import village
from vision.looks.tape_looks import broad_colours
from vision.picture.photo import photo_from_bytes
from vision.picture.remarks import Remark
from vision.tape_check import TapeCheck, check_tapes
from vision.tracing import trace

EXACT = Priors(0, 0, 0, 0, 0)
GREEN: tuple[int, int, int] = (40, 130, 70)


def before_building(*, tiles: bool = True, board: tuple[int, int, int] = (238, 238, 234), **tapes: Tape) -> Scene:
    """The village's board without tape, and its dotted card; tapes: box3=Tape(...) in place of its own."""
    scene = village(tiles=tiles)
    prints = tuple(replace(p, dotted=True) if p.kind == "card" else p for p in scene.prints)
    other = {int(name.removeprefix("box")): tape for name, tape in tapes.items()}
    surface = Surface(board, "noise", 0.02)
    return replace(scene, strips=(), prints=prints, tapes={**scene.tapes, **other}, board=surface)


def checked(scene: Scene) -> TapeCheck:
    photo = photo_from_bytes(encoded(draw(scene)), "photo.jpg")
    return check_tapes(photo, photo_setup_of(scene, EXACT), (1, 2, 3))


@pytest.mark.parametrize("tiles", [True, False])
def test_three_tapes_that_can_be_told(tiles: bool) -> None:
    found = checked(before_building(tiles=tiles))
    assert found.states == ("filled",) * 3 + ("empty",) * 5
    assert (found.alike, found.like_ground, found.on_parcel, found.dotted) == ((), (), tiles, True)


def test_two_rolls_of_nearly_one_red_look_alike() -> None:
    assert checked(before_building(box3=Tape((200, 40, 34), 6.0))).alike == ((1, 3),)


def test_white_and_grey_tape_differ_in_lightness_only() -> None:
    """Most schools have both: even light tells them from each other, and nobody need buy other tape."""
    found = checked(before_building(box2=Tape((240, 240, 236), 18.0), box3=Tape((165, 165, 163), 18.0), board=GREEN))
    assert (found.alike, found.lighter) == ((), ((2, 3),))


def test_film_that_hides_little_but_has_a_colour_is_asked_for() -> None:
    found = checked(before_building(box2=Tape((70, 110, 220), 18.0, through=0.75)))
    assert found.states[1] == "doubtful"
    assert found.states[3:] == ("empty",) * 5


def test_tape_of_the_boards_colour_and_white_tape_on_a_white_board() -> None:
    assert checked(before_building(box2=Tape(GREEN, 18.0), board=(44, 122, 66))).like_ground == (2,)
    white = checked(before_building(box2=Tape((240, 240, 236), 18.0)))
    assert white.states[1] == "filled"
    assert white.like_ground == (2,)
    assert checked(before_building(box2=Tape(GREEN, 18.0))).like_ground == ()


def test_an_empty_box_of_a_zone() -> None:
    scene = before_building()
    prints = tuple(replace(p, filled=(1, 3)) if p.kind == "card" else p for p in scene.prints)
    assert checked(replace(scene, prints=prints)).states[:3] == ("filled", "empty", "filled")


def test_measuring_says_the_same_where_it_happens() -> None:
    """The village built with two rolls of nearly one red: the warning says which, and what to do."""
    scene = village()
    codes = {r.code for r in traced(scene)}
    assert not codes & {"tapes-alike", "tape-like-ground"}
    near = replace(scene, tapes={**scene.tapes, 3: replace(scene.tapes[3], colour=(200, 40, 34))})
    said = [r for r in traced(near) if r.code == "tapes-alike"]
    assert [(r.zone, dict(r.facts)["other"]) for r in said] == [("library", "meadow")]
    dark = replace(scene, board=Surface((50, 105, 190), "noise", 0.02))
    assert [r.zone for r in traced(dark) if r.code == "tape-like-ground"] == ["stables"]


def test_the_tape_of_large_zones_is_not_what_covers_the_parcel() -> None:
    """Two wide-taped zones of one tape are more than a seventh of what is not printed on."""
    scene = village()
    wide = {number: replace(tape, width=tape.width * 2.2) for number, tape in scene.tapes.items()}
    found = traced(replace(scene, tapes=wide))
    assert [r.zone for r in found if r.code == "tape-like-ground"] == []


def traced(scene: Scene) -> tuple[Remark, ...]:
    photo = photo_from_bytes(encoded(draw(scene)), "photo.jpg")
    return trace(photo, photo_setup_of(scene, EXACT), tapes_of(scene)).remarks


def test_a_board_of_two_colours_has_both() -> None:
    board = np.repeat(np.array([[40, 40, 200], [230, 230, 230]], np.uint8), 500, axis=0)
    assert len(broad_colours(board)) == 2

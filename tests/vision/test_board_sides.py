"""What is taken for the board's sides: neither the card's edge beside them nor the first line that lies near."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
import shapely
from shapely import affinity
from shapely.geometry import Polygon

from tests.helpers.scenes.files import photo_of, photo_setup_of, tapes_of
from tests.helpers.scenes.laying import box
from tests.helpers.scenes.model import Patch, Print, Scene, Surface, Tape
from tests.helpers.scenes.scoring import compare
from tests.helpers.scenes.small import BLUE, RED, scene_of
from tests.helpers.scenes.small import DEPTH as DEPTH_OF_SMALL
from tests.helpers.scenes.small import WIDTH as WIDTH_OF_SMALL
from tests.helpers.scenes.village import DEPTH, WIDTH, village
from vision.board import parcel_frame
from vision.board.parcel_frame import TiedToBoard
from vision.tracing import trace


def with_card_along_the_top(away: float) -> Scene:
    """Brown cardboard on a grey table; the card lies on it, so far from its top edge, and the library has made room."""
    scene = village(tiles=False)
    return replace(
        scene,
        prints=(Print(0, "card", (60.0, away), 0.004, height=0.1),),
        board=Surface((165, 130, 95), "noise", 0.03),
        table=Surface((170, 176, 180), "noise", 0.03),
        offcuts=(),
        zones=scene.zones[1:],
        pieces=scene.pieces[1:],
        strips=tuple(strip for strip in scene.strips if strip.tape != 1),
    )


@pytest.mark.parametrize("away", [2.2, 4.0])
def test_the_cards_edge_is_no_side_of_the_board(away: float) -> None:
    """It was, as the innermost line: the board came out 1 to 3.5 mm too small."""
    scene = with_card_along_the_top(away)
    traced = trace(photo_of(scene), photo_setup_of(scene), tapes_of(scene))
    assert traced.frame == "board"
    assert traced.plane.value("parcel depth") == pytest.approx(DEPTH, abs=0.4)
    assert all(remark.code != "parcel-size-differs" for remark in traced.remarks)


@pytest.mark.parametrize("off", [(3.0, 3.0), (-3.0, 3.0)])
def test_a_board_cut_wrong_by_millimetres_is_as_large_as_the_card_shows(off: tuple[float, float]) -> None:
    """Also where both sides are off the same way, so that a print off as much would explain it."""
    scene = village(tiles=False)
    setup = replace(photo_setup_of(scene), width=WIDTH + off[0], depth=DEPTH + off[1], printed_line=(100.0, 80.0))
    traced = trace(photo_of(scene), setup, tapes_of(scene))
    scores = compare(scene, traced).scores
    assert traced.frame == "board"
    assert sum(remark.code == "parcel-size-differs" for remark in traced.remarks) == 2
    assert max(abs(score.error) for score in scores) < 0.006
    assert max(abs(score.z) for score in scores) < 2.0


def test_a_board_of_nearly_the_tables_colour_is_found() -> None:
    """Its edges are steps of a twentieth; without them lengths come from the card, ten times less sure."""
    pale = Surface((238, 238, 234), "noise", 0.01)
    scene = replace(village(tiles=False), board=pale, table=replace(pale, colour=(225, 225, 221)), offcuts=())
    traced = trace(photo_of(scene), photo_setup_of(scene), tapes_of(scene))
    scores = compare(scene, traced).scores
    assert traced.frame == "board"
    assert max(abs(score.error) for score in scores) < 0.003
    assert max(score.u for score in scores) < 0.004


def test_a_shadow_beside_the_board_is_none_of_it() -> None:
    """Its edge on the table is stronger than the board's: areas were 0.6 % off, 2.5 times what was stated."""
    shadow = box(-1, -2.7, WIDTH_OF_SMALL + 2, 2.9)
    below = (WIDTH_OF_SMALL, DEPTH_OF_SMALL) - shadow
    scene = scene_of(
        [box(50, 60, 90, 110), box(190, 60, 90, 110)], [Tape(BLUE, 12.0), Tape(RED, 12.0)], tiles=False, offcuts=(),
        board=Surface((125, 110, 92), "noise", 0.03), table=Surface((196, 168, 126), "noise", 0.03),
        patches=(Patch(shadow, (70, 62, 54)), Patch(below, (70, 62, 54))),
    )  # fmt: skip
    traced = trace(photo_of(scene), replace(photo_setup_of(scene), printed_line=(100.0, 80.0)), tapes_of(scene))
    assert traced.frame == "board"
    assert traced.plane.value("parcel depth") == pytest.approx(DEPTH_OF_SMALL, abs=0.6)
    assert max(abs(score.error) for score in compare(scene, traced).scores) < 0.002


def tie(sides: int, misfit: float, parcel: float, scale: float = 0.5) -> TiedToBoard:
    """Sides of this misfit, and how probable the sizes of parcel and print are that they ask for."""
    plane = SimpleNamespace(line_misfit=(misfit,) * sides, parcel_chance=parcel, print_chance=scale)
    return TiedToBoard(None, plane, [None] * sides)  # type: ignore[arg-type, list-item]


@pytest.mark.parametrize(
    ("ties", "taken"),
    [
        ([tie(4, 0.2, 0.4), tie(4, 0.1, 0.5)], 0),  # the first that is sure
        (
            [tie(4, 0.3, 1e-9), tie(3, 0.2, 0.4), tie(4, 0.2, 0.4)],
            2,
        ),  # not as far apart as stated, or a side is missing
        ([tie(4, 1.2, 0.4), tie(4, 0.2, 0.4, 1e-9), tie(4, 0.3, 0.4)], 2),  # bent, or stretching the print
        ([tie(4, 0.2, 0.01), tie(4, 0.3, 0.4)], 1),  # the other one fits the stated size better
        ([tie(3, 0.2, 0.4), tie(4, 0.8, 0.4), tie(4, 1.2, 0.4)], 1),  # none is sure
    ],
)
def test_the_first_straight_line_near_a_side_is_not_believed(
    monkeypatch: pytest.MonkeyPatch, ties: list[TiedToBoard], taken: int
) -> None:
    """It was, so that tape was taken for an edge of the board: areas were up to 8 % off and said to be sure."""
    monkeypatch.setattr(parcel_frame, "_planes", lambda prints, plane: iter(ties))
    monkeypatch.setattr(
        parcel_frame,
        "_found",
        lambda prints, tried, colours, swatches, step, patterned=False: iter([] if patterned else [tried]),
    )
    assert parcel_frame.tie_to_board(None, None, None, []) is ties[taken]  # type: ignore[arg-type]


def bands(angle: float, period: float, wide: float) -> list[Polygon]:
    """Parallel bands of a cloth, as far as the photo reaches."""
    across = [box(place, -400, wide, 1100) for place in np.arange(-500.0, 900.0, period)]
    return [affinity.rotate(Polygon(ring), angle, origin=(0, 0)) for ring in across]


def on_cloth(scene: Scene, cloth: dict[tuple[int, int, int], list[Polygon]]) -> Scene:
    """The scene with a cloth's pattern around its board."""
    off_board = shapely.union_all([Polygon(ring).buffer(0.01) for ring in (scene.corners, *scene.offcuts)])
    parts = [(colour, part.difference(off_board)) for colour, own in cloth.items() for part in own]
    rings = [(c, np.asarray(g.exterior.coords)[:-1]) for c, p in parts for g in shapely.get_parts(p) if g.area > 1.0]
    return replace(scene, patches=tuple(Patch(ring, colour) for colour, ring in rings))


def striped() -> Scene:
    """A cloth with stripes in the colour of a tape."""
    scene = village(tiles=False)
    scene = replace(
        scene,
        tapes={**scene.tapes, 3: Tape((230, 205, 150), 9.0)},
        board=Surface((110, 145, 135), "noise", 0.03),
        table=Surface((70, 90, 140), "noise", 0.03),
    )
    return on_cloth(scene, {(232, 208, 155): bands(7.0, 40.0, 20.0)})


def chequered() -> Scene:
    """A white board on a white cloth with blue bands both ways, nearly along the board's sides."""
    scene = replace(
        with_card_along_the_top(3.0),
        board=Surface((232, 230, 224), "noise", 0.02),
        table=Surface((232, 231, 228), "noise", 0.02),
    )
    down, right = bands(2.0, 24.0, 12.0), bands(92.0, 24.0, 12.0)
    crossed = [one.intersection(other) for one in down for other in right]
    return on_cloth(scene, {(150, 165, 195): [*down, *right], (70, 95, 160): [c for c in crossed if c.area > 1.0]})


@pytest.mark.parametrize("scene", [striped, chequered])
def test_the_sides_are_found_on_a_patterned_cloth(scene: Callable[[], Scene]) -> None:
    """Its stripes were taken for tape that must lie on the board, its lines for the board's sides."""
    model = scene()
    traced = trace(photo_of(model), photo_setup_of(model), tapes_of(model))
    assert traced.frame == "board"
    assert traced.plane.value("parcel width") == pytest.approx(WIDTH, abs=0.5)
    assert traced.plane.value("parcel depth") == pytest.approx(DEPTH, abs=0.5)

"""What a photo is kept of when all else is blacked out: against the true places of board and card in drawn photos."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from calib.printed import CARD
from tests.helpers.scenes.files import photo_of, photo_setup_of, tapes_of
from tests.helpers.scenes.model import Scene
from tests.helpers.scenes.village import DEPTH, SHAPES, WIDTH, village
from vision.subject import subject_in
from vision.tracing import trace


def kept(scene: Scene, *, board: bool = True) -> shapely.Geometry:
    """All that is kept of the photo, px."""
    found = trace(photo_of(scene), photo_setup_of(scene), tapes_of(scene), board=board)
    return shapely.union_all([shapely.Polygon(polygon) for polygon in subject_in(found)])


def card_of(scene: Scene, grown: float = 0.0) -> tuple[np.ndarray, float]:
    """The true card's outline (n, 2) mm, and its height over the board."""
    card = next(p for p in scene.prints if p.kind == "card")
    c, s = np.cos(card.turn), np.sin(card.turn)
    at = CARD.corners @ np.array([[c, s], [-s, c]]) + card.place
    return rim(shapely.Polygon(at), grown), card.height


def rim(shape: shapely.Geometry, grown: float) -> np.ndarray:
    """Points every 5 mm along the outline of a shape grown by so many mm."""
    outline = shapely.buffer(shape, grown, join_style="mitre").exterior
    return shapely.get_coordinates(outline.segmentize(5.0))


def seen(scene: Scene, points: np.ndarray, height: float = 0.0) -> np.ndarray:
    return shapely.points(scene.view.project(points, height))


@pytest.mark.parametrize(
    "scene",
    [village(), village(tiles=False), village(tiles=False, thickness=5.0, tilt=25.0), village(tilt=30.0, k1=-0.02)],
    ids=["tiles", "board", "card on the table, slanted", "bent by the lens"],
)
def test_board_and_card_are_kept_with_a_rim_and_nothing_farther_away(scene):
    shown, board = kept(scene), shapely.box(0, 0, WIDTH, DEPTH)
    assert shown.covers(seen(scene, rim(board, 10.0))).all()
    assert shown.covers(seen(scene, *card_of(scene, 2.0))).all()
    around = rim(board, 15.0)
    card = shapely.Polygon(card_of(scene)[0])
    away = around[shapely.distance(shapely.points(around), card) > 15.0]
    assert len(away) > 100
    assert not shown.intersects(seen(scene, away)).any()


def test_where_the_parcel_is_not_known_outlines_and_card_are_kept():
    scene = village(tiles=False)
    shown = kept(scene, board=False)
    for ring in SHAPES.values():
        assert shown.covers(seen(scene, rim(shapely.Polygon(ring), 8.0))).all()
    assert shown.covers(seen(scene, *card_of(scene, 2.0))).all()
    hull = shapely.convex_hull(shapely.MultiPoint(np.vstack([*SHAPES.values(), card_of(scene)[0]])))
    assert not shown.intersects(seen(scene, rim(hull, 20.0))).any()

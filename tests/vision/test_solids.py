"""Solids seen in drawn photos from several sides, against their exact truth."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.helpers.scenes.built_models import built_model
from tests.helpers.scenes.files import photo_of, photo_setup_of, tapes_of
from tests.helpers.scenes.model import Scene
from tests.helpers.scenes.solids import Solid
from vision.picture.rectified import Rectified
from vision.solids.body import Body, BodyKind, mesh_of
from vision.solids.disagreement import Disagreement
from vision.solids.edge_fit import edge_picture, steps_across
from vision.solids.edge_search import EdgeField, edge_field, edge_scores, searched
from vision.solids.region_fit import Region, fitted
from vision.solids.seen_solids import SolidsShown, solids_shown
from vision.solids.shadow import outline, seen_edges, shadow, shadow_moves
from vision.solids.wanted_views import in_sight, wanted_view
from vision.solids.whole_land import open_places
from vision.tracing import trace

BODIES = (
    Body("box", 100.0, 80.0, 40.0, 30.0, 25.0, 0.3),
    Body("prism", 100.0, 80.0, 40.0, 30.0, 25.0, 0.3),
    Body("pyramid", 100.0, 80.0, 40.0, 30.0, 25.0, 0.3),
    Body("cylinder", 100.0, 80.0, 40.0, 40.0, 25.0),
    Body("cone", 100.0, 80.0, 40.0, 40.0, 25.0),
)
EYE = np.array([200.0, 50.0, -500.0])
EYES = (np.array([190.0, 150.0, -520.0]), np.array([-150.0, 60.0, -420.0]), np.array([520.0, 200.0, -430.0]))


@pytest.mark.parametrize("body", BODIES, ids=lambda b: b.kind)
def test_measures_of_a_body_are_those_of_its_mesh(body: Body) -> None:
    drawn = Solid(body.kind, (body.x, body.y), body.length, body.width, body.height, body.turn, (0, 0, 0))
    whole = area = 0.0
    for face in drawn.faces():
        middle = face - face.mean(axis=0)
        cross = sum(np.cross(middle[i - 1], middle[i]) for i in range(len(face))) / 2
        area += float(np.linalg.norm(cross))
        whole += float(cross @ face[0]) / 3
    assert body.volume == pytest.approx(drawn.volume)
    assert body.volume == pytest.approx(whole, rel=2e-3)
    assert body.surface == pytest.approx(area + body.floor, rel=2e-3)
    assert body.surface - body.side_surface == pytest.approx(
        body.floor * (2 if body.kind in ("box", "cylinder") else 1)
    )


@pytest.mark.parametrize("body", BODIES, ids=lambda b: b.kind)
def test_shadows_move_as_their_derivatives_say(body: Body) -> None:
    moves = shadow_moves(body.corners, body.moves, EYE)
    for at in range(len(body.vector)):
        changed = body.vector
        changed[at] += 1e-5
        moved = (shadow(body.with_vector(changed).corners, EYE) - shadow(body.corners, EYE)) / 1e-5
        assert moved == pytest.approx(moves[:, :, at], abs=1e-3)


def test_a_camera_straight_above_a_box_sees_its_top_alone_beside_the_walls_feet() -> None:
    above = np.array([100.0, 80.0, -500.0])
    edges = mesh_of("box").edges[seen_edges(BODIES[0], above), :2]
    assert edges.min() >= 4
    aside = mesh_of("box").edges[seen_edges(BODIES[0], np.array([600.0, 80.0, -500.0])), :2]
    assert len(aside) > 4


def test_a_point_is_shown_where_its_ray_meets_the_plane() -> None:
    point = np.array([[120.0, 90.0, 100.0]])
    shown = np.array([*shadow(point, EYE)[0], 0.0])
    ray, down = point[0] - (EYE * (1, 1, -1)), shown - (EYE * (1, 1, -1))
    assert np.cross(ray, down) == pytest.approx([0, 0, 0], abs=1e-6)


@pytest.mark.parametrize("kind", ["box", "cylinder", "cone"])
def test_a_body_is_found_where_its_shadows_disagree(kind: BodyKind) -> None:
    true = Body(kind, 150.0, 120.0, 40.0, 40.0, 50.0, 0.0)
    region, apart = _ideal(true)
    start = Body(kind, 156.0, 115.0, 30.0, 30.0, 38.0, 0.0)
    found = fitted(region, start, 150)
    assert (found.x, found.y) == pytest.approx((150, 120), abs=2.0)
    assert found.height == pytest.approx(50, abs=4.0)
    assert region.match(true).shown > 0.9 > 0.1 > region.match(true).rim
    assert region.match(start).gain < region.match(true).gain
    assert apart.of(0).max() <= apart.any.max()


def _silhouettes(body: Body) -> list[EdgeField]:
    """Pictures of a light box with a grey roof on dark ground."""
    import cv2

    fields = []
    for eye in EYES:
        picture = np.full((860, 860, 3), 60, np.uint8)
        places = np.round(shadow(body.corners, eye) / 0.35 * 16).astype(np.int32)
        cv2.fillConvexPoly(picture, cv2.convexHull(places), (200, 200, 200), cv2.LINE_8, 4)
        cv2.fillConvexPoly(picture, places[4:8], (120, 120, 120), cv2.LINE_8, 4)
        fields.append(edge_field(edge_picture(Rectified(picture, 0.35, np.zeros(2)), eye)))
    return fields


def test_among_many_solids_that_on_the_edges_scores_best() -> None:
    true = Body("box", 150.0, 120.0, 40.0, 30.0, 50.0, 0.2)
    tried = np.array([true.vector + off for off in (np.zeros(6), *(4.0 * np.eye(6)[:5]), [0, 0, 0, 0, 0, 0.3])])
    for level in (0, 1):
        scores = np.mean([edge_scores("box", tried, field, level) for field in _silhouettes(true)], axis=0)
        assert scores.argmax() == 0
        assert scores[0] > 1.15 * scores[1:].max() or level == 0


def test_a_blurred_border_lies_where_light_and_dark_meet_not_on_its_dark_side() -> None:
    import cv2

    low = Body("box", 150.0, 150.0, 60.0, 40.0, 4.0, 0.2)
    eye = np.array([150.0, 150.0, -4000.0])
    fine = np.full((6880, 6880), 20, np.uint8)
    cv2.fillConvexPoly(fine, np.round((outline(low, eye) / 0.35 + 0.5) * 8 - 0.5).astype(np.int32), 230)
    picture = cv2.GaussianBlur(cv2.resize(fine, (860, 860), interpolation=cv2.INTER_AREA), (0, 0), 1.2)
    blurred = cv2.cvtColor(picture, cv2.COLOR_GRAY2BGR)
    steps = steps_across(low, edge_picture(Rectified(blurred, 0.35, np.zeros(2)), eye), 1.5)
    outwards = np.sign(((steps.samples.points - 150.0) * steps.samples.normals).sum(axis=1))
    assert steps.clear.min() > 0.9
    assert float(np.median(steps.offset * outwards)) == pytest.approx(0.0, abs=0.1)


def test_land_is_open_where_photos_differ_about_no_solid_and_where_solids_hide_it() -> None:
    true = Body("box", 150.0, 120.0, 40.0, 40.0, 50.0, 0.0)
    _, apart = _ideal(true)
    (place,) = open_places(apart, [], (300.0, 300.0))
    assert place.why == "differs"
    assert (place.x, place.y) == pytest.approx((150, 120), abs=40.0)
    assert open_places(apart, [true], (300.0, 300.0)) == ()
    two = replace(apart, pairs={pair: d for pair, d in apart.pairs.items() if pair == (0, 1)}, eyes=apart.eyes[:2])
    assert {place.why for place in open_places(two, [true], (300.0, 300.0))} == {"hidden"}


def test_a_solid_is_found_from_far_off() -> None:
    true = Body("box", 150.0, 120.0, 40.0, 30.0, 50.0, 0.2)
    region, _ = _ideal(true)
    starts = [Body("box", 155.0, 115.0, 30.0, 24.0, 38.0, 0.5), Body("cone", 155.0, 118.0, 30.0, 30.0, 60.0)]
    best = searched(starts, region, _silhouettes(true), region.gain(true))[0]
    assert best.kind == "box"
    assert (best.x, best.y, best.height) == pytest.approx((150, 120, 50), abs=5.0)
    assert best.volume == pytest.approx(true.volume, rel=0.35)


def test_the_next_photo_is_asked_for_from_where_nothing_hides_the_solid() -> None:
    low, wall = Body("box", 150.0, 150.0, 25.0, 25.0, 20.0), Body("box", 110.0, 150.0, 30.0, 120.0, 90.0)
    from_left, from_right = np.array([-150.0, 150.0, -430.0]), np.array([450.0, 150.0, -430.0])
    assert in_sight(low, from_left, [wall]) < 0.2
    assert in_sight(low, from_right, [wall]) == pytest.approx(1.0)
    above = [edge_picture(Rectified(np.zeros((8, 8, 3), np.uint8), 1.0, np.zeros(2)), np.array([150.0, 150.0, -520.0]))]
    walls = [wall, Body("box", 150.0, 105.0, 120.0, 25.0, 90.0), Body("box", 150.0, 195.0, 120.0, 25.0, 90.0)]
    assert wanted_view(low, above, walls).side == "right"


def _ideal(body: Body) -> tuple[Region, Disagreement]:
    """What three cameras disagree about where nothing but a body stands on the plane."""
    import cv2

    mm, shape = 2.0, (150, 150)
    masks = []
    for eye in EYES:
        mask = np.zeros(shape, np.uint8)
        cv2.fillConvexPoly(mask, np.round(outline(body, eye) / mm * 16).astype(np.int32), 1, cv2.LINE_8, 4)
        masks.append(mask)
    pairs = {(i, j): (masks[i] ^ masks[j]).astype(np.float32) for j in range(3) for i in range(j)}
    apart = Disagreement(pairs, np.ones(shape, dtype=bool), np.zeros(2), mm, EYES)
    return Region(apart, np.ones(shape, np.float32), body), apart


def _shown(scenes: list[Scene]) -> SolidsShown:
    seen = []
    for scene in scenes:
        photo = photo_of(scene)
        seen.append((photo, trace(photo, photo_setup_of(scene), tapes_of(scene))))
    return solids_shown(seen, (scenes[0].width, scenes[0].depth))


SOLIDS = (
    Solid("box", (120.0, 95.0), 44.0, 30.0, 35.0, 0.3, (232, 230, 224)),
    Solid("cylinder", (290.0, 215.0), 46.0, 46.0, 48.0, 0.0, (150, 60, 50)),
)


@pytest.fixture(scope="module")
def two_sides() -> list[Scene]:
    """One small model from two sides; what random_scene lays is left, what it builds is not."""
    return [replace(s, solids=SOLIDS) for s in built_model(118, (8.0, 32.0), size=(1600, 1200), most=0)]


def test_solids_seen_from_two_sides_are_measured_within_what_is_stated(two_sides: list[Scene]) -> None:
    shown = _shown(two_sides)
    assert [m.body.kind for m in shown.bodies] == ["box", "cylinder"]
    assert shown.doubtful == ()
    assert [(use.bodies, use.sharper) for use in shown.photos] == [(2, np.inf), (2, np.inf)]
    for measured, true in zip(shown.bodies, SOLIDS, strict=True):
        body = measured.body
        assert measured.height_known
        assert measured.wanted is None
        assert (body.x, body.y) == pytest.approx(true.centre, abs=2.0)
        assert abs(body.height - true.height) < min(5.0, 3 * measured.spread.height)
        assert abs(body.volume - true.volume) < min(0.15 * true.volume, 3 * measured.spread.volume)
        assert measured.spread.height < 0.1 * true.height


def test_flat_paper_and_tape_are_no_solids(two_sides: list[Scene]) -> None:
    assert _shown([replace(scene, solids=()) for scene in two_sides]).bodies == ()


def test_the_same_photo_twice_tells_no_heights(two_sides: list[Scene]) -> None:
    assert _shown([two_sides[0], two_sides[0]]).bodies == ()


def test_one_photo_tells_no_heights(two_sides: list[Scene]) -> None:
    assert _shown(two_sides[:1]) == SolidsShown()

"""Solids seen in drawn photos from several sides, against their exact truth."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.helpers.scenes.built_models import built_model
from tests.helpers.scenes.files import photo_of, photo_setup_of, tapes_of
from tests.helpers.scenes.model import Scene
from tests.helpers.scenes.solids import Solid
from vision.solids.body import Body, BodyKind, mesh_of
from vision.solids.disagreement import Disagreement
from vision.solids.region_fit import Region, fitted
from vision.solids.seen_solids import MeasuredBody, solids_shown
from vision.solids.shadow import outline, seen_edges, shadow, shadow_moves
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


def _shown(scenes: list[Scene]) -> tuple[MeasuredBody, ...]:
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
    found = _shown(two_sides)
    assert [m.body.kind for m in found] == ["box", "cylinder"]
    for measured, true in zip(found, SOLIDS, strict=True):
        body = measured.body
        assert measured.height_known
        assert (body.x, body.y) == pytest.approx(true.centre, abs=2.0)
        assert abs(body.height - true.height) < min(5.0, 3 * measured.spread.height)
        assert abs(body.volume - true.volume) < min(0.15 * true.volume, 3 * measured.spread.volume)
        assert measured.spread.height < 0.1 * true.height


def test_flat_paper_and_tape_are_no_solids(two_sides: list[Scene]) -> None:
    assert _shown([replace(scene, solids=()) for scene in two_sides]) == ()


def test_the_same_photo_twice_tells_no_heights(two_sides: list[Scene]) -> None:
    assert _shown([two_sides[0], two_sides[0]]) == ()


def test_one_photo_tells_no_heights(two_sides: list[Scene]) -> None:
    assert _shown(two_sides[:1]) == ()

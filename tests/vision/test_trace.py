"""Drawn models of exactly known geometry, from pixels to outlines."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from calib.photo_setup import Priors
from tests.helpers.scenes.draw import draw
from tests.helpers.scenes.files import encoded, photo_of, photo_setup_of, tapes_of
from tests.helpers.scenes.laying import box, lay, pond
from tests.helpers.scenes.model import (
    Band,
    Block,
    Film,
    Light,
    Patch,
    Print,
    Scene,
    Shadow,
    Strip,
    Tape,
    Thread,
    TruePiece,
    Zone,
)
from tests.helpers.scenes.scoring import compare
from tests.helpers.scenes.village import DEPTH, SHAPES, WIDTH, village
from vision.picture.photo import photo_from_bytes
from vision.picture.traced import Traced
from vision.tracing import trace

EXACT = Priors(0, 0, 0, 0, 0)


def traced(scene: Scene) -> Traced:
    return trace(photo_of(scene), photo_setup_of(scene, EXACT), tapes_of(scene))


def check(scene: Scene, largest: float = 0.004, outside: int = 0) -> Traced:
    """All pieces found, none too many, areas within `largest` and all but `outside` of them within three u."""
    result = traced(scene)
    score = compare(scene, result)
    assert (score.missed, score.extra) == ((), ())
    assert max(abs(s.error) for s in score.scores) < largest
    assert sum(abs(s.z) > 3 for s in score.scores) <= outside
    return result


def with_zone(scene: Scene, ring: np.ndarray, tape: Tape, *, name: str = "orchard", band: bool = False) -> Scene:
    number = len(scene.tapes) + 1
    laid = lay(ring, number, tape.width, np.random.default_rng(3), over=(0.5, 3.0))
    return replace(
        scene,
        tapes={**scene.tapes, number: tape},
        zones=(*scene.zones, Zone(name, number, height=tape.height if band else 0.0)),
        pieces=(*scene.pieces, TruePiece(name, ring)),
        strips=scene.strips if band else (*scene.strips, *laid),
        bands=(Band(ring, number),) if band else (),
    )


@pytest.mark.parametrize(
    "scene",
    [
        village(),
        village(tiles=False),
        village(tiles=False, thickness=5.0),
        village(tilt=30.0),
        village(k1=0.02),
        village(film=Film(linear=False, blur=1.0)),
    ],
    ids=["tiles", "board's own edges", "card on the table", "tilted", "barrel lens", "other blur"],
)
def test_areas(scene: Scene) -> None:
    result = check(scene)
    assert result.frame == ("tiles" if any(p.kind == "corner" for p in scene.prints) else "board")


def test_things_of_a_tapes_colour_that_are_no_tape() -> None:
    """A roof, a paper patch that touches the tape, another string across: none of them is an outline."""
    red, blue = (188, 33, 26), (48, 103, 187)
    scene = replace(
        village(),
        patches=(Patch(box(200, 65, 30, 35), blue), Patch(box(46, 60, 40, 30), red)),
        blocks=(Block(box(85, 80, 30, 22), 15.0, red, (120, 20, 16)),),
        threads=(Thread(np.array([[30.0, 130], [150, 60], [280, 110]]), 1.5, (20, 20, 20)),),
    )
    check(scene, 0.01)


def test_hidden_tape_is_closed_along_its_sides() -> None:
    """A tower over a corner: both sides are prolonged to where they meet, and the result says how much was inferred."""
    scene = replace(village(), blocks=(Block(box(116, 94, 30, 30), 30.0, (150, 110, 70), (120, 85, 50)),))
    result = traced(scene)
    score = compare(scene, result)
    assert (score.missed, score.extra) == ((), ())
    library = next(p for p in result.pieces if p.zone == "library")
    assert len(library.ring.points) == 4
    assert 0.02 < library.bridged < 0.35
    assert all(abs(s.error) < 0.03 and abs(s.z) < 3 for s in score.scores)
    whole = next(p for p in check(village()).pieces if p.zone == "library")
    assert np.linalg.norm(library.ring.sensitivity) > np.linalg.norm(whole.ring.sensitivity)


def test_a_curve_stays_a_curve() -> None:
    ring = pond(np.array([240.0, 180.0]), np.array([28.0, 24.0]), np.random.default_rng(5))
    scene = with_zone(village(), ring, Tape((120, 60, 160), 4.0, height=1.2), band=True)
    result = check(scene, 0.02)
    assert next(p for p in result.pieces if p.zone == "orchard").ring.curved


def test_a_ring_in_a_ring_of_the_same_zone_is_a_hole() -> None:
    inner = np.array([[66.0, 60], [106, 60], [106, 88], [66, 88]])
    scene = village()
    laid = lay(inner, 1, 12.0, np.random.default_rng(2), over=(0.0, 0.5))
    pieces = tuple(replace(p, holes=(inner,)) if p.zone == "library" else p for p in scene.pieces)
    check(replace(scene, strips=(*scene.strips, *laid), pieces=pieces), 0.006)


def test_zone_tiles_name_outlines_of_one_tape() -> None:
    scene = with_zone(village(), box(225, 160, 50, 50), Tape((30, 120, 60), 6.0))
    same = [Strip(s.start, s.end, 1, s.before, s.after, s.shade) for s in scene.strips if s.tape == 4]
    zones = (Zone("library", 1, 50), *scene.zones[1:3], Zone("orchard", 1, 51))
    scene = replace(
        scene,
        strips=(*(s for s in scene.strips if s.tape != 4), *(replace(s) for s in same)),
        zones=zones,
        prints=(*scene.prints, Print(50, "zone", (75.0, 62.0), 0.1), Print(51, "zone", (238.0, 173.0), -0.1)),
    )
    names = sorted(p.zone for p in traced(scene).pieces)
    assert names == ["library", "meadow", "orchard", "stables"]


def test_a_striped_tape() -> None:
    ring = box(225, 160, 50, 56)
    check(with_zone(village(), ring, Tape((30, 120, 60), 10.0, second=(240, 140, 20), stripe=6.0)), 0.01)


def test_a_shadow_across_the_tape() -> None:
    ring = np.array([[-50.0, 90], [400, 40], [400, 90], [-50, 150]])
    check(replace(village(), light=Light(shadows=(Shadow(ring, 0.45, 2.0),))), 0.006)


def test_half_the_pixels_are_less_certain() -> None:
    def u(size: tuple[int, int]) -> float:
        return float(np.mean([s.u for s in compare(village(), traced(village(size=size))).scores]))

    assert u((1200, 900)) > 1.2 * u((2400, 1800))


def test_orientation_and_containers_do_not_change_what_is_measured() -> None:
    """EXIF's eight orientations, JPEG, PNG and HEIC: the same photo, within what their compression does."""
    scene = village()
    bgr = draw(scene)
    turned = {1: bgr, 3: np.rot90(bgr, 2), 6: np.rot90(bgr, 1), 8: np.rot90(bgr, 3)}
    areas = []
    files = [encoded(np.ascontiguousarray(picture), orientation=o) for o, picture in turned.items()]
    files += [encoded(bgr, "PNG"), encoded(bgr, "HEIF", quality=90)]
    for data in files:
        result = trace(photo_from_bytes(data, "photo"), photo_setup_of(scene, EXACT), tapes_of(scene))
        score = compare(scene, result)
        assert (score.missed, score.extra) == ((), ())
        areas.append([s.error for s in sorted(score.scores, key=lambda s: s.zone)])
    assert np.ptp(np.array(areas), axis=0).max() < 0.0015


def test_the_village_is_as_the_tests_say() -> None:
    assert all((ring > 0).all() and (ring < (WIDTH, DEPTH)).all() for ring in SHAPES.values())


def test_an_outline_mostly_hidden_is_not_measured_rather_than_not_there() -> None:
    """Two of four sides taped: the zone is there, and the remark says from where to look."""
    scene = village()
    kept = tuple(s for i, s in enumerate(scene.strips) if not (s.tape == 1 and i in (2, 3)))
    result = traced(replace(scene, strips=kept))
    assert "library" not in {p.zone for p in result.pieces}
    assert result.unread == ("library",)
    assert any((said.code, said.zone) == ("outline-open", "library") for said in result.remarks)


def test_a_misplaced_tile_is_named() -> None:
    """A corner tile 4 mm off, where 0.3 mm is usual: the remark names it and the card."""
    scene = village()
    prints = tuple(replace(p, place=(p.place[0] - 4.0, p.place[1])) if p.tag == 2 else p for p in scene.prints)
    result = trace(photo_of(replace(scene, prints=prints)), photo_setup_of(scene), tapes_of(scene))
    (disagree,) = (dict(said.facts) for said in result.remarks if said.code == "tags-disagree")
    assert 2 in disagree["tiles"]


def test_a_plan_drawn_with_thick_markers_on_paper_is_measured_like_a_model() -> None:
    """So a plan can be checked before building: flat ink, blunt ends that stop about where a line ends."""
    scene = village()
    ink = {n: Tape(t.colour, 7.0, height=0.0) for n, t in scene.tapes.items()}
    lines = tuple(replace(s, before=3.5, after=3.5) for s in scene.strips)
    check(replace(scene, tapes=ink, strips=lines), 0.005)

"""Repairs by hand: against shapely, against a fresh plat, and against what hands that point would really do."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from measure.challenge import Challenge, Parcel
from measure.errors import InputMistakes
from measure.notices import Notice, Subject
from measure.plat.measures import Measures
from measure.plat.plat import PhotoRecord, Piece, Plat, Ring, Source, normalised, ordered
from measure.quantity import Quantity
from measure.repair.pointing import PictureExtent, by_hand, pointing_u, shared_moves
from measure.repair.repair import Add, Edit, Places, Remove, Reshape, Rezone, repair_notices, repaired
from measure.rules.evaluation.evaluate import evaluate_all
from tests.helpers.examples import examples
from tests.helpers.made.challenges import challenge as made_challenge
from tests.helpers.made.plats import Corners, Model, exact, moved_points, moved_polygons, plat, rectangle, regular
from tests.helpers.notices import said

ZONES = ("library", "stables", "pond")
SHOWN = PictureExtent(0.25, -12.0, -12.0, 470.0, 370.0)
PHOTO = PhotoRecord("a.jpg", "00", 0.2, 3.0)


def settlement() -> Plat:
    """A library, stables in two pieces and a round pond, of which the causes that they share are known."""
    model = Model(21)
    pieces = [
        model.piece("library", rectangle(30, 20, 80, 60)),
        model.piece("stables", rectangle(150, 30, 70, 80)),
        model.piece("stables", rectangle(300, 200, 60, 90)),
        model.piece("pond", regular(24, 30, (90, 160)), curved=True),
    ]
    made = plat(*ordered(pieces), width=457.2, depth=355.6)
    kinds = ["print", "plane", "plane"] + ["edge"] * (len(made.sources) - 3)
    sources = tuple(Source(source.name, kind) for source, kind in zip(made.sources, kinds, strict=True))
    return replace(made, sources=sources, photos=(PHOTO,), frame="tiles")


def places(corners: Corners) -> Places:
    return tuple((float(x), float(y)) for x, y in corners)


def ring(piece: Piece) -> Places:
    return tuple((float(x), float(y)) for x, y in piece.ring.points)


def mended(before: Plat, *edits: Edit) -> Plat:
    return repaired(before, edits, ZONES, SHOWN, "in")


def of(made: Plat, zone: str, number: int = 1) -> Piece:
    return Measures(made).all_pieces(zone)[number - 1]


def refusal(*edits: Edit) -> str:
    with pytest.raises(InputMistakes) as refused:
        mended(settlement(), *edits)
    return str(refused.value)


def polygon(piece: Piece) -> shapely.Polygon:
    return shapely.Polygon(piece.ring.points, [hole.points for hole in piece.holes])


shifts = st.integers(-60, 60).map(lambda quarter: quarter / 4)
quadrilaterals = st.tuples(*[st.tuples(shifts, shifts) for _ in range(4)])


def quadrilateral(moves: Sequence[tuple[float, float]], base: Corners) -> Corners:
    return [(x + dx, y + dy) for (x, y), (dx, dy) in zip(base, moves, strict=True)]


@given(turn=st.integers(0, 3), backwards=st.booleans(), noise=st.floats(-0.01, 0.01))
@examples(25)
def test_the_same_outline_from_any_corner_either_way_round_changes_nothing(
    turn: int, backwards: bool, noise: float
) -> None:
    before = settlement()
    corners = ring(of(before, "library"))
    turned = corners[turn:] + corners[:turn]
    edit = Reshape("library", 1, tuple((x + noise, y) for x, y in (turned[::-1] if backwards else turned)))
    after = mended(before, edit)
    assert after.pieces == before.pieces
    assert after.sources == before.sources
    assert after.notices == before.notices


def test_no_edits_change_nothing() -> None:
    before = settlement()
    assert mended(before).pieces == before.pieces


@given(quadrilaterals)
@examples(40)
def test_areas_are_those_of_shapely(moves: Sequence[tuple[float, float]]) -> None:
    corners = quadrilateral(moves, rectangle(30, 20, 80, 60))
    new = Add("pond", places(rectangle(300, 40, 50, 70)))
    after = mended(settlement(), Reshape("library", 1, places(corners)), new)
    area, both = Measures(after).area(["library"]), Measures(after).area(["pond"])
    assert area is not None
    assert both is not None
    assert area.value == pytest.approx(shapely.Polygon(corners).area, rel=1e-9)
    assert both.value == pytest.approx(sum(polygon(p).area for p in after.pieces if p.zone == "pond"), rel=1e-9)


@given(quadrilaterals, st.booleans())
@examples(25)
def test_corners_are_numbered_as_everywhere(moves: Sequence[tuple[float, float]], backwards: bool) -> None:
    """Clockwise in the picture from the corner nearest the origin, whichever way the hand went round."""
    corners = quadrilateral(moves, rectangle(30, 20, 80, 60))
    after = mended(settlement(), Reshape("library", 1, places(corners[::-1] if backwards else corners)))
    points = of(after, "library").ring.points
    assert shapely.LinearRing(np.c_[points[:, 0], -points[:, 1]]).is_ccw is False
    assert np.hypot(*points[0]) == pytest.approx(np.hypot(*points.T).min())
    assert set(map(tuple, points.round(9))) == {(round(x, 9), round(y, 9)) for x, y in corners}


def test_corners_that_stay_keep_their_uncertainty_and_the_moved_one_gets_that_of_a_hand() -> None:
    before = settlement()
    corners = list(ring(of(before, "library")))
    corners[2] = (corners[2][0] + 6, corners[2][1] + 4)
    after = mended(before, Reshape("library", 1, tuple(corners)))
    old, new = of(before, "library").ring, of(after, "library").ring
    width = of(before, "library").tape_width.value
    for corner in (0, 1, 3):
        assert np.array_equal(new.sensitivity[corner, :, : old.sensitivity.shape[2]], old.sensitivity[corner])
    assert by_hand(new, after.sources) == (2,)
    own = [at for at, source in enumerate(after.sources) if source.kind == "hand"]
    assert len(own) == 2
    assert np.allclose(np.linalg.norm(new.sensitivity[2][:, own], axis=1), pointing_u(0.25, width))
    # Scale and shift, which all corners share, are those of the place (made_plats.Model knows them); edges are gone.
    assert new.sensitivity[2, :, 0] == pytest.approx(0.002 * new.points[2], rel=1e-6)
    assert new.sensitivity[2, :, 1:3] == pytest.approx(np.array([[0.2, 0.0], [0.0, 0.2]]), rel=1e-6, abs=1e-9)
    assert not new.sensitivity[2, :, 3 : old.sensitivity.shape[2]].any()


def test_shared_causes_are_known_anywhere_in_the_picture_for_a_camera_that_may_tilt() -> None:
    """A truth that shares no code: places seen through cameras whose tilt, turn and height err, by finite steps."""
    random = np.random.default_rng(3)

    def seen(xy: np.ndarray, wrong: np.ndarray) -> np.ndarray:
        h = np.eye(3) + np.array([[wrong[0], wrong[1], wrong[2]], [wrong[3], wrong[4], wrong[5]], [*wrong[6:8], 0]])
        out = np.c_[xy, np.ones(len(xy))] @ h.T
        return np.asarray(out[:, :2] / out[:, 2:])

    steps = random.normal(size=(6, 8)) * [1e-3, 1e-3, 0.2, 1e-3, 1e-3, 0.2, 2e-6, 2e-6]
    corners = [np.array(rectangle(*random.uniform(0, 300, 2), 60, 50), float) for _ in range(5)]
    pieces = [
        Piece("library", Ring(c, np.stack([seen(c, s) - c for s in steps], axis=2)), Quantity(12.0)) for c in corners
    ]
    sources = tuple(Source(f"camera {i}", "plane") for i in range(6))
    asked = random.uniform(0, 400, (40, 2))
    found = shared_moves(Plat(457, 356, tuple(pieces), sources, "tiles"), asked, SHOWN)
    assert found is not None
    truth = np.stack([seen(asked, s) - asked for s in steps], axis=2)
    assert np.linalg.norm(found - truth, axis=2).max() < 0.02 * np.linalg.norm(truth, axis=2).min()


def test_an_area_spreads_as_hands_that_point_would_spread_it() -> None:
    """Against draws: a drawn outline's corners each err by themselves, the picture's scale errs for all of them."""
    after = mended(settlement(), Add("library", places(rectangle(250, 30, 90, 70))))
    piece = next(p for p in after.pieces if p.repaired)
    draws = np.random.default_rng(5).standard_normal((4000, len(after.sources)))
    areas = shapely.area(moved_polygons(piece.ring, draws))
    area = Measures(after).piece_area("library", list(Measures(after).all_pieces("library")).index(piece) + 1)
    assert area is not None
    assert area.u == pytest.approx(areas.std(), rel=0.05)
    corner = moved_points(piece.ring, draws)[:, 0, 0]
    shared = np.hypot(0.002 * piece.ring.points[0, 0], 0.2)
    assert corner.std() == pytest.approx(np.hypot(pointing_u(0.25, 12.0), shared), rel=0.05)


def test_a_drawn_outline_is_of_the_zones_own_tape() -> None:
    after = mended(settlement(), Add("stables", places(rectangle(250, 30, 40, 40))))
    new, old = next(p for p in after.pieces if p.repaired), of(settlement(), "stables")
    assert new.tape_width.value == old.tape_width.value
    assert new.repaired is not None
    assert (new.repaired.changes, new.repaired.was, new.status) == (("drawn",), None, "measured")
    assert by_hand(new.ring, after.sources) == (0, 1, 2, 3)


def test_a_zone_without_tape_of_its_own_gets_a_width_that_is_uncertain_and_said_to_be() -> None:
    before = settlement()
    alone = replace(before, pieces=tuple(p for p in before.pieces if p.zone != "pond"))
    after = mended(alone, Add("pond", places(rectangle(250, 30, 40, 40))))
    assert of(after, "pond").tape_width.value == 12.0
    assert of(after, "pond").tape_width.u >= 1.0
    assert said(after.notices) == ("the width of the tape of pond is not known: 12 mm is taken",)


def test_an_outline_drawn_inside_one_of_the_same_zone_is_a_hole() -> None:
    after = mended(settlement(), Add("library", places(rectangle(50, 35, 30, 20))))
    (piece,) = Measures(after).all_pieces("library")
    assert len(piece.holes) == 1
    area = Measures(after).area(["library"])
    assert area is not None
    assert area.value == pytest.approx(80 * 60 - 30 * 20)
    assert "the outline of library was changed by hand" in said(
        repair_notices(piece, Subject("library"), after.sources)
    )


def test_holes_can_be_moved_and_taken_out() -> None:
    outline, hole = rectangle(30, 20, 100, 90), rectangle(60, 50, 30, 20)
    before = plat(exact("library", outline, holes=[rectangle(50, 40, 30, 20)]))
    moved = mended(before, Reshape("library", 1, places(outline), (places(hole),)))
    filled = mended(before, Reshape("library", 1, places(outline)))
    assert polygon(moved.pieces[0]).equals(shapely.Polygon(outline, [hole]))
    assert by_hand(moved.pieces[0].ring, moved.sources) == ()
    assert filled.pieces[0].holes == ()


def test_removing_a_piece_leaves_the_others_as_they_are() -> None:
    before = settlement()
    after = mended(before, Remove("stables", 1))
    assert [p for p in before.pieces if p is not of(before, "stables", 1)] == list(after.pieces)
    assert said(after.notices) == ("piece 1 of stables was taken away by hand",)


def test_a_piece_of_another_zone_keeps_its_outline_and_says_what_it_was() -> None:
    before = settlement()
    after = mended(before, Rezone("stables", 2, "library"))
    piece = of(after, "library", 2)
    assert piece.ring is of(before, "stables", 2).ring
    words = said(repair_notices(piece, Subject("library", 2), after.sources))
    assert words == ("piece 2 of library was measured as stables and was said by hand to be library",)
    back = mended(after, Rezone("library", 2, "stables"))
    assert list(repair_notices(of(back, "stables", 2), Subject("stables", 2), back.sources)) == []


def test_the_second_repair_keeps_how_the_piece_was_measured() -> None:
    before = settlement()
    once = mended(before, Reshape("library", 1, places(rectangle(30, 20, 80, 66))))
    twice = mended(once, Reshape("library", 1, places(rectangle(30, 20, 88, 66))))
    found = of(twice, "library").repaired
    assert found is not None
    assert found.was is not None
    assert found.was.rings[0] == ring(of(before, "library"))
    assert by_hand(of(twice, "library").ring, twice.sources) == (1, 2, 3)


def test_a_part_of_a_curve_that_is_moved_is_out_or_in_as_a_whole() -> None:
    before = settlement()
    points = of(before, "pond").ring.points.copy()
    centre, moved = np.array([90.0, 160.0]), [3, 4, 5, 6]
    points[moved] = centre + 1.1 * (points[moved] - centre)
    after = mended(before, Reshape("pond", 1, places(points.tolist())))
    new = of(after, "pond").ring
    own = [at for at, source in enumerate(after.sources) if source.kind == "hand"]
    assert new.curved
    assert len(own) == 1
    steps = new.sensitivity[list(by_hand(new, after.sources))][:, :, own[0]]
    assert np.allclose(np.linalg.norm(steps, axis=1), pointing_u(0.25, 12.0))
    assert (np.einsum("nd,nd->n", steps, new.points[list(by_hand(new, after.sources))] - centre) > 0).all()


def test_what_no_photo_shows_stays_inferred_where_both_ends_stay() -> None:
    corners = np.array(rectangle(30, 20, 100, 90), float)
    hidden = normalised(corners, np.zeros((4, 2, 0)), inferred=((1, 0.2, 0.6), (3, 0.0, 0.5)))
    share = (0.4 * 90 + 0.5 * 90) / 380
    before = plat(Piece("library", hidden, Quantity(12.0), bridged=share))
    for backwards in (False, True):
        moved = [(30, 20), (130, 20), (130, 110), (30, 118)]
        after = mended(before, Reshape("library", 1, places(moved[::-1] if backwards else moved)))
        ((side, start, end),) = of(after, "library").ring.inferred
        assert (side, pytest.approx(start), pytest.approx(end)) == (1, 0.2, 0.6)
        length = shapely.Polygon(moved).length
        assert of(after, "library").bridged == pytest.approx(0.4 * 90 / length)


def test_a_piece_that_could_not_be_measured_is_placed_by_hand_altogether() -> None:
    before = settlement()
    lost = replace(of(before, "library"), status="not measurable")
    torn = replace(before, pieces=(lost, *(p for p in before.pieces if p.zone != "library")))
    after = mended(torn, Reshape("library", 1, ring(lost)))
    assert of(after, "library").status == "measured"
    assert len(by_hand(of(after, "library").ring, after.sources)) == 4


def test_a_zone_whose_tape_could_not_be_told_is_measured_once_it_is_drawn() -> None:
    before = settlement()
    nothing = Piece("pond", Ring(np.zeros((0, 2)), np.zeros((0, 2, 3))), Quantity(0.0), status="not measurable")
    unread = replace(before, pieces=(*(p for p in before.pieces if p.zone != "pond"), nothing))
    after = mended(unread, Add("pond", places(rectangle(250, 30, 40, 40))))
    assert [p.status for p in after.pieces if p.zone == "pond"] == ["measured"]


def test_where_nothing_was_measured_the_scale_is_taken_as_uncertain_and_that_is_said() -> None:
    blank = replace(plat(width=457.2, depth=355.6), photos=(PHOTO,))
    here, there = places(rectangle(30, 30, 80, 80)), places(rectangle(200, 30, 80, 80))
    after = mended(blank, Add("pond", here), Add("library", there))
    assert Notice("scale-taken", facts={"percent": 0.5}) in after.notices
    measures = Measures(after)
    a, b = measures.area(["pond"]), measures.area(["library"])
    assert a is not None
    assert b is not None
    assert a.covariance(b) > 0
    assert a.u / a.value >= 0.01


@pytest.mark.parametrize(
    ("edit", "said"),
    [
        (
            Reshape("library", 1, ((30, 20), (110, 80), (110, 20), (30, 80))),
            "library: the outline crosses itself at (2.756, 1.969); move a corner so that no two sides cross or touch",
        ),
        (Add("pond", ((30, 20), (34, 20), (34, 24))), "pond: the outline at (1.18, 0.79) in is too small to be"),
        (
            Reshape("stables", 2, ((300, 200), (480, 200), (360, 290))),
            "piece 2 of stables: corner 2 at (18.90, 7.87) in lies outside the picture; move it into the picture",
        ),
        (Add("pond", ((30, 20), (80, 20))), "new outline of pond: an outline has only 2 corners; set three"),
        (Add("pond", ((30, 20), (80, 20), (80, 20), (80, 90))), "corners 2 and 3 at (3.15, 0.79) in are one place"),
        (Add("pond", ((30, 20), (float("nan"), 20), (80, 90))), "a corner's place is no number"),
        (
            Reshape("library", 1, places(rectangle(30, 20, 80, 60)), (places(rectangle(20, 10, 50, 50)),)),
            "library: a hole crosses or leaves its outline",
        ),
        (Add("quarry", places(rectangle(30, 20, 80, 60))), "change 1: quarry is no zone of this challenge; the zones"),
        (Rezone("library", 1, "quarry"), "change 1: quarry is no zone"),
        (Remove("library", 2), "change 1: there is no piece 2 of library: it has 1"),
    ],
)
def test_what_is_no_outline_is_refused_with_its_place(edit: Edit, said: str) -> None:
    assert said in refusal(edit)


def test_all_mistakes_are_told_at_once_and_a_piece_is_changed_once() -> None:
    said = refusal(Remove("library", 3), Add("quarry", ()), Remove("stables", 1), Rezone("stables", 1, "pond"))
    assert len(said.splitlines()) == 4
    assert "piece 1 of stables: it is changed twice" in said


RULES = (
    "library covers at most 1/20 of the parcel",
    "stables are at least 2 in from library",
    "pond does not touch library",
    "no zones overlap",
    "there are exactly 2 pieces of stables",
)


@pytest.fixture(scope="module")
def challenge() -> Challenge:
    return made_challenge(*RULES, zones=ZONES, parcel=Parcel(457.2, 355.6), unit="in")


@given(quadrilaterals, st.sampled_from(ZONES))
@examples(15)
def test_verdicts_are_those_of_a_fresh_plat(
    challenge: Challenge, moves: Sequence[tuple[float, float]], zone: str
) -> None:
    """A plat built from the same outlines by other means has the same values; the limits' sides agree."""
    corners = quadrilateral(moves, rectangle(30, 20, 80, 60))
    extra = rectangle(250, 130, 40, 50)
    after = mended(settlement(), Reshape("library", 1, places(corners)), Add(zone, places(extra)), Remove("stables", 2))
    fresh = plat(
        exact("library", corners),
        exact("stables", rectangle(150, 30, 70, 80)),
        exact("pond", regular(24, 30, (90, 160)), curved=True),
        exact(zone, extra),
        width=457.2,
        depth=355.6,
    )
    judged = [evaluate_all(challenge, Measures(p, "middle", challenge.touch_gap)) for p in (after, fresh)]
    for ours, theirs in zip(*judged, strict=True):
        assert ours.value == pytest.approx(theirs.value, rel=1e-6, abs=1e-6)
        if ours.verdict in ("met", "not met"):
            assert ours.verdict == theirs.verdict

"""Lines repaired by hand: lengths against shapely, uncertainty against what hands that point do, joins, doubts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
import shapely

from measure.errors import InputMistakes
from measure.lines.net import net_of
from measure.notices import Notice, Subject
from measure.plat.plat import LineDoubt, LinePiece, Plat, Source
from measure.quantity import Quantity
from measure.repair.line_edits import AddLine, LineEdit, Places, RemoveLine, RenameLine, ReshapeLine, joined_points
from measure.repair.line_repair import line_repair_notices
from measure.repair.pointing import PictureExtent, pointing_u, points_by_hand
from measure.repair.repair import repaired
from tests.helpers.made.challenges import challenge
from tests.helpers.made.plats import Model, plat, rectangle

SHOWN = PictureExtent(0.25, 0.0, 0.0, 400.0, 300.0)
LINES = ("road", "pipe")


def arc(radius: float, degrees: float, count: int, centre: tuple[float, float] = (100.0, 100.0)) -> np.ndarray:
    at = np.radians(np.linspace(0.0, degrees, count))
    return np.column_stack([centre[0] + radius * np.cos(at), centre[1] + radius * np.sin(at)])


def piece(line: str, points: Sequence[Sequence[float]], first: int, sources: int, **more: object) -> LinePiece:
    """A measured piece of which one source moves all points across the picture and one its length alone."""
    middle = np.array(points, dtype=np.float64)
    moves = np.zeros((len(middle), 2, sources))
    moves[:, 0, first] = 0.1
    length = float(np.hypot(*np.diff(middle, axis=0).T).sum())
    alone = np.zeros(sources)
    alone[first + 1] = 0.2
    made = LinePiece(line, middle, moves, Quantity(length, alone), Quantity(3.0), ends=("hidden", "free"))
    return replace(made, **more)  # type: ignore[arg-type]


def town(**more: object) -> Plat:
    """A zone, a curved road in two pieces with a gap between them, and a pipe."""
    before = plat(Model(4).piece("library", rectangle(250, 20, 60, 40)), width=400, depth=300)
    count = len(before.sources)
    pieces = (
        piece("road", arc(60, 40, 41), count, count + 6),
        piece("road", arc(60, 40, 41)[::-1] * [1, -1] + [0, 190], count + 2, count + 6),
        piece("pipe", [(20, 200), (300, 200)], count + 4, count + 6),
    )
    sources = (*before.sources, *(Source(f"line {at}", "edge") for at in range(6)))
    return replace(before, sources=sources, **{"lines": pieces, **more})  # type: ignore[arg-type]


def mended(before: Plat, *edits: LineEdit) -> Plat:
    return repaired(before, edits, ("library",), SHOWN, "in", LINES)


def places(points: object) -> Places:
    return tuple((float(x), float(y)) for x, y in np.asarray(points))


def of(made: Plat, line: str) -> list[LinePiece]:
    return [one for one in made.lines if one.line == line]


def shapely_length(one: LinePiece) -> float:
    return float(shapely.LineString(one.points).length)


def test_the_same_middle_from_either_end_changes_nothing() -> None:
    before = town()
    for points in (before.lines[0].points, before.lines[0].points[::-1] + 0.01):
        after = mended(before, ReshapeLine("road", 1, places(points)))
        assert {id(one) for one in after.lines} == {id(one) for one in before.lines}
        assert after.sources == before.sources


def test_points_that_stay_keep_their_uncertainty_and_moved_ones_are_pointed_at() -> None:
    before = town()
    points = before.lines[0].points.copy()
    points[-1] += [2.0, 6.0]
    (after,) = [one for one in of(mended(before, ReshapeLine("road", 1, places(points))), "road") if one.repaired]
    made = mended(before, ReshapeLine("road", 1, places(points)))
    assert after.length.value == pytest.approx(shapely_length(after), rel=1e-12)
    assert points_by_hand(after.sensitivity, made.sources) == (40,)
    kept = before.lines[0].sensitivity
    assert (after.sensitivity[:-1, :, : kept.shape[2]] == kept[:-1]).all()
    assert after.ends == ("hidden", "free")
    assert after.repaired is not None
    assert after.repaired.changes == ("middle",)
    assert after.repaired.was is not None
    assert np.allclose(after.repaired.was.rings[0], before.lines[0].points)


def test_a_drawn_line_is_as_uncertain_as_hands_that_point() -> None:
    """The stated uncertainty of a bent line's length against 4000 draws of points that are each pointed at."""
    corners = np.array([[30.0, 250.0], [130.0, 240.0], [150.0, 280.0], [260.0, 260.0]])
    made = mended(town(), AddLine("pipe", places(corners)))
    (drawn,) = [one for one in of(made, "pipe") if one.repaired]
    own = [at for at, source in enumerate(made.sources) if source.kind == "hand" and "bends" not in source.name]
    stated = float(
        np.sqrt((drawn.length.sensitivity[[at for at in own if at < len(drawn.length.sensitivity)]] ** 2).sum())
    )
    u = pointing_u(SHOWN.mm_per_px, drawn.width.value)
    draws = corners + np.random.default_rng(7).normal(0.0, u, (4000, *corners.shape))
    lengths = np.hypot(*np.diff(draws, axis=1).transpose(2, 0, 1)).sum(axis=1)
    assert stated == pytest.approx(lengths.std(), rel=0.05)
    assert drawn.length.u > stated  # it may bend between the points
    assert drawn.width is of(town(), "pipe")[0].width or drawn.width.value == 3.0


def test_points_along_a_curve_set_far_apart_leave_what_the_arc_adds_in_doubt() -> None:
    """An arc of 90 degrees by five points is 0.64 % too short (2 sin(a/2) against a); u95 has to hold that."""
    true = np.pi / 2 * 100
    (drawn,) = [one for one in of(mended(town(), AddLine("pipe", places(arc(100, 90, 5)))), "pipe") if one.repaired]
    assert 0.005 < 1 - drawn.length.value / true < 0.008
    assert abs(drawn.length.value - true) < drawn.length.u95


def test_two_pieces_become_one_and_what_lies_between_is_inferred() -> None:
    before = town()
    one, other = (piece.points for piece in of(before, "road"))
    made = mended(before, ReshapeLine("road", 1, joined=(2,)))
    (road,) = of(made, "road")
    gap = min(float(np.hypot(*(a - b))) for a in (one[0], one[-1]) for b in (other[0], other[-1]))
    assert road.length.value == pytest.approx(shapely_length(road), rel=1e-12)
    assert road.length.value == pytest.approx(sum(p.length.value for p in of(before, "road")) + gap, rel=1e-9)
    assert road.bridged == pytest.approx(gap / road.length.value, rel=1e-9)
    assert len(road.inferred) == 1
    assert points_by_hand(road.sensitivity, made.sources) == ()
    assert road.repaired is not None
    assert road.repaired.changes == ("joined",)
    assert road.repaired.was is not None
    assert len(road.repaired.was.rings) == 2
    assert [n.code for n in line_repair_notices(road, Subject("road"))] == ["line-joined-by-hand"]
    assert not [notice for notice in made.notices if notice.code == "removed-by-hand"]
    net = net_of(challenge(zones=("library",)).measures(made))
    assert net.nets("road") == ((1,),)


def test_nearest_ends_are_joined_and_the_first_keeps_its_direction() -> None:
    a, b = np.array([[0.0, 0.0], [10.0, 0.0]]), np.array([[40.0, 0.0], [12.0, 0.0]])
    assert joined_points(a, b).tolist() == [[0, 0], [10, 0], [12, 0], [40, 0]]
    assert joined_points(a[::-1], b).tolist() == [[40, 0], [12, 0], [10, 0], [0, 0]]
    assert joined_points(a, np.array([[10.0, 0.0], [10.0, 9.0]])).tolist() == [[0, 0], [10, 0], [10, 9]]


def test_pieces_are_drawn_removed_and_given_to_another_line() -> None:
    made = mended(
        town(unread_lines=("pipe",), notices=(Notice("line-unread", facts={"line": "pipe"}),)),
        RemoveLine("road", 2), RenameLine("road", 1, "pipe"), AddLine("pipe", ((10, 10), (10, 90)), width=8.0),
    )  # fmt: skip
    assert of(made, "road") == []
    assert [round(float(one.points[:, 1].mean())) for one in of(made, "pipe")] == sorted(
        round(float(one.points[:, 1].mean())) for one in of(made, "pipe")
    )
    assert made.unread_lines == ()
    assert [(notice.code, notice.subject) for notice in made.notices] == [("removed-by-hand", Subject("road", 2))]
    codes = [[n.code for n in line_repair_notices(one, Subject("pipe"))] for one in of(made, "pipe")]
    assert sorted(codes) == [[], ["drawn-by-hand"], ["zone-by-hand"]]


RING = ((10, 10), (60, 10), (60, 60), (10, 60))


def test_a_closed_line_ends_where_it_begins() -> None:
    (ring,) = of(mended(town(lines=()), AddLine("road", RING, closed=True, width=4.0)), "road")
    assert ring.length.value == pytest.approx(200)
    assert (ring.points[0] == ring.points[-1]).all()
    assert (ring.sensitivity[0] == ring.sensitivity[-1]).all()
    assert ring.width.u95 > 1


@pytest.mark.parametrize(
    ("edit", "said"),
    [
        (AddLine("canal", ((0, 0), (9, 9))), "change 1: canal is no line of this challenge; the lines are road, pipe"),
        (AddLine("road", ((0, 0),)), "the new piece of road: it has 1 point; set two points or more"),
        (AddLine("road", ((1, 1), (2, 2))), "too short to be a line"),
        (AddLine("road", ((1, 1), (1, 1), (9, 9))), "points 1 and 2 at (0.04, 0.04) in are one place"),
        (AddLine("road", ((1, 1), (500, 1))), "point 2 at (19.69, 0.04) in lies outside the picture"),
        (AddLine("road", ((1, 1), (float("nan"), 9))), "no number"),
        (AddLine("road", ((1, 1), (50, 9)), width=-1), "its width is none of a line"),
        (RemoveLine("road", 3), "there is no piece 3 of road: it has 2"),
        (ReshapeLine("road", 1, joined=(1,)), "changed twice"),
    ],
)
def test_what_cannot_be_done_is_said(edit: LineEdit, said: str) -> None:
    with pytest.raises(InputMistakes) as refused:
        mended(town(), edit)
    assert said in str(refused.value)


def test_a_piece_is_changed_once_and_a_line_of_which_nothing_is_known_needs_a_width() -> None:
    with pytest.raises(InputMistakes, match="changed twice"):
        mended(town(), ReshapeLine("road", 1, joined=(2,)), RemoveLine("road", 2))
    with pytest.raises(InputMistakes, match="nothing tells how wide it is"):
        mended(town(lines=()), AddLine("road", ((1, 1), (50, 9))))


def crossroads() -> Plat:
    """Four ends under a building: left to right and top to bottom, or round the corner."""
    ends = [((0, 50), (40, 50)), ((60, 50), (100, 50)), ((50, 0), (50, 40)), ((50, 60), (50, 100))]
    before = town(lines=())
    count = len(before.sources)
    pieces = tuple(piece("road", points, count - 6, count) for points in ends)
    under = ((0, 1), (1, 0), (2, 1), (3, 0))
    doubt = LineDoubt("road", under, (((0, 1), (2, 3)), ((0, 2), (1, 3))))
    return replace(
        before, lines=pieces, line_doubts=(doubt,), notices=(Notice("line-two-ways", facts={"line": "road"}),)
    )


def test_joining_two_ends_settles_where_the_others_go_on() -> None:
    made = mended(crossroads(), ReshapeLine("road", 1, joined=(2,)))
    (doubt,) = made.line_doubts
    (way,) = doubt.ways
    ends = [(made.lines[at].points[-which]).tolist() for at, which in (doubt.ends[at] for at in way[0])]
    assert sorted(ends) == [[50, 40], [50, 60]]
    assert made.notices == ()


def test_a_doubt_stays_where_its_ends_do_and_goes_where_one_was_moved() -> None:
    before = crossroads()
    longer = ((-0.0, 40.0), *places(before.lines[0].points[1:]))
    assert mended(before, ReshapeLine("road", 1, longer)).line_doubts[0].ways == before.line_doubts[0].ways
    gone = mended(before, ReshapeLine("road", 1, ((0, 50), (45, 50))))
    assert gone.line_doubts == gone.notices == ()

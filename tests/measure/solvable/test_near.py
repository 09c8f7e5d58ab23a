"""The nearest layout to what a team built: as few pieces as possible, as little as possible, and it meets the rules."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given
from hypothesis import strategies as st

from measure.challenge import Challenge, read_challenge
from measure.plat.plat import Piece, Plat, Source, normalised, ordered
from measure.quantity import Quantity
from measure.solvable.cpsat.search import Deadline
from measure.solvable.near import nearest
from measure.solvable.problem.layout import checked
from tests.helpers.examples import examples
from tests.helpers.made.settlements import challenge_text, kept_clear

ZONES = ("library", "stables", "school")
RULES = [
    "no zones overlap", "stables are at least 3 in from library", "library covers at least 20 sq in",
    "school covers at most 24 sq in",
]  # fmt: skip
Corners = list[tuple[float, float]]


def box(x1: float, y1: float, x2: float, y2: float) -> Corners:
    return [(x1, y1), (x2, y1), (x2, y2), (x1, y2)]


GOOD: dict[str, Corners] = {"library": box(0, 1, 5, 6), "stables": box(9, 1, 13, 5), "school": box(1, 8, 6, 12)}


def plat_of(outlines: dict[str, Corners], u: float = 0.0) -> Plat:
    """Outlines in inches; u is the standard uncertainty of every outline's place along x, in mm."""
    pieces = []
    for at, (zone, corners) in enumerate(outlines.items()):
        moves = np.zeros((len(corners), 2, len(outlines)))
        moves[:, 0, at] = u
        pieces.append(Piece(zone, normalised(25.4 * np.array(corners, dtype=float), moves), Quantity(0.0)))
    sources = tuple(Source(f"place of {zone}", "given") for zone in outlines)
    return Plat(457.2, 355.6, ordered(pieces), sources, "given")


@pytest.fixture(scope="module")
def challenge(tmp_path_factory: pytest.TempPathFactory) -> Challenge:
    return written(RULES, tmp_path_factory.mktemp("near"))


def written(rules: list[str], folder: Path, extra: str = "") -> Challenge:
    path = folder / "challenge.toml"
    path.write_text(challenge_text(ZONES, rules, extra=extra), encoding="utf-8")
    return read_challenge(path)


def all_met(challenge: Challenge, plat: Plat) -> bool:
    return all(outcome.verdict == "met" for outcome in checked(challenge, plat))


def test_a_model_that_meets_the_rules_needs_nothing(challenge: Challenge) -> None:
    found = nearest(challenge, plat_of(GOOD), Deadline(20))
    assert found is not None
    assert (found.steps, found.sure) == ((), True)


def test_one_piece_too_near_is_moved_by_what_is_missing(challenge: Challenge) -> None:
    # 2.5 in apart, 3 are wanted: half an inch to the right is the least that can be done.
    found = nearest(challenge, plat_of(GOOD | {"stables": box(7.5, 1, 11.5, 5)}), Deadline(20))
    assert found is not None
    assert [(step.zone, step.kind) for step in found.steps] == [("stables", "moved")]
    assert found.steps[0].sides == pytest.approx((12.7, 0, 12.7, 0))
    assert all_met(challenge, found.plat)


def test_one_piece_too_small_is_made_larger(challenge: Challenge) -> None:
    # 4 x 4.5 in; 20 sq in take half an inch in one direction.
    found = nearest(challenge, plat_of(GOOD | {"library": box(0, 1, 4, 5.5)}), Deadline(20))
    assert found is not None
    assert [(step.zone, step.kind) for step in found.steps] == [("library", "resized")]
    assert sum(abs(side) for side in found.steps[0].sides) == pytest.approx(12.7)
    assert all_met(challenge, found.plat)


def test_a_piece_that_is_no_rectangle_keeps_its_shape(challenge: Challenge) -> None:
    ell = [(6.0, 1.0), (11.0, 1.0), (11.0, 3.0), (8.0, 3.0), (8.0, 6.0), (6.0, 6.0)]
    found = nearest(challenge, plat_of(GOOD | {"stables": ell}), Deadline(20))
    assert found is not None
    assert {step.kind for step in found.steps} == {"moved"}
    stables = next(piece for piece in found.plat.pieces if piece.zone == "stables")
    assert len(stables.ring.points) == 6
    assert all_met(challenge, found.plat)


@pytest.mark.parametrize(("limit", "larger"), [("the perimeter of library is at most 17 in", False), (None, True)])
def test_a_round_piece_is_made_larger_or_smaller_all_round(limit: str | None, larger: bool, tmp_path: Path) -> None:
    # A circle of radius 2.8 in has 17.6 in of perimeter and 24.6 sq in; within 17 in a square would have 18 sq in only.
    challenge = written([*RULES[:2], limit or "library covers at least 26 sq in", RULES[2]], tmp_path)
    turns = np.linspace(0, 2 * np.pi, 48, endpoint=False)
    lake = [(3 + 2.8 * float(np.cos(turn)), 4 + 2.8 * float(np.sin(turn))) for turn in turns]
    found = nearest(challenge, plat_of(GOOD | {"library": lake}), Deadline(20))
    assert found is not None
    assert found.sure
    assert [(step.zone, step.kind, step.scale > 1) for step in found.steps] == [("library", "scaled", larger)]
    assert all_met(challenge, found.plat)


def test_a_triangle_stays_a_triangle(challenge: Challenge) -> None:
    """Two corners almost on one line are no rectangle's: in a box of the same land it would be twice as large."""
    plat = plat_of(GOOD | {"library": [(0, 1), (6, 1.05), (3, 7.4)]})
    found = nearest(challenge, plat, Deadline(20))
    assert found is not None
    library = next(piece for piece in found.plat.pieces if piece.zone == "library")
    assert len(library.ring.points) == 3
    assert all_met(challenge, found.plat)


def test_a_missing_zone_is_added_and_one_piece_too_many_taken_away(tmp_path: Path) -> None:
    challenge = written([*RULES, "there is exactly 1 piece of stables"], tmp_path)
    plat = plat_of({"library": GOOD["library"], "stables": GOOD["stables"]})
    second = plat_of({"stables": box(14, 9, 15, 10)}).pieces
    crowded = Plat(plat.width, plat.depth, ordered((*plat.pieces, *second)), (), "given")
    found = nearest(challenge, crowded, Deadline(20))
    assert found is not None
    assert {(step.zone, step.kind) for step in found.steps} == {("school", "added"), ("stables", "removed")}
    assert all_met(challenge, found.plat)


def test_a_keep_clear_zone_is_never_moved(tmp_path: Path) -> None:
    challenge = written(RULES, tmp_path, kept_clear("rock", (9, 7), (4, 3)))
    plat = plat_of(GOOD | {"school": box(5, 6.5, 9, 11), "rock": box(7, 5.5, 11, 8.5)})
    found = nearest(challenge, plat, Deadline(20))
    assert found is not None
    assert found.steps
    assert "rock" not in {step.zone for step in found.steps}
    assert all_met(challenge, found.plat)


def test_what_stays_keeps_its_uncertainty_and_room_is_left_for_it(challenge: Challenge) -> None:
    # The library may be 1 mm (95 %: 2 mm) elsewhere; the stables need more than 3 in for the rule to be surely met.
    found = nearest(challenge, plat_of(GOOD | {"stables": box(7.5, 1, 11.5, 5)}, u=1.0), Deadline(20))
    assert found is not None
    assert found.sure
    assert found.steps[0].sides[0] > 12.7


def test_a_piece_that_could_not_be_measured_is_refused(challenge: Challenge) -> None:
    plat = plat_of(GOOD)
    hidden = Piece("school", plat.pieces[0].ring, Quantity(0.0), status="not measurable")
    with pytest.raises(ValueError, match="school could not be measured"):
        nearest(challenge, Plat(plat.width, plat.depth, (*plat.pieces[:2], hidden), (), "given"), Deadline(5))


@examples(8, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(across=st.integers(-20, 60), down=st.integers(-8, 24))
def test_wherever_the_school_was_built_it_comes_to_meet_the_rules(challenge: Challenge, across: int, down: int) -> None:
    moved = [(max(0.0, min(18.0, x + across / 8)), max(0.0, min(14.0, y + down / 8))) for x, y in GOOD["school"]]
    found = nearest(challenge, plat_of(GOOD | {"school": moved}), Deadline(20))
    assert found is not None
    assert found.sure
    assert all_met(challenge, found.plat)

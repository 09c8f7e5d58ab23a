"""Challenges that no rectangles or L-shapes solve, but triangles in corners or round zones do; why stands beside."""

from __future__ import annotations

from pathlib import Path

import pytest
import shapely

from measure.challenge import read_challenge
from measure.solvable.answer import Answer, answer
from measure.solvable.decide import passes
from measure.solvable.problem.problem import problem_of
from tapeplat.solving.solution import Solution
from tests.helpers.made.settlements import challenge_text

# Across the diagonal of 16.97 in: triangles of 12.01 sq in in two corners are 3.465 in deep each and leave 10.04 in,
# a band of which 3.2 in on either side of the mill leave 3.64 in, which holds 55 sq in. Boxes leave far less.
BAND = (["lodge", "barn", "mill"], [
    "lodge covers at least 12 sq in", "barn covers at least 12 sq in", "mill covers at least 50 sq in",
    "lodge is at least 3.2 in from mill", "barn is at least 3.2 in from mill", "lodge is at least 10 in from barn",
], (12, 12))  # fmt: skip
# A circle of 18 in has 25.8 sq in, an octagon 24.4, a square 20.25.
POND = (["pond"], ["pond covers at least 25 sq in", "the perimeter of pond is at most 18 in"], (18, 14))
PONDS = (["pond", "well"], [
    "pond covers at least 25 sq in", "well covers at least 25 sq in", "the perimeter of pond is at most 18 in",
    "the perimeter of well is at most 18 in", "pond is at least 1/2 in from well",
], (14, 7))  # fmt: skip


def answered(names: list[str], rules: list[str], size: tuple[float, float], folder: Path, seconds: float) -> Answer:
    path = folder / "challenge.toml"
    path.write_text(challenge_text(names, rules, size), encoding="utf-8")
    return answer(read_challenge(path), seconds, tighter_to=0.1)


@pytest.mark.parametrize("posed", [BAND, POND, PONDS], ids=["triangles", "round", "two round ones"])
def test_a_layout_of_other_shapes_is_found_and_the_checker_passes_it(posed, tmp_path: Path):
    found = answered(*posed, tmp_path, 60)  # 2 to 4 s where nothing else runs
    assert found.decision.solvable is True
    assert found.layout is not None
    assert passes(problem_of(found.challenge), found.layout)
    assert all(shapely.Polygon(piece.outline()).is_valid for piece in found.layout.pieces)
    assert found.tight is not None
    assert 0 < found.tight.least < 0.05
    assert set(Solution(found).files) == {"layout.geojson", "plat.svg"}


def test_beside_a_conflict_stand_the_shapes_that_it_is_proved_for(tmp_path: Path):
    """More than any circle holds, but the isoperimetric inequality of the arithmetic leaves a little room."""
    rules = ["pond covers at least 25.7 sq in", "the perimeter of pond is at most 18 in"]
    found = answered(["pond"], rules, (18, 14), tmp_path, 4)
    assert found.decision.reach == "rectangles and Ls"
    said = Solution(found).report
    assert "These rules cannot hold together, with rectangles and L-shapes, wherever their corners lie:" in said
    assert "none was found, none is ruled out" in said
    assert "(with rectangles and L-shapes; others may need less):" in said
    assert '"proved_for": "rectangles and L-shapes, wherever their corners lie"' in Solution(found).json
    assert '"found_with": "rectangles and L-shapes"' in Solution(found).json

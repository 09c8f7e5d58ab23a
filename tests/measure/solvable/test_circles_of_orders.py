"""Orders that run in a circle: each larger, nearer or further north than the next, and the last than the first."""

from __future__ import annotations

from pathlib import Path

import pytest

from measure.challenge import read_challenge
from measure.solvable.answer import answer
from measure.solvable.cpsat.search import Deadline
from measure.solvable.decide import decide
from measure.solvable.problem.problem import problem_of
from tapeplat.solving.solvable_words import report
from tests.helpers.made.settlements import challenge_text

ZONES = ("mill", "quay", "farm", "lodge")
CIRCLES = [
    ["mill covers more than quay", "quay covers more than farm", "farm covers more than mill"],
    ["mill covers more than quay", "quay covers at least as much as farm", "farm covers at least as much as mill"],
    ["mill covers at least 2 sq in more than quay", "quay covers more than farm", "farm covers more than mill"],
    ["the perimeter of mill is less than the perimeter of quay",
     "the perimeter of quay is less than the perimeter of mill"],
    ["mill is nearer to quay than to farm", "quay is nearer to farm than to mill",
     "farm is nearer to mill than to quay"],
    ["mill is nearer to quay than to farm", "mill is at least 6 in from quay", "mill is within 5 in of farm"],
    ["mill is north of quay", "quay is north of farm", "farm is north of mill"],
    ["mill is west of quay", "mill is in the east half", "quay is in the west half"],
]  # fmt: skip
OPEN = [
    ["mill covers more than quay", "quay covers more than farm", "farm covers more than lodge"],
    ["mill covers at least as much as quay", "quay covers at least as much as farm",
     "farm covers at least as much as mill"],
    ["mill is nearer to quay than to farm", "quay is nearer to mill than to farm",
     "lodge is nearer to farm than to mill"],
    ["mill is north of quay", "quay is north of farm", "lodge is east of mill", "farm is east of lodge"],
]  # fmt: skip


def written(rules: list[str], folder: Path) -> Path:
    path = folder / "challenge.toml"
    path.write_text(challenge_text(ZONES, rules), encoding="utf-8")
    return path


@pytest.mark.parametrize("rules", CIRCLES)
def test_a_circle_is_proved_for_outlines_of_any_shape(rules: list[str], tmp_path: Path):
    found = decide(problem_of(read_challenge(written(rules, tmp_path))), Deadline(20))
    assert (found.solvable, found.reach) == (False, "any shapes")
    assert found.core == set(range(1, len(rules) + 1))


@pytest.mark.parametrize("rules", OPEN)
def test_an_order_that_runs_in_no_circle_is_kept_by_a_layout(rules: list[str], tmp_path: Path):
    assert decide(problem_of(read_challenge(written(rules, tmp_path))), Deadline(20)).layout is not None


def test_the_circle_is_named_with_the_limit_of_its_proof(tmp_path: Path):
    said = report(answer(read_challenge(written([*CIRCLES[0], "lodge is north of mill"], tmp_path)), 10))
    listed = said[said.index("These rules") :].splitlines()
    assert listed[0].endswith("with outlines of any shape:")
    assert [line.split()[0] for line in listed[1:4]] == ["1", "2", "3"]
    assert "one of them must go" in said

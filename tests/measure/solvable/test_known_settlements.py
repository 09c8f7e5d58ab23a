"""Challenges whose answer is known by construction: decided right, layouts pass the checker, conflicts are minimal.

The suite proves the conflicts that take least time; `pytest -m long` proves all, and finds a hundred layouts more.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from measure.challenge import Challenge, read_challenge
from measure.rules.evaluation.evaluate import evaluate_all
from measure.solvable.answer import answer
from measure.solvable.conflict import conflict_of
from measure.solvable.cpsat.search import Deadline
from measure.solvable.decide import decide
from measure.solvable.problem.layout import plat_of
from measure.solvable.problem.problem import problem_of
from tests.helpers.made.settlements import Known, solvable, unsolvable

SOLVABLE = list(solvable())
MORE = list(solvable(range(100, 200)))
UNSOLVABLE = {known.name: known for known in unsolvable()}
QUICK = (
    "areas-just", "ratio-cycle", "ratio-and-share", "touch-and-distance", "edge-just", "no-land-left",
    "count-and-area", "half-as-much",
)  # fmt: skip


def challenge_of(known: Known, folder: Path) -> Challenge:
    path = folder / "challenge.toml"
    path.write_text(known.text, encoding="utf-8")
    return read_challenge(path)


@pytest.mark.parametrize(
    "known", [*SOLVABLE, *(pytest.param(known, marks=pytest.mark.long) for known in MORE)], ids=lambda known: known.name
)
def test_a_layout_is_found_and_the_checker_of_photos_passes_it(known: Known, tmp_path: Path) -> None:
    challenge = challenge_of(known, tmp_path)
    found = decide(problem_of(challenge), Deadline(30))
    assert found.layout is not None
    plat = plat_of(found.layout)
    outcomes = evaluate_all(challenge, challenge.measures(plat))
    assert [outcome.text for outcome in outcomes if outcome.verdict != "met"] == []


@pytest.mark.parametrize(
    "name", [name if name in QUICK else pytest.param(name, marks=pytest.mark.long) for name in UNSOLVABLE]
)
def test_a_contradiction_is_proved_and_its_conflict_is_minimal(name: str, tmp_path: Path) -> None:
    problem = problem_of(challenge_of(UNSOLVABLE[name], tmp_path))
    decision = decide(problem, Deadline(30))
    assert decision.solvable is False
    conflict = conflict_of(problem, decision, Deadline(30), lambda _: None)
    assert conflict.minimal
    assert decide(problem.of(conflict.numbers), Deadline(20), other_shapes=False).solvable is False
    for one in conflict.numbers:
        rest = decide(problem.of(set(conflict.numbers) - {one}), Deadline(20))
        assert rest.solvable is True, f"without rule {one}"


def test_what_loosening_one_rule_takes_makes_the_challenge_solvable(tmp_path: Path) -> None:
    challenge = challenge_of(UNSOLVABLE["areas-just"], tmp_path)
    found = answer(challenge, 20)
    assert found.conflict is not None
    assert {made.number for made in found.conflict.loosenings} == {2, 3, 4, 5}
    for made in found.conflict.loosenings:
        assert made.enough is True
        text = UNSOLVABLE["areas-just"].text.replace(challenge.rules[made.number - 1].text, made.sentence)
        changed = challenge_of(Known("changed", text, True, ""), tmp_path)
        assert decide(problem_of(changed), Deadline(20)).solvable is True

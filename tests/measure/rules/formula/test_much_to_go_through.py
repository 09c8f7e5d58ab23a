"""Rules that go through very many things: each is found once, what never ends is refused in words, draws stay few."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from measure.quantity import Quantity
from measure.rules.evaluation.evaluate import evaluate
from measure.rules.formula.judging.formula_kind import FormulaRule
from measure.rules.formula.judging.grounding import event_of
from measure.rules.formula.judging.joint_draws import COUNT, JointDraws
from measure.rules.formula.judging.things_found import Scene
from measure.rules.language.rule_reader import read_rules
from measure.rules.language.zone_names import ZoneNames
from measure.rules.rule_context import Context
from tests.helpers.made.challenges import challenge
from tests.helpers.made.plats import exact, plat, rectangle

ZONES = ("homes", "shops", "park", "lake")
SETTING = challenge(zones=ZONES)


def judged(text: str):
    (read,) = read_rules(text, ZoneNames(dict.fromkeys(ZONES, ())), "in")
    homes = [exact("homes", rectangle(30 * at, 10, 20, 20), width=1.0) for at in range(12)]
    made = plat(*homes, exact("park", rectangle(10, 100, 60, 60), width=1.0))
    return read.rule, Context(SETTING, SETTING.measures(made))


def test_what_a_loop_does_not_speak_of_is_found_once():
    rule, context = judged(
        "for every piece of homes: for every two pieces of homes: the gap from that piece to park is at most 9 in"
    )
    assert isinstance(rule.kind, FormulaRule)
    scene = Scene(context)
    event_of(rule.kind.formula, scene)
    assert len(scene.met) < 12 * 10  # not 12 x 66
    assert evaluate(rule, "", context).verdict == "not met"


def test_a_rule_that_would_go_on_for_long_is_not_measured_and_says_why():
    rule, context = judged(
        "for every piece of homes: for every other piece of homes: for every two pieces of homes:"
        " the gap from that piece to park plus the gap from the other piece to park plus the perimeter of the first"
        " is at most 99 in"
    )
    outcome = evaluate(rule, "", context)
    assert outcome.verdict == "not measured"
    assert "more than 10,000 things" in outcome.note


@pytest.mark.parametrize("number", [3, 900, 3000])
def test_draws_have_the_covariance_of_the_quantities_however_many(number: int):
    moves = np.random.default_rng(1).normal(size=(number, 8))
    quantities = [Quantity(5.0, row) for row in moves]
    draws = JointDraws(quantities)
    first, second = draws.of(quantities[0]), draws.of(quantities[1])
    assert first.size <= COUNT
    assert first.size * number <= 3e7
    assert first.mean() == pytest.approx(5.0, abs=1e-9)
    assert np.cov(first, second)[0, 1] == pytest.approx(moves[0] @ moves[1], abs=0.05 * np.linalg.norm(moves[:2]) ** 2)


def test_the_circle_between_outlines_that_run_along_each_other_is_searched_for_roughly(monkeypatch):
    asked = []
    search = shapely.maximum_inscribed_circle
    monkeypatch.setattr(
        shapely, "maximum_inscribed_circle", lambda land, tolerance: asked.append(tolerance) or search(land, tolerance)
    )
    made = plat(
        exact("homes", rectangle(0, 0, 200, 40), width=1.0), exact("park", rectangle(0, 30, 200, 40), width=1.0)
    )
    found = SETTING.measures(made).separation("homes", "park", edge="middle")
    assert found is not None
    assert min(q.value for q in found.candidates) == pytest.approx(-10.0, abs=1e-6)
    assert asked
    assert min(asked) > 0.01

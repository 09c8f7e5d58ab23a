"""`A is nearer to B than to C`: read, judged, with its chance, by hand, on sheets, and in solvable."""

from __future__ import annotations

import numpy as np
import pytest

from measure.plat.measures import Measures
from measure.rules.demand import Nearer
from measure.rules.evaluation.evaluate import evaluate_all
from measure.rules.evaluation.rule_advice import challenge_advice
from measure.rules.language.rule_reader import read_rule
from measure.rules.language.zone_names import ZoneNames
from measure.rules.sentences.rule_mistake import RuleMistake
from measure.solvable.problem.problem import problem_of
from tapeplat.paper.exercises.question_making import questions
from tapeplat.paper.exercises.rule_facts import named_pairs
from tapeplat.wording.notes import GapMark
from tapeplat.wording.wording import notes_of
from tests.helpers.made.challenges import challenge, outcomes
from tests.helpers.made.plats import exact, plat, rectangle
from tests.measure.rules.test_rules_monte_carlo import ZONES as DRAWN
from tests.measure.rules.test_rules_monte_carlo import gap, model, sampling_error

ZONES = ("library", "stables", "market")
NAMES = ZoneNames(dict.fromkeys((*ZONES, "orchard"), ()))
# From the library it is 20 mm to the stables, and 30 mm to the market.
PLAT = plat(
    exact("library", rectangle(20, 20, 100, 60)),
    exact("stables", rectangle(140, 20, 50, 60)),
    exact("market", rectangle(30, 110, 40, 50)),
)


@pytest.mark.parametrize(
    ("sentence", "reads_as"),
    [
        ("library is closer to stables than to market", "library is nearer to stables than to market"),
        (
            "library is nearer to the edge than to market",
            "the gap from library to the edge is less than the gap from library to market",
        ),
        ("the library must be nearer to the stables than to any other zone", None),
        ("library and market are farther from orchard than from stables", None),
        ("stables are nearer to library and market than to orchard", None),
    ],
)
def test_it_is_read_in_several_ways_and_back(sentence, reads_as):
    rule, _ = read_rule(sentence, NAMES, "in")
    assert read_rule(rule.reads_as(), NAMES, "in")[0] == rule
    assert reads_as in (None, rule.reads_as())


@pytest.mark.parametrize(
    ("sentence", "message"),
    [
        ("library is closer to stables than market", "more than one way"),
        ("library is nearer to market than to market", "no nearer than itself"),
        ("library is nearer to library than to market", "never away from itself"),
        ("no zone is nearer to library than to market", "every zone must be nearer to"),
        ("library is nearer to every other zone than to market", "name the zone"),
    ],
)
def test_what_makes_no_sense_is_refused(sentence, message):
    with pytest.raises(RuleMistake, match=message):
        read_rule(sentence, NAMES, "in")


@pytest.mark.parametrize(
    ("sentence", "verdict", "value"),
    [
        ("library is nearer to stables than to market", "met", 10),
        ("library is nearer to market than to stables", "not met", -10),
        ("library is nearer to stables than to every other zone", "met", 10),
        ("every zone is nearer to library than to market", "met", 10 * 58**0.5 - 20),
        ("every zone is nearer to market than to library", "not met", 20 - 10 * 58**0.5),
    ],
)
def test_the_smallest_gaps_are_compared(sentence, verdict, value):
    found = outcomes(challenge(sentence, zones=ZONES), PLAT)[sentence]
    assert (found.verdict, found.kind, found.unit, found.limit) == (verdict, "nearer", "mm", 0.0)
    assert found.value == pytest.approx(value)


@pytest.mark.parametrize(
    ("a", "near", "far"),
    [("library", "market", "school"), ("school", "library", "stables"), ("stables", "market", "school")],
)
def test_its_uncertainty_and_chance_are_those_of_the_draws(a, near, far):
    sentence = f"{a} is nearer to {near} than to {far}"
    found = outcomes(challenge(sentence, zones=DRAWN), model())[sentence]
    values = gap(a, far) - gap(a, near)
    assert found.u95 == pytest.approx(2 * np.sqrt(np.mean((values - found.value) ** 2)), rel=0.05)
    assert found.chance == pytest.approx((values > 0).mean(), abs=sampling_error((values > 0).mean()))


def test_it_is_marked_asked_and_demanded_of_a_layout():
    task = challenge("library is nearer to market than to stables", zones=ZONES)
    measures = Measures(PLAT)
    (note,) = notes_of(task, measures, evaluate_all(task, measures)).rules
    assert [(type(mark), mark.text) for mark in note.marks] == [(GapMark, "30 mm"), (GapMark, "20 mm")]
    assert named_pairs(task) == (("library", "market"), ("library", "stables"))
    assert any(asked.rule == 1 for asked in questions(task))
    assert problem_of(task).rules[0].demands == (Nearer("library", "market", "stables"),)


def test_two_that_contradict_each_other_are_told():
    task = challenge(
        "library is nearer to market than to stables", "library is nearer to stables than to market", zones=ZONES
    )
    assert any("contradict each other" in said for said in challenge_advice(task))

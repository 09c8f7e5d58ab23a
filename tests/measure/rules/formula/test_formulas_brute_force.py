"""Verdicts on random formulas over random exact layouts, each against shapely's own answer."""

from __future__ import annotations

from collections import Counter
from random import Random

import pytest

from measure.rules.evaluation.evaluate import evaluate
from measure.rules.formula.formula_words import in_words
from measure.rules.formula.judging.formula_kind import FormulaRule
from measure.rules.rule import Rule
from measure.rules.rule_context import Context
from tests.helpers.made.challenges import challenge
from tests.helpers.made.plats import exact, plat
from tests.measure.rules.formula.by_shapely import Layout, Truth
from tests.measure.rules.formula.formulas import ZONES, Maker

Points = list[tuple[float, float]]


def outline(chance: Random, x: float, y: float, w: float, h: float) -> Points:
    kind = chance.randrange(4)
    if kind == 0:
        return [(x, y), (x + w, y), (x, y + h)]
    if kind == 1:
        return [(x, y), (x + w, y), (x + w, y + h / 2), (x + w / 2, y + h / 2), (x + w / 2, y + h), (x, y + h)]
    return [(x, y), (x + w, y), (x + w, y + h), (x, y + h)]


def layout(seed: int) -> Layout:
    """Pieces anywhere on the parcel, over one another or not, of one zone never upon each other."""
    chance = Random(seed)
    pieces: dict[str, list[Points]] = {zone: [] for zone in ZONES}
    columns, rows = 4, 3
    for zone, most in zip(ZONES, (4, 3, 2, 1), strict=True):
        cells = [(c, r) for c in range(columns) for r in range(rows)]
        for c, r in chance.sample(cells, chance.randint(1, most)):
            w, h = chance.uniform(20, 95), chance.uniform(20, 95)
            if chance.random() < 0.2:
                h = w
            x, y = 100 * c + chance.uniform(0.5, 99.0 - w), 100 * r + chance.uniform(0.5, 99.0 - h)
            pieces[zone].append(outline(chance, x, y, w, h))
    return Layout(pieces)


def check(seeds: range) -> Counter[str]:
    """How many verdicts of either kind were compared, and how many had no answer."""
    found: Counter[str] = Counter()
    setting = challenge(zones=ZONES)
    for seed in seeds:
        on = layout(seed)
        made = plat(*(exact(zone, points, width=on.tape) for zone in ZONES for points in on.pieces[zone]))
        context = Context(setting, setting.measures(made))
        for at in range(10):
            formula = Maker(100 * seed + at, structures=False).formula(2)
            truth = Truth(on).holds(formula, [])
            outcome = evaluate(Rule(FormulaRule(formula)), "", context)
            if truth is None:
                found["no answer"] += 1
                continue
            assert outcome.verdict == ("met" if truth else "not met"), (seed, at, in_words(formula), outcome)
            found[outcome.verdict] += 1
    return found


def test_verdicts_agree_with_shapely():
    found = check(range(10))
    assert found["met"] > 20
    assert found["not met"] > 20


@pytest.mark.long
def test_thousands_of_verdicts_agree_with_shapely():
    """Apart from the suite because it takes minutes."""
    found = check(range(100, 500))
    assert found["met"] + found["not met"] > 2000

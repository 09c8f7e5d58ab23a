"""Chances of random formulas against draws of the plat's sources, each judged anew by shapely."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, replace
from fractions import Fraction
from random import Random
from typing import Any

import numpy as np
import pytest

from measure.plat.plat import Piece
from measure.rules.amounts import Amount
from measure.rules.evaluation.evaluate import evaluate
from measure.rules.formula import formula_data as says
from measure.rules.formula import formula_terms as terms
from measure.rules.formula.formula_things import Formula, Node
from measure.rules.formula.formula_words import in_words
from measure.rules.formula.judging.events import Compared, Event, Tally
from measure.rules.formula.judging.formula_chances import Chances
from measure.rules.formula.judging.formula_kind import FormulaRule
from measure.rules.formula.judging.grounding import event_of
from measure.rules.formula.judging.things_found import Scene
from measure.rules.rule import Rule
from measure.rules.rule_context import Context
from tests.helpers.made.challenges import challenge
from tests.helpers.made.plats import Model, drawn, moved_points, plat
from tests.measure.rules.formula.by_shapely import Layout, Truth
from tests.measure.rules.formula.formulas import ZONES, Maker
from tests.measure.rules.formula.test_formulas_brute_force import layout


def comparisons(event: Event) -> Iterator[Compared]:
    if isinstance(event, Compared):
        yield event
        for case in event.of.cases if isinstance(event.of, Tally) else ():
            yield from comparisons(case)
    for part in event.below():
        yield from comparisons(part)


def put(part: Any, old: Node, new: Node) -> Any:
    """A formula with one part in another's place."""
    if part == old:
        return new
    if isinstance(part, tuple):
        return tuple(put(one, old, new) for one in part)
    if isinstance(part, Node):
        return type(part)(**{field.name: put(getattr(part, field.name), old, new) for field in fields(part)})
    return part


def close_call(seed: int, at: int, context: Context, chance: Random) -> Formula | None:
    """A random formula whose one limit is set near what is measured; None where it has no such limit."""
    formula = Maker(1000 * seed + at, structures=False).formula(2)
    limited = [
        part
        for part in formula.descendants()
        if isinstance(part, says.Compare)
        and isinstance(part.right, terms.Constant)
        and part.upper is None
        and part.right.amount.measure != "number"
    ]
    event = event_of(formula, Scene(context))
    leaves = [leaf for leaf in comparisons(event) if leaf.shown.unit and leaf.of.value > 1]
    if len(limited) != 1 or not leaves:
        return None
    leaf, said = chance.choice(leaves), limited[0]
    assert isinstance(said.right, terms.Constant)
    near = leaf.of.value + Chances(event).u95(leaf.of) / 2 * chance.gauss(0, 1)
    limit = terms.Constant(Amount(Fraction(round(near, 3)), said.right.amount.measure, "mm"))
    made: Formula = put(formula, said, replace(said, right=limit))
    return made


def simulated(pieces: list[Piece], draws: int, seed: int) -> list[Truth]:
    """The layout as it would be in every draw of the sources."""
    points = [moved_points(piece.ring, drawn(draws, seed)) for piece in pieces]
    return [
        Truth(Layout({z: [p[at].tolist() for c, p in zip(pieces, points, strict=True) if c.zone == z] for z in ZONES}))
        for at in range(draws)
    ]


def check(seeds: range, draws: int, *, most: int) -> int:
    """How many chances between 0.02 and 0.98 were compared."""
    count = 0
    for seed in seeds:
        made, on, chance = Model(seed, noise=0.25, scale=0.004), layout(seed), Random(seed)
        pieces = [made.piece(zone, p, width=on.tape, width_u=0.0) for zone in ZONES for p in on.pieces[zone]]
        setting = challenge(zones=ZONES)
        context = Context(setting, setting.measures(plat(*pieces)))
        truths = simulated(pieces, draws, seed + 1)
        compared = 0
        for at in range(60):
            formula = close_call(seed, at, context, chance)
            outcome = None if formula is None else evaluate(Rule(FormulaRule(formula)), "", context)
            if outcome is None or outcome.chance is None or not 0.02 < outcome.chance < 0.98 or compared == most:
                continue
            held = [truth.holds(formula, []) for truth in truths]
            if None in held:
                continue
            share = float(np.mean([one is True for one in held]))
            error = np.sqrt(max(share * (1 - share), 0.002) / draws)
            assert abs(share - outcome.chance) < 5 * error, (seed, at, share, outcome.chance, in_words(formula))
            compared += 1
        count += compared
    return count


def test_chances_are_those_of_simulated_layouts():
    assert check(range(2), 200, most=3) >= 4


@pytest.mark.long
def test_many_chances_are_those_of_simulated_layouts():
    """Apart from the suite because it takes minutes."""
    assert check(range(10, 24), 2000, most=6) >= 40

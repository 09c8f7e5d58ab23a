"""Questions for a team, computed from the challenge's parcel and rules, each with its answer and working."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from measure.challenge import Challenge
from measure.rules.kinds.sizes.share_of_parcel import SHARE
from measure.rules.sheet_text import SQUARE, capital, number_text, parcel_area
from measure.rules.zone_groups import listed
from measure.units import from_mm
from tapeplat.paper.exercises.rule_facts import limit_of

_MOST_FORMULAS = 2
"""Rules put together of others that are asked about: the question is always what must be measured."""


@dataclass(frozen=True)
class Question:
    """A question, its answer, and how one gets there; rule is the rule's number, 0 for one about the parcel."""

    rule: int
    text: str
    answer: str
    working: str


def questions(challenge: Challenge) -> tuple[Question, ...]:
    """The parcel's questions, then those of every rule that gives one, then one about all shares together."""
    found, formulas = list(_about_parcel(challenge)), 0
    for number, stated in enumerate(challenge.rules, start=1):
        rule = replace(stated.rule, limit=limit_of(stated))
        asked = rule.kind.question(rule, challenge)
        if asked is not None and rule.kind.holds_a_formula:
            formulas += 1
        if asked is not None and not (rule.kind.holds_a_formula and formulas > _MOST_FORMULAS):
            text = f"It says: {stated.text}. {asked.text}" if rule.kind.holds_a_formula else asked.text
            found.append(Question(number, text, asked.answer, asked.working))
    return (*found, *_about_what_is_left(challenge))


def _about_parcel(challenge: Challenge) -> Iterator[Question]:
    unit = challenge.unit
    width, depth = from_mm(challenge.parcel.width, unit), from_mm(challenge.parcel.depth, unit)
    size = f"{number_text(width, unit, challenge)} wide and {number_text(depth, unit, challenge)} deep"
    area = number_text(width * depth, f"sq {unit}", challenge)
    around = number_text(2 * (width + depth), unit, challenge)
    yield Question(0, f"Your parcel is {size}. How many {SQUARE[unit]} is that?", area, f"{width:g} × {depth:g}")
    yield Question(0, "How long is a string that goes once around your parcel?", around, f"2 × ({width:g} + {depth:g})")


def _about_what_is_left(challenge: Challenge) -> Iterator[Question]:
    """What remains of the parcel where every zone with a smallest share takes just that."""
    least = {
        stated.rule.subject.names: stated.rule.bound.low
        for stated in challenge.rules
        if stated.rule.kind == SHARE and stated.rule.subject.mode == "together" and stated.rule.bound.low
    }
    taken, names = sum(least.values()), [name for group in least for name in group]
    if len(least) < 2 or len(set(names)) < len(names) or taken >= 1:
        return
    unit, whole = challenge.unit, parcel_area(challenge)
    take = f"{capital(listed(names))} take only the smallest share that the rules allow."
    working = f"{whole:g} – {taken * whole:.6g}"
    left = number_text((1 - taken) * whole, f"sq {unit}", challenge)
    yield Question(0, f"{take} How many {SQUARE[unit]} are left?", left, working)

"""Questions for a team, computed from the challenge's parcel and rules, each with its answer and working."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from measure.challenge import Challenge, RuleLine
from measure.numbers import shown
from measure.quantity import Quantity
from measure.rules.kind import Group
from measure.rules.parts import Limit, listed
from measure.rules.places import DistanceRule, EdgeRule
from measure.rules.sizes import ComparisonRule, DifferenceRule, ShareRule, SizeRule, mm_per
from measure.rules.solids import HeightRule, PeopleRule
from measure.units import LengthUnit, area_from_mm2, from_mm, to_mm
from tapeplat.paper.exercises.rule_facts import amount_text, limit_of, limit_text

SQUARE = {"in": "square inches", "cm": "square cm", "mm": "square mm", "ft": "square feet", "m": "square metres"}
_FLOOR = {"in": 4.0, "cm": 20.0, "mm": 2000.0, "ft": 0.5, "m": 0.01}
"""The floor of the box in questions about volume, in squares of the unit."""
_CUBE = {"in": 0.5, "cm": 2.0, "mm": 20.0, "ft": 0.25, "m": 0.05}
"""The side of the cubes in questions about height, in the unit."""

_OTHER_UNIT: dict[LengthUnit, LengthUnit] = {"in": "cm", "ft": "in", "cm": "mm", "m": "cm", "mm": "cm"}


@dataclass(frozen=True)
class Question:
    """A question, its answer, and how one gets there; rule is the rule's number, 0 for one about the parcel."""

    rule: int
    text: str
    answer: str
    working: str


def questions(challenge: Challenge) -> tuple[Question, ...]:
    """The parcel's questions, then those of every rule that gives one, then one about all shares together."""
    found = list(_about_parcel(challenge))
    for number, stated in enumerate(challenge.rules, start=1):
        asked = _about_rule(stated, challenge)
        if asked is not None:
            text, answer, working = asked
            found.append(Question(number, text, answer, working))
    return (*found, *_about_what_is_left(challenge))


_Asked = tuple[str, str, str]


def _about_parcel(challenge: Challenge) -> Iterator[Question]:
    unit = challenge.unit
    width, depth = from_mm(challenge.parcel.width, unit), from_mm(challenge.parcel.depth, unit)
    size = f"{_said(width, unit, challenge)} wide and {_said(depth, unit, challenge)} deep"
    area, around = _said(width * depth, f"sq {unit}", challenge), _said(2 * (width + depth), unit, challenge)
    yield Question(0, f"Your parcel is {size}. How many {SQUARE[unit]} is that?", area, f"{width:g} × {depth:g}")
    yield Question(0, "How long is a string that goes once around your parcel?", around, f"2 × ({width:g} + {depth:g})")


def _about_rule(stated: RuleLine, challenge: Challenge) -> _Asked | None:
    rule, limit = stated.rule, limit_of(stated)
    match rule:
        case ShareRule() if limit is not None:
            return _share(_who(rule.group), limit, challenge)
        case SizeRule(size="area" | "perimeter" | "volume"):
            return _size(rule, challenge)
        case ComparisonRule(size="area") | DifferenceRule(size="area"):
            return _comparison(rule, challenge)
        case DistanceRule():
            return _distance(rule)
        case EdgeRule():
            return _edge(rule, challenge)
        case HeightRule():
            return _height(rule)
        case PeopleRule():
            return _people(rule, challenge)
    return None


def _share(who: str, limit: Limit, challenge: Challenge) -> _Asked:
    unit, whole = challenge.unit, _parcel_area(challenge)
    areas = [_said(end * whole, f"sq {unit}", challenge) for end in _ends(limit)]
    parcel = _said(whole, f"sq {unit}", challenge)
    working = f"{amount_text(limit.amount)} of {parcel}"
    if len(areas) == 1:
        return f"{_bound(limit)} how many {SQUARE[unit]} may {who} take?", areas[0], working
    if limit.upper is not None:
        working = f"{amount_text(limit.amount)} and {amount_text(limit.upper)} of {parcel}"
    elif limit.tolerance is not None:
        working += f", then {amount_text(limit.tolerance)} less and more"
    return f"How many {SQUARE[unit]} may {who} take? Say from what to what.", " to ".join(areas), working


def _size(rule: SizeRule, challenge: Challenge) -> _Asked:
    """What the limit means for a square, or for a box on a given floor."""
    amount, unit, who = rule.limit.amount, rule.limit.amount.unit, _who(rule.group)
    assert unit is not None
    if rule.size == "volume":
        floor = _FLOOR[unit]
        box = f"Make {who} one box. Its floor is {floor:g} {SQUARE[unit]}; it holds {amount_text(amount)}."
        answer = _said(amount.value / floor, unit, challenge)
        return f"{box} How tall is it?", answer, f"{amount_text(amount)} ÷ {floor:g}"
    if rule.size == "area":
        text = f"Make {who} a square of exactly {amount_text(amount)}. About how long is each side?"
        side = math.sqrt(amount.value)
        working = f"{side:.2f} × {side:.2f} is about {float(amount.number):g}"
        answer = _said(round(side, 2), unit, challenge)
        return text, answer if answer.startswith("about") else f"about {answer}", working
    side = amount.value / 4
    text = f"Make {who} a square, {amount_text(amount)} around. How many {SQUARE[unit]} does it cover?"
    working = f"each side is {side:g}, and {side:g} × {side:g}"
    return text, _said(side * side, f"sq {unit}", challenge), working


def _comparison(rule: ComparisonRule | DifferenceRule, challenge: Challenge) -> _Asked:
    """The limit where the other zone has an area that is easy to reckon with: a tenth of the parcel."""
    unit, limit = challenge.unit, rule.limit
    other = max(1.0, float(round(_parcel_area(challenge) / 10)))
    ends = _ends(limit)
    if isinstance(rule, ComparisonRule):
        areas, working = [end * other for end in ends], f"{other:g} × {amount_text(limit.amount)}"
    else:
        scale = mm_per(limit.amount) * area_from_mm2(1.0, unit)
        areas, working = [other + end * scale for end in ends], f"{other:g} + {amount_text(limit.amount)}"
    answer = " to ".join(_said(area, f"sq {unit}", challenge) for area in areas)
    given = f"Let the area of {_who(rule.other)} be {other:g} {SQUARE[unit]}."
    bound = _bound(limit) if len(ends) == 1 else "From what to what:"
    return f"{given} {bound} how many {SQUARE[unit]} may {_who(rule.group)} take?", answer, working


def _distance(rule: DistanceRule) -> _Asked:
    """The limit in another unit."""
    amount = rule.limit.amount
    assert amount.unit is not None
    into = _OTHER_UNIT[amount.unit]
    rate = f"{from_mm(to_mm(1.0, amount.unit), into):g}"
    value = from_mm(to_mm(amount.value, amount.unit), into)
    gap = f"From {_who(rule.group)} to {_who(rule.other)} the gap is {limit_text(rule.limit)}."
    text = f"{gap} How many {into} are {amount_text(amount)}? (1 {amount.unit} is {rate} {into}.)"
    return text, f"{value:g} {into}", f"{float(amount.number):g} × {rate}"


def _edge(rule: EdgeRule, challenge: Challenge) -> _Asked | None:
    """The area that is left when a strip along every edge stays free."""
    if rule.limit.relation not in ("at least", "more than") or rule.limit.amount.unit is None:
        return None
    unit, parcel = challenge.unit, challenge.parcel
    strip = rule.limit.amount.value * mm_per(rule.limit.amount)
    width, depth = (from_mm(side - 2 * strip, unit) for side in (parcel.width, parcel.depth))
    if width <= 0 or depth <= 0:
        return None
    free = f"A strip of {amount_text(rule.limit.amount)} along every edge stays free."
    answer = _said(width * depth, f"sq {unit}", challenge)
    return f"{free} How many {SQUARE[unit]} are left inside?", answer, f"{width:g} × {depth:g}"


def _height(rule: HeightRule) -> _Asked | None:
    """How many cubes a tower may have."""
    amount, unit = rule.limit.amount, rule.limit.amount.unit
    if rule.limit.relation != "at most" or unit is None:
        return None
    cube = _CUBE[unit]
    count = math.floor(amount.value / cube + 1e-9)
    stack = f"You stack cubes with sides of {cube:g} {unit}. A tower may be {amount_text(amount)} tall."
    return f"{stack} How many cubes may it have?", str(count), f"{amount_text(amount)} ÷ {cube:g}, without the rest"


def _people(rule: PeopleRule, challenge: Challenge) -> _Asked:
    people, density = rule.limit.amount, amount_text(replace(rule.limit.amount, number=rule.density))
    volume = people.value / float(rule.density)
    need = f"{density} people need 1 cubic {rule.unit}."
    text = f"{need} How many cubic {rule.unit} do {amount_text(people)} people need?"
    return text, _said(volume, f"cubic {rule.unit}", challenge), f"{amount_text(people)} ÷ {density}"


def _about_what_is_left(challenge: Challenge) -> Iterator[Question]:
    """What remains of the parcel where every zone with a smallest share takes just that."""
    least = {
        stated.rule.group.names: stated.rule.limit.low
        for stated in challenge.rules
        if isinstance(stated.rule, ShareRule) and stated.rule.group.mode == "together" and stated.rule.limit.low
    }
    taken, names = sum(least.values()), [name for group in least for name in group]
    if len(least) < 2 or len(set(names)) < len(names) or taken >= 1:
        return
    unit, whole = challenge.unit, _parcel_area(challenge)
    take = f"{_capital(listed(names))} take only the smallest share that the rules allow."
    working = f"{whole:g} – {taken * whole:.6g}"
    left = _said((1 - taken) * whole, f"sq {unit}", challenge)
    yield Question(0, f"{take} How many {SQUARE[unit]} are left?", left, working)


def _parcel_area(challenge: Challenge) -> float:
    return area_from_mm2(challenge.parcel.width * challenge.parcel.depth, challenge.unit)


def _ends(limit: Limit) -> list[float]:
    return [end for end in (limit.low, limit.high) if end is not None]


def _bound(limit: Limit) -> str:
    """`At most`; for limits with one end."""
    return _capital(limit.relation)


def _who(group: Group) -> str:
    if group.mode == "every":
        return "each zone"
    if group.mode == "other":
        return "another zone"
    names = listed(group.names)
    if len(group.names) == 1:
        return names
    return f"{names} together" if group.mode == "together" else f"each of {names}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _said(value: float, unit: str, challenge: Challenge) -> str:
    """An exact number in the class's own form."""
    return shown(Quantity(value), unit, challenge.numbers)

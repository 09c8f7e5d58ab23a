"""A formula on one plat: its terms as numbers, what it says as events, every quantifier gone through."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import NoReturn

from measure.rules.amounts import Amount, Limit
from measure.rules.formula.formula_data import All, Compare, Condition, Either, Multiple, Negation, Quantified
from measure.rules.formula.formula_measures import dimension_of
from measure.rules.formula.formula_terms import (
    Aggregate,
    Constant,
    Count,
    Difference,
    Dimension,
    How,
    Ratio,
    Rounded,
    Sum,
    Times,
)
from measure.rules.formula.formula_things import Formula, Pieces, Span, Term
from measure.rules.formula.formula_told import Asks
from measure.rules.formula.judging.events import (
    AllOf,
    AnyOf,
    Compared,
    Event,
    Not,
    Shown,
    Tally,
    Unclear,
    WholeMultiple,
)
from measure.rules.formula.judging.formula_allowance import counted, turned, unwidened, widened
from measure.rules.formula.judging.numbers_found import Exact, NotKnown, Number
from measure.rules.formula.judging.numbers_reckoned import Apart, Ordered, Quotient, Whole, added
from measure.rules.formula.judging.places_found import place_event
from measure.rules.formula.judging.sizes_found import size_found
from measure.rules.formula.judging.things_found import Said, Scene, found_once
from measure.rules.rule_context import Context
from measure.rules.verdict import StatedLimit, Unknown
from measure.units import area_to_mm2, to_mm, volume_to_mm3

_NOTHING = Unknown("there is nothing that this rule could apply to")
_PREFIX: dict[Dimension, str] = {"number": "", "length": "", "area": "sq ", "volume": "cubic "}


def event_of(formula: Formula, scene: Scene) -> Event:
    """What a formula says of a plat. Raises TooMuchToFind."""
    return found_once(formula, scene, lambda: _noted(formula, _event_of(formula, scene), scene))


def _noted(formula: Formula, event: Event, scene: Scene) -> Event:
    """The event, with what its comparisons are of kept for those who tell it."""
    if isinstance(formula, All | Negation) or (isinstance(formula, Quantified) and formula.how in ("every", "no")):
        return event
    if isinstance(formula, Condition):
        more: Asks = "nothing more" if formula.otherwise is None else "nothing"
        _asking(more, event_of(formula.test, unwidened(scene)), scene)
    elif isinstance(formula, Either | Quantified) and not _is_count(formula):
        _asking("one part" if isinstance(formula, Either) else "one of them", event, scene)
    else:
        holds = event.measured()
        for leaf in _comparisons(event):
            scene.said.setdefault(leaf, Said(formula, scene.bound, holds))
    return event


def _is_count(formula: Formula) -> bool:
    return isinstance(formula, Quantified) and isinstance(formula.how, Limit)


def _asking(asks: Asks, event: Event, scene: Scene) -> None:
    """Of comparisons that a rule does not ask for as they stand."""
    for leaf in _comparisons(event):
        if leaf in scene.said:
            scene.said[leaf] = replace(scene.said[leaf], asks=asks)


def _comparisons(event: Event) -> Iterator[Compared]:
    if isinstance(event, Compared):
        yield event
    for part in event.below():
        yield from _comparisons(part)


def _event_of(formula: Formula, scene: Scene) -> Event:
    match formula:
        case All(parts):
            return AllOf(tuple(event_of(part, scene) for part in parts))
        case Either(parts):
            return AnyOf(tuple(event_of(part, scene) for part in parts))
        case Negation(part):
            return Not(event_of(part, turned(scene)))
        case Condition(test, then, otherwise):
            return _condition(test, then, otherwise, scene)
        case Quantified(how, over, body):
            return _quantified(how, over, body, scene)
        case Compare():
            return _compared(formula, scene)
        case Multiple(of, number):
            return WholeMultiple(number_of(of, scene), number)
    return place_event(formula, scene)


def _condition(test: Formula, then: Formula, otherwise: Formula | None, scene: Scene) -> Event:
    asked, first = event_of(test, unwidened(scene)), event_of(then, scene)
    made = AnyOf((Not(asked), first), amiss=(first,))
    if otherwise is None:
        return made
    second = event_of(otherwise, scene)
    return AllOf((made, AnyOf((asked, second), amiss=(second,))))


def _quantified(how: str | Limit, over: Span, body: Formula, scene: Scene) -> Event:
    bound = scene.each(over, there=how not in ("every", "no"))
    if isinstance(bound, Unknown) or not bound:
        return Unclear(bound if isinstance(bound, Unknown) else _NOTHING)
    inner = turned(scene) if how == "no" else counted(scene, how) if isinstance(how, Limit) else scene
    cases = tuple(event_of(body, inner.bind(binding)) for binding in bound)
    if how == "every":
        return AllOf(cases)
    if how == "no":
        return AllOf(tuple(Not(case) for case in cases))
    if isinstance(how, Limit):
        return _so_many(how, Tally(cases, more=_more(over, scene.context)), len(cases))
    return AnyOf(cases)


def _so_many(limit: Limit, tally: Tally, count: int) -> Event:
    if limit.amount.measure == "percent":
        low, high = (None if end is None else Exact(end * count) for end in (limit.low, limit.high))
        return Compared(tally, low, high, limit.strict, Shown("", 1.0, limit.amount.value * count))
    least, most = limit.whole_bounds
    ends = Exact(float(least)), None if most is None else Exact(float(most))
    return Compared(tally, *ends, shown=Shown("", 1.0, limit.stated))


def _more(over: Span, context: Context) -> bool:
    """Whether there may be pieces that were not seen."""
    return isinstance(over, Pieces) and any(context.measures.unseen(zone) for zone in over.zones)


# ---- comparisons


def _compared(said: Compare, scene: Scene) -> Event:
    left, right = number_of(said.left, scene), number_of(said.right, scene)
    upper = None if said.upper is None else number_of(said.upper, scene)
    low, high = widened(said, *_ends(said, right, upper), scene.context)
    unit, scale = _unit(said, scene.context)
    stated = tuple(end.value / scale for end in (low, high) if end is not None)
    limit: StatedLimit = None
    if all(map(math.isfinite, stated)):
        limit = (stated[0], stated[1]) if len(stated) == 2 and stated[0] < stated[1] else stated[0]
    return Compared(left, low, high, said.relation in ("more than", "less than"), Shown(unit, scale, limit))


def _ends(said: Compare, right: Number, upper: Number | None) -> tuple[Number | None, Number | None]:
    match said.relation:
        case "at least" | "more than":
            return right, None
        case "at most" | "less than":
            return None, right
        case "between":
            return right, upper
    near = said.within
    if near is None:
        return right, right
    if near.measure == "percent":
        return added([right], [1.0 - near.value]), added([right], [1.0 + near.value])
    width = Exact(near.value * near.mm)
    return added([right, width], [1.0, -1.0]), added([right, width])


def _unit(said: Compare, context: Context) -> tuple[str, float]:
    """The unit in which the value is reported, that of the limit, and mm (mm2, mm3) per unit."""
    for limit in (said.right, said.upper, said.left):
        if isinstance(limit, Constant) and limit.amount.unit is not None:
            return limit.amount.unit_text, limit.amount.mm
    what, unit = dimension_of(said.left, _typed), context.setting.unit
    scales = {
        "number": 1.0,
        "length": to_mm(1.0, unit),
        "area": area_to_mm2(1.0, unit),
        "volume": volume_to_mm3(1.0, unit),
    }
    return ("" if what == "number" else f"{_PREFIX[what]}{unit}"), scales[what]


def _typed(message: str) -> NoReturn:
    raise TypeError(message)  # a formula is checked when it is read


# ---- terms


def number_of(term: Term, scene: Scene) -> Number:
    """What a term is on a plat, in mm, mm2 or mm3."""
    return found_once(term, scene, lambda: _number_of(term, scene))


def _number_of(term: Term, scene: Scene) -> Number:
    match term:
        case Constant(amount):
            return Exact(_in_mm(amount))
        case Sum(first, second, minus):
            return added([number_of(first, scene), number_of(second, scene)], [1.0, -1.0 if minus else 1.0])
        case Times(factor, of):
            return added([number_of(of, scene)], [float(factor)])
        case Ratio(of, by):
            return Quotient(number_of(of, scene), number_of(by, scene))
        case Difference(first, second):
            return Apart(number_of(first, scene), number_of(second, scene))
        case Rounded(of, up):
            return Whole(number_of(of, scene), up)
        case Count(over, where):
            return _count(over, where, scene)
        case Aggregate(how, of, over):
            return _aggregate(how, of, over, scene)
    return size_found(term, scene)


def _in_mm(amount: Amount) -> float:
    return amount.value * amount.mm


def _count(over: Span, where: Formula | None, scene: Scene) -> Number:
    if where is None and isinstance(over, Pieces) and not over.pairs:
        return _pieces(over, scene.context)
    bound = scene.each(over, there=True)
    if isinstance(bound, Unknown):
        return Exact(0.0) if isinstance(over, Pieces) else NotKnown(bound, low=0.0)
    if where is None:
        return Exact(float(len(bound)))
    return Tally(
        tuple(event_of(where, unwidened(scene).bind(binding)) for binding in bound), _more(over, scene.context)
    )


def _pieces(over: Pieces, context: Context) -> Number:
    """Tape whose outline cannot be measured is there, but may be one piece or part of another."""
    low, high = 0, 0.0
    for zone in over.zones:
        unseen = context.measures.unseen(zone)
        seen = context.measures.count(zone) - unseen
        hidden = context.measures.unmeasured(zone) - unseen
        low += max(1, seen - hidden) if seen else 0
        high += math.inf if unseen else seen
    if low == high:
        return Exact(float(low))
    return NotKnown(Unknown("how many pieces {} has could not be told", over.zones), float(low), high)


def _aggregate(how: How, of: Term, over: Span, scene: Scene) -> Number:
    bound = scene.each(over, there=False)
    if isinstance(bound, Unknown) or not bound:
        return NotKnown(bound if isinstance(bound, Unknown) else _NOTHING)
    parts = tuple(number_of(of, scene.bind(binding)) for binding in bound)
    match how:
        case "sum":
            return added(parts)
        case "mean":
            return added(parts, [1.0 / len(parts)] * len(parts))
        case "range":
            return added([Ordered("largest", parts), Ordered("smallest", parts)], [1.0, -1.0])
        case "smallest" | "largest" | "median":
            return Ordered(how, parts)

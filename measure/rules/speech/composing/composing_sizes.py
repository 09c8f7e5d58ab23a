"""What is said of sizes, by themselves and against others: the actions of grammar.txt that make such predicates."""
# ruff: noqa: D103  (a function is the action of the production that names it in grammar.txt)

from __future__ import annotations

from dataclasses import replace

from measure.rules.amounts import Amount
from measure.rules.speech.composing.composing_bounds import limit, relation_of, times_limit, tolerated, two_limits
from measure.rules.speech.predicates.places_said import Fact, Predicate
from measure.rules.speech.predicates.sizes_said import Difference, Differs, Extreme, LengthByWidth, Ratio, Share, Sized
from measure.rules.speech.words.lexicon import Times
from measure.rules.speech.words.meanings import ONE, Bound, Bounds, Whom

_SIZE = ("", "size")
_LONG = ("length", "width", "height")


def flavours(bounds: Bounds, allowed: tuple[str, ...]) -> bool:
    """Whether their words speak of nothing else."""
    return all(bound.flavour in allowed for bound in bounds)


def whole(bounds: Bounds) -> bool:
    """Whether they count things."""
    ends = [amount for b in bounds for amount in (b.amount, b.upper) if amount is not None]
    return all(a.measure == "number" and a.number.denominator == 1 for a in ends) and flavours(bounds, ("", "count"))


# ---- sizes


def is_so_much(bounds: Bounds) -> Predicate | None:
    """`is at least 12 sq in`, `is no longer than 6 in`: the unit or the word tells which size."""
    measure, flavour = bounds[0].measure, bounds[0].flavour
    if measure in ("area", "percent") and flavours(bounds, _SIZE):
        return Sized(bounds)
    if measure == "volume" and flavours(bounds, _SIZE):
        return Sized(bounds, "volume")
    if measure == "length" and flavour in _LONG:
        return Sized(bounds, flavour)
    return None


def is_share(bounds: Bounds) -> Predicate | None:
    share = all(b.measure == "percent" or (b.measure == "number" and (b.upper or b.amount).number <= 1) for b in bounds)
    return Share(bounds) if share and flavours(bounds, _SIZE) and not bounds[0].times else None


def covers(bounds: Bounds) -> Predicate | None:
    if bounds[0].measure == "percent":
        return is_share(bounds)
    return Sized(bounds, covered=True) if bounds[0].measure == "area" and flavours(bounds, _SIZE) else None


def is_so_adjective(bounds: Bounds, adjective: str) -> Predicate | None:
    measure, flavour = bounds[0].measure, bounds[0].flavour
    if flavour not in ("", adjective, "size"):
        return None
    if adjective == "size" and measure == "area":
        return Sized(bounds)
    return Sized(bounds, adjective) if adjective in (*_LONG, "perimeter") and measure == "length" else None


def is_adjective_after(amount: Amount, adjective: str, said: str) -> Predicate | None:
    return is_so_adjective(limit(said, amount), adjective)


def is_adjective_within(bounds: Bounds, adjective: str, tolerance: Amount) -> Predicate | None:
    found = tolerated(bounds, tolerance)
    return is_so_adjective(found, adjective) if found else None


def sized(size: str, bounds: Bounds) -> Predicate | None:
    if size == "volume":
        return Sized(bounds, size) if bounds[0].measure == "volume" else None
    if size == "area":
        return covers(tuple(replace(bound, flavour="") for bound in bounds))
    return Sized(bounds, size) if bounds[0].measure == "length" else None


def exceeds(bounds: Bounds) -> Predicate | None:
    bound = bounds[0]
    return covers((replace(bound, relation="more than"),)) if bound.relation == "bare" and len(bounds) == 1 else None


# ---- sizes against others


def is_part_of(bounds: Bounds, thing: Whom) -> Predicate | None:
    bound = bounds[0]
    if bound.measure not in ("number", "percent") or not flavours(bounds, _SIZE):
        return None
    part = bound.times or bound.measure == "percent" or (bound.upper or bound.amount).number < 1
    return Ratio(tuple(as_times(bound) for bound in bounds), thing) if part else None


def as_times(bound: Bound) -> Bound:
    """A part or a per cent as so many times."""

    def made(amount: Amount) -> Amount:
        return Amount(amount.number / 100) if amount.measure == "percent" else amount

    upper = made(bound.upper) if bound.upper else None
    near = replace(bound.tolerance, measure="percent") if bound.tolerance and _points(bound) else bound.tolerance
    return replace(bound, amount=made(bound.amount), upper=upper, tolerance=near, times=False, flavour="")


def _points(bound: Bound) -> bool:
    return bound.tolerance is not None and bound.tolerance.measure == "points"


def is_compared(said: str, thing: Whom) -> Predicate | None:
    relation, flavour = relation_of(said)
    quantity = flavour if flavour in _LONG else "area"
    return Ratio((Bound(relation, ONE),), thing, quantity) if flavour in (*_SIZE, *_LONG) else None


def is_compared_by(entry: str, thing: Whom) -> Predicate | None:
    more, _, flavour = entry.partition(" ")
    relation = "more than" if more == "more" else "less than"
    return is_compared(f"{relation} {flavour}".strip(), thing)


def is_not_compared_by(said: str, thing: Whom) -> Predicate | None:
    found = is_compared_by(said, thing)
    return found.denied() if isinstance(found, Ratio) else None


def covers_compared(said: str, thing: Whom) -> Predicate | None:
    return _land(is_compared(said, thing))


def covers_compared_by(said: str, thing: Whom) -> Predicate | None:
    return _land(is_compared_by(said, thing))


def covers_not_compared_by(said: str, thing: Whom) -> Predicate | None:
    return _land(is_not_compared_by(said, thing))


def _land(found: Predicate | None) -> Predicate | None:
    """What can be covered is an area."""
    return found if isinstance(found, Ratio) and found.quantity == "area" else None


def is_as(adjective: str, thing: Whom) -> Predicate | None:
    return is_at_least_as("bare", adjective, thing)


def is_as_within(adjective: str, thing: Whom, tolerance: Amount) -> Predicate | None:
    found = is_as(adjective, thing)
    if not isinstance(found, Ratio):
        return None
    if tolerance.measure == "points":
        tolerance = replace(tolerance, measure="percent")
    return replace(found, bounds=(Bound("exactly", ONE, tolerance=tolerance),))


def same_within(tolerance: Amount, thing: Whom) -> Predicate | None:
    """`within 10% of the size of the park`."""
    if tolerance.measure not in ("percent", "area"):
        return None
    return Ratio((Bound("exactly", ONE, tolerance=tolerance),), thing)


def is_more_after(amount: Amount, said: str, thing: Whom, after: str) -> Predicate | None:
    """`10% more land than the park at least`."""
    return is_so_much_more(limit(after, amount), said, thing)


def is_times_after(times: Times, adjective: str, thing: Whom, said: str) -> Predicate | None:
    return is_times_as(times_limit(said, times), adjective, thing)


def same_size(thing: Whom) -> Predicate | None:
    return is_as("size", thing)


def same_as_within(thing: Whom, tolerance: Amount) -> Predicate | None:
    return is_as_within("size", thing, tolerance)


def is_at_least_as(said: str, adjective: str, thing: Whom) -> Predicate | None:
    relation, _ = relation_of(said)
    quantity = adjective if adjective in _LONG else "area"
    if adjective not in ("size", *_LONG):
        return None
    return Ratio((Bound(relation, ONE),), thing, quantity)


def is_as_or(adjective: str, thing: Whom, said: str) -> Predicate | None:
    return is_at_least_as(said, adjective, thing)


def is_times_as(bounds: Bounds, adjective: str, thing: Whom) -> Predicate | None:
    found = is_part_of(bounds, thing)
    if not isinstance(found, Ratio) or adjective not in ("size", *_LONG):
        return None
    return replace(found, quantity="area" if adjective == "size" else adjective)


def is_so_much_more(bounds: Bounds, said: str, thing: Whom) -> Predicate | None:
    more, flavour = relation_of(said)
    if all(b.measure == "number" and (b.upper or b.amount).number < 1 and not b.times for b in bounds):
        bounds = tuple(_in_percent(bound) for bound in bounds)  # `a third more than the square`
    if flavour not in _SIZE or bounds[0].measure not in ("area", "percent") or bounds[0].times:
        return None
    return Difference(bounds, 1 if more == "more" else -1, thing)


def _in_percent(bound: Bound) -> Bound:
    upper = Amount(100 * bound.upper.number, "percent") if bound.upper else None
    return replace(bound, amount=Amount(100 * bound.amount.number, "percent"), upper=upper)


def is_more_by(said: str, thing: Whom, bounds: Bounds) -> Predicate | None:
    return is_so_much_more(bounds, said, thing)


def exceeds_zone(thing: Whom) -> Predicate:
    return Ratio((Bound("more than", ONE),), thing)


def exceeds_by(thing: Whom, bounds: Bounds) -> Predicate | None:
    return is_so_much_more(bounds, "more", thing)


def is_extreme(said: str) -> Predicate | None:
    relation, flavour = relation_of(said)
    if flavour == "size":
        return Extreme("largest" if relation == "more" else "smallest")
    return _most(relation, flavour) if flavour in _LONG else None


def long_as_wide(bounds: Bounds, first: str, second: str) -> Predicate | None:
    """`at least twice as long as wide`."""
    if {first, second} != {"length", "width"}:
        return None
    return LengthByWidth((as_times(bounds[0]),), turned=first == "width")


def long_as_wide_within(times: Times, first: str, second: str, tolerance: Amount) -> Predicate | None:
    """`three times as long as it is wide, within 10%`."""
    found = tolerated((Bound("bare", times.amount, times=True),), tolerance)
    return long_as_wide(found, first, second) if found else None


def long_as_wide_after(times: Times, first: str, second: str, said: str) -> Predicate | None:
    return long_as_wide(times_limit(said, times), first, second)


def longer_than_wide(said: str, adjective: str) -> Predicate | None:
    """`longer than it is wide`."""
    more, flavour = relation_of(said)
    if (flavour, adjective) != ("length", "width") or more != "more":
        return None
    return LengthByWidth((Bound("more than", ONE),))


def is_share_two(first: str, low: Amount, second: str, high: Amount) -> Predicate | None:
    """`more than 5% of the land but less than 10%`."""
    bounds = two_limits(first, low, second, high)
    return is_share(bounds) if bounds else None


def is_share_of_used(bounds: Bounds) -> Predicate | None:
    found = is_share(bounds)
    return replace(found, of_land="used land") if isinstance(found, Share) else None


def differs(bounds: Bounds) -> Predicate | None:
    return Differs(bounds) if bounds[0].measure == "area" else None


def is_part_of_size(bounds: Bounds, size: str, thing: Whom) -> Predicate | None:
    """`at least twice the height of the barn`."""
    return is_times_as(bounds, size, thing) if size != "area" else None


def is_rel_size(said: str, size: str, thing: Whom) -> Predicate | None:
    """`at least the height of the barn`."""
    relation, flavour = relation_of(said)
    return Ratio((Bound(relation, ONE),), thing, size) if size in _LONG and flavour in ("", size) else None


def is_same_size(size: str, thing: Whom, tolerance: Amount | None = None) -> Predicate | None:
    """`the same height as the barn, within 5%`."""
    adjective = "size" if size == "area" else size
    return is_as(adjective, thing) if tolerance is None else is_as_within(adjective, thing, tolerance)


def as_long_as_after(adjective: str, amount: Amount, said: str) -> Predicate | None:
    """`as long as 5 inches but no longer`."""
    return is_so_adjective(limit(said, amount), adjective)


def has_most_land(said: str) -> Predicate | None:
    """`takes up the most room`."""
    return is_extreme(f"{said} size")


def has_extreme_size(said: str, size: str) -> Predicate | None:
    """`has the longest perimeter`."""
    relation, flavour = relation_of(said)
    if size == "area":
        return is_extreme(f"{relation} size")
    return _most(relation, size) if flavour in ("size", "length", size) else None


def _most(relation: str, quantity: str) -> Predicate:
    word = "less than" if relation == "more" else "more than"
    text = f"for every zone except {{}}: the {quantity} of that zone is {word} the {quantity} of {{}}"
    return Fact(text, whole=True)


def limited_size(said: str, size: str, amount: Amount) -> Predicate | None:
    """`shall have a minimum area of 6 sq in`."""
    return sized(size, limit(said, amount))


def size_by_its_size(size: str, bounds: Bounds, *rest: str) -> Predicate | None:
    """`has a length that is at least 4 times its width`."""
    return long_as_wide(bounds, size, rest[-1]) if bounds[0].measure in ("number", "percent") else None

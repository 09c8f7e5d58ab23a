"""How much, and whom: the meanings of amounts, relations, zones and places."""
# ruff: noqa: D103  (a function is the action of the production that names it in grammar.txt)

from __future__ import annotations

from dataclasses import replace
from typing import get_args

from measure.rules.amounts import Amount
from measure.rules.speech.words.lexicon import Named, Times
from measure.rules.speech.words.meanings import ANY, IT, ONE, Bound, Bounds, Flavour, Or, Place, Whom

_LOWER, _UPPER = ("at least", "more than"), ("at most", "less than")


def relation_of(entry: str) -> tuple[str, Flavour]:
    """The relation that a lexicon entry stands for, and what it speaks of."""
    for flavour in get_args(Flavour):
        if flavour and entry.endswith(f" {flavour}"):
            return entry.removesuffix(f" {flavour}"), flavour
    return entry, ""


# ---- how much


def bare(amount: Amount) -> Bounds:
    return (Bound("bare", amount),)


def limit(said: str, amount: Amount) -> Bounds:
    relation, flavour = relation_of(said)
    return (Bound(relation, amount, flavour=flavour),)


def limit_after(amount: Amount, said: str) -> Bounds:
    return limit(said, amount)


def between(low: Amount, high: Amount) -> Bounds | None:
    low = _of_one_unit(low, high)
    high = _of_one_unit(high, low) if high.number < 1 else high
    if low.measure != high.measure or low.in_unit_of(high).number >= high.number:
        return None
    return (Bound("between", low, high),)


def _of_one_unit(amount: Amount, other: Amount) -> Amount:
    """A number beside an amount is of its unit; a part beside a per cent is a part: `between 1/4 and 30%`."""
    if amount.measure != "number" or other.measure == "number":
        return amount
    part = other.measure == "percent" and amount.number < 1
    return replace(other, number=100 * amount.number if part else amount.number)


def two_limits(first: str, low: Amount, second: str, high: Amount) -> Bounds | None:
    """`more than 5% but less than 10%`."""
    (one, flavour), (two, other) = relation_of(first), relation_of(second)
    if one in _UPPER and two in _LOWER:
        one, two, low, high = two, one, high, low
    if one not in _LOWER or two not in _UPPER:
        return None
    low = _of_one_unit(low, high)
    high = _of_one_unit(high, low)
    if low.measure != high.measure or low.in_unit_of(high).number >= high.number:
        return None
    if (one, two) == ("at least", "at most"):
        return (Bound("between", low, high, flavour=flavour or other),)
    return (Bound(one, low, flavour=flavour), Bound(two, high, flavour=other))


def two_after(low: Amount, first: str, high: Amount, second: str) -> Bounds | None:
    return two_limits(first, low, second, high)


def one_or_other(first: Amount, second: Amount) -> Bounds | None:
    """`2 or 3`, of whole numbers that follow one another."""
    whole = first.measure == second.measure == "number" and second.number == first.number + 1
    return (Bound("between", first, second),) if whole and first.number.denominator == 1 else None


def one_of_three(first: Amount, second: Amount, third: Amount) -> Bounds | None:
    """`4, 5 or 6`."""
    follows = one_or_other(first, second) and one_or_other(second, third)
    return (Bound("between", first, third),) if follows else None


def give_or_take(amount: Amount) -> Amount:
    """`25% plus or minus 5%` is 20% to 30%."""
    return replace(amount, measure="points") if amount.measure == "percent" else amount


def tolerated(bounds: Bounds, within: Amount) -> Bounds | None:
    """`exactly 20%, give or take 2 points`."""
    bound = bounds[0]
    if len(bounds) > 1 or bound.relation not in ("bare", "exactly") or bound.tolerance:
        return None
    if within.measure == "points" and bound.measure not in ("percent", "number"):
        within = replace(within, measure="percent")
    if bound.measure == "number" and within.measure in ("length", "area", "volume"):
        bound = replace(bound, amount=replace(within, number=bound.amount.number))
    if within.measure == "number" and bound.measure in ("length", "area", "volume"):
        within = replace(bound.amount, number=within.number)
    if within.measure == bound.measure and within.number >= bound.amount.number:
        return None  # more than all of it
    return (replace(bound, relation="exactly", tolerance=within),)


def about_within(amount: Amount, within: Amount) -> Bounds | None:
    """`about 20%, within 2 points`."""
    return tolerated(bare(amount), within)


def times(said: Times) -> Bounds:
    return (Bound("bare", said.amount, times=True),)


def times_limit(said: str, times: Times) -> Bounds:
    relation, flavour = relation_of(said)
    return (Bound(relation, times.amount, flavour=flavour, times=True),)


def times_after(times: Times, said: str) -> Bounds:
    return times_limit(said, times)


def times_between(low: Times | Amount, high: Times) -> Bounds | None:
    amount = low.amount if isinstance(low, Times) else low
    found = between(amount, high.amount)
    return tuple(replace(bound, times=True) for bound in found) if found else None


# ---- whom


def subject(zone: Named) -> Whom:
    """`the homes`, or `a home`: each of them, or one of them."""
    return Whom("a" if zone.indefinite else "", (zone.name,), several=zone.several)


def one_zone(zone: Named) -> Whom:
    return Whom("", (zone.name,), which="a" if zone.indefinite else "", several=zone.several)


def nearest_of(zone: Named) -> Whom:
    """`from the nearest shelter`: each has one of its own."""
    return Whom("", (zone.name,), which="a", several=zone.several)


def every(zone: Named) -> Whom:
    return Whom("every", (zone.name,))


def all_of(zone: Named) -> Whom:
    return Whom("all", (zone.name,))


def none_of(zone: Named) -> Whom:
    return Whom("no", (zone.name,))


def any_of(zone: Named) -> Whom:
    return Whom("any", (zone.name,))


def so_many(count: Bounds, zone: Named) -> Whom | None:
    """`at least 3 of the homes`, `half of the homes or more`."""
    bound = count[0]
    if len(count) > 1 or bound.times or bound.flavour not in ("", "count") or bound.relation == "bare":
        return None
    number = bound.amount.number
    if bound.measure == "percent" or (bound.measure == "number" and number < 1 and bound.upper is None):
        if not zone.several:
            return None
        share = number if bound.measure == "percent" else 100 * number
        return Whom("some", (zone.name,), Bound(bound.relation, Amount(share, "percent")))
    whole = bound.measure == "number" and number.denominator == 1
    return Whom("some", (zone.name,), replace(bound, flavour="")) if whole else None


def so_many_after(amount: Amount, zone: Named, said: str) -> Whom | None:
    """`two thirds of the homes, at least`."""
    return so_many(limit(said, amount), zone)


def so_many_zones(count: Bounds) -> Whom | None:
    bound = count[0]
    whole = bound.measure == "number" and bound.amount.number.denominator == 1
    return Whom("some", (), bound) if len(count) == 1 and whole and bound.relation != "bare" else None


def other_zones_but(but: Named | tuple[Named, ...]) -> Whom:
    return replace(every_zone_but(but), quantifier="every other")


def exactly_one(zone: Named) -> Whom:
    return Whom("some", (zone.name,), Bound("exactly", ONE))


def another(zone: Named) -> Whom:
    return Whom("another", (zone.name,))


def every_other(zone: Named) -> Whom:
    return Whom("every other", (zone.name,))


def extreme_piece(said: str, zone: Named) -> Whom | None:
    relation, flavour = relation_of(said)
    if flavour not in ("", "size"):
        return None
    return Whom("extreme", (zone.name,), which="largest" if relation == "more" else "smallest")


def pair(first: Named, second: Named) -> tuple[Named, ...]:
    return (first, second)


def longer(first: tuple[Named, ...], second: Named) -> tuple[Named, ...]:
    return (*first, second)


def names_of(zones: tuple[Named, ...]) -> tuple[str, ...]:
    return tuple(zone.name for zone in zones)


def listed(zones: tuple[Named, ...]) -> Whom | None:
    return Whom("", names_of(zones)) if _distinct(zones) else None


def each_of(zones: tuple[Named, ...]) -> Whom | None:
    return Whom("each", names_of(zones)) if _distinct(zones) else None


def together(zones: tuple[Named, ...]) -> Whom | None:
    return Whom("together", names_of(zones)) if _distinct(zones) else None


def _distinct(zones: tuple[Named, ...]) -> bool:
    return len(set(names_of(zones))) == len(zones)


def either(first: Named, second: Named) -> Or | None:
    return one_of((first, second))


def one_of(zones: tuple[Named, ...]) -> Or | None:
    return Or(tuple(one_zone(zone) for zone in zones)) if _distinct(zones) else None


def it() -> Whom:
    return Whom("", (IT,))


def pairs(zone: Named) -> Whom:
    return Whom("pair", (zone.name,))


def no_pairs(zone: Named) -> Whom:
    return Whom("no pair", (zone.name,))


def every_zone() -> Whom:
    return Whom("every")


def zones() -> Whom:
    """Each zone, or all of them together."""
    return Whom("all")


def zones_but(but: Named | tuple[Named, ...]) -> Whom:
    return replace(every_zone_but(but), quantifier="all")


def no_zone() -> Whom:
    return Whom("no")


def all_zones() -> Whom:
    return Whom("together")


def every_zone_but(zones: Named | tuple[Named, ...]) -> Whom:
    return Whom("every", but=names_of(zones if isinstance(zones, tuple) else (zones,)))


def no_zone_but(zones: Named | tuple[Named, ...]) -> Whom:
    return replace(every_zone_but(zones), quantifier="no")


def rest() -> Whom:
    """All other zones together."""
    return Whom("rest")


def empty_land() -> Whom:
    return Whom("land")


def so_many_target(count: Bounds, zone: Named) -> Whom | None:
    """`touches at least one home`, `touches at least 2 homes`."""
    found = so_many(count, zone)
    bound = found.count if found else None
    if found is None or bound is None or found.share:
        return None
    return Whom("", (zone.name,)) if bound.relation == "at least" and bound.amount.number == 1 else found


def other_zones() -> Whom:
    return Whom("every other")


def another_zone() -> Whom:
    return Whom("another")


def edge() -> Place:
    return Place("edge")


def one_edge(way: str) -> Place:
    return Place("edge", way)


def any_edge() -> Place:
    """Each of the edges: only what holds of the nearest holds of all."""
    return Place("edge", ANY)


def centre() -> Place:
    return Place("centre")


def half(way: str) -> Place:
    return Place("region", f"{way} half")


def half_that_way(way: str) -> Place | None:
    """`on the left`; `on top` may be a place on something."""
    return half(way) if way not in ("top", "bottom") else None


def third(way: str) -> Place:
    return Place("region", f"{way}ern third")


def corner(way: str) -> Place:
    return Place("region", f"{way} corner")

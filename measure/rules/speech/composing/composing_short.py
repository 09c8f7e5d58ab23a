"""Clauses that leave out what was said before, and notes without a verb: actions of grammar.txt."""
# ruff: noqa: D103  (a function is the action of the production that names it in grammar.txt)

from __future__ import annotations

from dataclasses import replace

from measure.rules.amounts import Amount
from measure.rules.speech.composing.composing import Found, named_in, stated, stated_not, stated_twice
from measure.rules.speech.composing.composing_bounds import (
    corner,
    every_zone_but,
    extreme_piece,
    limit,
    names_of,
    one_of,
    relation_of,
    so_many,
    times_limit,
    two_limits,
)
from measure.rules.speech.composing.composing_orders import gap_is
from measure.rules.speech.composing.composing_said import is_from, touches
from measure.rules.speech.composing.composing_sizes import as_times, covers, is_part_of, is_share
from measure.rules.speech.predicates.places_said import Fact, InRegion, Predicate, Shared
from measure.rules.speech.predicates.sizes_said import Ratio
from measure.rules.speech.words.lexicon import Named, Times
from measure.rules.speech.words.meanings import IT, ONE, OPPOSITE, Bound, Bounds, Place, Said, Sentences, Target, Whom

_LOWER = ("at least", "more than")


def stated_either(who: Whom, first: Predicate, second: Predicate) -> Found:
    """`the stables are inside the farm or touch it`: of a zone, or of each of its pieces."""
    if not isinstance(who, Whom) or not (who.single or (who.quantifier == "every" and who.names)):
        return None
    parts = [stated(who, first), stated(who, second)]
    texts = []
    for part in parts:
        if not isinstance(part, tuple) or len(part) != 1 or not part[0].formula.startswith(who.prefix):
            return None
        texts.append(part[0].formula.removeprefix(who.prefix))
    if any(text.startswith(("for ", "either ", "if ")) for text in texts) or not all(texts):
        return None
    target = getattr(first, "target", None)
    if IT in texts[1]:
        if not isinstance(target, Whom) or not target.single:
            return None
        texts[1] = texts[1].replace(IT, target.names[0])
    return (Said("", f"{who.prefix}either {texts[0]}, or {texts[1]}"),)


def and_not(who: Whom, predicate: Predicate, other: Named) -> Found:
    """`the school touches the lake but the factory does not`."""
    if not isinstance(who, Whom) or who.quantifier not in ("", "each") or other.name in who.names:
        return None
    first, second = stated(who, predicate), stated_not(Whom("", (other.name,)), predicate)
    both = isinstance(first, tuple) and isinstance(second, tuple)
    return (*first, *second) if both and not any(IT in s.text for s in (*first, *second)) else None  # type: ignore[misc]


def has_touching(*beside: object) -> Predicate | None:
    """`each house must have an orchard or a park touching it`."""
    found = beside[0]
    if isinstance(found, Named):
        return touches(Whom("", (found.name,)))
    one = one_of(found) if isinstance(found, tuple) else None
    return touches(one) if one else None


def has_larger(comparative: str, size: str, thing: Whom) -> Predicate | None:
    """`has a shorter perimeter than the market`."""
    more, flavour = relation_of(comparative)
    if flavour not in ("", "size", "length") and flavour != size:
        return None
    return Ratio((Bound("more than" if more == "more" else "less than", ONE),), thing, size)


def has_larger_twice(who: Whom, first: str, one: str, second: str, other: str, thing: Whom) -> Found:
    """`has a larger area but a shorter perimeter than the market`."""
    parts = has_larger(first, one, thing), has_larger(second, other, thing)
    return stated_twice(who, parts[0], parts[1]) if parts[0] and parts[1] and one != other else None


def extreme_by_extreme(first: str, zone: Named, bounds: Bounds, second: str) -> Found:
    """`the largest home must be at most twice the size of the smallest`."""
    who, thing = extreme_piece(first, zone), extreme_piece(second, zone)
    if not who or not thing or who == thing or len(bounds) > 1 or bounds[0].measure not in ("number", "percent"):
        return None
    return Ratio((as_times(bounds[0]),), thing).of(who)


def extreme_by_extreme_not(first: str, zone: Named, bounds: Bounds, second: str) -> Found:
    opposite = bounds[0].opposite if len(bounds) == 1 else None
    return extreme_by_extreme(first, zone, (opposite,), second) if opposite else None


def gap_note(zone: Named, target: Named, bounds: Bounds) -> Found:
    """`school to clinic: under 10 inches`."""
    known = bounds[0].relation != "bare" and zone.name != target.name
    return gap_is(Whom("", (zone.name,)), Whom("", (target.name,)), bounds) if known else None


def limit_of_gap_list(said: str, zones: tuple[Named, ...], amount: Amount) -> Found:
    """`minimum distance lake - homes: 3 in`."""
    names = names_of(zones)
    return gap_is(Whom("", names[:1]), Whom("", names[1:]), limit(said, amount)) if len(names) == 2 else None


def is_from_edge(bounds: Bounds, edge: Place, *_: str) -> Predicate | None:
    """`at least 2 in from the edge on all sides`: what holds of the nearest edge, at least, holds of all."""
    return is_from(bounds, edge) if all(bound.relation in _LOWER for bound in bounds) else None


def is_from_after(amount: Amount, target: Target, said: str) -> Predicate | None:
    """`10 cm from the edge or more`."""
    return is_from(limit(said, amount), target) if amount.measure == "length" else None


def some_are_not(bounds: Bounds, zone: Named, predicate: Predicate) -> Found:
    """`at least three homes that are not rectangles`."""
    who, denied = so_many(bounds, zone), predicate.denied()
    return stated(who, denied) if who and denied and bounds[0].relation in _LOWER else None


def shaped_neither(first: str, second: str) -> Predicate | None:
    """`is not a square or a rectangle`: every square is a rectangle, so that it is no rectangle."""
    return Fact("is a rectangle", of_pieces=True, negated=True) if {first, second} == _UPRIGHT else None


_UPRIGHT = {"a square", "a rectangle"}


def all_inside() -> Found:
    """`nothing may stick out over the edge`."""
    return stated(Whom("every"), Fact("is inside the parcel", plain=True))


def one_inside(who: Whom) -> Found:
    """`the factory may not stick out over the edge`."""
    good = isinstance(who, Whom) and (who.single or (who.quantifier == "every"))
    return stated(replace(who, several=False), Fact("is inside the parcel", plain=True)) if good else None


def corner_note(zone: Named, way: str) -> Found:
    """`lake: top right`."""
    return stated(Whom("", (zone.name,)), InRegion(corner(way)))


def part_after(amount: Amount | Times, thing: Whom, said: str) -> Predicate | None:
    """`a third of the size of the farm at most`, `twice the size of the lake or more`."""
    bounds = times_limit(said, amount) if isinstance(amount, Times) else limit(said, amount)
    return is_part_of(bounds, thing) if bounds else None


def outline_shared(bounds: Bounds, zone: Named, *rest: object) -> Found:
    """`at least half of the harbour's outline must be shared with the lake`."""
    target = rest[-1]
    if not isinstance(target, Whom) or not target.single or target.names[0] == zone.name or len(bounds) > 1:
        return None
    if bounds[0].measure not in ("number", "percent") or bounds[0].flavour not in ("", "length"):
        return None
    bound = replace(as_times(bounds[0]), flavour="")
    return Shared((bound,), "common border", target, f"the perimeter of {zone.name}").of(Whom("", (zone.name,)))


def zones_that(given: Predicate, wanted: Predicate) -> Sentences | None:
    """`zones that touch the lake must be lower than 5 cm`: every other zone than the lake that does."""
    if len(named_in(given)) > 1 or len(named_in(wanted)) > 1:
        return None  # each of them may be held against the others
    who = Whom("every", but=tuple(dict.fromkeys((*named_in(given), *named_in(wanted)))))
    first, second = given.of(who), wanted.of(who)
    if not isinstance(first, tuple) or len(first) != 1 or not isinstance(second, tuple):
        return None
    if not all(said.formula.startswith(who.prefix) for said in (*first, *second)):
        return None
    start = f"{who.prefix}if {first[0].formula.removeprefix(who.prefix)}, then "
    return tuple(Said("", start + said.formula.removeprefix(who.prefix)) for said in second)


def in_neither(who: Whom, first: str, low: Amount, second: str, high: Amount) -> Found:
    """`may not cover less than 10% nor more than 30%`."""
    ends = [OPPOSITE.get(relation_of(said)[0], "") for said in (first, second)]
    bounds = two_limits(ends[0], low, ends[1], high) if all(ends) else None
    plain = tuple(replace(bound, flavour="") for bound in bounds) if bounds else ()
    made = (is_share(plain) if plain[0].measure in ("percent", "number") else covers(plain)) if plain else None
    return stated(who, made) if made else None


def none_either(zone: Named, first: Predicate, second: Predicate) -> Found:
    """`no stall may be bigger than 6 sq in or smaller than 2 sq in`."""
    denied = first.denied(), second.denied()
    return stated_twice(Whom("every", (zone.name,)), denied[0], denied[1]) if denied[0] and denied[1] else None


def no_zones_that(given: Predicate, wanted: Predicate) -> Sentences | None:
    denied = wanted.denied()
    return zones_that(given, denied) if denied else None


def together_but(but: Named | tuple[Named, ...]) -> Whom:
    """`the sum of the areas of all zones other than the homes`."""
    return replace(every_zone_but(but), quantifier="together")


def stated_and_which(who: Whom, first: Predicate, second: Predicate) -> Found:
    """`the hall is larger than the den, which is larger than the hut`."""
    target = getattr(first, "target", None) or getattr(first, "thing", None)
    if not isinstance(who, Whom) or not isinstance(target, Whom) or not target.single:
        return None
    one, other = stated(who, first), stated(target, second)
    return (*one, *other) if isinstance(one, tuple) and isinstance(other, tuple) else None

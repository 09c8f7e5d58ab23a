"""Gaps and places in further orders of words: actions of grammar.txt."""
# ruff: noqa: D103  (a function is the action of the production that names it in grammar.txt)

from __future__ import annotations

from dataclasses import replace

from measure.rules.amounts import Amount
from measure.rules.speech.composing.composing import Found, stated, there_is
from measure.rules.speech.composing.composing_bounds import (
    limit,
    names_of,
    none_of,
    one_zone,
    so_many_zones,
    two_limits,
)
from measure.rules.speech.composing.composing_free import Sides, at_least_assumed, gap_between
from measure.rules.speech.composing.composing_orders import gap_is
from measure.rules.speech.composing.composing_said import at_centre, is_apart, is_from, is_within, touches
from measure.rules.speech.composing.composing_short import gap_note
from measure.rules.speech.predicates.gaps_said import Apart, NotNearer
from measure.rules.speech.predicates.places_said import Fact, InRegion, Meets, Predicate
from measure.rules.speech.words.lexicon import Named
from measure.rules.speech.words.meanings import IT, Bound, Bounds, Or, Place, Said, Sentences, Target, Whom, formula

_UPPER, _LOWER = ("at most", "less than"), ("at least", "more than")
_ITS = Whom("", (IT,))

# ---- terse


def terse_gap(zone: Named, target: Named, bounds: Bounds, *_: str) -> Found:
    """`bee yard - picnic lawn: 25 cm min`, `distance (lake, park) >= 3 in`."""
    return gap_note(zone, target, bounds) if bounds[0].measure == "length" else None


def listed_gap(zones: tuple[Named, ...], bounds: Bounds) -> Found:
    return terse_gap(zones[0], zones[1], bounds) if len(zones) == 2 else None


def only_there(who: Whom, region: Place) -> Found:
    """`lake: northern half only`."""
    return stated(who, InRegion(region)) if isinstance(who, Whom) and who.single else None


# ---- of it, of them


def none_of_them_all() -> Whom:
    return none_of(Named(IT))


def each_of_them_all() -> Whom:
    return Whom("every", (IT,))


def its_gap(target: Target, bounds: Bounds) -> Found:
    """`its distance from the school is at least 12 cm`."""
    return gap_is(_ITS, target, bounds)


def gap_to_it(bounds: Bounds, target: Target) -> Found:
    return gap_is(_ITS, target, bounds)


def so_that(who: Whom, sentences: Sentences) -> Sentences | None:
    """`place the pad so that it touches the lab`; `anywhere, as long as it does not touch the lake`."""
    if not isinstance(who, Whom) or len(who.names) != 1 or who.quantifier not in ("", "every", "all"):
        return None
    name = who.names[0]
    told = tuple(said.of_it(name) for said in sentences)
    if who.quantifier and any(IT in said.text for said in sentences):
        return None
    return told if all(name in said.text for said in told) else None


# ---- what each has


def has_near(who: Whom, target: Target, bounds: Bounds, *_: str) -> Found:
    """`every cabin must have another cabin no farther than 2 inches off`, `a park or a school within 3 in`."""
    near = len(bounds) == 1 and bounds[0].relation in _UPPER and bounds[0].flavour in ("", "gap")
    of_each = isinstance(target, Whom) and target.quantifier in ("every", "all", "every other")
    made = is_from(bounds, target) if near and not of_each and not isinstance(target, Place) else None
    return stated(who, made) if made else None


def has_one_near(who: Whom, zone: Named, bounds: Bounds, *_: str) -> Found:
    """`every house needs a bus stop no more than 4 in away`."""
    return has_near(who, one_zone(zone), bounds)


def has_within_of(who: Whom, target: Target, amount: Amount) -> Found:
    return has_near(who, target, (Bound("at most", amount),)) if amount.measure == "length" else None


def has_beside(who: Whom, target: Target) -> Found:
    """`every shop has another shop next to it`."""
    other = isinstance(target, Or) or target.quantifier == "another" if not isinstance(target, Place) else False
    return stated(who, touches(target)) if other else None


def nothing_near(who: Whom, amount: Amount) -> Found:
    """`the dump must be all by itself: no other zone within 4 inches`."""
    if not isinstance(who, Whom) or not who.single or amount.measure != "length":
        return None
    return stated(Whom("no", but=who.names), is_within(amount, who) or Meets("touch", who))


def room_around(who: Whom, bounds: Bounds) -> Found:
    """`must be surrounded by at least 2 cm of open space`."""
    if any(bound.relation not in _LOWER for bound in bounds):
        return None
    made = is_from(bounds, Whom("every other"))
    good = isinstance(who, Whom) and who.names and who.quantifier in ("", "every", "each")
    return stated(who, made) if made and good else None


def needs_gap(who: Whom, bounds: Bounds, target: Target) -> Found:
    """`the castle needs a gap of 2 in from the village`: or more; that none needs it asks for nothing."""
    if isinstance(who, Or) or who.quantifier not in ("", "every", "each"):
        return None
    made = is_from(at_least_assumed(bounds), target)
    return stated(who, made) if made else None


# ---- in other orders


def reached(who: Whom, target: Target, bounds: Bounds) -> Found:
    """`from the school you should be able to reach the park in 4 inches or less`."""
    upper = len(bounds) == 1 and bounds[0].relation in _UPPER
    return gap_is(who, target, bounds) if upper else None


def reached_within(who: Whom, target: Target, amount: Amount) -> Found:
    return reached(who, target, (Bound("at most", amount),))


def fronted(predicate: Predicate, who: Whom | Or) -> Found:
    """`in the north-west corner put the temple`."""
    return stated(who, predicate)


def fronted_there(predicate: Predicate, zone: Named) -> Found:
    """`within 4 in of the school there must be a park`."""
    if isinstance(predicate, Apart) and isinstance(predicate.target, Whom) and not predicate.target.single:
        return None
    plain = replace(predicate, near=False) if isinstance(predicate, Apart) else predicate
    return there_is(zone, plain)


def gap_between_not(sides: Sides, bounds: Bounds) -> Found:
    """`between the park and the school there must not be more than 3 cm`."""
    opposite = bounds[0].opposite if len(bounds) == 1 else None
    return gap_between((opposite,), sides) if opposite else None


def gap_not_between(bounds: Bounds, sides: Sides) -> Found:
    return gap_between_not(sides, bounds)


def gap_limit(said: str, amount: Amount) -> Bounds | None:
    """`a minimum clearance of 4 cm`."""
    return limit(said, amount) if amount.measure == "length" else None


def gap_limit_word(said: str, amount: Amount) -> Bounds | None:
    return gap_limit(said, amount)


def is_from_two_limits(first: str, low: Amount, target: Target, second: str, high: Amount) -> Predicate | None:
    """`at least 8 cm from the pad, and no more than 15 cm`."""
    found = two_limits(first, low, second, high)
    return is_from(found, target) if found else None


def as_far_after(adjective: str, target: Target, other: Target, said: str) -> Predicate | None:
    """`as far from the factory as from the lake, or farther`."""
    return NotNearer(target, other) if said == "at least" and adjective.startswith("gap") else None


_UP, _ACROSS = ("north", "south"), ("west", "east")


def some_corner() -> Predicate:
    """`in a corner of the board`: it touches two edges that meet there."""
    ways = (f"({{}} touches the {a} edge, and {{}} touches the {b} edge)" for a in _UP for b in _ACROSS)
    return Fact(f"either {', or '.join(ways)}", whole=True)


def many_of_so_many(count: Bounds, total: Amount) -> Whom | None:
    """`at least 2 of the 5 zones`."""
    whole = total.measure == "number" and total.number.denominator == 1
    return so_many_zones(count) if whole and total.number >= (count[0].upper or count[0].amount).number else None


def pairs_but(but: tuple[Named, ...]) -> Sentences | None:
    """`no two zones may touch each other except the school and the park`: these two may."""
    names = names_of(but)
    if len(set(names)) != 2:
        return None
    made = formula(Whom("every", but=names), "", "{} does not touch any other zone")
    return (Said(made.plain),)


# ---- far, near, and what lies between


def far_is(target: Target, bounds: Bounds, *_: str) -> Predicate | None:
    """`far from the silo: 20 cm at least`."""
    bounds = at_least_assumed(bounds)
    return is_from(bounds, target) if bounds[0].relation in _LOWER and len(bounds) == 1 else None


def not_near(who: Whom | Or, target: Target, bounds: Bounds, *_: str) -> Found:
    """`I don't want to see the plant anywhere near the flats; at least 9 inches`."""
    made = far_is(target, bounds)
    return stated(who, made) if made else None


def close_within(target: Target, amount: Amount) -> Predicate | None:
    """`near both the flats and the market: within 5 inches of each`."""
    return is_within(amount, target)


def centre_under(who: Whom | Or) -> Found:
    """`the centre of the parcel must be covered by the well`."""
    return stated(who, at_centre())


def listed_apart(zones: tuple[Named, ...], bounds: Bounds) -> Found:
    """`flats, clinic: at least 2 inches apart`."""
    made = is_apart(bounds)
    return stated(Whom("", names_of(zones)), made) if made and len(zones) == 2 else None


def sum_apart(zones: tuple[Named, ...]) -> Found:
    """`stage + toilets: not touching`."""
    return stated(Whom("", names_of(zones)), Meets("touch", None, negated=True)) if len(zones) == 2 else None


def kept_gap(bounds: Bounds, who: Whom, target: Target) -> Found:
    """`keep 5 inches from stage to toilets`: or more."""
    return gap_is(who, target, at_least_assumed(bounds))


def limit_between(amount: Amount, said: str, sides: Sides) -> Found:
    """`3 inches is the least distance allowed between the stage and the tents`."""
    return gap_between(limit(said, amount), sides) if amount.measure == "length" else None


def limit_of_between(said: str, sides: Sides, amount: Amount) -> Found:
    return limit_between(amount, said, sides)


def there_near_much(zone: Named, target: Target, bounds: Bounds, *_: str) -> Found:
    """`there must be toilets near the food trucks - 4 inches or under`."""
    made = is_from(bounds, target) if len(bounds) == 1 and bounds[0].relation in _UPPER else None
    return there_is(zone, made) if made else None

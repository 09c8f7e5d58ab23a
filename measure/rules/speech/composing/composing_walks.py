"""Gaps walked, parts of zones in parts of the parcel, the nearest and the farthest: actions of grammar.txt."""
# ruff: noqa: D103  (a function is the action of the production that names it in grammar.txt)

from __future__ import annotations

from dataclasses import replace

from measure.rules.amounts import Amount
from measure.rules.speech.composing.composing import Found, stated
from measure.rules.speech.composing.composing_bounds import every_zone_but, names_of, one_zone, so_many
from measure.rules.speech.composing.composing_free import Sides, gap_around, kept, none_closer, none_within
from measure.rules.speech.composing.composing_gaps import needs_gap
from measure.rules.speech.composing.composing_orders import gap_is, has_within
from measure.rules.speech.composing.composing_said import (
    beyond,
    farthest_way,
    is_apart,
    is_rel_apart,
    nearest_zone,
    touches,
)
from measure.rules.speech.composing.composing_some import may_touch_but_not, share_of_them
from measure.rules.speech.predicates.places_said import Fact, InRegion, Meets, Predicate
from measure.rules.speech.words.lexicon import Named
from measure.rules.speech.words.meanings import Bounds, Or, Place, Target, Whom

# ---- walks


def walked_from(*parts: object) -> Found:
    """`from any igloo it must be 6 inches or less to the kitchen`, `6 cm minimum from baths to arena`."""
    who, target, bounds = _walk(parts)
    return walked(who, target, bounds)


def walked_not(*parts: object) -> Found:
    """`it should never be more than 6 inches from an igloo to the kitchen`."""
    who, target, bounds = _walk(parts)
    opposite = bounds[0].opposite if len(bounds) == 1 else None
    return walked(who, target, (opposite,)) if opposite else None


def _walk(parts: tuple[object, ...]) -> tuple[Whom | Or, Target, Bounds]:
    """From whom to what, and how far, in whatever order they were said."""
    (bounds,) = (part for part in parts if isinstance(part, tuple))
    who, target = (part for part in parts if not isinstance(part, tuple))
    return who, target, bounds  # type: ignore[return-value]


def walked(who: Whom | Or, target: Target, bounds: Bounds) -> Found:
    """From each of them."""
    if len(bounds) > 1 or bounds[0].relation == "bare" or isinstance(who, Or):
        return None
    if who.quantifier in ("a", "any"):
        who = replace(who, quantifier="every")
    return gap_is(who, target, bounds)


# ---- nothing near


def none_within_that(amount: Amount, target: Target) -> Found:
    """`there shouldn't be anything within 2 inches of the ice hole`."""
    return none_within(amount, target)


def none_closer_that(entry: str, amount: Amount, target: Target) -> Found:
    return none_closer(entry, amount, target)


def around_gap(target: Target, bounds: Bounds) -> Found:
    """`around the ice hole, 2 inches must be left free`."""
    return gap_around(bounds, target)


def listed_no_closer(zones: tuple[Named, ...], entry: str, amount: Amount, *_: object) -> Found:
    """`do not let the baths and the arena get closer than 6 cm`."""
    made = is_rel_apart("less than gap", amount) if entry == "less gap" and len(zones) == 2 else None
    denied = made.denied() if made else None
    return stated(Whom("", names_of(zones)), denied) if denied else None


def kept_apart(zones: tuple[Named, ...]) -> Found:
    """`keep lions and monkeys apart`."""
    found = stated(Whom("", names_of(zones)), Meets("touch", None, negated=True))
    return tuple(replace(said, warning=_APART) for said in found) if isinstance(found, tuple) else None


_APART = "read as not touching; write how far where a distance is meant"


def kept_from_touching(zone: Named, target: Target) -> Found:
    return stated(one_zone(zone), Meets("touch", target, negated=True))


def may_touch_all_but(who: Whom, but: Named | tuple[Named, ...]) -> Found:
    """`the snack bar can touch any zone except the lions`."""
    zones = but if isinstance(but, tuple) else (but,)
    return may_touch_but_not(who, Whom("every other"), Whom("each" if len(zones) > 1 else "", names_of(zones)))


# ---- beside it, farthest, halfway


def has_beyond(who: Whom, zone: Named, way: str) -> Found:
    """`the field has the shed on its east side`."""
    if not isinstance(who, Whom) or not who.single:
        return None
    return stated(one_zone(zone), beyond(way, who))


def touching_it(target: Target) -> Predicate:
    """`right by the entrance, touching it`."""
    return touches(target)


def nearest_named(target: Target, zone: Named) -> Found:
    """`the nearest thing to the mast must be the shed`."""
    made = nearest_zone(target)
    return stated(one_zone(zone), made) if made else None


def farthest_zone(target: Target) -> Predicate | None:
    """`the farthest zone from the library`."""
    if not isinstance(target, Whom) or not target.single:
        return None
    name = target.names[0]
    mine, other = f"the gap from {{}} to {name}", f"the gap from that zone to {name}"
    return Fact(f"for every zone except {{}} and {name}: {other} is less than {mine}", whole=True)


def farthest_way_one(way: str) -> Predicate:
    return farthest_way(way)


def as_near_within(*parts: object) -> Predicate | None:
    """`as close to the pool as to the library, within half an inch`."""
    *_, first, second, tolerance = parts
    sayable = all(isinstance(part, Place) or (isinstance(part, Whom) and part.single) for part in (first, second))
    if not sayable or not isinstance(tolerance, Amount):
        return None
    one, other = (part.text for part in (first, second) if isinstance(part, Whom | Place))
    return Fact(f"the gap from {{}} to {one} is exactly the gap from {{}} to {other}, within {tolerance}", whole=True)


def halfway_within(zones: tuple[Named, ...], tolerance: Amount) -> Predicate | None:
    """`halfway between the forum and the arena, to within 1 cm`."""
    return as_near_within(one_zone(zones[0]), one_zone(zones[1]), tolerance) if len(zones) == 2 else None


# ---- parts of a zone


def wholly_in(zone: Named, region: Place) -> Found:
    """`the whole of the pool must be in the south half`."""
    return stated(one_zone(zone), InRegion(region))


def mostly_there(zone: Named, region: Place) -> Found:
    """`most of the pool must lie in the south half`; `most of the homes` may be most pieces."""
    return None if zone.several else stated(one_zone(zone), InRegion(region, mostly=True))


def partly_there(zone: Named, region: Place) -> Found:
    return None if zone.several else stated(one_zone(zone), Fact(f"is partly in {region.text}"))


def no_part_in(who: Whom | Or, region: Place) -> Found:
    """`the pool may not extend into the north half`."""
    return stated(who, Fact(f"is partly in {region.text}", negated=True))


# ---- of all but some


def kept_all_but(but: Named | tuple[Named, ...], predicate: Predicate) -> Found:
    """`except for the mill, keep everything an inch or more from the river`."""
    return kept(every_zone_but(but), predicate)


def needs_gap_of(who: Whom, target: Target, bounds: Bounds) -> Found:
    """`the tower shall have a clear distance to all other zones of no less than 4 cm`."""
    return needs_gap(who, bounds, target)


def kept_apart_all(zones: tuple[Named, ...]) -> Found:
    """`the frog house, the tank and the barn: no two of them touch`."""
    return stated(Whom("", names_of(zones)), Meets("touch", None, negated=True))


def anywhere_but(who: Whom | Or, predicate: Predicate) -> Found:
    """`the farmhouse may be anywhere except next to the silo`."""
    denied = predicate.denied() if isinstance(who, Whom) and who.quantifier in ("", "every", "each") else None
    return stated(who, denied) if denied else None


def anywhere_but_edge(who: Whom | Or, edge: Place) -> Found:
    return anywhere_but(who, touches(edge))


def of_listed(zones: tuple[Named, ...]) -> Sides | None:
    """`between the coaster, the carousel and the lake`: between any two of them."""
    return Sides(Whom("", names_of(zones))) if len(zones) > 2 else None


def touch_some_edge() -> Predicate:
    """`along one of the edges`; what does not touch one of them is left open."""
    return Fact("{} touches the edge", whole=True)


# ---- of so many of them


def so_many_of_them(zone: Named, bounds: Bounds, predicate: Predicate) -> Found:
    """`of the houses, at least four need to be within 6 cm of the market`."""
    who = so_many(bounds, zone)
    return stated(who, predicate) if who else None


def half_of_them(amount: Amount, zone: Named) -> Whom | None:
    """`half the classrooms should touch the field`."""
    part = amount.measure == "percent" or (amount.measure == "number" and amount.number < 1)
    return share_of_them(amount, zone) if part and zone.several else None


def each_from_next(zone: Named, bounds: Bounds) -> Found:
    """`every house shall stand at least 2 cm from its neighbours`."""
    made = is_apart(bounds) if all(bound.relation in ("at least", "more than") for bound in bounds) else None
    return made.of(Whom("pair", (zone.name,))) if made else None


def none_without_near(first: Named, second: Named, amount: Amount) -> Found:
    """`a cabin without a latrine within 6 in is not allowed`: each has one."""
    return has_within(Whom("every", (first.name,)), second, amount) if first.name != second.name else None


def all_but_may_touch(but: Named | tuple[Named, ...], target: Target) -> Found:
    """`anything except the reactor can touch the road`: the reactor must not."""
    names = names_of(but if isinstance(but, tuple) else (but,))
    made = [stated(Whom("", (name,)), Meets("touch", target, negated=True)) for name in names]
    return tuple(said for part in made for said in part) if all(isinstance(part, tuple) for part in made) else None  # type: ignore[union-attr]

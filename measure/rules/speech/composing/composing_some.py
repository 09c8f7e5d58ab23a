"""So many of them, one or the other, and what only some may: actions of grammar.txt."""
# ruff: noqa: D103  (a function is the action of the production that names it in grammar.txt)

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from measure.rules.amounts import Amount
from measure.rules.speech.composing.composing import Found, every_that, stated
from measure.rules.speech.composing.composing_bounds import names_of, one_of
from measure.rules.speech.composing.composing_counts import for_every
from measure.rules.speech.composing.composing_orders import gap_is, has_within
from measure.rules.speech.composing.composing_said import is_from, is_within, touches
from measure.rules.speech.composing.composing_sizes import whole
from measure.rules.speech.predicates.gaps_said import Apart
from measure.rules.speech.predicates.places_said import Beyond, Both, Fact, InRegion, Meets, OneOf, Predicate
from measure.rules.speech.words.lexicon import Named
from measure.rules.speech.words.meanings import ONE, Bound, Bounds, Or, Place, Said, Sentences, Target, Whom, formula

_TWO = Bound("bare", Amount(Fraction(2)))


def few(amount: Amount, zone: Named) -> Whom | None:
    """`two homes must touch the lake`: two or more of them."""
    return (
        Whom("some", (zone.name,), Bound("at least", amount, assumed=True))
        if zone.several or amount.number == 1
        else None
    )


def so_many_of_group(amount: Amount, zones: tuple[Named, ...]) -> tuple[Named, ...] | None:
    """`the two farms`, of a north farm and a south farm."""
    return zones if amount.measure == "number" and amount.number == len(zones) else None


def few_zones(amount: Amount) -> Whom:
    return Whom("some", (), Bound("at least", amount, assumed=True))


def one_of_several(zone: Named) -> Whom | None:
    """`one of the homes must touch the park`."""
    return few(ONE, zone) if zone.several else None


def all_land(zone: Named) -> Whom:
    """`all homes combined`."""
    return Whom("", (zone.name,))


def most_of(zone: Named) -> Whom | None:
    """`more than half of the homes must touch the park`."""
    half = Bound("more than", Amount(Fraction(50), "percent"))
    return Whom("some", (zone.name,), half) if zone.several else None


def share_of_them(amount: Amount, zone: Named) -> Whom | None:
    """`two thirds of the homes have to touch the park`: so many, or more."""
    share = amount.number if amount.measure == "percent" else 100 * amount.number
    part = amount.measure == "percent" or (amount.measure == "number" and 0 < amount.number < 1)
    if not part or not zone.several:
        return None
    return Whom("some", (zone.name,), Bound("at least", Amount(share, "percent"), assumed=True))


def every_other_zone() -> Whom:
    """`everything else must be at least 4 in from the factory`: all but what it is held against."""
    return Whom("every", which="other")


def zone_pairs() -> Whom:
    return Whom("pair")


def no_zone_pairs() -> Whom:
    return Whom("no pair")


# ---- of two targets


def touches_two(first: Target, second: Target) -> Predicate | None:
    """`touch every house and every store`; `the park and the school` are a list."""
    return None if _listed(first, second) else Both(touches(first), touches(second))


def _listed(first: Target, second: Target) -> bool:
    return all(isinstance(part, Whom) and (part.single or part.quantifier == "each") for part in (first, second))


def is_within_two(amount: Amount, first: Target, second: Target) -> Predicate | None:
    return None if _listed(first, second) else _both(is_within(amount, first), is_within(amount, second))


def is_from_two(bounds: Bounds, first: Target, second: Target) -> Predicate | None:
    return None if _listed(first, second) else _both(is_from(bounds, first), is_from(bounds, second))


def is_within_either(amount: Amount, first: Target, second: Target) -> Predicate | None:
    """`can't be within 5 in of any home or the playground`: of neither."""
    one, other = is_within(amount, first), is_within(amount, second)
    return OneOf(one, other) if one and other else None


def in_either_corner(first: str, second: str) -> Predicate:
    return Fact(f"either {{}} is in the {first} corner, or {{}} is in the {second} corner", whole=True)


def is_so_much_taller(bounds: Bounds, entry: str, thing: Whom) -> Predicate | None:
    """`at least 3 inches taller than the chapel`."""
    more, _, flavour = entry.partition(" ")
    if flavour != "height" or bounds[0].measure != "length" or bounds[0].flavour or len(bounds) > 1 or not thing.single:
        return None
    one, other = ("{}", thing.thing) if more == "more" else (thing.thing, "{}")
    text = f"the height of {one} minus the height of {other} is {bounds[0].text(bare='exactly')}"
    return Fact(text, whole=True)


def _both(first: Predicate | None, second: Predicate | None) -> Predicate | None:
    return Both(first, second) if first and second else None


# ---- those that are there


def every_that_is(restricted_: Sentences) -> Sentences:
    return restricted_


def there_touching(zone: Named, target: Target) -> Sentences | None:
    """`homes next to the factory must be smaller than 5 sq in`: each that is."""
    return every_that(zone, touches(target)) if zone.several else None


def there_near(zone: Named, amount: Amount, target: Target) -> Sentences | None:
    near = is_within(amount, target) if zone.several else None
    return every_that(zone, near) if near else None


def there_in(zone: Named, region: Place) -> Sentences | None:
    return every_that(zone, InRegion(region)) if zone.several else None


# ---- only


def touches_only(who: Whom, but: Named | tuple[Named, ...]) -> Found:
    """`the school may only touch the park`: no other zone touches it."""
    names = names_of(but if isinstance(but, tuple) else (but,))
    if not isinstance(who, Whom) or not who.single:
        return None
    return stated(Whom("every", but=(who.names[0], *names)), Meets("touch", who, negated=True))


def touches_just(who: Whom, but: Named | tuple[Named, ...]) -> Found:
    """`the square must touch only the green`: it does, and no other zone does."""
    zones = but if isinstance(but, tuple) else (but,)
    one, only = stated(who, touches(Whom("each" if len(zones) > 1 else "", names_of(zones)))), touches_only(who, but)
    return (*one, *only) if isinstance(one, tuple) and isinstance(only, tuple) else None


def not_touch_nor(who: Whom, first: Target, second: Target) -> Found:
    """`must not touch the latrines nor the fire pit`."""
    parts = [stated(who, Meets("touch", target, negated=True)) for target in (first, second)]
    found = [part for part in parts if isinstance(part, tuple)]
    return tuple(said for part in found for said in part) if len(found) == len(parts) else None


def may_only(who: Whom, predicate: Predicate) -> Found:
    """`homes may only be in the west half`: where they are, they are there."""
    inside = isinstance(predicate, Meets) and predicate.verb == "inside"
    where = isinstance(predicate, InRegion | Apart | Beyond) or inside
    return stated(who, predicate) if where and not getattr(predicate, "negated", False) else None


def allowed_none(who: Whom, predicate: Predicate) -> Found:
    """`no homes are allowed next to the factory`; that some are asks for nothing."""
    return stated(who, predicate) if isinstance(who, Whom) and who.quantifier == "no" else None


def stated_of_not(who: Whom, predicate: Predicate) -> Found:
    """`the factory isn't allowed within 3 in of the lake`."""
    denied = predicate.denied() if isinstance(who, Whom) and who.quantifier in ("", "a", "each") else None
    return stated(who, denied) if denied else None


# ---- one or the other


def one_there(zones: tuple[Named, ...]) -> Sentences | None:
    """`there must be a farm or a factory`."""
    names = names_of(zones)
    return (
        (Said("", "either " + ", or ".join(f"there is a {name}" for name in names)),) if len(set(names)) > 1 else None
    )


def not_both_there(zones: tuple[Named, ...]) -> Sentences | None:
    """`the city may have a power plant or a solar farm, but not both`."""
    both = ", and ".join(f"there is a {name}" for name in names_of(zones))
    return (Said("", f"not: ({both})"),) if len(zones) == 2 else None


def either_there(zones: tuple[Named, ...]) -> Sentences | None:
    """`there must be a farm or a factory, but not both`."""
    one, both = one_there(zones), not_both_there(zones)
    return (*one, *both) if one and both else None


def touches_not_both(who: Whom, zones: tuple[Named, ...]) -> Sentences | None:
    """`the factory may touch the market or the harbour, but not both`."""
    if not isinstance(who, Whom) or not who.single or len(zones) != 2:
        return None
    both = ", and ".join(f"{who.names[0]} touches {name}" for name in names_of(zones))
    return (Said("", f"not: ({both})", who.names[0]),)


def may_touch_but_not(who: Whom, allowed: Target, target: Target) -> Found:
    """`the pods may touch the dome but not the landing pad`: what is allowed asks for nothing."""
    of_all = isinstance(target, Whom) and target.quantifier in ("every", "all")  # `but not all of the homes`
    single = isinstance(who, Whom) and who.single and not of_all
    found = stated(who, Meets("touch", target, negated=True)) if single else None
    return tuple(replace(said, warning=_ALLOWED) for said in found) if isinstance(found, tuple) else None


_ALLOWED = "what it may do asks for nothing; only what it may not do is a rule"


def one_of_list(zones: tuple[Named, ...]) -> Or | None:
    """`touches at least one of the hall, the lake and the road`."""
    return one_of(zones)


def touches_either(who: Whom, zones: tuple[Named, ...]) -> Found:
    """`the factory must touch the market or the harbour, but not both`."""
    not_both = touches_not_both(who, zones)
    one = stated(who, touches(Or(tuple(Whom("", (name,)) for name in names_of(zones)))))
    return (*one, *not_both) if not_both and isinstance(one, tuple) else None


def all_there() -> Sentences:
    return (Said("every zone is present"),)


# ---- what each has near


def has_some_within(who: Whom, bounds: Bounds, zone: Named, amount: Amount) -> Found:
    """`every store has to have at least one house within 3 inches`."""
    if _one(bounds):
        return has_within(who, zone, amount)
    return _has_some(who, bounds, zone, f"the gap from that piece of {zone.name} to {{}} is at most {amount}")


def has_some_touching(who: Whom, bounds: Bounds, zone: Named) -> Found:
    """`every park must have at least two homes next to it`."""
    if _one(bounds):
        return stated(who, touches(Whom("", (zone.name,))))
    return _has_some(who, bounds, zone, f"that piece of {zone.name} touches {{}}")


def touches_so_many_pieces(who: Whom, bounds: Bounds, zone: Named) -> Found:
    """`every field touches at least two barns`."""
    return has_some_touching(who, bounds, zone) if who.quantifier == "every" and not _one(bounds) else None


def within_so_many_pieces(who: Whom, amount: Amount, bounds: Bounds, zone: Named) -> Found:
    """`every field is within 5 in of at least two barns`."""
    return has_some_within(who, bounds, zone, amount) if who.quantifier == "every" and not _one(bounds) else None


def _one(bounds: Bounds) -> bool:
    return len(bounds) == 1 and bounds[0].relation in ("bare", "at least") and bounds[0].amount == ONE


def _has_some(who: Whom, bounds: Bounds, zone: Named, where: str) -> Found:
    good = isinstance(who, Whom) and (who.single or who.quantifier == "every") and zone.name not in who.names
    if not good or not whole(bounds) or len(bounds) > 1 or bounds[0].relation == "bare":
        return None
    return (formula(who, f"the number of pieces of {zone.name} where {where} is {bounds[0].text()}"),)


def nearest_is(zone: Named, target: Target, bounds: Bounds) -> Found:
    """`the nearest home to the clinic must be at most 2 in away`: the smallest gap is that of the nearest."""
    return gap_is(Whom("", (zone.name,)), target, bounds)


def so_many_per_pair(bounds: Bounds, zone: Named, per: Named) -> Found:
    """`one shop for every two homes`."""
    return for_every((_TWO,), per, bounds, zone)


def for_each_pair(per: Named, bounds: Bounds, zone: Named) -> Found:
    return for_every((_TWO,), per, bounds, zone)

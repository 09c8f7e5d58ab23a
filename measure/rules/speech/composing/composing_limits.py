"""Limits said as nouns and verbs, what is given to whom, tape around a zone: actions of grammar.txt."""
# ruff: noqa: D103  (a function is the action of the production that names it in grammar.txt)

from __future__ import annotations

from dataclasses import replace

from measure.rules.amounts import Amount
from measure.rules.speech.composing.composing import Found, of_several, stated, stated_not, stated_twice, there_is
from measure.rules.speech.composing.composing_bounds import bare, names_of, one_zone, relation_of, together, tolerated
from measure.rules.speech.composing.composing_counts import counted
from measure.rules.speech.composing.composing_free import at_least_assumed
from measure.rules.speech.composing.composing_orders import limit_of_size
from measure.rules.speech.composing.composing_said import is_apart, shaped
from measure.rules.speech.composing.composing_shares import added_up, range_is
from measure.rules.speech.composing.composing_short import part_after
from measure.rules.speech.composing.composing_sizes import (
    covers,
    covers_compared_by,
    is_adjective_within,
    is_at_least_as,
    is_compared,
    is_not_compared_by,
    is_part_of,
    is_rel_size,
    is_share,
    is_so_adjective,
    is_so_much_more,
    is_times_after,
    is_times_as,
    sized,
)
from measure.rules.speech.composing.composing_some import one_there
from measure.rules.speech.predicates.places_said import Both, Meets, Predicate
from measure.rules.speech.predicates.sizes_said import Bounded, Sized
from measure.rules.speech.words.lexicon import Named, Times
from measure.rules.speech.words.meanings import Bound, Bounds, Or, Sentences, Whom

# ---- limits as nouns and verbs


def _limited(who: Whom, bounds: Bounds) -> Found:
    made = covers(bounds) or is_share(bounds)
    return stated(who, made) if made else None


def limit_for(said: str, who: Whom, bounds: Bounds) -> Found:
    """`the maximum for the lake is 10% of the board`."""
    return limited_to(who, bounds) if said == "at most" else _at(who, bounds, "at least")


def limited_to(who: Whom, bounds: Bounds) -> Found:
    """`limit the lake to 10% of the board`."""
    return _at(who, bounds, "at most")


def _at(who: Whom, bounds: Bounds, relation: str) -> Found:
    plain = len(bounds) == 1 and bounds[0].relation == "bare"
    return _limited(who, (replace(bounds[0], relation=relation),)) if plain else None


def kept_at(who: Whom, bounds: Bounds) -> Found:
    """`leave the pond at 15% of the board or under`."""
    return _limited(who, bounds) if bounds[0].relation != "bare" else None


def limit_of_size_after(who: Whom, said: str, size: str, amount: Amount) -> Found:
    """`the lake's maximum area is 10 sq in`."""
    return limit_of_size(said, size, who, amount)


def limit_noted(zone: Named, said: str, *rest: str | Amount) -> Found:
    """`lake: minimum area 10 sq in`."""
    size, amount = rest if len(rest) > 1 else ("area", rest[0])
    if not isinstance(size, str) or not isinstance(amount, Amount):
        return None
    return limit_of_size(said, size, Whom("", (zone.name,)), amount)


def most_of_it(*parts: Bounds | Whom | str | Named) -> Found:
    """`half the orchard is the most that the pond can have`."""
    *much, said, zone = parts
    bounds = much[0]
    if not isinstance(zone, Named) or not isinstance(bounds, tuple) or bounds[0].relation != "bare":
        return None
    bounds = (replace(bounds[0], relation=str(said)),)
    if len(much) == 1:
        return _limited(one_zone(zone), bounds)
    thing = much[1]
    made = is_part_of(bounds, thing) if isinstance(thing, Whom) else None
    return stated(one_zone(zone), made) if made else None


def most_is(said: str, zone: Named, bounds: Bounds, *thing: Whom) -> Found:
    """`the most that the lake can cover is 10 sq in`."""
    return most_of_it(bounds, *thing, said, zone)


def taped_round(bounds: Bounds, zone: Named) -> Found:
    """`use at most 24 in of tape to go around the lake`."""
    made = sized("perimeter", bounds)
    return stated(Whom("", (zone.name,)), made) if made and bounds[0].relation != "bare" else None


def none_compared(zone: Named, comparative: str, thing: Whom) -> Found:
    """`shops: none bigger than the school`."""
    made = is_not_compared_by(comparative, thing)
    return stated(Whom("every", (zone.name,)), made) if made and zone.several else None


def taped_for(zone: Named, bounds: Bounds) -> Found:
    return taped_round(bounds, zone)


def chain(first: Named, one: str, second: Named, other: str, third: Named) -> Found:
    """`park > lake > school`."""
    made = is_compared(one, one_zone(second)), is_compared(other, one_zone(third))
    if not made[0] or not made[1] or len({first.name, second.name, third.name}) < _THREE:
        return None
    parts = stated(one_zone(first), made[0]), stated(one_zone(second), made[1])
    return tuple(said for part in parts if isinstance(part, tuple) for said in part)


_THREE = 3


def _given(who: Whom, made: Predicate | None) -> Found:
    return stated(who, made) if made else None


def given_times(who: Whom, bounds: Bounds, adjective: str, thing: Whom) -> Found:
    """`give the school half again as much space as the arcade`."""
    return _given(who, is_times_as(bounds, adjective, thing))


def given_times_after(who: Whom, times: Times, adjective: str, thing: Whom, said: str) -> Found:
    return _given(who, is_times_after(times, adjective, thing, said))


def given_more(who: Whom, comparative: str, thing: Whom) -> Found:
    return _given(who, covers_compared_by(comparative, thing))


def given_so_much_more(who: Whom, bounds: Bounds, comparative: str, thing: Whom) -> Found:
    return _given(who, is_so_much_more(bounds, comparative, thing))


def given_part(who: Whom, bounds: Bounds, thing: Whom) -> Found:
    return _given(who, is_part_of(bounds, thing))


def given_at_least_as(who: Whom, said: str, adjective: str, thing: Whom) -> Found:
    return _given(who, is_at_least_as(said, adjective, thing))


def not_allowed_of_size(zone: Named, bounds: Bounds) -> Found:
    """`houses of fewer than 2 square inches are not permitted`."""
    made = covers(bounds) if bounds[0].measure == "area" and len(bounds) == 1 else None
    denied = made.denied() if isinstance(made, Bounded) else None
    return stated(Whom("every", (zone.name,)), denied) if denied and zone.several else None


def pieces_differ(zone: Named, *rest: str | Bounds) -> Sentences | None:
    """`the domes differ in size by at most 1 sq in`."""
    bounds = rest[-1]
    if not isinstance(bounds, tuple) or (len(rest) > 1 and rest[0] != "size") or not zone.several:
        return None
    return range_is("more size", zone, "less size", bounds)


def pieces_differ_not(zone: Named, *rest: str | Bounds) -> Sentences | None:
    bounds = rest[-1]
    opposite = bounds[0].opposite if isinstance(bounds, tuple) and len(bounds) == 1 else None
    return pieces_differ(zone, *rest[:-1], (opposite,)) if opposite else None


def size_of_said_not(who: Whom, predicate: Predicate) -> Found:
    """`the area occupied by the forge may not be less than 3 sq in`."""
    denied = predicate.denied() if isinstance(predicate, Bounded) else None
    return stated(replace(who, several=False), denied) if denied else None


def added_so_much(zones: tuple[Named, ...], bounds: Bounds) -> Found:
    who = together(zones)
    return _limited(who, bounds) if who else None


def added_to(first: Named, second: Named, predicate: Predicate) -> Found:
    return added_up((first, second), predicate)


# ---- length by width


def two_sides(*parts: Amount | Times) -> tuple[Amount, Amount] | None:
    """`4 by 3 inches`: the longer and the shorter one."""
    first, second = (part.amount if isinstance(part, Times) else part for part in parts)
    if first.measure == "number":
        first = replace(second, number=first.number)
    if second.measure == "number":
        second = replace(first, number=second.number)
    if first.measure != "length" or second.measure != "length":
        return None
    return (second, first) if first.in_unit_of(second).number < second.number else (first, second)


def long_by_wide(*parts: str | Amount | tuple[Amount, Amount]) -> Predicate | None:
    """`at least 4 in by 3 in`, `4 by 3 inches, give or take half an inch`: the length and the width."""
    relation, near = "bare", None
    for part in parts:
        if isinstance(part, str):
            relation, flavour = relation_of(part)
            if flavour not in ("", "size"):
                return None
        elif isinstance(part, Amount):
            near = part
    sides = next(part for part in parts if isinstance(part, tuple))
    made: list[Bounds] = [(Bound(relation, amount),) for amount in sides]
    if near is not None:
        made = [found for found in (tolerated(side, near) for side in made) if found]
    return Both(Sized(made[0], "length"), Sized(made[1], "width")) if len(made) > 1 else None


def long_and_wide_within(who: Whom, first: Amount, one: str, second: Amount, other: str, near: Amount) -> Found:
    """`4 in long and 3 in wide, +/- 1/4 in`."""
    found = is_adjective_within(bare(first), one, near), is_adjective_within(bare(second), other, near)
    return stated_twice(who, found[0], found[1]) if found[0] and found[1] else None


def neither_larger(first: str, second: str, amount: Amount) -> Predicate | None:
    """`no longer nor wider than 5 inches`."""
    more, sizes = zip(*(relation_of(said) for said in (first, second)), strict=True)
    if more[0] != more[1] or amount.measure != "length" or len({*sizes} & {"length", "width", "height"}) < len(sizes):
        return None
    bounds = (Bound("at most" if more[0] == "more" else "at least", amount),)
    return Both(Sized(bounds, sizes[0]), Sized(bounds, sizes[1]))


def taped_only(amount: Amount, zone: Named) -> Found:
    """`we only have 30 inches of fencing for the sheep pen`."""
    return taped_round((Bound("at most", amount),), zone)


# ---- limits on parts, together, and what is kept from what


def given_size(who: Whom, size: str, bounds: Bounds) -> Found:
    """`give each tower an area of at least 6 sq in`."""
    made = sized(size, bounds) or (is_share(bounds) if size == "area" else None)
    return stated(replace(who, several=False), made) if made else None


def limited_together(who: Whom, bounds: Bounds) -> Found:
    """`limit the museum and the library to 45 sq in in total`."""
    if len(who.names) > 1:
        return limited_to(replace(who, quantifier="together"), bounds)
    return limited_to(who, bounds) if who.quantifier in ("", "all") else None


def kept_to_part(who: Whom, bounds: Bounds, thing: Whom) -> Found:
    """`limit the shops to half the size of the park`."""
    if len(bounds) > 1 or bounds[0].relation not in ("bare", "at most", "less than"):
        return None
    bound = bounds[0] if bounds[0].relation != "bare" else replace(bounds[0], relation="at most")
    made = is_part_of((bound,), thing)
    return stated(who, made) if made else None


def kept_to_part_of_size(who: Whom, bounds: Bounds, size: str, thing: Whom) -> Found:
    return kept_to_part(who, bounds, thing) if size == "area" else None


def kept_to_part_after(who: Whom, amount: Amount | Times, thing: Whom, entry: str) -> Found:
    """`keep the shop to two thirds the size of the park, or smaller`."""
    made = part_after(amount, thing, entry)
    return stated(who, made) if made else None


def size_limited(size: str, who: Whom, amount: Amount) -> Found:
    """`limit the height of the homes to 5 in`."""
    return limit_of_size("at most", size, who, amount)


def size_of_limited(who: Whom, size: str, amount: Amount) -> Found:
    return size_limited(size, who, amount)


def number_limited(zone: Named, amount: Amount) -> Found:
    """`limit the number of shops to 3`."""
    counts = zone.several and amount.measure == "number" and amount.number.denominator == 1
    return counted((Bound("at most", amount),), zone) if counts else None


def kept_so_apart(zones: tuple[Named, ...], bounds: Bounds) -> Found:
    """`separate the factory and the homes by 7 in`: or more."""
    made = is_apart(at_least_assumed(bounds))
    return stated(Whom("", names_of(zones)), made) if made else None


def prevented(who: Whom | Or | tuple[Named, ...], predicate: Predicate) -> Found:
    """`stop the park and the lake overlapping`, `prevent the factory from touching the homes`."""
    if isinstance(who, tuple):
        who = Whom("", names_of(who))
    mutual = isinstance(predicate, Meets) and predicate.target is None
    if isinstance(who, Whom) and len(who.names) == 2 and mutual:
        return stated(who, predicate.denied()) if isinstance(predicate, Meets) and not predicate.negated else None
    return stated_not(who, predicate)


def stated_shape(who: Whom, shape: str) -> Found:
    """`tape the lake in the shape of a circle`."""
    return stated(who, shaped(shape))


def counted_and_one(sentences: Sentences, zones: tuple[Named, ...]) -> Sentences | None:
    """`include one school, one lake, and either a park or a factory`."""
    either = one_there(zones)
    return (*sentences, *either) if either else None


def there_so(zone: Named, predicate: Predicate) -> Found:
    """`show a park with exactly five sides`: the zone, or of a zone in the plural at least one piece."""
    whom = Whom("", (zone.name,))
    return there_is(zone, predicate) if of_several(whom) else stated(whom, predicate)


def grows(bounds: Bounds, adjective: str) -> Predicate | None:
    """`the homes reach at least 4 in high`; `reach 4 in high`: or more."""
    return is_so_adjective(at_least_assumed(bounds), adjective)


def has_size_compared(first: str, said: str, size: str, thing: Whom) -> Predicate | None:
    """`must have a height greater than the height of the barn`."""
    if first != size:
        return None
    return is_compared(said, thing) if size == "area" else is_rel_size(said, size, thing)


def has_size_compared_of(size: str, said: str, thing: Whom) -> Predicate | None:
    """`must have an area equal to that of the shed`."""
    return has_size_compared(size, said, size, thing)


def has_size_part(size: str, bounds: Bounds, thing: Whom) -> Predicate | None:
    """`must have an area at least twice that of the shed`."""
    return is_part_of(bounds, thing) if size == "area" else None

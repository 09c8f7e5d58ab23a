"""Clauses in other orders: amounts first, gaps by name, empty land: actions of grammar.txt."""
# ruff: noqa: D103  (a function is the action of the production that names it in grammar.txt)

from __future__ import annotations

from dataclasses import replace

from measure.rules.amounts import Amount
from measure.rules.speech.composing.composing import Found, stated, stated_twice
from measure.rules.speech.composing.composing_bounds import limit, names_of, one_zone, relation_of, so_many, two_limits
from measure.rules.speech.composing.composing_said import (
    has_pieces,
    is_apart,
    is_from,
    is_within,
    overlaps_part,
    shaped,
)
from measure.rules.speech.composing.composing_sizes import as_times, covers, differs, is_compared_by, is_share, sized
from measure.rules.speech.predicates.gaps_said import Apart
from measure.rules.speech.predicates.places_said import Meets, Predicate
from measure.rules.speech.predicates.sizes_said import Bounded, Extreme, Ratio, Sized
from measure.rules.speech.words.lexicon import Named
from measure.rules.speech.words.meanings import OPPOSITE, Bounds, Or, Place, Said, Sentences, Target, Whom, formula

# ---- areas and gaps in other orders


def given(who: Whom, bounds: Bounds) -> Found:
    made = covers(bounds)
    return stated(who, made) if made else None


def given_share(who: Whom, bounds: Bounds) -> Found:
    made = is_share(bounds)
    return stated(who, made) if made else None


def given_to(bounds: Bounds, who: Whom) -> Found:
    return given(who, bounds)


def share_to(bounds: Bounds, who: Whom | Or) -> Found:
    if isinstance(who, Or):
        return None  # share_to_any
    return given_share(who, bounds)


def not_given_to(bounds: Bounds, who: Whom) -> Found:
    """`don't use more than 40 sq in for homes`."""
    opposite = bounds[0].opposite if len(bounds) == 1 else None
    return given(who, (opposite,)) if opposite else None


def not_share_to(bounds: Bounds, who: Whom) -> Found:
    opposite = bounds[0].opposite if len(bounds) == 1 else None
    return given_share(who, (opposite,)) if opposite else None


def from_both(who: Whom, bounds: Bounds, first: Target, second: Target) -> Found:
    """`at least 6 inches from the school and from all homes`."""
    one, other = is_from(bounds, first), is_from(bounds, second)
    return stated_twice(who, one, other) if one and other else None


def not_touch_or_overlap(who: Whom, target: Target) -> Found:
    return stated_twice(who, Meets("touch", target, negated=True), Meets("overlap", target, negated=True))


def touch_but_not(who: Whom, target: Target, other: Target) -> Found:
    """`must touch the shops but not the homes`."""
    return stated_twice(who, Meets("touch", target), Meets("touch", other, negated=True))


def together_cover(zones: tuple[Named, ...], bounds: Bounds) -> Found:
    """`cover at least 60% of the board altogether`."""
    made = covers(bounds) or is_share(bounds)
    return stated(Whom("together", names_of(zones)), made) if made else None


def each_stated(zones: tuple[Named, ...], predicate: Predicate, *_: str) -> Found:
    """`homes, park and school: at least 10 sq in each`."""
    return stated(Whom("each", names_of(zones)), predicate)


def tallest_home(said: str, zone: Named, bounds: Bounds) -> Found:
    """`the tallest home must be under 5 in`: the height of a zone is that of its tallest structure."""
    if (
        relation_of(said) != ("more", "height")
        or bounds[0].measure != "length"
        or bounds[0].flavour not in ("", "height")
    ):
        return None
    return Sized(bounds, "height").of(Whom("", (zone.name,)))


def tallest_home_not(said: str, zone: Named, bounds: Bounds) -> Found:
    opposite = bounds[0].opposite if len(bounds) == 1 else None
    return tallest_home(said, zone, (opposite,)) if opposite else None


def tallest_home_than(said: str, zone: Named, comparative: str, thing: Whom) -> Found:
    found = is_compared_by(comparative, thing)
    if relation_of(said) != ("more", "height") or not isinstance(found, Ratio) or found.quantity != "height":
        return None
    return found.of(Whom("", (zone.name,)))


def gap_name(zone: Named, target: Target) -> str | None:
    if isinstance(target, Place):
        return f"the gap from {zone.name} to {target.text}"
    return f"the gap from {zone.name} to {target.thing}" if isinstance(target, Whom) and target.single else None


def by_comparative(entry: str) -> str:
    return "more than" if entry.startswith("more") else "less than"


def not_by_comparative(said: str) -> str:
    return OPPOSITE[by_comparative(said)]


def gap_by_gap(first: str, relation: str, second: str) -> Sentences | None:
    """`the gap between school and park is bigger than the gap between school and homes`."""
    return (Said("", f"{first} is {relation} {second}"),) if relation in OPPOSITE else None


def gap_by_so_much(first: str, bounds: Bounds, second: str) -> Sentences | None:
    if len(bounds) > 1 or bounds[0].measure not in ("number", "percent"):
        return None
    return (Said("", f"{first} is {as_times(bounds[0]).times_text(second)}"),)


def some_are(bounds: Bounds, zone: Named, predicate: Predicate) -> Found:
    """`there must be at least 2 homes in the north half`."""
    who = so_many(bounds, zone)
    target = getattr(predicate, "target", None)
    if isinstance(predicate, Apart) and predicate.near and isinstance(target, Whom) and target.quantifier == "every":
        one = bounds[0].relation == "at least" and bounds[0].amount.number == 1
        return has_within(target, zone, predicate.bounds[0].amount) if one else None
    return stated(who, predicate) if who else None


def shaped_and(who: Whom, shape: str, predicate: Predicate) -> Found:
    """`a rectangle that is at least 4 in long`."""
    return stated_twice(who, shaped(shape), predicate)


def share_to_any(bounds: Bounds, zones: tuple[Named, ...]) -> Found:
    """`35% of the parcel has to be park, lake or orchard`."""
    return given_share(Whom("together", names_of(zones)), bounds)


def between_them(bounds: Bounds, who: Whom, target: Target) -> Found:
    return gap_is(who, target, bounds)


def gap_is(who: Whom, target: Target, bounds: Bounds) -> Found:
    made = is_from(tuple(replace(b, flavour="") if b.flavour in _OF_GAPS else b for b in bounds), target)
    return stated(who, made) if made else None


_OF_GAPS = ("size", "length", "width", "gap")
"""A gap may be called larger, longer or wider."""


def between_pairs(bounds: Bounds, zone: Named) -> Found:
    """`a 2-inch gap between any two homes`."""
    made = is_apart(bounds)
    return made.of(Whom("pair", (zone.name,))) if made else None


def gap_of_pairs(zone: Named, bounds: Bounds) -> Found:
    return between_pairs(bounds, zone)


def gap_of_list(zones: tuple[Named, ...], bounds: Bounds) -> Found:
    made = is_apart(bounds)
    return made.of(Whom("", names_of(zones))) if made and len(zones) == 2 else None


def there_within(zone: Named, amount: Amount, target: Target) -> Found:
    """`there has to be a park within 4 in of every school`: the nearest piece of it."""
    if isinstance(target, Whom) and target.quantifier == "every" and len(target.names) == 1:
        return has_within(target, zone, amount)
    made = is_within(amount, target)
    return made.of(Whom("", (zone.name,))) if made else None


def has_within(who: Whom, zone: Named, amount: Amount) -> Found:
    """`every home has a park within 5 in`."""
    made = is_within(amount, Whom("", (zone.name,)))
    return stated(who, made) if made else None


def size_is(size: str, who: Whom, bounds: Bounds) -> Found:
    made = sized(size, bounds)
    return stated(replace(who, several=False), made) if made else None


def size_is_not(size: str, who: Whom, bounds: Bounds) -> Found:
    made = sized(size, bounds)
    denied = made.denied() if made else None
    return stated(replace(who, several=False), denied) if denied else None


def size_is_share(size: str, who: Whom, bounds: Bounds) -> Found:
    """`the total area of the homes must be at most half of the board`."""
    return given_share(replace(who, several=False), bounds) if size == "area" else None


def size_is_not_share(size: str, who: Whom, bounds: Bounds) -> Found:
    opposite = bounds[0].opposite if len(bounds) == 1 else None
    return size_is_share(size, who, (opposite,)) if opposite else None


def gap_is_not(who: Whom, target: Target, bounds: Bounds) -> Found:
    made = is_from(bounds, target)
    denied = made.denied() if made else None
    return stated(who, denied) if denied else None


def size_by_size(size: str, who: Whom, bounds: Bounds, *rest: str) -> Found:
    """`the width of the farm is at most 2/3 of its length`."""
    bound = as_times(bounds[0])
    who = replace(who, quantifier="every") if who.single else who
    if len(bounds) > 1 or who.quantifier != "every" or not who.names or {size, rest[-1]} != {"length", "width"}:
        return None
    return (formula(who, f"the {size} of {{}} is {bound.times_text(f'the {rest[-1]} of {{}}')}"),)


def size_of_by_size(who: Whom, size: str, bounds: Bounds, *rest: str) -> Found:
    return size_by_size(size, who, bounds, *rest)


def size_between(low: Amount, first: str, size: str, who: Whom, second: str, high: Amount) -> Found:
    """`20 cm <= length of lake <= 30 cm`."""
    turned = {"at most": "at least", "less than": "more than", "at least": "at most", "more than": "less than"}
    relation, _ = relation_of(first)
    bounds = two_limits(turned.get(relation, ""), low, second, high)
    return size_is(size, who, bounds) if bounds else None


def differ_list(zones: tuple[Named, ...], bounds: Bounds) -> Found:
    made = differs(bounds)
    return made.of(Whom("", names_of(zones))) if made else None


def differ_list_not(zones: tuple[Named, ...], bounds: Bounds) -> Found:
    opposite = bounds[0].opposite if len(bounds) == 1 else None
    return differ_list(zones, (opposite,)) if opposite else None


def part_covered(bounds: Bounds, zone: Named, by: Named) -> Found:
    """`at least a third of the school must be covered by the solar field`."""
    made = overlaps_part(Whom("", (by.name,)), bounds, zone)
    return made.of(Whom("", (zone.name,))) if made and zone.name != by.name else None


def stated_pieces(who: Whom, bounds: Bounds) -> Found:
    made = has_pieces(bounds)
    return stated(who, made) if made else None


def size_of_is(who: Whom, size: str, bounds: Bounds) -> Found:
    return size_is(size, who, bounds)


def size_of_is_not(who: Whom, size: str, bounds: Bounds) -> Found:
    return size_is_not(size, who, bounds)


def size_of_said(who: Whom, predicate: Predicate) -> Found:
    """`the area of the park is twice that of the lake`: an area may do all that a zone does."""
    return stated(replace(who, several=False), predicate)


def most_covered(amount: Amount, said: str, zone: Named) -> Found:
    """`half a square foot is the most that the lake can cover`."""
    return given(one_zone(zone), limit(said, amount))


def limit_of_size(said: str, size: str, who: Whom, amount: Amount) -> Found:
    each_or_all = len(who.names) > 1 and who.quantifier == ""  # `minimum size of homes and parks`
    return None if each_or_all else size_is(size, who, limit(said, amount))


def limit_of_gap(said: str, who: Whom, target: Target, amount: Amount) -> Found:
    return gap_is(who, target, limit(said, amount))


def extreme_is(said: str, who: Named) -> Found:
    relation, flavour = relation_of(said)
    made = Extreme("largest" if relation == "more" else "smallest")
    return made.of(Whom("", (who.name,))) if flavour == "size" else None


# ---- empty land


def empty(bounds: Bounds) -> Sentences | None:
    share, area = is_share(bounds), bounds[0].measure == "area"
    if not (share or area) or any(bound.flavour not in ("", "size") for bound in bounds):
        return None
    land = "the area of the empty land"
    if area:
        return tuple(Said(f"empty land covers {b.text()}", f"{land} is {b.text(bare='exactly')}") for b in bounds)
    parcel = "the area of the parcel"
    return tuple(
        Said(f"empty land covers {b.text(' of the parcel')}", f"{land} is {b.times_text(parcel)}") for b in bounds
    )


def not_empty(bounds: Bounds) -> Sentences | None:
    opposite = bounds[0].opposite if len(bounds) == 1 else None
    return empty((opposite,)) if opposite else None


def empty_region(region: Place) -> Sentences:
    return (Said("", f"for no zone: that zone is partly in {region.text}"),)


def region_without(region: Place, zone: Named) -> Sentences:
    """`keep the west half free of tents`."""
    return (Said("", f"for no piece of {zone.name}: that piece is partly in {region.text}", zone.name),)


def each_of_it(zone: Named, predicate: Predicate) -> Found:
    """`the lawns cover at least 4 sq in each`."""
    return stated(Whom("every", (zone.name,)), predicate) if zone.several else None


def all_of_it(zone: Named, predicate: Predicate) -> Found:
    """`the cottages must be under 20 square inches in total`."""
    sized_ = isinstance(predicate, Bounded) and not isinstance(predicate, Apart)
    return stated(Whom("", (zone.name,)), predicate) if sized_ else None


def strip(bounds: Bounds, adjective: str = "width") -> Sentences | None:
    bound = bounds[0]
    if adjective != "width":
        return None
    if bound.measure != "length" or bound.relation not in ("bare", "at least") or bound.flavour not in ("", "width"):
        return None
    return (Said(f"every zone is {replace(bound, relation='at least', flavour='').text()} from the edge"),)

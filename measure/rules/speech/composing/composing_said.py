"""What is said of gaps, places, shapes and numbers: the actions of grammar.txt that make such predicates."""
# ruff: noqa: D103  (a function is the action of the production that names it in grammar.txt)

from __future__ import annotations

from fractions import Fraction

from measure.rules.amounts import Amount
from measure.rules.speech.composing.composing_bounds import limit, names_of, relation_of, tolerated
from measure.rules.speech.composing.composing_sizes import as_times, flavours, sized, whole
from measure.rules.speech.predicates.gaps_said import Apart, EachApart, Nearer, NearerThanOthers, NearestZone, gap
from measure.rules.speech.predicates.places_said import (
    Alone,
    Beyond,
    Both,
    Fact,
    InRegion,
    Meets,
    MeetsEdges,
    MeetsZones,
    Predicate,
    Shared,
)
from measure.rules.speech.predicates.sizes_said import Houses, InPieces, Sides
from measure.rules.speech.words.chart import Several
from measure.rules.speech.words.lexicon import Named
from measure.rules.speech.words.meanings import ANY, ONE, Bound, Bounds, Or, Place, Target, Whom

# ---- gaps and places


def is_apart(bounds: Bounds) -> Predicate | None:
    return EachApart(bounds) if gap(bounds) else None


def is_rel_apart(said: str, amount: Amount) -> Predicate | None:
    """`no closer than 1 inch to each other`."""
    bounds = limit(said, amount)
    return is_apart(bounds) if bounds[0].flavour == "gap" else None


def touches_neither(first: Named, second: Named) -> Predicate:
    return Meets("touch", Whom("each", names_of((first, second))), negated=True)


def overlaps_neither(first: Named, second: Named) -> Predicate:
    return Meets("overlap", Whom("each", names_of((first, second))), negated=True)


def is_within_apart(amount: Amount) -> Predicate | None:
    return is_apart((Bound("at most", amount),))


def is_from(bounds: Bounds, target: Target) -> Predicate | None:
    return Apart(bounds, target) if gap(bounds) else None


def is_from_within(bounds: Bounds, target: Target, tolerance: Amount) -> Predicate | None:
    found = tolerated(bounds, tolerance)
    return is_from(found, target) if found else None


def shares_so_much(bounds: Bounds, target: Target) -> Predicate | None:
    """`share at least 2 inches of border with the farm`."""
    return shares_border(bounds, target)


def has_pieces_after(amount: Amount, said: str) -> Predicate | None:
    return has_pieces(limit(said, amount))


def from_is(target: Target, bounds: Bounds) -> Predicate | None:
    """`away from the homes: 6 inches or more`."""
    return is_from(bounds, target)


def close_is(target: Target, bounds: Bounds) -> Predicate | None:
    """`close to the park, at most 4 inches away`."""
    return is_from(bounds, target) if bounds[0].relation in ("at most", "less than", "between") else None


def is_closer_than(said: str, target: Target, amount: Amount) -> Predicate | None:
    """`farther from the factory than 8 inches`."""
    more, flavour = relation_of(said)
    bound = Bound("less than" if more == "less" else "more than", amount)
    return is_from((bound,), target) if flavour == "gap" else None


def is_within(amount: Amount, target: Target) -> Predicate | None:
    return Apart((Bound("at most", amount),), target, near=True) if amount.measure == "length" else None


def is_rel_to(said: str, amount: Amount, target: Target) -> Predicate | None:
    """`no closer than 4 in to the school`."""
    relation, flavour = relation_of(said)
    bound = Bound(relation, amount, flavour=flavour)
    return Apart((bound,), target) if flavour == "gap" and amount.measure == "length" else None


def is_to_or_closer(bounds: Bounds, target: Target) -> Predicate | None:
    return is_from(bounds, target) if bounds[0].flavour == "gap" else None


def times_as_far(bounds: Bounds, adjective: str, target: Target, other: Target) -> Predicate | None:
    """`at least twice as far from the park as from the homes`."""
    sayable = all(isinstance(part, Place) or (isinstance(part, Whom) and part.single) for part in (target, other))
    if adjective != "gap" or not sayable or isinstance(target, Or) or isinstance(other, Or):
        return None
    far = as_times(bounds[0]).times_text(f"the gap from {{}} to {other.text}")
    return Fact(f"the gap from {{}} to {target.text} is {far}", whole=True)


def as_far(entry: str, adjective: str, target: Target, other: Target) -> Predicate | None:
    """`at least as far from the factory as from the lake`."""
    relation, flavour = relation_of(entry)
    return times_as_far((Bound(relation, ONE),), adjective, target, other) if not flavour else None


def nearest_zone(target: Target) -> Predicate | None:
    return NearestZone(target.names[0]) if isinstance(target, Whom) and target.single else None


def is_nearer(said: str, near: Target, far: Target) -> Predicate | None:
    more, flavour = relation_of(said)
    if flavour != "gap":
        return None
    return Nearer(near, far) if more == "less" else Nearer(far, near)


def is_not_nearer(said: str, near: Target, far: Target) -> Predicate | None:
    """`no farther from the green than from the den`."""
    found = is_nearer(said, near, far)
    return found.denied() if isinstance(found, Nearer) else None


def nearer_than(said: str, target: Target, other: Named) -> Several | None:
    """`farther from the factory than the library`: than the library is, or than from the library."""
    both = is_nearer(said, target, Whom("", (other.name,))), nearer_than_is(said, target, other)
    return Several(both) if all(both) else None


def nearer_than_is(said: str, target: Target, other: Named, *_: object) -> Predicate | None:
    """`closer to the harbour than the library is`."""
    return _nearer_than(said, target, Whom("", (other.name,)))


def nearer_than_any(said: str, target: Target, other: Named) -> Predicate | None:
    return _nearer_than(said, target, Whom("every", (other.name,)))


def _nearer_than(said: str, target: Target, others: Whom) -> Predicate | None:
    more, flavour = relation_of(said)
    relation = "less than" if more == "less" else "more than"
    return NearerThanOthers(relation, target, others) if flavour == "gap" else None


def touches_for(target: Target, *bounds: Bounds | str) -> Predicate | None:
    """`along the lake for at least 12 cm`."""
    much = next(part for part in bounds if not isinstance(part, str))
    return shares_border(much, target)


def overlaps_part(target: Target, bounds: Bounds, whole_of: Whom | Named) -> Predicate | None:
    name = whole_of.name if isinstance(whole_of, Named) else whole_of.names[0]
    if isinstance(target, Or | Place) or bounds[0].measure not in ("number", "percent"):
        return None
    return Shared(tuple(as_times(b) for b in bounds), "overlap", target, f"the area of {name}")


def touches(target: Target) -> Predicate:
    return Meets("touch", target)


def touch_edge() -> Predicate:
    return Meets("touch", Place("edge"))


def touch_one_edge(way: str) -> Predicate:
    return Meets("touch", Place("edge", way))


def touch_each_other() -> Predicate:
    return Meets("touch", None)


def overlaps(target: Target) -> Predicate:
    return Meets("overlap", target)


def atop(target: Target) -> Predicate:
    return Meets("atop", target)


def overlap_each_other() -> Predicate:
    return Meets("overlap", None)


def alone() -> Predicate:
    return Alone()


def touches_so_many(bounds: Bounds) -> Predicate | None:
    return MeetsZones(bounds) if whole(bounds) and bounds[0].relation != "bare" else None


def touches_edges(bounds: Bounds) -> Predicate | None:
    return MeetsEdges(bounds) if whole(bounds) and bounds[0].relation != "bare" else None


def shares_border(bounds: Bounds, target: Target | None = None) -> Predicate | None:
    if isinstance(target, Or | Place) or bounds[0].measure != "length" or not flavours(bounds, ("", "length")):
        return None
    return Shared(bounds, "common border", target)


def shares_border_of(target: Target, bounds: Bounds, adjective: str = "length") -> Predicate | None:
    return shares_border(bounds, target) if adjective == "length" else None


def overlaps_by(target: Target, bounds: Bounds) -> Predicate | None:
    if isinstance(target, Or | Place) or bounds[0].measure != "area":
        return None
    return Shared(bounds, "overlap", target)


def in_region(region: Place) -> Predicate:
    return InRegion(region)


def mostly_in_region(region: Place) -> Predicate:
    return InRegion(region, mostly=True)


def partly_in_region(region: Place) -> Predicate:
    return Fact(f"is partly in {region.text}")


def in_middle_third(first: str, second: str) -> Predicate | None:
    """`in the middle third, from left to right`."""
    ways = {_OF_NORTH.get(first, first), _OF_NORTH.get(second, second)}
    if ways not in ({"west", "east"}, {"north", "south"}):
        return None
    across = "from west to east" if "west" in ways else "from north to south"
    return Fact(f"is in the middle third {across}")


_OF_NORTH = {"left": "west", "right": "east", "top": "north", "bottom": "south"}


def farthest_way(way: str) -> Predicate:
    """`the northernmost zone`: every other one is further from the north edge."""
    others = f"for every zone except {{}}: the gap from that zone to the {way} edge"
    return Fact(f"{others} is more than the gap from {{}} to the {way} edge", whole=True)


def along_edge_for(edge: Place, *bounds: Bounds | str) -> Predicate | None:
    """`along the south edge for at least 8 inches`."""
    much = next(part for part in bounds if not isinstance(part, str))
    return along_edge_so_much(much, edge)


def along_edge_so_much(bounds: Bounds, edge: Place) -> Predicate | None:
    """`takes up at least 6 inches of the north edge`."""
    if len(bounds) > 1 or bounds[0].measure != "length" or bounds[0].relation == "bare" or edge.which == ANY:
        return None
    return Fact(f"the common border of {{}} and {edge.text} is {bounds[0].plain.text()}", whole=True)


def beyond(way: str, target: Target) -> Predicate:
    return Beyond(way, target)


def inside(target: Target) -> Predicate:
    return Meets("inside", target)


def outside(target: Target) -> Predicate | None:
    """`outside the play area`: no part of it in there; `not outside` is left open."""
    single = isinstance(target, Whom) and target.single
    return Fact(f"not: {{}} overlaps {target.thing}", whole=True) if isinstance(target, Whom) and single else None


def inside_parcel() -> Predicate:
    return Fact("is inside the parcel", plain=True)


def at_centre() -> Predicate:
    return Fact("covers the centre")


def shaped(shape: str) -> Predicate:
    return Fact(f"is {shape}", of_pieces=True)


def sided(number: str) -> Predicate | None:
    """`a hexagon`."""
    return has_sides((Bound("exactly", Amount(Fraction(number))),))


def shaped_sized(shape: str, *rest: str | Bounds) -> Predicate | None:
    """`a rectangle with a perimeter of at least 40 cm`."""
    made = sized(str(rest[0]), rest[1])  # type: ignore[arg-type]
    return Both(shaped(shape), made) if made else None


def has_sides(bounds: Bounds) -> Predicate | None:
    return Sides(bounds) if whole(bounds) else None


def has_pieces(bounds: Bounds) -> Predicate | None:
    return InPieces(bounds) if whole(bounds) else None


def one_piece() -> Predicate:
    return InPieces((Bound("exactly", ONE),))


def houses(bounds: Bounds) -> Predicate | None:
    return Houses(bounds) if whole(bounds) else None


def density(amount: Amount, unit: str) -> str | None:
    return f"{amount} people per {unit}" if amount.measure == "number" else None


def houses_at(bounds: Bounds, density_: str) -> Predicate | None:
    """`have room for 40 people at 10 people per cubic inch`."""
    return Houses(bounds, density_) if whole(bounds) else None


def houses_after_at(amount: Amount, said: str, density_: str) -> Predicate | None:
    return houses_at(limit(said, amount), density_)


def houses_after(amount: Amount, said: str) -> Predicate | None:
    return houses(limit(said, amount))


def negated(predicate: Predicate) -> object:
    return predicate.denied()


def shares_border_adj(bounds: Bounds, adjective: str = "length") -> Predicate | None:
    return shares_border(bounds) if adjective == "length" else None


def amid_list(zones: tuple[Named, ...]) -> Predicate | None:
    names = names_of(zones)
    return Fact(f"is between {names[0]} and {names[1]}") if len(names) == 2 else None

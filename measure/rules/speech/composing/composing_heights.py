"""What is built and who lives there: the actions of grammar.txt for structures, heights and people."""
# ruff: noqa: D103  (a function is the action of the production that names it in grammar.txt)

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from measure.rules.amounts import Amount
from measure.rules.speech.composing.composing import Found, stated
from measure.rules.speech.composing.composing_bounds import limit, one_zone, relation_of
from measure.rules.speech.composing.composing_sizes import whole
from measure.rules.speech.predicates.places_said import Predicate
from measure.rules.speech.predicates.sizes_said import Ratio, Sized
from measure.rules.speech.words.lexicon import Named
from measure.rules.speech.words.meanings import ONE, Bound, Bounds, Said, Sentences, Whom

# ---- the tallest of all


def none_taller(where: Whom, entry: str, zone: Named) -> Found:
    """`no building may be taller than the lighthouse`: those in it aside."""
    if entry != "more height" or zone.name in where.names:
        return None
    if where.names:
        return Ratio((Bound("at most", ONE),), one_zone(zone), "height").of(Whom("", where.names))
    text = f"for every zone except {zone.name}: the height of that zone is at most the height of {zone.name}"
    return (Said("", text, zone.name),)


def tallest_is(zone: Named, entry: str, *_: Whom) -> Sentences | None:
    """`the school must be the tallest building`: no other zone's tallest structure is as tall."""
    if entry != "more height":
        return None
    text = f"for every zone except {zone.name}: the height of that zone is less than the height of {zone.name}"
    return (Said("", text, zone.name),)


def tallest_in(entry: str, *rest: Whom | Named) -> Sentences | None:
    """`the tallest building must be in the shops`."""
    where, zone = rest[0], rest[-1]
    anywhere_ = isinstance(where, Whom) and not where.names
    return tallest_is(zone, entry) if anywhere_ and isinstance(zone, Named) else None


# ---- structures and people


def anywhere() -> Whom:
    return Whom()


def structures_of(where: Whom, bounds: Bounds, adjective: str = "height") -> Sentences | None:
    """Every structure at most so tall."""
    flavours = all(bound.flavour in ("", "height") for bound in bounds)
    if bounds[0].measure != "length" or not flavours or adjective != "height":
        return None
    inside = f" in {where.names[0]}" if where.names else ""
    return tuple(Said(f"every structure{inside} is {bound.plain.text()} tall{bound.within}") for bound in bounds)


def structures_not_of(where: Whom, bounds: Bounds, adjective: str = "height") -> Sentences | None:
    opposite = bounds[0].opposite if len(bounds) == 1 else None
    return structures_of(where, (opposite,), adjective) if opposite else None


def structures_of_height(where: Whom, _size: str, bounds: Bounds) -> Sentences | None:
    """`building height: at most 18 cm`."""
    return structures_of(where, bounds)


def height_limit(said: str, where: Whom, _size: str, amount: Amount) -> Sentences | None:
    """`max building height: 18 cm`."""
    return structures_of(where, limit(said, amount)) if said == "at most" else None


def solids_not_in(bounds: Bounds, solid: str, zone: Named) -> Sentences | None:
    opposite = bounds[0].opposite if len(bounds) == 1 else None
    return solids_in((opposite,), solid, zone) if opposite else None


def tallest_of(said: str, where: Whom, bounds: Bounds, adjective: str = "height") -> Sentences | None:
    made = structures_of(where, bounds, adjective)
    if made is None or relation_of(said) != ("more", "height"):
        return None
    return tuple(replace(part, plain=part.plain.replace("every structure", "the tallest structure")) for part in made)


def people(bounds: Bounds) -> Sentences | None:
    return _people("all zones together", bounds)


def people_in_zone(bounds: Bounds, zone: Named) -> Sentences | None:
    return _people(one_zone(zone).thing, bounds)


def nobody_in(zone: Named) -> Sentences | None:
    return people_in_zone((Bound("at most", Amount(Fraction(0))),), zone)


def _people(where: str, bounds: Bounds) -> Sentences | None:
    if not whole(bounds):
        return None
    return tuple(Said("", f"the people in {where} is {bound.text(bare='exactly')}") for bound in bounds)


def solids(bounds: Bounds, solid: str) -> Sentences | None:
    """`at least 2 cylinders`; buildings in general are only counted where it is said how many."""
    if not whole(bounds):
        return None
    return tuple(Said(f"there are {bound.plain.text()} {solid}") for bound in bounds)


def solids_in(bounds: Bounds, solid: str, zone: Named) -> Sentences | None:
    made = solids(bounds, solid)
    return tuple(replace(said, plain=f"{said.plain} in {zone.name}") for said in made) if made else None


def solids_of(zone: Named, bounds: Bounds, solid: str) -> Sentences | None:
    return solids_in(bounds, solid, zone)


def different_solids_in(bounds: Bounds, solid: str, zone: Named) -> Sentences | None:
    return solids_in(bounds, "different solids", zone) if solid == "structures" else None


def different_solids_of(zone: Named, bounds: Bounds, solid: str) -> Sentences | None:
    return different_solids_in(bounds, solid, zone)


def none_so_tall(*parts: str | Named | Bounds) -> Sentences | None:
    """`nothing in the shops may be over 3 inches tall`."""
    zone, bounds, *adjective = parts
    if not isinstance(zone, Named) or not isinstance(bounds, tuple):
        return None
    return structures_not_of(Whom("", (zone.name,)), bounds, *(str(part) for part in adjective))


def nothing_so_tall(bounds: Bounds, adjective: str = "") -> Sentences | None:
    """`nothing may be taller than 5 inches`."""
    said = adjective or bounds[0].flavour
    return structures_not_of(Whom(), bounds) if said == "height" else None


def none_higher(where: Whom, _size: str, zone: Named) -> Found:
    """`no building may exceed the height of the chapel`."""
    return none_taller(where, "more height", zone) if _size == "height" else None


def height_of_part(who: Whom, predicate: Predicate) -> Found:
    """`the hall's roof may be no higher than 4 in`."""
    tall = isinstance(predicate, Sized | Ratio) and predicate.quantity == "height"
    return stated(replace(who, several=False), predicate) if tall else None


def height_of_part_not(who: Whom, predicate: Predicate) -> Found:
    denied = predicate.denied() if isinstance(predicate, Sized | Ratio) else None
    return height_of_part(who, denied) if denied else None

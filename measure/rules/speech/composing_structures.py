"""Structures and people: the actions of grammar.txt for what is built and who lives there."""
# ruff: noqa: D103  (a function is the action of the production that names it in grammar.txt)

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from measure.rules.amounts import Amount
from measure.rules.speech.composing_bounds import one_zone, relation_of
from measure.rules.speech.composing_sizes import whole
from measure.rules.speech.lexicon import Named
from measure.rules.speech.meanings import Bound, Bounds, Said, Sentences, Whom


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

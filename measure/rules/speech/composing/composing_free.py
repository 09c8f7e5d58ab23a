"""Gaps that are left, land that stands free, what may be built on: actions of grammar.txt."""
# ruff: noqa: D103  (a function is the action of the production that names it in grammar.txt)

from __future__ import annotations

from dataclasses import dataclass, replace

from measure.rules.amounts import Amount
from measure.rules.speech.composing.composing import Found, stated
from measure.rules.speech.composing.composing_bounds import one_zone
from measure.rules.speech.composing.composing_orders import empty
from measure.rules.speech.composing.composing_said import (
    at_centre,
    is_apart,
    is_from,
    is_rel_apart,
    is_within,
    overlaps,
    touches,
)
from measure.rules.speech.composing.composing_sizes import covers, is_share
from measure.rules.speech.predicates.gaps_said import Apart, EachApart
from measure.rules.speech.predicates.places_said import Meets, Predicate
from measure.rules.speech.words.lexicon import Named
from measure.rules.speech.words.meanings import EDGE, Bound, Bounds, Or, Place, Said, Sentences, Target, Whom

# ---- gaps


@dataclass(frozen=True)
class Sides:
    """What a gap lies between: whom and a target, or any two pieces or zones where there is no target."""

    who: Whom | Or
    target: Target | None = None


def gap_much(bounds: Bounds, adjective: str = "") -> Bounds | None:
    """`a 2-inch gap`: what is left free may be more."""
    if bounds[0].measure != "length" or adjective not in ("", "width", "length", "gap"):
        return None
    return at_least_assumed(tuple(replace(bound, flavour="") for bound in bounds))


def at_least_assumed(bounds: Bounds) -> Bounds:
    """A number without a relation as a least one, of which a warning tells."""
    return tuple(replace(b, relation="at least", assumed=True) if b.relation == "bare" else b for b in bounds)


def of_two(who: Whom | Or, target: Target) -> Sides:
    return Sides(who, target)


def of_pieces(zone: Named) -> Sides | None:
    return Sides(Whom("pair", (zone.name,))) if zone.several else None


def of_zones() -> Sides:
    return Sides(Whom("every"))


def gap_between(bounds: Bounds, sides: Sides) -> Found:
    """`leave at least 1 inch between any two zones`, `a 2-inch gap between the shops and the school`."""
    if sides.target is not None:
        made = is_from(bounds, sides.target)
        return stated(sides.who, made) if made else None
    apart = is_apart(bounds)
    return apart.of(sides.who) if apart and isinstance(sides.who, Whom) else None


def between_gap(sides: Sides, bounds: Bounds) -> Found:
    return gap_between(bounds, sides)


def gap_around(bounds: Bounds, target: Target) -> Found:
    """`leave 1 inch free all around the lake`."""
    if any(bound.relation not in ("at least", "more than") for bound in bounds):
        return None
    if isinstance(target, Place):
        made = is_from(bounds, target)
        return stated(Whom("every"), made) if made and target.kind == "edge" else None
    if isinstance(target, Or) or not target.names or target.quantifier not in ("", "every", "each"):
        return None
    made = is_from(bounds, Whom("every other"))
    return stated(target, made) if made else None


def border(bounds: Bounds) -> Found:
    """`leave a 1 inch border around the board`."""
    return gap_around(bounds, EDGE)


def kept(who: Whom | Or, predicate: Predicate) -> Found:
    """`keep the factory 6 in away from every home`: or further."""
    if isinstance(predicate, Apart | EachApart):
        predicate = replace(predicate, bounds=at_least_assumed(predicate.bounds))
    return stated(who, predicate)


def pairs_closer(who: Whom, entry: str, amount: Amount, *_: object) -> Found:
    """`no two homes closer than 1 inch`."""
    made = is_rel_apart(entry, amount)
    return stated(who, made) if made else None


def is_separated(bounds: Bounds, target: Target) -> Predicate | None:
    """`isolated by 3 in from all other zones`: or more."""
    return is_from(at_least_assumed(bounds), target)


def pairs_nearer(who: Whom, entry: str, amount: Amount) -> Found:
    """`no two towers may be closer together than 3 in`."""
    turned = {"less gap": "less than gap", "more gap": "more than gap"}.get(entry)
    return pairs_closer(who, turned, amount) if turned else None


def from_is_so(who: Whom, target: Target, bounds: Bounds) -> Found:
    """`must be fenced off from the road by 2 inches`."""
    made = is_from(at_least_assumed(bounds), target)
    return stated(who, made) if made else None


# ---- where nothing is built


def none_within(amount: Amount, target: Target) -> Found:
    """`don't build anything within 1 inch of the river`."""
    made = is_within(amount, target)
    return stated(Whom("no"), made) if made else None


def none_closer(entry: str, amount: Amount, target: Target) -> Found:
    """`nobody may build closer than 3 in to the lake`."""
    made = is_from((Bound("at least", amount),), target) if entry == "less gap" else None
    return stated(Whom("every"), made) if made else None


def none_upon(zone: Named) -> Found:
    """`nobody may build on the lake`."""
    return stated(Whom("no"), Meets("overlap", one_zone(zone)))


def none_beside(target: Target) -> Found:
    return stated(Whom("no"), touches(target))


def none_amid() -> Found:
    """`you must not cover the centre of the board`."""
    return stated(Whom("no"), at_centre())


# ---- how much of the parcel is used


def used_share(bounds: Bounds) -> Found:
    """`use no more than 80% of the board`, `no more than 60% of the board may be built on`."""
    made = is_share(bounds)
    return stated(Whom("together"), made) if made else None


def share_note(bounds: Bounds, zone: Named) -> Found:
    """`at least 25% park`."""
    said = bounds[0].measure == "percent" and bounds[0].relation != "bare"
    made = covers(bounds) if said else None
    return stated(one_zone(zone), made) if made else None


def area_note(bounds: Bounds, zone: Named) -> Found:
    """`we need at least 20 sq in of park`."""
    said = bounds[0].measure == "area" and bounds[0].relation != "bare"
    made = covers(bounds) if said else None
    return stated(one_zone(zone), made) if made else None


def share_to_one(bounds: Bounds, zone: Named) -> Found:
    """`at least a fifth of the board park`."""
    made = is_share(bounds)
    return stated(one_zone(zone), made) if made else None


def of_land(bounds: Bounds) -> Bounds | None:
    """`at least 20 square inches of land`."""
    return bounds if bounds[0].measure == "area" else None


def gap_was(whom: Whom | str, *rest: object) -> Found:
    """`it should be no more than 5 inches from any home to the school`."""
    *_, bounds, who, target = (whom, *rest)
    made = is_from(bounds, target)  # type: ignore[arg-type]
    return stated(who, made) if made else None  # type: ignore[arg-type]


def left_empty(bounds: Bounds) -> Sentences | None:
    """`leave 30% of the board empty`: more may be left."""
    found = at_least_assumed(bounds)
    made = empty(found)
    return tuple(replace(said, warning=b.warning) for said, b in zip(made, found, strict=True)) if made else None


def not_used_share(bounds: Bounds) -> Found:
    opposite = bounds[0].opposite if len(bounds) == 1 else None
    return used_share((opposite,)) if opposite else None


# ---- overlaps by their noun


def _none(parts: tuple[object, ...]) -> bool:
    """Whether it was said of no overlap, or of one of 0."""
    return all(part.number == 0 for part in parts if isinstance(part, Amount))


def no_overlap(*parts: Amount | Target) -> Found:
    """`no overlap with the lake`: of any zone; `no overlaps`: of any two."""
    target = parts[-1] if parts and not isinstance(parts[-1], Amount) else None
    if not _none(parts):
        return None
    if target is None or (isinstance(target, Whom) and not target.names):
        return (Said("no zones overlap"),)
    return stated(Whom("no"), overlaps(target)) if isinstance(target, Whom) else None


def no_overlap_between(*parts: Amount | Whom | Target) -> Found:
    """`0 overlap between the factory and anything else`."""
    who, target = parts[-2:]
    good = _none(parts) and isinstance(who, Whom) and isinstance(target, Whom)
    return stated(who, Meets("overlap", target, negated=True)) if good else None  # type: ignore[arg-type]


def overlaps_not(target: Target) -> Predicate:
    return Meets("overlap", target, negated=True)


# ---- from one edge to another


def from_edge_to_edge(who: Whom, first: Place, second: Place) -> Sentences | None:
    """`the river runs from the north edge to the south edge`: one piece of it."""
    ways = first.which, second.which
    if not isinstance(who, Whom) or not who.single or not all(ways) or ways[0] == ways[1]:
        return None
    both = ", and ".join(f"that piece touches the {way} edge" for way in ways)
    return (Said("", f"for some piece of {who.names[0]}: {both}", who.names[0]),)


def from_way_to_way(who: Whom, first: str, second: str) -> Sentences | None:
    return from_edge_to_edge(who, Place("edge", first), Place("edge", second))


def touches_two_edges(who: Whom, first: str, second: str) -> Found:
    parts = [stated(who, Meets("touch", Place("edge", way))) for way in (first, second)]
    return tuple(said for part in parts for said in part) if all(isinstance(p, tuple) for p in parts) else None  # type: ignore[union-attr]

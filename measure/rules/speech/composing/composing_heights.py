"""Heights in floors, and the tallest of all: actions of grammar.txt."""
# ruff: noqa: D103  (a function is the action of the production that names it in grammar.txt)

from __future__ import annotations

from dataclasses import replace

from measure.rules.amounts import Amount
from measure.rules.speech.composing.composing_bounds import limit
from measure.rules.speech.composing.composing_counts import structures_not_of, structures_of
from measure.rules.speech.composing.composing_sizes import is_so_adjective, whole
from measure.rules.speech.predicates.places_said import Predicate
from measure.rules.speech.words.lexicon import Named
from measure.rules.speech.words.meanings import Bounds, Said, Sentences, Whom


def floors_high(bounds: Bounds, adjective: str = "height") -> Predicate | None:
    """`at least 3 floors`: each of them one unit of the challenge's high, of which a warning tells."""
    lengths = _as_lengths(bounds)
    return is_so_adjective(lengths, "height") if lengths and adjective == "height" else None


def floors_high_after(amount: Amount, *said: str) -> Predicate | None:
    """`3 floors high or more`."""
    return floors_high(limit(said[-1], amount), *said[:-1])


def floors_of(where: Whom, bounds: Bounds, adjective: str = "height") -> Sentences | None:
    """`every building must be at most 3 floors high`."""
    lengths = _as_lengths(bounds)
    return structures_of(where, lengths, adjective) if lengths else None


def floors_not_of(where: Whom, bounds: Bounds, adjective: str = "height") -> Sentences | None:
    lengths = _as_lengths(bounds)
    return structures_not_of(where, lengths, adjective) if lengths else None


def _as_lengths(bounds: Bounds) -> Bounds | None:
    if not whole(tuple(replace(bound, flavour="") for bound in bounds)):
        return None
    return tuple(
        replace(
            bound,
            amount=replace(bound.amount, measure="length"),
            upper=replace(bound.upper, measure="length") if bound.upper else None,
        )
        for bound in bounds
    )


def none_taller(where: Whom, entry: str, zone: Named) -> Sentences | None:
    """`no building may be taller than the lighthouse`: those in it aside."""
    if where.names or entry != "more height":
        return None
    text = f"for every zone except {zone.name}: the height of that zone is at most the height of {zone.name}"
    return (Said("", text, zone.name),)

"""Offers about how many there are, and how many people live there."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

from measure.rules.slots.named.slots_said import Party, Slots
from measure.rules.slots.slot_limits import amount_and_tolerance, limits
from measure.rules.slots.way import Way, words
from measure.rules.speech.words.meanings import Bound

_NUMBERS = frozenset(["NUMBER", "TOGETHER", "BUILDING"])
_ALONE = ("exactly", "at least", "at most")


def alone(slots: Slots) -> tuple[str, ...]:
    """So many, where nothing else was said, are exactly so many."""
    return _ALONE[:1] if slots.strict else _ALONE


def counts(slots: Slots) -> Iterator[str]:
    """So many pieces of each zone."""
    if slots.strong - _NUMBERS or not slots.parties:
        return
    if slots.strict and any(re.search(r"\b(?:room|space)\b", text) for text in slots.values.get("HAVE", ())):
        return  # so many fit, or so many have to be there
    if not slots.bounds:
        if slots.denied and len(slots.parties) > 1:
            return
        ways = [tuple(_counted(party, slots)) for party in slots.parties]
        if all(ways) and any(party.count for party in slots.parties):
            for at in range(max(map(len, ways))):
                yield ", and ".join(way[min(at, len(way) - 1)] for way in ways)
        return
    bound = amount_and_tolerance(slots)
    if bound is None or not is_whole(bound) or len(slots.parties) != 1 or slots.parties[0].count:
        return
    if slots.has("COVER") and slots.has("PARCEL"):
        return
    party = slots.parties[0]
    if slots.strict and bound.relation == "bare" and not slots.has(*_COUNTED):
        return  # a number alone: of what is not said
    if len(party.names) == 1 and not (slots.strict and party.denied):
        for limit in limits(slots, bound, first=alone(slots)):
            yield f"there are {few(limit)} pieces of {party.names[0]}"
    elif slots.strict and not party.names and not party.rest and slots.has("PIECES"):
        for limit in limits(slots, bound, first=alone(slots)):
            yield f"for every zone: the number of pieces of that zone is {limit.text()}"


_COUNTED = ("PIECES", "NUMBER", "LEAST", "MOST", "HAVE", "COLON")


def _counted(party: Party, slots: Slots) -> Iterator[str]:
    if len(party.names) != 1:
        return
    if party.count is None:
        if not party.plural:
            yield f"there is a {party.names[0]}"
        return
    for limit in limits(slots, party.count, first=alone(slots)):
        yield f"there are {few(limit)} pieces of {party.names[0]}"


def few(limit: Bound) -> str:
    """A number of things: `fewer than 4`."""
    return replace(limit, tolerance=None).text().replace("less than", "fewer than")


def is_whole(bound: Bound) -> bool:
    """Whether it counts."""
    return (
        bound.measure == "number"
        and not bound.times
        and bound.amount.number.denominator == 1
        and bound.amount.number >= 1
    )


_THERE = frozenset(re.findall(r"\w+", "PARTY HAVE PUT BE MODAL MAY NEG A AND COMMA COLON IN ON NO IT KIND PIECES"))


def presence(slots: Slots) -> Iterator[str]:
    """`the town needs a school`."""
    if slots.unknown or set(slots.order) - _THERE or slots.has("MAY") or not slots.has("HAVE", "MODAL", "NEG"):
        return
    named = [one for party in slots.parties for one in party.singly()]
    if not named or any(not party.names or party.count for party in named):
        return
    if slots.denied == 1 and len(named) == 1 and (named[0].denied or slots.has("HAVE", "PUT")):
        yield f"there is no {named[0].names[0]}"
    elif not slots.denied and slots.has("HAVE"):
        yield ", and ".join(f"there is at least 1 piece of {party.names[0]}" for party in named)


def more_pieces(slots: Slots) -> Iterator[str]:
    """`more homes than shops`, `3 more homes than shops`."""
    if len(slots.bounds) == 1 and is_whole(slots.bounds[0]) and slots.has("THAN"):
        yield from _so_many_more(slots)
        return
    if slots.bounds or slots.kinds["CMP"] != 1 or slots.strong - {"CMP", "NUMBER"} or len(slots.parties) != 2:
        return
    way, _, flavour = slots.values["CMP"][0].partition(" ")
    if flavour not in ("", "count") or not all(party.names and party.plural for party in slots.parties):
        return
    first, second = slots.parties
    relation = {"more": "more than", "less": "less than"}[way]
    if slots.denied:
        relation = "at most" if way == "more" else "at least"
    yield f"the number of pieces of {first.names[0]} is {relation} the number of pieces of {second.names[0]}"


def _so_many_more(slots: Slots) -> Iterator[str]:
    if slots.strong - {"CMP", "NUMBER"} or len(slots.parties) != 2 or slots.kinds["CMP"] > 1:
        return
    first, second = slots.parties
    way = slots.values["CMP"][0].split(" ")[0] if slots.has("CMP") else "more"
    if not all(party.names and not party.count for party in slots.parties):
        return
    if way == "less":
        first, second = second, first
    for limit in limits(slots, slots.bounds[0], first=alone(slots)):
        yield (
            f"the number of pieces of {first.names[0]} minus the number of pieces of {second.names[0]} is {few(limit)}"
        )


def as_many(slots: Slots) -> Iterator[str]:
    """`as many gardens as homes`."""
    if slots.bounds or slots.strong - {"NUMBER"} != {"MANYAS"} or len(slots.parties) != 2 or slots.has("MAY"):
        return
    first, second = slots.parties
    if all(party.names and len(party.names) == 1 and not party.count and not party.each for party in (first, second)):
        relation = "less than" if slots.denied else "exactly"
        yield f"the number of pieces of {first.names[0]} is {relation} the number of pieces of {second.names[0]}"


COUNTS = (
    Way(counts, words("NUMBER TOGETHER PIECES LEAST MOST LIMITED FALL SEPARATE AND COVER MAY"), words("AND COLON")),
    Way(presence, words("AND IT PIECES"), words("AND COLON")),
    Way(more_pieces, words("CMP THAN NUMBER PIECES")),
    Way(as_many, words("MANYAS AS NUMBER PIECES"), words("AS")),
)

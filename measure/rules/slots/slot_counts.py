"""Offers about how many there are, and how many people live there."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

from measure.rules.slots.slot_limits import amount_and_tolerance, limits
from measure.rules.slots.slots_said import Party, Slots
from measure.rules.slots.way import Way, words
from measure.rules.speech.words.meanings import Bound

_NUMBERS = frozenset(["NUMBER", "TOGETHER", "BUILDING"])
_ALONE = ("exactly", "at least", "at most")


def _alone(slots: Slots) -> tuple[str, ...]:
    """So many, where nothing else was said, are exactly so many."""
    return _ALONE[:1] if slots.strict else _ALONE


def counts(slots: Slots) -> Iterator[str]:
    """So many pieces of each zone."""
    if slots.strong - _NUMBERS or not slots.parties:
        return
    if not slots.bounds:
        if slots.denied and len(slots.parties) > 1:
            return
        ways = [tuple(_counted(party, slots)) for party in slots.parties]
        if all(ways) and any(party.count for party in slots.parties):
            for at in range(max(map(len, ways))):
                yield ", and ".join(way[min(at, len(way) - 1)] for way in ways)
        return
    bound = amount_and_tolerance(slots)
    if bound is None or not _is_whole(bound) or len(slots.parties) != 1 or slots.parties[0].count:
        return
    if slots.has("COVER") and slots.has("PARCEL"):
        return
    party = slots.parties[0]
    if len(party.names) == 1:
        for limit in limits(slots, bound, first=_alone(slots)):
            yield f"there are {_few(limit)} pieces of {party.names[0]}"


def _counted(party: Party, slots: Slots) -> Iterator[str]:
    if len(party.names) != 1:
        return
    if party.count is None:
        if not party.plural:
            yield f"there is a {party.names[0]}"
        return
    for limit in limits(slots, party.count, first=_alone(slots)):
        yield f"there are {_few(limit)} pieces of {party.names[0]}"


def _few(limit: Bound) -> str:
    return replace(limit, tolerance=None).text().replace("less than", "fewer than")


def _is_whole(bound: Bound) -> bool:
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
    if len(slots.bounds) == 1 and _is_whole(slots.bounds[0]) and slots.has("THAN"):
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
    for limit in limits(slots, slots.bounds[0], first=_alone(slots)):
        yield (
            f"the number of pieces of {first.names[0]} minus the number of pieces of {second.names[0]} is {_few(limit)}"
        )


def people(slots: Slots) -> Iterator[str]:
    """So many people."""
    if slots.strong - {"PEOPLE", "BUILDING", "TOGETHER", "RATIO"} or not slots.has("PEOPLE") or len(slots.parties) > 1:
        return
    bounds = [bound for bound in slots.bounds if _is_whole(bound)]
    if len(bounds) != len(slots.bounds) or not 1 <= len(bounds) <= 2:
        return
    whole, *rest = sorted(bounds, key=lambda bound: -bound.amount.number)
    party = slots.parties[0] if slots.parties else Party()
    if party.count or party.each or len(party.names) > 1:
        return
    for limit in limits(slots, whole):
        for unit in ("in", "cm") if rest else ("",):
            at = f" at {rest[0].amount} people per cubic {unit}" if rest else ""
            if rest and not re.search(r"\bcu(?:bic|\b)|³", slots.text):
                continue
            if party.names and unit in slots.text:
                yield (
                    f"{party.names[0]} house {limit.text()} people{at}"
                    if rest
                    else (f"the people in {party.names[0]} is {limit.text()}")
                )


def structures(slots: Slots) -> Iterator[str]:
    """So many structures."""
    bound = amount_and_tolerance(slots)
    if bound is None or not _is_whole(bound) or slots.strong - {"BUILDING", "NUMBER"} or not slots.has("BUILDING"):
        return
    if len(slots.parties) > 1 or any(party.count or len(party.names) > 1 for party in slots.parties):
        return
    where = f" in {slots.parties[0].names[0]}" if slots.parties and slots.parties[0].names else ""
    for limit in limits(slots, bound, first=_alone(slots)):
        yield f"there are {_few(limit)} structures{where}"


COUNTS = (
    Way(counts, words("NUMBER TOGETHER PIECES LEAST MOST LIMITED FALL SEPARATE AND COVER MAY"), words("AND COLON")),
    Way(presence, words("AND IT PIECES"), words("AND COLON")),
    Way(more_pieces, words("CMP THAN NUMBER PIECES")),
    Way(people, words("PEOPLE BUILDING TOGETHER RATIO LIVE ROOM_FOR LEAST MOST")),
    Way(structures, words("BUILDING NUMBER LEAST MOST LIMITED FALL")),
)

"""Offers about places on the parcel, zones inside and beyond others, empty land, and shapes."""

from __future__ import annotations

from collections.abc import Iterator

from measure.rules.slots.named.slots_said import Slots
from measure.rules.slots.slot_limits import amount_and_tolerance, limits
from measure.rules.slots.slot_sizes import is_part, part_of_parcel
from measure.rules.slots.way import Way, words


def places(slots: Slots) -> Iterator[str]:
    """In a half or a corner of the parcel, at an edge, in the middle."""
    where = slots.strong & {"REGION", "EDGE", "CENTRE"}
    if slots.bounds or slots.has("MAY") or len(where) != 1 or len(slots.parties) != 1 or slots.denied > 1:
        return
    party = slots.parties[0]
    if slots.strong - where - {"TOUCH", "MOSTLY", "INSIDE"} or not party.names or party.count:
        return
    kind = next(iter(where))
    values = dict.fromkeys(slots.values[kind])
    if len(values) != 1:
        return
    value = next(iter(values))
    if slots.strict and "into" in slots.values.get("IN", ()) and not slots.has("PUT"):
        return
    for one in [party.singly()]:
        if kind == "REGION":
            yield from _in_region([each.text for each in one], value, slots)
        elif kind == "EDGE":
            edge = f"the {value} edge" if value in _WAYS else "the edge"
            verb = "does not touch" if slots.denied else "touches"
            yield ", and ".join(f"{each.land if slots.denied else each.text} {verb} {edge}" for each in one)
        elif not slots.denied and len(one) == 1:
            yield f"{one[0].land} is in the middle of the board"
            yield f"{one[0].land} covers the centre point"


_WAYS = ("north", "south", "east", "west", "left", "right", "top", "bottom")


def _in_region(whose: list[str], region: str, slots: Slots) -> Iterator[str]:
    if slots.denied:
        yield f"not: {whose[0]} is in the {region}"
        yield f"not: {whose[0]} is partly in the {region}"
    elif slots.has("TOUCH"):
        way = region.removesuffix(" half")
        if way in _WAYS:
            yield ", and ".join(f"{each} touches the {way} edge" for each in whose)
    elif slots.has("MOSTLY"):
        yield ", and ".join(f"{each} is mostly in the {region}" for each in whose)
    else:
        yield ", and ".join(f"{each} is in the {region}" for each in whose)


def corners(slots: Slots) -> Iterator[str]:
    """`tucked into a corner`: it touches two edges that meet there."""
    if slots.bounds or slots.denied or slots.has("MAY") or slots.strong - {"TOUCH"} != {"CORNER"}:
        return
    if len(slots.parties) == 1 and len(slots.parties[0].names) == 1 and not slots.parties[0].count:
        name = slots.parties[0].names[0]
        both = (
            f"({name} touches the {a} edge, and {name} touches the {b} edge)"
            for a in ("north", "south")
            for b in ("west", "east")
        )
        yield f"either {', or '.join(both)}"


def orders(slots: Slots) -> Iterator[str]:
    """`A lies north of B`."""
    if slots.bounds or slots.has("MAY") or slots.strong != {"BEYOND"} or len(slots.parties) != 2 or slots.denied:
        return
    first, second = slots.parties
    if slots.order.index("BEYOND") < slots.order.index("PARTY"):
        first, second = second, first  # `north of the lake lies the park`
    way = slots.values["BEYOND"][0]
    if way in ("north", "south", "east", "west") and first.names and second.names and not (first.count or second.count):
        yield f"{first.text} is {way} of {second.land}"


def insides(slots: Slots) -> Iterator[str]:
    """`A is inside B`, `nothing overlaps B`."""
    if slots.bounds or slots.has("MAY") or len(slots.parties) not in (1, 2) or slots.denied > 1:
        return
    names = [party for whole in slots.parties for party in whole.singly()]
    if any(party.count for party in names):
        return
    if slots.strong == {"INSIDE"} and len(names) == 2 and all(party.names for party in names):
        verb = "does not overlap" if slots.denied else "is inside"
        yield f"{names[0].land if slots.denied else names[0].text} {verb} {names[1].land}"
    covered = not slots.strong and slots.has("COVER") and len([party for party in names if party.names]) == 1
    if not (slots.strong == {"OVERLAP"} or covered) or not slots.denied:
        return
    named = [party for party in names if party.names]
    if len(named) == 2:
        yield f"{named[0].land} does not overlap {named[1].land}"
    elif len(named) == 1:
        yield f"nothing overlaps {named[0].land}"
    else:
        yield "no zones overlap"


def between(slots: Slots) -> Iterator[str]:
    """`A is between B and C`."""
    if slots.bounds or slots.denied or slots.has("MAY") or not slots.has("AMONG", "BETWEEN"):
        return
    if slots.strong - {"AMONG"}:
        return
    names = [party for whole in slots.parties for party in whole.singly()]
    if slots.strict and any(party.each for party in names):
        return
    if len(names) == 3 and all(party.names and not party.count for party in names):
        a, b, c = (party.land for party in names)
        yield f"{a} is between {b} and {c}"


def empty_land(slots: Slots) -> Iterator[str]:
    """So much of the parcel is left empty."""
    bound = amount_and_tolerance(slots)
    if bound is None or slots.strong - {"EMPTY", "BUILDING"} or not slots.has("EMPTY"):
        return
    if any(party.names or party.count for party in slots.parties) or not (is_part(bound) or bound.measure == "area"):
        return
    denied = slots.denied - sum(party.denied for party in slots.parties)
    if denied:
        return
    plain = slots if not slots.denied else _not_denied(slots)
    for limit in limits(plain, bound, first=("at least",) if slots.strict else ("at least", "at most", "exactly")):
        said = part_of_parcel(limit) if is_part(bound) else limit.text()
        yield f"empty land covers {said}"


def _not_denied(slots: Slots) -> Slots:
    """`with nothing on it` says that it is empty."""
    return Slots((), slots.bounds, slots.order, slots.values, slots.unknown, 0, slots.text)


def shapes(slots: Slots) -> Iterator[str]:
    """`A is a rectangle`."""
    if slots.bounds or slots.denied or slots.has("MAY") or slots.strong != {"SHAPE"} or len(slots.parties) != 1:
        return
    party = slots.parties[0]
    if party.names and not party.count:
        yield ", and ".join(f"{one.land} is {slots.values['SHAPE'][0]}" for one in party.singly())


PLACES = (
    Way(places, words("REGION EDGE CENTRE TOUCH MOSTLY INSIDE PARCEL WITHIN ABOUT")),
    Way(corners, words("CORNER TOUCH PARCEL")),
    Way(orders, words("BEYOND")),
    Way(insides, words("INSIDE OVERLAP COVER WITHIN")),
    Way(between, words("AMONG BETWEEN AND")),
    Way(empty_land, words("EMPTY PARCEL COVER SIZE GAP LEAST MOST AS ABOUT")),
    Way(shapes, words("SHAPE")),
)

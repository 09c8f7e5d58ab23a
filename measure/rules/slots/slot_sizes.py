"""Offers about sizes: shares, areas, heights, lengths, and what is larger than what."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from measure.rules.amounts import Amount
from measure.rules.slots.named.slots_said import Party, Slots
from measure.rules.slots.slot_limits import amount_and_tolerance, limits
from measure.rules.slots.way import Way, words
from measure.rules.speech.words.meanings import OPPOSITE, Bound

_OF_AREA = frozenset(["TOGETHER", "CMP", "BUILDING"])
_ALONE = ("exactly", "at least", "at most")


def is_part(bound: Bound) -> bool:
    """A per cent, or a fraction below one."""
    if bound.times:
        return False
    return bound.measure == "percent" or (bound.measure == "number" and (bound.upper or bound.amount).number < 1)


def areas(slots: Slots) -> Iterator[str]:
    """A share of the parcel, or so much area, of a zone, of zones together, or of each piece."""
    bound = amount_and_tolerance(slots)
    if bound is None or slots.strong - _OF_AREA or not (is_part(bound) or bound.measure == "area"):
        return
    parties = slots.parties
    all_zones = slots.has("TOGETHER", "PUT", "HAVE") and slots.has("PARCEL") and not slots.has("IT")
    if not parties and is_part(bound) and all_zones and not slots.unknown:
        parties, slots = (Party(),), replace(slots, order=(*slots.order, "TOGETHER"))
    if len(parties) != 1 or parties[0].count or bound.flavour not in ("", "size"):
        return
    if slots.has("ANY_PIECES"):
        slots = replace(slots, order=(*slots.order, "TOGETHER"))
    for limit in limits(slots, bound):
        said = limit.text() if not is_part(bound) else part_of_parcel(limit)
        for whose in _areas_of(parties[0], slots, part=is_part(bound)):
            yield f"the area of {whose} is {said}"


def part_of_parcel(limit: Bound) -> str:
    """`at least 20% of the parcel`."""
    many = 1 if limit.measure == "percent" else 100
    low, high = (None if end is None else Amount(end.number * many, "percent") for end in (limit.amount, limit.upper))
    plain = replace(limit, tolerance=None, amount=low or limit.amount, upper=high)
    return f"{plain.text()} of the parcel{limit.within}"


def _areas_of(party: Party, slots: Slots, *, part: bool) -> Iterator[str]:
    if len(party.names) > 1:
        together = f"{', '.join(party.names[:-1])} and {party.names[-1]} together"
        if party.each and not slots.has("TOGETHER"):
            yield f"each of {' and '.join(party.names)}"
            return
        yield together
        if not slots.has("TOGETHER"):
            yield f"each of {', '.join(party.names[:-1])} and {party.names[-1]}"
        return
    if not party.names:
        if slots.has("TOGETHER"):
            yield "all zones together"
        else:
            yield party.land if not party.rest else "every zone"
        return
    if slots.has("TOGETHER") or (slots.strict and part and not (party.each or party.one)):
        yield party.names[0]
        return
    ways = (party.of_each,) if party.each else (party.land, party.of_each) if part else (party.of_each, party.land)
    yield from ways if party.may_be_several or party.each else (party.land,)


def sums(slots: Slots) -> Iterator[str]:
    """Two or more zones, not in one list, that are so much of the parcel together."""
    bound = amount_and_tolerance(slots)
    if bound is None or slots.strong != {"TOGETHER"} or len(slots.parties) < 2:
        return
    names = [name for party in slots.parties for name in party.names]
    if len(names) < len(slots.parties) or any(party.count or party.each for party in slots.parties):
        return
    if not is_part(bound) and bound.measure != "area":
        return
    for limit in limits(slots, bound):
        said = part_of_parcel(limit) if is_part(bound) else limit.text()
        yield f"the area of {', '.join(names[:-1])} and {names[-1]} together is {said}"


_MEASURED = {"size": "area", "height": "height", "length": "length", "width": "width", "": "area"}


def compared(slots: Slots) -> Iterator[str]:
    """`A is bigger than B`: what stands first is more; where no `than` says so, either may be."""
    if slots.bounds or len(slots.parties) != 2 or slots.kinds["CMP"] != 1:
        return
    if slots.strong - {"CMP", "HEIGHT", "LENGTH", "WIDTH", "TOGETHER"} or any(party.count for party in slots.parties):
        return
    way, _, flavour = slots.values["CMP"][0].partition(" ")
    if flavour not in _MEASURED or (not flavour and slots.has("NUMBER", "PIECES")):
        return
    flavour = "height" if slots.has("HEIGHT") else flavour
    relation = {"more": "more than", "less": "less than"}[way]
    relation = OPPOSITE[relation] if slots.denied else relation
    first, second = slots.parties
    order = [kind for kind in slots.order if kind in ("PARTY", "CMP", "THAN")]
    if order[:2] == ["CMP", "PARTY"] and "THAN" in order and order.index("THAN") < order.index("PARTY"):
        first, second = second, first  # `larger than the park must be the lake`
    lists = sum(len(party.names) > 1 for party in (first, second))
    plurals = sum(party.plural and len(party.names) == 1 for party in (first, second))
    summed = lists <= slots.kinds["TOGETHER"] <= lists + plurals
    if slots.strict and not (summed and not (lists and (first.each or second.each))):
        return
    what = _MEASURED[flavour]
    if what == "height":
        yield f"the height of {first.land} is {relation} the height of {second.land}"
    else:
        yield f"the {what} of {_summed(first)} is {relation} the {what} of {_summed(second)}"


def _summed(party: Party) -> str:
    if len(party.names) > 1 and not party.each:
        return f"{', '.join(party.names[:-1])} and {party.names[-1]} together"
    return party.text


_NO_RATIO = ("PARCEL", "TOGETHER", "FROM", "AWAY", "APART", "FAR", "WITHIN")


def ratios(slots: Slots) -> Iterator[str]:
    """`A is at least twice as large as B`, `half of B`, `twice as tall`."""
    bound = amount_and_tolerance(slots)
    if bound is None or len(slots.parties) != 2 or any(party.count for party in slots.parties):
        return
    if not (bound.times or is_part(bound)) or slots.has(*_NO_RATIO):
        return
    if slots.strong - {"CMP", "HEIGHT", "RATIO", "SAME", "TALLAS", "MANYAS", "NUMBER"}:
        return
    first, second = slots.parties
    if not (first.names and second.names):
        return
    counted = slots.has("MANYAS", "NUMBER", "PIECES")
    what = "height" if slots.has("HEIGHT", "TALLAS") else "area"
    further = slots.kinds["CMP"] == 1 and slots.values["CMP"][0].split(" ")[0]
    for limit in limits(slots, bound, first=_ALONE):
        if counted:
            if limit.times and not limit.tolerance:
                yield f"there are {limit.text(' times')} as many pieces of {first.land} as of {second.land}"
        elif is_part(bound) and further:
            yield from _by_part(first, second, limit, further)
        else:
            term = f"the {what} of {second.land}"
            yield f"the {what} of {first.land} is {limit.times_text(term)}"
            if further == "more" and limit.times:  # `three times larger`
                yield f"the {what} of {first.land} minus {term} is {limit.times_text(term)}"


def _by_part(first: Party, second: Party, limit: Bound, way: str) -> Iterator[str]:
    """`40% more than B` as 1.4 times."""
    part = limit.amount.number / (100 if limit.measure == "percent" else 1)
    if limit.upper is None and (way == "more" or part < 1):
        number = 1 + part if way == "more" else 1 - part
        turned = (
            limit
            if way == "more" or limit.relation not in OPPOSITE
            else replace(limit, relation=_MIRROR[limit.relation])
        )
        amount = replace(turned.amount, number=number, measure="number")
        yield f"the area of {first.land} is {replace(turned, amount=amount).times_text(f'the area of {second.land}')}"


_MIRROR = {"at least": "at most", "at most": "at least", "more than": "less than", "less than": "more than"}


def proportions(slots: Slots) -> Iterator[str]:
    """`the ratio of A to B must be at least 3 : 2`."""
    if len(slots.parties) != 2 or len(slots.bounds) != 2 or not slots.has("RATIO", "COLON"):
        return
    first, second = slots.bounds
    if any(bound.measure != "number" or bound.upper or bound.times for bound in slots.bounds) or slots.strong - {
        "RATIO"
    }:
        return
    if not second.amount.number or any(party.count for party in slots.parties):
        return
    relation = first.relation if first.relation != "bare" else second.relation
    made = replace(
        first, relation=relation, amount=replace(first.amount, number=first.amount.number / second.amount.number)
    )
    for limit in limits(slots, replace(made, times=True), first=_ALONE):
        yield f"the area of {slots.parties[0].land} is {limit.times_text(f'the area of {slots.parties[1].land}')}"


def differences(slots: Slots) -> Iterator[str]:
    """`A is at least 3 sq in larger than B`, `A and B differ by at most 3 sq in`."""
    bound = amount_and_tolerance(slots)
    names = [party for whole in slots.parties for party in whole.singly()]
    if (
        bound is None
        or len(names) != 2
        or bound.measure not in ("area", "length")
        or any(party.count for party in names)
    ):
        return
    if not all(party.names for party in names) or slots.strong - {"CMP", "DIFFER", "HEIGHT", "TALLAS", "SAME"}:
        return
    height = bound.measure == "length"
    if height != slots.has("HEIGHT", "TALLAS") and not (height and bound.flavour == "height"):
        return
    what = "height" if height else "area"
    one, two = (f"the {what} of {party.land}" for party in names)
    if slots.has("DIFFER", "SAME", "TALLAS") and not slots.has("CMP"):
        for limit in limits(slots, bound, first=("at most", "at least")):
            yield f"the difference between {one} and {two} is {limit.text()}"
        return
    ways = {value.split(" ")[0] for value in slots.values.get("CMP", ())}
    if len(ways) != 1:
        return
    if "less" in ways:
        one, two = two, one
    for limit in limits(slots, bound, first=("at least", "exactly", "at most")):
        yield f"{one} minus {two} is {limit.text()}"


def same_size(slots: Slots) -> Iterator[str]:
    """`A is as large as B`."""
    if len(slots.parties) != 2 or slots.strong - {"SAME", "TALLAS"} or not slots.strong:
        return
    if len(slots.bounds) > slots.has("TOL"):
        return
    what = "height" if slots.has("TALLAS") else "area"
    one, two = (f"the {what} of {party.land}" for party in slots.parties)
    if slots.denied:
        if not slots.bounds:
            yield f"{one} is less than {two}"
        return
    yield f"{one} is exactly {two}, within {slots.bounds[0].amount if slots.bounds else '5%'}"
    if not slots.bounds:
        yield f"{one} is at least {two}"


def extremes(slots: Slots) -> Iterator[str]:
    """`A is the largest zone`, `the tallest`."""
    if (
        slots.bounds
        or slots.denied
        or slots.strong - {"BUILDING", "HEIGHT", "TOGETHER"} != {"SUPER"}
        or slots.kinds["SUPER"] != 1
    ):
        return
    named = [party for party in slots.parties if party.names]
    if len(named) != 1 or len(named[0].names) != 1 or named[0].count:
        return
    way, _, flavour = slots.values["SUPER"][0].partition(" ")
    name = named[0].names[0]
    what = _MEASURED.get(flavour)
    if what is None:
        return
    relation = "more than" if way == "more" else "less than"
    if what == "area":
        yield f"{name} is the {'largest' if way == 'more' else 'smallest'} zone"
    else:
        yield f"for every zone except {name}: the {what} of {name} is {relation} the {what} of that zone"


_LENGTHS = {"PERIM": "perimeter", "LENGTH": "length", "WIDTH": "width"}


def dimensions(slots: Slots) -> Iterator[str]:
    """So long, so wide, so much around."""
    bound = amount_and_tolerance(slots)
    if (
        bound is None
        or bound.measure != "length"
        or len(slots.parties) != 1
        or slots.strong - {*_LENGTHS, "CMP", "AROUND"}
    ):
        return
    named = {_LENGTHS[kind] for kind in _LENGTHS if slots.has(kind)}
    if bound.flavour in _LENGTHS.values():
        named.add(bound.flavour)
    if (
        len(named) != 1
        or bound.flavour not in ("", *named)
        or len(slots.parties[0].names) != 1
        or slots.parties[0].count
    ):
        return
    (what,) = named
    party = slots.parties[0]
    if not set(slots.values.get("GAP", ())) <= {"strip", "lane", "path", "corridor", "stretch"} or party.denied:
        return
    whose = party.text if what == "perimeter" else party.of_each
    for limit in limits(slots, bound):
        yield f"the {what} of {whose} is {limit.text()}"


_SIZE = "ANY_PIECES ABOUT SIZE OWN_SIZE SIDE_OF COVER BIG LIMITED FALL LEAST MOST PARCEL EACH_AFTER TOGETHER PIECES"
SIZES = (
    Way(areas, words(f"{_SIZE} EXCEPT")),
    Way(sums, words(f"{_SIZE} AND")),
    Way(compared, words("CMP THAN SIZE OWN_SIZE SIDE_OF COVER HEIGHT LENGTH WIDTH TOGETHER"), words("TOGETHER")),
    Way(
        ratios,
        words(
            "ABOUT CMP THAN SIZE OWN_SIZE SIDE_OF COVER BIG AS HEIGHT RATIO SAME TALLAS MANYAS NUMBER LEAST "
            "MOST LIMITED"
        ),
        words("AS"),
    ),
    Way(proportions, words("RATIO COLON SIZE OWN_SIZE SIDE_OF LEAST MOST AND"), words("COLON")),
    Way(differences, words("CMP THAN DIFFER SIZE OWN_SIZE SIDE_OF HEIGHT BETWEEN LEAST MOST AND")),
    Way(same_size, words("SAME TALLAS TOL SIZE SIDE_OF AND")),
    Way(extremes, words("SUPER BUILDING HEIGHT SIZE PARCEL TOGETHER"), words("PARCEL")),
    Way(dimensions, words("ABOUT PERIM LENGTH WIDTH AROUND LEAST MOST LIMITED FALL EACH_AFTER SIZE COVER GAP")),
)

"""Offers about distances and touching."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import combinations

from measure.rules.slots.named.slots_said import Party, Slots
from measure.rules.slots.slot_limits import amount_and_tolerance, limits
from measure.rules.slots.way import Way, words
from measure.rules.speech.words.meanings import Bound

_GAP = frozenset(["AROUND", "EMPTY", "NEXT_ONE", "AMONG", "CMP", "BUILDING", "EDGE", "CENTRE", "NEAREST"])
_FAR = ("FAR", "AWAY", "SEPARATE", "GAP", "APART", "FROM", "EMPTY")


_NEAR = ("BETWEEN", "AMONG", "WITHIN", "EACH_OTHER", "NEXT_ONE", "AROUND", "NEAR", "CLOSE")


def _is_one_alone(parties: Sequence[Party]) -> bool:
    return len(parties) == 1 and len(parties[0].names) == 1 and not (parties[0].plural or parties[0].each)


def centre_gaps(slots: Slots) -> Iterator[str]:
    """`from the centre of A to the centre of B`."""
    bound = _length(slots)
    names = [one for party in slots.parties for one in party.singly()]
    both = slots.kinds["CENTRE"] == len(slots.parties) == _TWO or slots.values.get("CENTRE", ("",))[0].endswith("s")
    if bound is None or slots.strong != {"CENTRE"} or len(names) != _TWO or not both or slots.has("PARCEL"):
        return
    if all(party.names and not party.count and not party.each for party in names):
        for limit in limits(slots, bound):
            yield f"the distance between the centres of {names[0].land} and {names[1].land} is {limit.text()}"


_TWO = 2


def _length(slots: Slots) -> Bound | None:
    """The amount as a distance: so many squares, or a number alone, where the words speak of a gap."""
    bound = amount_and_tolerance(slots)
    if bound is None or bound.times or bound.flavour not in ("", "gap"):
        return None
    if bound.measure == "length":
        return bound
    if (
        bound.measure == "area"
        and "square" in slots.text.lower()
        and slots.has(*_FAR, "WITHIN")
        and not slots.has("COVER")
    ):
        upper = replace(bound.upper, measure="length") if bound.upper else None
        return replace(bound, amount=replace(bound.amount, measure="length"), upper=upper)
    return None


def distances(slots: Slots) -> Iterator[str]:
    """So much distance between zones, from the edge, or from the middle."""
    bound = _length(slots)
    wide = {"WIDTH"} if slots.has("GAP", "SEPARATE", "AROUND") else set()
    if bound is None or slots.strong - _GAP - wide or any(party.count for party in slots.parties):
        return
    if slots.strict and not (
        bound.flavour == "gap" or slots.has(*_FAR, *_NEAR) or "PARTY TO PARTY" in " ".join(slots.order)
    ):
        return
    named = [party for party in slots.parties if party.names]
    if slots.strict and ((slots.has("AROUND") and len(named) > 1) or (slots.has("WIDTH") and not slots.has("GAP"))):
        return  # how wide a zone around another is
    if slots.strict and slots.has("EACH_OTHER", "APART") and len(named) > 1:
        return  # from each other, and from another
    if slots.strict and len(slots.parties) == 1 and slots.has("AND"):
        return  # what it joins is not known
    if slots.strict and slots.has("BETWEEN", "AMONG") and _is_one_alone(slots.parties):
        return  # `between the pad and ...`
    if slots.strict and not slots.parties and slots.has("AROUND") and slots.has("PARCEL"):
        slots = replace(slots, parties=(Party(),), order=(*slots.order, "EDGE"), values={**slots.values, "EDGE": ("",)})
    if not slots.parties and slots.has("EDGE"):
        slots = replace(slots, parties=(Party(),))
    first: tuple[str, ...] = ("at least", "at most", "exactly")
    if slots.has("NEAR") and not slots.has(*_FAR):
        first = ("at most", "at least")
    elif slots.strict and slots.has(*_FAR[:-2], "AROUND", "EMPTY") and not slots.has("NEAR", "CLOSE"):
        first = ("at least",)
    for limit in limits(slots, bound, first=first):
        far = limit.relation in ("at least", "more than")
        if slots.strict and slots.has("FAR") and not far:
            return
        for pairs in _pairs(slots, far=far):
            yield ", and ".join(f"the distance from {a} to {b} is {limit.text()}" for a, b in pairs)


Pairs = tuple[tuple[str, str], ...]


def _pairs(slots: Slots, *, far: bool) -> Iterator[Pairs]:
    """Between whom: each way in which the zones may be paired."""
    parties = slots.parties
    if slots.has("EDGE"):
        if len(parties) == 1:
            way = slots.values["EDGE"][0]
            edge = f"the {way} edge" if way in _WAYS else "the edge"
            yield tuple((one.text, edge) for one in parties[0].singly())
        return
    if slots.has("CENTRE"):
        if len(parties) == 1:
            yield tuple((one.text, "the centre of the parcel") for one in parties[0].singly())
        return
    if slots.has("BUILDING"):
        if not slots.has("FAR", "AWAY", "SEPARATE", "GAP", "APART", "FROM", "WITHIN", "NEAR"):
            return
        if len(parties) == 1 and parties[0].names:
            yield tuple(("every structure", one.land) for one in parties[0].singly())
        return
    if len(parties) == 1:
        yield from _of_one(parties[0], slots, far=far)
    elif len(parties) == 2:
        yield from _of_two(*parties, far=far, strict=slots.strict)


_WAYS = ("north", "south", "east", "west", "left", "right", "top", "bottom")


def _of_one(party: Party, slots: Slots, *, far: bool) -> Iterator[Pairs]:
    if len(party.names) > 1:
        yield tuple(combinations(party.names, 2))
        return
    if not party.names:
        yield (("every zone", "every other zone"),)
        return
    if not far:
        return
    between = slots.has("APART", "EACH_OTHER", "NEXT_ONE", "BETWEEN", "AMONG", "SEPARATE", "AGAIN")
    pieces = (f"every piece of {party.names[0]}", f"every other piece of {party.names[0]}")
    around = (party.text, "every other zone")
    if (between or (slots.strict and slots.has("NEAREST"))) and (party.plural or party.each):
        yield (pieces,)
    elif slots.strict and not slots.has("AROUND"):
        return  # from what is not said
    elif slots.has("AROUND", *_FAR):
        yield (around,)
        if party.plural and not slots.has("AROUND"):
            yield (pieces,)


def _of_two(first: Party, second: Party, *, far: bool, strict: bool) -> Iterator[Pairs]:
    if not (first.names or second.names):
        yield (("every zone", "every other zone"),)
        return
    if not first.names:
        first, second = second, first
    if not second.names:
        if far:
            yield tuple((one.text, "every other zone") for one in first.singly())
        return
    if first.names == second.names:
        yield ((first.of_each, f"every other piece of {first.names[0]}"),)
        return
    ones, twos = first.singly(), second.singly()
    if far:
        yield tuple((a.text, b.text) for a in ones for b in twos)
        return
    if first.plural and not first.each:
        yield tuple((a.of_each, b.text) for a in ones for b in twos)
        yield tuple((a.land, b.text) for a in ones for b in twos)
        return
    yield tuple((a.text, b.text) for a in ones for b in twos)
    if second.plural and not second.each and not strict:
        yield tuple((a.text, b.of_each) for a in ones for b in twos)


def touching(slots: Slots) -> Iterator[str]:
    """Two zones that touch, or must not."""
    if (
        slots.strong - {"EACH_OTHER"} != {"TOUCH"}
        or slots.bounds
        or (slots.has("MAY") and not slots.denied)
        or slots.denied > 1
    ):
        return
    parties = slots.parties
    if len(parties) == 1 and len(parties[0].names) == 2:
        parties = parties[0].singly()
    if len(parties) == 1 and parties[0].names and slots.denied and parties[0].plural:
        yield f"no piece of {parties[0].names[0]} touches another piece of {parties[0].names[0]}"
    if len(parties) != 2:
        return
    first, second = parties if parties[0].names else parties[::-1]
    if not first.names:
        return
    if slots.denied:
        yield from _apart(first, second)
    elif first.count:
        if not second.count and second.names and not (slots.strict and (second.each or slots.has("MAY"))):
            limit = first.count.text() if first.count.relation != "bare" else f"at least {first.count.amount}"
            yield f"{limit} pieces of {first.names[0]} touch {second.land}"
    elif slots.strict and second.joint == "or":
        if len(first.names) == 1 and first.each:
            either = ", or ".join(f"that piece touches {b.land}" for b in second.singly())
            yield f"for every piece of {first.names[0]}: either {either}"
        elif len(first.names) == 1 and not first.plural:
            yield "either " + ", or ".join(f"{first.text} touches {b.land}" for b in second.singly())
    elif second.names and not second.count:
        ways = [tuple(f"{a.text} touches {b.land}" for a in first.singly() for b in second.singly())]
        if first.plural and not first.each and not slots.strict:
            ways.insert(0, tuple(f"{a.of_each} touches {b.land}" for a in first.singly() for b in second.singly()))
        yield from map(", and ".join, ways)


def joining(slots: Slots) -> Iterator[str]:
    """`A connects B with C`: one piece of it touches both."""
    names = [one for party in slots.parties for one in party.singly()]
    if (
        slots.strong != {"JOIN"}
        or slots.order.count("PARTY") < _TWO
        or slots.order.index("JOIN") < slots.order.index("PARTY")
        or slots.denied
    ):
        return
    if slots.bounds or slots.has("MAY") or len(slots.parties[0].names) != 1 or len(names) < _TWO + 1:
        return
    if all(party.names and not party.count and not party.each for party in names):
        first, *others = names
        both = ", and ".join(f"that piece touches {other.land}" for other in others)
        yield f"for some piece of {first.land}: {both}"


def touching_many(slots: Slots) -> Iterator[str]:
    """`A touches at least 3 other zones`."""
    if (
        slots.strong != {"TOUCH"}
        or slots.denied
        or slots.has("MAY")
        or len(slots.bounds) != 1
        or len(slots.parties) != 2
    ):
        return
    (bound,), (first, second) = slots.bounds, slots.parties
    if bound.measure != "number" or bound.times or len(first.names) != 1 or second.names or not second.rest:
        return
    for limit in limits(slots, bound, first=("exactly",)):
        if not first.count and limit.tolerance is None:
            yield f"{first.text} touches {limit.text()} other zones"


def _apart(first: Party, second: Party) -> Iterator[str]:
    if not second.names:
        yield ", and ".join(f"nothing touches {one.land}" for one in first.singly())
    elif not (first.count or second.count):
        said = [
            f"no piece of {a.names[0]} touches {b.land}" if a.each else f"{a.land} does not touch {b.land}"
            for a in first.singly()
            for b in second.singly()
            if a.names != b.names
        ]
        yield ", and ".join(said)


def borders(slots: Slots) -> Iterator[str]:
    """`at least 3 in of A touches B`."""
    bound = amount_and_tolerance(slots)
    if bound is None or bound.measure != "length" or slots.strong - {"TOUCH", "EDGE", "LENGTH"} or slots.denied:
        return
    parties = [one for party in slots.parties for one in party.singly()]
    if (
        not slots.has("TOUCH")
        or len(parties) != 2
        or not bound.amount.number
        or not all(party.names for party in parties)
    ):
        return
    for limit in limits(slots, bound):
        yield f"the common border of {parties[0].land} and {parties[1].land} is {limit.text()}"


def nearer(slots: Slots) -> Iterator[str]:
    """`A is closer to B than to C`."""
    if slots.bounds or slots.strong != {"CMP"} or len(slots.parties) != 3 or slots.kinds["CMP"] != 1 or slots.denied:
        return
    way, _, flavour = slots.values["CMP"][0].partition(" ")
    if flavour != "gap" or not all(len(party.names) == 1 and not party.count for party in slots.parties):
        return
    first, second, third = slots.parties
    if way == "more":
        second, third = third, second
    yield f"{first.text} is nearer to {second.land} than to {third.land}"
    one, two = (f"the gap from {party.land} to {slots.parties[1].land}" for party in (first, slots.parties[2]))
    yield f"{one} is {'less' if way == 'less' else 'more'} than {two}"


GAPS = (
    Way(
        distances,
        words(
            "GAP APART AWAY FAR SEPARATE FROM BETWEEN WITHIN EACH_OTHER EDGE NEXT_ONE AROUND EMPTY NEAR CLOSE LEAST "
            "MOST LIMITED FALL CENTRE BUILDING NEAREST SIZE AMONG WIDTH AND PARCEL ABOUT COVER BOTH"
        ),
        words("AROUND FROM BETWEEN EMPTY"),
    ),
    Way(centre_gaps, words("CENTRE FROM BETWEEN GAP APART LEAST MOST WITHIN AND"), words("CENTRE FROM")),
    Way(touching, words("TOUCH EACH_OTHER AND OR BOTH NEITHER")),
    Way(joining, words("JOIN AND")),
    Way(touching_many, words("TOUCH")),
    Way(borders, words("TOUCH EDGE LENGTH LEAST MOST")),
    Way(nearer, words("CMP THAN FROM TO")),
)

"""Places on the parcel, zones inside and beyond others, and empty land."""

from __future__ import annotations

import re

from measure.rules.frames.clause import NEARER_THAN_IS, Clause
from measure.rules.frames.limits import limit_meant
from measure.rules.frames.things import UNCLEAR, Thing
from measure.rules.speech.words.meanings import Bound

Sentences = tuple[str, ...]


def place(clause: Clause) -> Sentences | None:
    """In a half or a corner of the parcel, at one of its edges, in its middle."""
    most = {"THING": 1, "REGION": 1, "EDGE": 1, "CENTRE": 1, "TOUCH": 1, "MOSTLY": 1}
    idle = ("IN", "ON", "AT", "TO", "WITHIN", "LIMITED", "INSIDE")
    where = [item for item in clause.items if item.kind in ("REGION", "EDGE", "CENTRE")]
    if not clause.holds_only(idle, most) or len(where) != 1 or clause.denials or clause.has("MAY"):
        return None
    thing = clause.things[0]
    if not thing.names or thing.count or thing.joint == "or" or not _is_placed(thing):
        return None
    if not _is_at_place(clause):
        return None
    kind, way = where[0].kind, where[0].chunk.value
    if kind == "REGION":
        verb = "is mostly in" if clause.has("MOSTLY") else "is in"
        return None if clause.has("TOUCH") else tuple(f"{each.text} {verb} the {way}" for each in thing.each())
    if clause.has("MOSTLY") or (clause.has("LIMITED", "INSIDE", "WITHIN", "IN") and kind == "EDGE"):
        return None
    if kind == "EDGE":
        on = clause.has("TOUCH", "ON", "AT")
        return tuple(f"{each.text} touches the {f'{way} ' if way else ''}edge" for each in thing.each()) if on else None
    if thing.quantifier or len(thing.names) > 1 or not clause.has("IN", "ON", "AT"):
        return None
    return (f"{thing.names[0]} is in the middle of the board",)


def _is_at_place(clause: Clause) -> bool:
    """Whether a preposition leads to the place, or there is no verb: `the north half must be park` fills it."""
    kinds = [item.kind for item in clause.items if item.kind not in ("A", "TOUCH")]
    at = next(index for index, kind in enumerate(kinds) if kind in ("REGION", "EDGE", "CENTRE"))
    led = bool(at) and kinds[at - 1] in ("IN", "ON", "AT", "TO", "WITHIN", "INSIDE", "LIMITED", "MOSTLY")
    return led or clause.has("TOUCH") or not clause.has("BE", "PUT", "HAVE", "MODAL")


def off_the_edge(clause: Clause) -> Sentences | None:
    """What must not touch an edge of the parcel."""
    most = {"THING": 1, "EDGE": 1, "TOUCH": 1, "NEG": 1, "MAY": 1}
    idle = ("ON", "AT", "TO")
    if not clause.holds_only(idle, most) or not clause.has("EDGE") or clause.denials != 1 or clause.bounds:
        return None
    thing = clause.things[0]
    if not clause.has("TOUCH", "ON", "AT") or not thing.names or thing.count or clause.order.startswith("EDGE"):
        return None
    if thing.quantifier not in ("", "no", "neither", "any", "a") or (thing.joint == "or") != (
        thing.quantifier == "neither"
    ):
        return None
    (way,) = clause.values("EDGE")
    return tuple(f"{name} does not touch the {f'{way} ' if way else ''}edge" for name in thing.names)


def run(clause: Clause) -> Sentences | None:
    """`the creek runs from the west edge to the east edge`: one piece touches both."""
    most = {"THING": 1, "EDGE": 2, "FROM": 1, "TO": 1}
    if not clause.holds_only((), most) or clause.order != "THING FROM EDGE TO EDGE" or clause.denials:
        return None
    thing, ways = clause.things[0], clause.values("EDGE")
    if len(thing.names) != 1 or thing.count or thing.quantifier or thing.plural or not all(ways) or clause.has("MAY"):
        return None
    verbs = " ".join((*clause.texts("PUT"), *clause.texts("BE")))
    if not re.search(r"\b(?:runs?|goes|go|stretch\w*|reach\w*|extends?|leads?)\b", verbs):
        return None
    both = ", and ".join(f"that piece touches the {way} edge" for way in ways)
    return (f"for some piece of {thing.names[0]}: {both}",)


def _is_placed(thing: Thing) -> bool:
    return thing.quantifier in ("", "every", "all") or (thing.quantifier == "both" and len(thing.names) > 1)


def beyond(clause: Clause) -> Sentences | None:
    """`A lies north of B`."""
    most = {"THING": 2, "BEYOND": 1}
    orders = ("THING BEYOND THING", "BEYOND THING THING")
    if not clause.holds_only((), most) or clause.order not in orders or clause.has("MAY"):
        return None
    first, second = clause.things if clause.order == orders[0] else clause.things[::-1]
    if clause.denials or not all(_is_plain(thing) for thing in (first, second)):
        return None
    way = clause.values("BEYOND")[0]
    return (f"{first.text} is {way} of {second.text}",) if way in ("north", "south", "east", "west") else None


def _is_plain(thing: Thing) -> bool:
    return len(thing.names) == 1 and not thing.count and thing.quantifier in ("", "every", "all")


def inside(clause: Clause) -> Sentences | None:
    """`put A inside B`: what stands first lies in what stands behind."""
    most = {"THING": 2, "INSIDE": 1, "IN": 1, "WITHIN": 1}
    if not clause.holds_only((), most) or clause.order not in _INSIDE or clause.has("MAY") or clause.denials:
        return None
    first, second = clause.things
    if not all(_is_plain(thing) for thing in (first, second)) or second.plural or second.quantifier:
        return None
    return (f"{first.text} is inside {second.text}",)


_INSIDE = ("THING INSIDE THING", "THING WITHIN THING")


def overlap(clause: Clause) -> Sentences | None:
    """What must not overlap."""
    most = {"THING": 2, "OVERLAP": 1, "NEG": 1, "EACH_OTHER": 1}
    if not clause.holds_only(("WITH",), most) or not clause.has("OVERLAP") or clause.denials != 1:
        return None
    things = clause.things
    if any(thing.count or thing.quantifier in ("every", "all", "both", *UNCLEAR) for thing in things):
        return None
    if clause.kinds["NEG"] and clause.index("NEG") > clause.index("OVERLAP"):
        return None
    if len(things) == 1 and len(things[0].names) == 2 and things[0].joint == "and" and not things[0].quantifier:
        return (f"{things[0].names[0]} does not overlap {things[0].names[1]}",)
    if not re.search(r"THING OVERLAP (?:WITH )?THING$", clause.order):
        return None
    if len(things) != 2 or clause.has("EACH_OTHER") or any(len(thing.names) != 1 for thing in things):
        return None
    if things[1].quantifier == "no":
        return None
    return (f"{things[0].names[0]} does not overlap {things[1].names[0]}",)


def nearer(clause: Clause) -> Sentences | None:
    """`A is closer to B than (to) C`."""
    most = {"THING": 3, "CMP": 1, "TO": 2, "FROM": 2, "THAN": 1}
    if not clause.holds_only((), most) or clause.order not in _NEARER or clause.has("MAY") or clause.denials:
        return None
    way, _, flavour = clause.values("CMP")[0].partition(" ")
    first, second, third = clause.things
    plain = all(_is_plain(thing) and not (thing.plural and at) for at, thing in enumerate(clause.things))
    if flavour != "gap" or not plain or second.quantifier or third.quantifier:
        return None
    near, far = (second, third) if way == "less" else (third, second)
    if (way == "less") != clause.has("TO"):
        return None
    return (f"{first.text} is nearer to {near.text} than to {far.text}",)


def nearer_than_it_is(clause: Clause) -> Sentences | None:
    """`A is closer to B than C is`."""
    most = {"THING": 3, "CMP": 1, "TO": 1, "THAN": 1}
    if not clause.holds_only((), most) or clause.order != NEARER_THAN_IS or clause.has("MAY") or clause.denials:
        return None
    first, second, third = clause.things
    if clause.items[-1].kind != "BE" or clause.values("CMP") != ("less gap",):
        return None
    if not all(len(thing.names) == 1 and not thing.count and not thing.quantifier for thing in clause.things):
        return None
    near, far = (f"the gap from {thing.text} to {second.text}" for thing in (first, third))
    return (f"{near} is less than {far}",)


_NEARER = ("THING CMP TO THING THAN TO THING", "THING CMP FROM THING THAN FROM THING")


def empty(clause: Clause) -> Sentences | None:
    """So much of the parcel is left empty."""
    most = {"AMOUNT": 1, "EMPTY": 1, "PARCEL": 1}
    idle = ("OF", "FOR", "AS", "COVER", "SIZE", "GAP", "ON", "TO")
    if not clause.holds_only(idle, most) or not clause.has("EMPTY") or len(clause.bounds) != 1 or clause.denials:
        return None
    bound = clause.bounds[0]
    part = bound.measure == "percent" or (bound.measure == "number" and (bound.upper or bound.amount).number < 1)
    if part != clause.has("PARCEL") or (not part and bound.measure != "area") or bound.times or bound.flavour:
        return None
    limit = limit_meant(clause, bound, least=True)
    if limit is None:
        return None
    if limit.assumed:
        return (f"leave {limit.amount}{' of the parcel' if part else ''} empty",)
    said = Bound(limit.relation, limit.amount, limit.upper).text()
    return (f"empty land covers {said}{' of the parcel' if part else ''}",)

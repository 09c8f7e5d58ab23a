"""Sizes: shares of the parcel, areas, heights and lengths, and what is larger than what."""

from __future__ import annotations

from dataclasses import replace

from measure.rules.frames.clause import Clause
from measure.rules.frames.limits import limit_meant
from measure.rules.frames.things import UNCLEAR, Thing
from measure.rules.speech.words.meanings import OPPOSITE, Bound

Sentences = tuple[str, ...]

_SIZE_IDLE = (
    "SIZE",
    "OWN_SIZE",
    "COVER",
    "BIG",
    "OF",
    "FOR",
    "TO",
    "ON",
    "WITH",
    "BY",
    "IN",
    "AT",
    "COLON",
    "LIMITED",
    "FALL",
)


def share(clause: Clause) -> Sentences | None:
    """A part of the parcel, or so much area, of a zone, of zones together, or of each piece."""
    most = {"THING": 1, "AMOUNT": 1, "PARCEL": 1, "TOGETHER": 1, "EACH_AFTER": 1, "NEG": 1, "MAY": 1, "SIDE_OF": 1}
    if not clause.holds_only(_SIZE_IDLE, most) or len(clause.bounds) != 1:
        return None
    bound = clause.bounds[0]
    if bound.times or bound.flavour not in ("", "size"):
        return None
    part = bound.measure == "percent" or (bound.measure == "number" and (bound.upper or bound.amount).number < 1)
    if part != clause.has("PARCEL") or (not part and bound.measure != "area"):
        return None
    limit = limit_meant(clause, bound)
    if limit is None:
        return None
    said = Bound(limit.relation, limit.amount, limit.upper).text() + (" of the parcel" if part else "")
    return _of_whom(clause, clause.things[0], said, part=part, upper=limit.relation in ("at most", "less than"))


def _of_whom(clause: Clause, thing: Thing, limit: str, *, part: bool, upper: bool) -> Sentences | None:
    each, together = clause.has("EACH_AFTER"), clause.has("TOGETHER")
    if (
        thing.count
        or thing.joint == "or"
        or (each and together)
        or thing.quantifier in ("some", "nearest", "other", "neither")
    ):
        return None
    if thing.quantifier == "both" and len(thing.names) == 1:
        return None
    if not thing.names:
        return _of_zones(thing, limit, together=together)
    if len(thing.names) > 1:
        return _of_list(thing, limit, each=each, together=together)
    name = thing.names[0]
    single = thing.quantifier in ("every", "no") or (thing.quantifier == "any" and upper) or each
    if thing.quantifier == "all":
        return (f"the area of {name} is {limit}",) if together else None
    if thing.quantifier == "any" and not single:
        return None
    if (
        single or (thing.quantifier == "a" and not part and thing.plural is False and name.endswith("s"))
    ) and not together:
        return (f"the area of every piece of {name} is {limit}",)
    if single or (thing.quantifier == "a" and part):
        return None
    if thing.plural and not (part or together or clause.has("COVER")):
        return None
    return (f"the area of {name} is {limit}",)


def _of_zones(thing: Thing, limit: str, *, together: bool) -> Sentences | None:
    if together:
        return (f"the area of all zones together is {limit}",) if thing.quantifier == "every" else None
    return (f"the area of every zone is {limit}",) if thing.quantifier in ("every", "no") else None


def _of_list(thing: Thing, limit: str, *, each: bool, together: bool) -> Sentences | None:
    if together and thing.quantifier in ("", "all", "both"):
        return (f"the area of {', '.join(thing.names[:-1])} and {thing.names[-1]} together is {limit}",)
    if (each or thing.quantifier in ("both", "every")) and not thing.plural:
        return tuple(f"the area of {name} is {limit}" for name in thing.names)
    return None


_MEASURED = {"size": "area", "height": "height", "length": "length", "width": "width"}
_AS_RELATION = {"more": "more than", "less": "less than"}


def compared(clause: Clause) -> Sentences | None:
    """`A is bigger than B`: what stands first is what is said to be more."""
    most = {"THING": 2, "CMP": 1, "THAN": 1, "NEG": 1, "AMOUNT": 1, "SIZE": 1}
    if (
        not clause.holds_only(("OWN_SIZE", "TOGETHER"), most)
        or clause.order not in _COMPARED
        or len(clause.things) != 2
    ):
        return None
    way, _, flavour = clause.values("CMP")[0].partition(" ")
    flavour = flavour or ("size" if clause.has("SIZE") else "")
    first, second = clause.things
    if (
        flavour not in _MEASURED
        or not all(_comparable(thing) for thing in (first, second))
        or second.quantifier == "no"
    ):
        return None
    if clause.has("NEG") and clause.index("NEG") > clause.index("CMP"):
        return None
    relation = _AS_RELATION[way]
    relation = OPPOSITE[relation] if clause.denials else relation
    what = _MEASURED[flavour]
    if clause.has("MAY") or (what != "area" and (first.one_by_one or second.one_by_one)):
        return None
    other = replace(second, quantifier="every") if second.quantifier == "any" else second
    said = f"is {_BIGGER[relation]} than" if what == "area" else f"is {relation} the {what} of"
    of = "" if what == "area" else f"the {what} of "
    return tuple(f"{of}{a.text} {said} {b.text}" for a in first.each() for b in other.each())


_BIGGER = {"more than": "bigger", "less than": "smaller", "at most": "no bigger", "at least": "no smaller"}


def _with_sum(clause: Clause, first: Thing, second: Thing, flavour: str, way: str) -> Sentences | None:
    """`A is bigger than B and C put together`: what the sum stands beside."""
    summed, single = (second, first) if len(second.names) > 1 else (first, second)
    beside = clause.items[-1].kind == "TOGETHER" if summed is second else clause.order.startswith("THING TOGETHER")
    plain = not (clause.denials or clause.has("MAY") or flavour != "size" or single.quantifier or single.plural)
    if not beside or not plain or len(single.names) != 1 or single.count or summed.joint == "or":
        return None
    if summed.quantifier not in ("", "all", "both") or (len(summed.names) == 1 and not summed.plural):
        return None
    names = (
        f"{', '.join(summed.names[:-1])} and {summed.names[-1]} together" if len(summed.names) > 1 else summed.names[0]
    )
    of = (single.names[0], names) if summed is second else (names, single.names[0])
    return (f"the area of {of[0]} is {_AS_RELATION[way]} the area of {of[1]}",)


_COMPARED = (
    "THING CMP THAN THING TOGETHER",
    "THING TOGETHER CMP THAN THING",
    "THING CMP SIZE THAN THING TOGETHER",
    "THING TOGETHER CMP SIZE THAN THING",
    "THING CMP THAN THING SIZE",
    "THING CMP THAN THING",
    "THING SIZE CMP THAN THING",
    "THING CMP SIZE THAN THING",
)


def _comparable(thing: Thing) -> bool:
    """One zone by its name, or every piece of one."""
    if thing.count or thing.joint == "or" or thing.quantifier in ("a", *UNCLEAR):
        return False
    listed = len(thing.names) > 1
    if listed != (thing.quantifier == "both"):
        return False
    return bool(thing.names) and (thing.one_by_one or not thing.plural)


def proportion(clause: Clause) -> Sentences | None:
    """`A is at least twice the size of B`, `A takes up no more than half as much room as B`."""
    most = {
        "THING": 2,
        "AMOUNT": 1,
        "AS": 2,
        "BIG": 1,
        "SIDE_OF": 1,
        "SIZE": 1,
        "COVER": 1,
        "TO": 1,
        "OF": 1,
        "LIMITED": 1,
    }
    if not clause.holds_only((), most) or clause.order not in _PROPORTIONS or len(clause.things) != 2:
        return None
    bound = clause.bounds[0] if len(clause.bounds) == 1 else None
    if (
        bound is None
        or not (bound.times or bound.measure in ("percent", "number"))
        or bound.flavour not in ("", "size")
    ):
        return None
    if not bound.times and bound.measure == "number" and (bound.upper or bound.amount).number >= 1:
        return None
    limit = limit_meant(clause, bound)
    first, second = clause.things
    bare_times = clause.order in _OF_TIMES
    if bare_times and not (bound.times and (clause.has("SIZE", "OWN_SIZE"))):
        return None
    if limit is None or not all(_comparable(thing) and len(thing.names) == 1 for thing in (first, second)):
        return None
    if "no" in (first.quantifier, second.quantifier) or second.quantifier == "all":
        return None
    return (f"the area of {first.text} is {_times(limit)} the area of {second.text}",)


def _times(limit: Bound) -> str:
    """`at least 2 x`, `between 1 and 2 x`, `at most 20 % of`."""
    said = Bound(limit.relation, limit.amount, limit.upper).text()
    return f"{said} of" if limit.measure == "percent" else f"{said} x"


_OF_TIMES = ("THING AMOUNT THING", "THING AMOUNT THING SIZE")
_PROPORTIONS = (
    *_OF_TIMES,
    "THING AMOUNT AS BIG AS THING",
    "THING AMOUNT SIDE_OF THING",
    "THING TO AMOUNT SIDE_OF THING",
    "THING LIMITED AMOUNT SIDE_OF THING",
    "THING COVER AMOUNT SIDE_OF THING",
    "THING COVER AMOUNT OF SIDE_OF THING",
    "THING AMOUNT OF SIDE_OF THING",
    "THING COVER AMOUNT AS SIZE AS THING",
    "THING AMOUNT AS SIZE AS THING",
    "THING AMOUNT SIZE OF THING",
    "THING COVER AMOUNT SIZE OF THING",
)


def extreme(clause: Clause) -> Sentences | None:
    """`A is the largest zone`."""
    most = {"THING": 1, "SUPER": 1, "KIND": 1}
    if not clause.holds_only((), most) or clause.order not in ("THING SUPER", "THING SUPER KIND", "KIND THING SUPER"):
        return None
    way, _, flavour = clause.values("SUPER")[0].partition(" ")
    thing = clause.things[0]
    if flavour != "size" or len(thing.names) != 1 or thing.quantifier or thing.plural or clause.has("MAY", "NEG"):
        return None
    return (f"{thing.names[0]} is the {'largest' if way == 'more' else 'smallest'} zone",)


_LENGTHS = {"PERIM": "perimeter", "LENGTH": "length", "WIDTH": "width"}
_SIDES_IDLE = ("OF", "WITH", "FALL", "LIMITED", "BUILDING", "RISE", "COVER", "TO", "COLON", "IN", "AT")


def dimension(clause: Clause) -> Sentences | None:
    """So long, so wide, so tall."""
    most = {
        "THING": 1,
        "AMOUNT": 1,
        "NEG": 1,
        "MAY": 1,
        "HEIGHT": 1,
        "LENGTH": 1,
        "WIDTH": 1,
        "PERIM": 1,
        "EACH_AFTER": 1,
    }
    if not clause.holds_only(_SIDES_IDLE, most) or len(clause.bounds) != 1:
        return None
    bound = clause.bounds[0]
    named = [kind for kind in ("HEIGHT", *_LENGTHS) if clause.has(kind)]
    if bound.measure != "length" or bound.times or len(named) > 1:
        return None
    thing = clause.things[0]
    limit = limit_meant(clause, bound)
    if limit is None or len(thing.names) != 1 or thing.count or thing.quantifier in ("both", *UNCLEAR):
        return None
    tall = "HEIGHT" in named or bound.flavour == "height" or (clause.has("RISE") and not named)
    said = Bound(limit.relation, limit.amount, limit.upper).text()
    if tall:
        return _height(clause, thing, said, upper=limit.relation in ("at most", "less than"))
    what = _LENGTHS[named[0]] if named else bound.flavour
    if what not in _LENGTHS.values() or clause.has("BUILDING", "RISE", "IN") or bound.flavour not in ("", what):
        return None
    return (
        (f"the {what} of every piece of {thing.names[0]} is {said}",)
        if what != "perimeter"
        else (f"the perimeter of {thing.text} is {said}",)
    )


def _height(clause: Clause, thing: Thing, limit: str, *, upper: bool) -> Sentences | None:
    single = thing.one_by_one or clause.has("EACH_AFTER") or (clause.has("BUILDING") and clause.has("EVERY", "ANY"))
    if upper or single:
        return (f"every structure in {thing.names[0]} is {limit} tall",)
    return None if thing.plural or clause.has("BUILDING") else (f"{thing.names[0]} is {limit} tall",)

"""Gaps and touching: relations that are the same from both sides, so that the order of words says nothing."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations, pairwise

from measure.rules.frames.clause import Clause
from measure.rules.frames.limits import limit_meant
from measure.rules.frames.things import UNCLEAR, Thing
from measure.rules.speech.words.meanings import Bound

Sentences = tuple[str, ...]

_GAP_WORDS = ("GAP", "APART", "AWAY", "FAR", "SEPARATE", "FROM")
_GAP_IDLE = ("GAP", "TO", "OF", "BY", "AT", "WITH", "FOR", "ON", "IN", "LIMITED", "FALL", "COLON")
_FREE = re.compile(r"\b(?:keep|leave|maintain|stay|kept|left|stays|remain)\b")


def gap(clause: Clause) -> Sentences | None:
    """So much distance between two things, or between the pieces of one."""
    most = {
        "THING": 2,
        "AMOUNT": 1,
        "NEG": 1,
        "MAY": 1,
        "APART": 1,
        "AWAY": 1,
        "FAR": 1,
        "SEPARATE": 1,
        "FROM": 2,
        "BETWEEN": 1,
        "WITHIN": 1,
        "EACH_OTHER": 1,
        "EDGE": 1,
        "NEXT_ONE": 1,
        "AROUND": 1,
        "SOME": 1,
        "SIZE": 1,
    }
    bounds = clause.bounds
    if not clause.holds_only(_GAP_IDLE, most) or len(bounds) != 1 or bounds[0].measure != "length" or bounds[0].times:
        return None
    bound = _gap_bound(clause, bounds[0])
    return None if bound is None else _between(clause, bound)


def _gap_bound(clause: Clause, bound: Bound) -> Bound | None:
    if bound.flavour not in ("", "gap"):
        return None
    if clause.has("WITHIN"):
        within = clause.index("WITHIN")
        if bound.relation != "bare" or clause.has("GAP", "APART", "AWAY", "FROM", "SEPARATE", "BETWEEN"):
            return None
        if within + 1 == len(clause.items) or clause.items[within + 1].kind != "AMOUNT":
            return None
        if clause.denials:
            before = [item for item in clause.items[:within] if item.kind == "NEG" or _is_none(item.thing)]
            return _made(bound, "more than") if before else None
        return None if clause.has("MAY") else _made(bound, "at most")
    room = any(text in ("space", "spaces", "room") for text in clause.texts("SIZE"))
    if clause.has("SIZE") and not room:
        return None
    if not clause.has(*_GAP_WORDS) and bound.flavour != "gap" and not (room and clause.has("BETWEEN")):
        return None
    if clause.has("AROUND"):
        return limit_meant(clause, bound, least=True)
    free = bool(_FREE.search(" ".join((*clause.texts("PUT"), *clause.texts("BE"))))) or clause.has("SEPARATE")
    return limit_meant(clause, bound, least=free)


def _is_none(thing: Thing | None) -> bool:
    return thing is not None and thing.quantifier == "no"


def _made(bound: Bound, relation: str) -> Bound:
    return Bound(relation, bound.amount, bound.upper)


def _between(clause: Clause, bound: Bound) -> Sentences | None:
    """The sentences for all pairs of things that the clause speaks of."""
    limit = _said(bound)
    far = bound.relation in ("at least", "more than")
    things = clause.things
    if clause.has("FAR") and not far:
        return None
    if clause.has("AROUND"):
        return _around(clause, things, limit, far=far)
    if any(thing.quantifier == "neither" for thing in things):
        return None
    if clause.has("NEXT_ONE"):
        return _to_the_next(clause, things, limit, far=far)
    if any(thing.count or (thing.quantifier in ("some", "both") and len(thing.names) < 2) for thing in things):
        return None
    if clause.has("EDGE"):
        return _from_edge(clause, things, limit)
    if len(things) == 1:
        return _among(clause, things[0], limit, far=far)
    if any(len(thing.names) > 1 and (thing.quantifier == "a" or _is_open(clause, thing)) for thing in things):
        return None
    first, second = things if far else (_each_of(things[0]), things[1])
    if clause.has("EACH_OTHER", "BETWEEN", "APART") or not all(_is_clear(thing, far=far) for thing in things):
        return None
    if not far and second.made_plural and not second.one_by_one:
        return None
    return tuple(said for a in _each(first) for b in _each(second) for said in _of_two(a, b, limit, far=far)) or None


def _said(bound: Bound) -> str:
    """The limit; an assumed one with its amount alone, for the grammars to say what they assume."""
    return Bound("" if bound.assumed else bound.relation, bound.amount, bound.upper).text()


def _distance(a: str, b: str, limit: str) -> str:
    """`the distance from A to B is at least 3 in`; of an amount alone, `keep A 3 in away from B`."""
    alone = limit[:1].isdigit()
    return f"keep {a} {limit} away from {b}" if alone else f"the distance from {a} to {b} is {limit}"


def _each(thing: Thing) -> tuple[Thing, ...]:
    return thing.each() if thing.names else (thing,)


def _is_open(clause: Clause, thing: Thing) -> bool:
    """`5 in from the lake or the park`: from both, unless it is forbidden to come nearer, can be from one of them."""
    return thing.joint == "or" and not clause.denials


def _each_of(thing: Thing) -> Thing:
    """Each of them, where the plural of one zone's name is said."""
    return replace(thing, quantifier="every") if thing.made_plural and not thing.quantifier else thing


def _is_clear(thing: Thing, *, far: bool) -> bool:
    """Whether it is known of which of them it holds: far from any is far from all, near to any is near to some."""
    if thing.quantifier in ("any", "a", "nearest") or thing.joint == "or":
        return far or (thing.quantifier in ("nearest", "a") and thing.joint != "or")
    return thing.quantifier not in ("other", "some")


def _of_two(a: Thing, b: Thing, limit: str, *, far: bool) -> Iterator[str]:
    if a.names == b.names:
        return
    yield _distance(a.text, b.text, limit)


def _among(clause: Clause, thing: Thing, limit: str, *, far: bool) -> Sentences | None:
    """`A, B and C at least 3 in apart`, `homes 3 in from each other`."""
    pairing = clause.has("APART", "SEPARATE", "BETWEEN", "EACH_OTHER")
    if not pairing or not far or thing.joint == "or":
        return None
    if len(thing.names) > 1:
        plain = thing.quantifier in ("", "both", "all", "a")
        return tuple(_distance(a, b, limit) for a, b in combinations(thing.names, 2)) if plain else None
    if thing.names and (thing.plural or thing.quantifier in ("no", "any")) and thing.quantifier != "every":
        return (_distance(f"every piece of {thing.names[0]}", f"every other piece of {thing.names[0]}", limit),)
    if not thing.names and thing.quantifier in ("every", "no"):
        return (_distance("every zone", "every other zone", limit),)
    return None


def _around(clause: Clause, things: tuple[Thing, ...], limit: str, *, far: bool) -> Sentences | None:
    """`a buffer of 3 in around the plant`: from every other zone."""
    beside = clause.has("NEXT_ONE", "BETWEEN", "APART", "EDGE", "EACH_OTHER", "FROM", "WITHIN") or clause.denials
    if len(things) != 1 or not far or beside or things[0].joint == "or" or not things[0].names:
        return None
    if things[0].quantifier not in ("", "every", "all", "any", "both", "a"):
        return None
    return tuple(_distance(thing.text, "every other zone", limit) for thing in _each(things[0]))


def _to_the_next(clause: Clause, things: tuple[Thing, ...], limit: str, *, far: bool) -> Sentences | None:
    """`between one cottage and the next`."""
    if len(things) != 1 or not far or not clause.has("BETWEEN") or len(things[0].names) != 1 or clause.has("EDGE"):
        return None
    (thing,) = things
    one = thing.count is None or (thing.count.relation == "bare" and thing.count.amount.number == 1)
    if not one or thing.quantifier not in ("", "a", "every", "any") or (thing.count is None and not thing.quantifier):
        return None
    name = thing.names[0]
    return (_distance(f"every piece of {name}", f"every other piece of {name}", limit),)


def _from_edge(clause: Clause, things: tuple[Thing, ...], limit: str) -> Sentences | None:
    if len(things) != 1 or clause.has("EACH_OTHER", "APART", "BETWEEN") or not _is_clear(things[0], far=True):
        return None
    if things[0].joint == "or":
        return None
    (way,) = clause.values("EDGE")
    edge = f"the {way} edge" if way else "the edge"
    return tuple(_distance(thing.text, edge, limit) for thing in _each(things[0]))


def touch(clause: Clause) -> Sentences | None:
    """Two things that touch, or must not."""
    most = {"THING": 2, "TOUCH": 1, "NEG": 1, "EACH_OTHER": 1}
    if not clause.holds_only(("TO", "WITH", "ON"), most) or not clause.has("TOUCH") or clause.bounds:
        return None
    if len(clause.things) > 1 and not _joins(clause):
        return None
    if any(thing.joint == "or" and not clause.denials for thing in clause.things):
        return None
    kinds = [item.kind for item in clause.items]
    infinitive = any(pair == ("TO", "TOUCH") for pair in pairwise(kinds))
    if infinitive and not clause.has("PUT", "HAVE", "MODAL"):
        return None
    return _denied_touch(clause) if clause.denials else _wanted_touch(clause)


def _joins(clause: Clause) -> bool:
    """Whether the verb stands right between two things; not `the park and the lake touch, the school as well`."""
    order = " ".join(item.kind for item in clause.items if item.kind not in ("BE", "A", "MODAL", "MAY", "NEG"))
    return re.search(r"THING(?: COMMA)? (?:(?:PUT|HAVE|TO) )*TOUCH (?:(?:TO|WITH|ON) )?THING$", order) is not None


def _denied_touch(clause: Clause) -> Sentences | None:
    things = clause.things
    verb = clause.index("TOUCH")
    if things[0].quantifier == "neither":
        plain = len(things) == 2 and len(things[0].names) == 2 and things[1].names and things[1].quantifier in ("", "a")
        if not plain or clause.has("EACH_OTHER") or things[1].joint == "and":
            return None
        return tuple(f"{a} does not touch {b}" for a in things[0].names for b in things[1].names)
    if any(
        thing.quantifier in ("every", "all", "both", "some", "nearest", "other", "neither") or thing.count
        for thing in things
    ):
        return None
    if clause.kinds["NEG"] and clause.index("NEG") > verb:
        return None
    if len(things) == 2 and not clause.has("EACH_OTHER"):
        first, second = things
        if _is_none(second) or (_is_none(first) and second.joint == "and"):
            return None
        who = [
            f"no piece of {a.names[0]} touches" if _is_none(first) and a.names else f"{a.text} does not touch"
            for a in _each(first)
        ]
        if not first.names:
            who = ["nothing touches"] if _is_none(first) else [f"{first.text} does not touch"]
        return tuple(f"{said} {_plainly(b)}" for said in who for b in _each(second) if b.names) or None
    return _apart(things[0]) if len(things) == 1 else None


def _plainly(thing: Thing) -> str:
    return thing.names[0]


def _apart(thing: Thing) -> Sentences | None:
    if len(thing.names) > 1 and thing.joint == "and":
        return (
            tuple(f"{a} does not touch {b}" for a, b in combinations(thing.names, 2)) if len(thing.names) == 2 else None
        )
    if len(thing.names) == 1 and thing.plural:
        return (f"no piece of {thing.names[0]} touches another piece of {thing.names[0]}",)
    return None


def _wanted_touch(clause: Clause) -> Sentences | None:
    things = clause.things
    if clause.has("MAY") or any(thing.quantifier in ("any", *UNCLEAR) for thing in things):
        return None
    if any(not thing.names for thing in things):
        return None
    if len(things) == 1:
        (thing,) = things
        pair = (
            len(thing.names) == 2 and thing.joint == "and" and thing.quantifier in ("", "both", "a") and not thing.count
        )
        return (f"{thing.names[0]} touches {thing.names[1]}",) if pair else None
    first, second = _each_of(things[0]), things[1]
    if clause.has("EACH_OTHER") or second.count or first.names == second.names:
        return None
    if second.made_plural and not second.one_by_one:
        return None
    if any((thing.quantifier == "both") > (len(thing.names) > 1) for thing in things):
        return None
    if first.quantifier == "a" and len(first.names) > 1:
        return None  # `a lake and a park next to the school`: both, or the last one
    if first.count:
        counted = first.count.relation != "bare" and len(first.names) == 1 and len(second.names) == 1
        if not counted or second.one_by_one:
            return None
        return (f"{first.count.text()} pieces of {first.names[0]} touch {second.text}",)
    return tuple(f"{a.text} touches {b.text}" for a in _each(first) for b in _each(second))

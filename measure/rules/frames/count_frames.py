"""How many there are of each zone."""

from __future__ import annotations

import re

from measure.rules.frames.clause import Clause
from measure.rules.frames.limits import limit_meant
from measure.rules.frames.things import Thing
from measure.rules.speech.words.meanings import Bound

Sentences = tuple[str, ...]


def counts(clause: Clause) -> Sentences | None:
    """`six cabins or more, one lodge and a bakery`: every zone with its number."""
    idle = ("AND", "COLON", "TOGETHER")
    if not clause.holds_only(idle, {"THING": 9, "MAY": 1}) or clause.bounds or clause.denials or clause.has("OR"):
        return None
    things = [each for thing in clause.things for each in (thing.each() if thing.names else (thing,))]
    if not _ORDER.fullmatch(clause.order):
        return None
    verbs = [at for at, item in enumerate(clause.items) if item.kind in ("HAVE", "PUT", "BE", "MODAL", "MAY")]
    first = next(at for at, item in enumerate(clause.items) if item.thing is not None)
    if any(at > first for at in verbs) or not (verbs or all(thing.count for thing in things)):
        return None
    room = any(re.search(r"\b(?:room|space)\b", text) for text in clause.texts("HAVE"))
    if room and any(thing.count is None or thing.count.relation == "bare" for thing in things):
        return None  # so many fit, or so many have to be there
    said = [_counted(thing, may=clause.has("MAY")) for thing in things]
    return tuple(text for text in said if text) if all(said) else None


_ORDER = re.compile(r"(?:COLON )?THING(?: (?:AND |COLON )?THING)*(?: TOGETHER)?")


def _counted(thing: Thing, *, may: bool) -> str:
    if len(thing.names) != 1 or thing.quantifier not in ("", "a"):
        return ""
    name = thing.names[0]
    if thing.count is None:
        return (
            f"there is a {name}"
            if not thing.plural and not may and (thing.quantifier or not name.endswith("s"))
            else ""
        )
    relation = thing.count.relation
    if may and relation not in ("at most", "less than", "between"):
        return ""
    limit = Bound(relation, thing.count.amount, thing.count.upper).text()
    return f"there are {limit.replace('less than', 'fewer than')} pieces of {name}"


def number(clause: Clause) -> Sentences | None:
    """`the number of homes is at least 4`."""
    idle = ("OF", "TO", "FROM", "TOGETHER", "LIMITED", "FALL", "COVER", "BETWEEN", "COLON", "FOR")
    most = {"THING": 1, "AMOUNT": 1, "NUMBER": 1, "NEG": 1, "MAY": 1}
    if not clause.holds_only(idle, most) or not clause.has("NUMBER", "LIMITED", "COLON") or len(clause.bounds) != 1:
        return None
    bound, thing = clause.bounds[0], clause.things[0]
    if bound.measure != "number" or bound.times or len(thing.names) != 1 or thing.quantifier or thing.count:
        return None
    limit = limit_meant(clause, bound)
    if limit is None or limit.amount.number.denominator != 1:
        return None
    said = Bound(limit.relation, limit.amount, limit.upper).text().replace("less than", "fewer than")
    return (f"there are {said} pieces of {thing.names[0]}",)

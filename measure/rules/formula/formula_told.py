"""What was found of one part of a formula, and what it must be, as a class reads it.

The part's things have the names that are said (`the homes`, `piece 2 of the orchard`): nothing is bound in it any more.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from measure.numbers import NumberStyle
from measure.rules.amounts import OPPOSITE, Amount, Limit
from measure.rules.formula.formula_data import (
    Amid,
    Compare,
    Compass,
    Connected,
    Covers,
    HasShape,
    InRegion,
    Inside,
    Overlap,
    Quantified,
    Separates,
    Touch,
)
from measure.rules.formula.formula_terms import Constant, LandSize, Size, Sum, Times
from measure.rules.formula.formula_things import AllZones, Formula, Node, Term, Thing, Zones
from measure.rules.formula.formula_words import term_words
from measure.rules.formula.thing_words import place, several, thing, with_article
from measure.rules.told import Noun, amount_said, ends_said, limit_said
from measure.rules.zone_groups import Group
from measure.voice import End, Known, ShareForm, share_said, value_said

Asks = Literal["this", "one part", "one of them", "nothing", "nothing more"]
"""What a rule asks of a part: that it is so; that it, or another part, is; that it is so for one of several things;
nothing, as it is a condition's test; nothing more, where nothing else is asked if the test is not so.
"""
_ENOUGH: dict[Asks, str] = {"one part": "one part of the rule is enough", "one of them": "one of them is enough"}


@dataclass(frozen=True)
class PartFound:
    """What a plat shows of a part: the number in its unit; whether it holds, and should.

    limits are the numbers that it is compared with, in the same unit; parcel is the parcel's area in it.
    """

    number: Known
    unit: str
    holds: bool
    want: bool
    limits: tuple[Known, ...] = ()
    parcel: float = 0.0
    asks: Asks = "this"


@dataclass(frozen=True)
class Voice:
    """The class's form of numbers, and that of the rule's shares."""

    numbers: NumberStyle
    share: ShareForm


def told_part(part: Formula, found: PartFound, voice: Voice) -> tuple[str, ...]:
    """Sentences without capital letters and full stops; none for what has no words of its own."""
    if isinstance(part, Compare):
        said = _comparison(part, found, voice)
    elif isinstance(part, Quantified) and isinstance(part.how, Limit):
        limit = limit_said(part.how, voice.numbers, voice.share)
        many: Literal["one", "many"] = "one" if found.number.value == 1 else "many"
        count = f"{found.number.value:.0f}" if found.number.value else "no"
        said = (f"this is so for {count} {several(part.over, many)}", f"it must be so for {limit}")
    else:
        said = _of_place(part, found, voice)
    if found.asks in ("nothing", "nothing more"):
        return (*said[:1], *(["so nothing more is asked"] if found.asks == "nothing more" and not found.want else []))
    if found.asks in _ENOUGH and found.want and said:
        return (*said[: 1 if found.holds else None], _ENOUGH[found.asks])
    return said


# ---- comparisons


def _comparison(part: Compare, found: PartFound, voice: Voice) -> tuple[str, ...]:
    value, limit, besides = _against(part, found, voice)
    is_area = isinstance(part.left, Size) and part.left.name == "area"
    if is_area and isinstance(part.left, Size):
        who = noun_of(part.left.of)
        return (f"{who} {who.verb('cover')} {value}", f"{who.they} must cover {limit}", *besides)
    return (f"{_term(part.left, voice)} is {value}", f"it must be {limit}", *besides)


def _against(part: Compare, found: PartFound, voice: Voice) -> tuple[str, str, tuple[str, ...]]:
    """The value, the limit, and what that is here where it is measured, too."""
    relation, turned = part.relation, ""
    if not found.want:
        relation = OPPOSITE.get(relation, relation)
        turned = "" if relation != part.relation else "anything but "
    constants = [end.amount for end in (part.right, part.upper) if isinstance(end, Constant)]
    if len(constants) == len(found.limits):
        limit = Limit(relation, constants[0], constants[1] if len(constants) > 1 else None, part.within)
        ends = ends_said(limit, voice.numbers, voice.share)
        return _said(found, constants[0], voice, ends), turned + limit_said(limit, voice.numbers, voice.share), ()
    parts = [_share(end) for end in (part.right, part.upper) if end is not None]
    shares = [share for share in parts if share is not None]
    if len(shares) == len(parts) and found.parcel > 0 and part.within is None:
        return _share_of_parcel(found, relation, turned, shares, voice)
    words = " and ".join(_term(end, voice) for end in (part.right, part.upper) if end is not None)
    within = "" if part.within is None else f", give or take {amount_said(part.within, voice.numbers, 'per cent')}"
    here = " and ".join(value_said(limit, found.unit, voice.numbers) for limit in found.limits)
    ends = tuple(End(limit.value, value_said(limit, found.unit, voice.numbers)) for limit in found.limits)
    value = value_said(found.number, found.unit, voice.numbers, ends)
    return value, f"{turned}{relation} {words}{within}", (f"that is {here}",)


def _said(found: PartFound, limit: Amount, voice: Voice, ends: Sequence[End]) -> str:
    if limit.measure == "percent":
        return share_said(found.number, voice.share, ends)
    return value_said(found.number, found.unit, voice.numbers, ends)


def _share_of_parcel(
    found: PartFound, relation: str, turned: str, shares: Sequence[Fraction], voice: Voice
) -> tuple[str, str, tuple[str, ...]]:
    said = [amount_said(Amount(100 * share, "percent"), voice.numbers, voice.share) for share in shares]
    ends = tuple(End(float(share), text) for share, text in zip(shares, said, strict=True))
    of_parcel = Known(found.number.value / found.parcel, found.number.u95 / found.parcel)
    value = share_said(of_parcel, voice.share, ends)
    return f"{value} of the parcel", f"{turned}{relation} {' and '.join(said)}", ()


def _share(end: Term) -> Fraction | None:
    """Which part of the parcel a term is."""
    match end:
        case Times(factor, LandSize("parcel")):
            return factor
        case LandSize("parcel"):
            return Fraction(1)
    return None


def _term(term: Term, voice: Voice) -> str:
    match term:
        case Times(factor, of):
            factor_said = amount_said(Amount(factor), voice.numbers, voice.share)
            return f"{factor_said} {'of' if factor < 1 else 'times'} {_term(of, voice)}"
        case Sum(first, second, minus) if not isinstance(second, Sum):
            return f"{_term(first, voice)} {'minus' if minus else 'plus'} {_term(second, voice)}"
    return term_words(term)


# ---- places


def _of_place(part: Formula, found: PartFound, voice: Voice) -> tuple[str, ...]:
    words = _verb_and_object(part)
    if words is None:
        return ()
    who, verb, ending, what = words
    is_so = who.are if verb == "be" else who.verb(verb, ending)
    not_so = f"{who.are} not" if verb == "be" else f"{who.verb('do', 'es')} not {verb}"
    must = f"{who.they} must {'' if found.want else 'not '}{verb} {what}"
    return f"{who} {is_so if found.holds else not_so} {what}{_how_far(part, found, voice)}", must


def _how_far(part: Formula, found: PartFound, voice: Voice) -> str:
    """How much is lacking, where that is a length on the land."""
    far = value_said(found.number, found.unit, voice.numbers)
    if found.holds or not found.want or not found.number.value or far.startswith(("0", "almost")):
        return ""
    match part:
        case Touch(_, Thing()):
            return f": the gap is {far}, tape to tape"
        case Touch():
            return f": the gap is {far}"
        case Inside() | Compass() | InRegion(_, _, "in"):
            return f": {far} too far"
    return ""


def _verb_and_object(part: Formula) -> tuple[Noun, str, str, str] | None:
    """Who, the verb and the ending that it has for one thing, and what follows it."""
    match part:
        case Touch(of, to):
            return noun_of(of), "touch", "es", place(to)
        case Overlap(of, other):
            return noun_of(of), "overlap", "s", thing(other)
        case Covers(of, at):
            return noun_of(of), "cover", "s", place(at)
        case Separates(of, first, second):
            return noun_of(of), "separate", "s", f"{thing(first)} from {thing(second)}"
    who, where = _being(part)
    return None if who is None else (noun_of(who), "be", "", where)


def _being(part: Node) -> tuple[Thing | None, str]:
    match part:
        case Inside(of, host):
            return of, f"inside {thing(host)}"
        case InRegion(of, region, how):
            return of, f"{how} {place(region)}"
        case Compass(of, way, other):
            return of, f"{way} of {thing(other)}"
        case Amid(of, first, second):
            return of, f"between {thing(first)} and {thing(second)}"
        case HasShape(of, shape):
            return of, with_article(shape)
        case Connected(of):
            return of, "connected"
    return None, ""


def noun_of(of: Thing) -> Noun:
    """Who a sentence is about; a thing of one name is a zone, or one piece (`piece 2 of the homes`)."""
    match of:
        case AllZones():
            return Noun(thing(of), plural=True)
        case Zones((name,)):
            return Noun(name, plural=not name.startswith("piece ") and Group((name,)).plural)
        case Zones():
            return Noun(thing(of), plural=True)
    return Noun(thing(of), plural=False)

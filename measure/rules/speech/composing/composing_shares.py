"""Ratios, averages and like sizes: actions of grammar.txt."""
# ruff: noqa: D103  (a function is the action of the production that names it in grammar.txt)

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from itertools import pairwise

from measure.rules.amounts import Amount
from measure.rules.speech.composing.composing import Found, stated
from measure.rules.speech.composing.composing_bounds import (
    limit,
    names_of,
    one_zone,
    relation_of,
    times_limit,
    together,
    tolerated,
)
from measure.rules.speech.composing.composing_free import at_least_assumed
from measure.rules.speech.composing.composing_orders import size_of_said
from measure.rules.speech.composing.composing_sizes import (
    as_times,
    has_most_land,
    is_as_within,
    is_part_of_size,
    is_share,
)
from measure.rules.speech.predicates.gaps_said import Apart
from measure.rules.speech.predicates.places_said import Predicate
from measure.rules.speech.predicates.sizes_said import Bounded, Ratio
from measure.rules.speech.words.lexicon import Named, Times
from measure.rules.speech.words.meanings import ONE, Bound, Bounds, Said, Sentences, Whom

_MEASURE = {"area": "area", "perimeter": "length", "length": "length", "width": "length"}

# ---- one area for another


def area_per_area(base: Amount, per: Named, bounds: Bounds, zone: Named) -> Found:
    """`for every 10 sq in of homes there must be at least 3 sq in of park`."""
    bound = at_least_assumed(bounds)[0]
    areas = base.measure == bound.amount.measure == "area" and base.number > 0
    if len(bounds) > 1 or bound.upper or not areas or per.name == zone.name:
        return None
    part = Amount(bound.amount.in_unit_of(base).number / base.number)
    return Ratio((replace(bound, amount=part),), one_zone(per)).of(Whom("", (zone.name,)))


def so_much_per_area(bounds: Bounds, zone: Named, base: Amount, per: Named) -> Found:
    return area_per_area(base, per, bounds, zone)


def ratio_bound(*parts: str | Amount) -> Bounds | None:
    """`at least 1 to 2`, `3:2`."""
    first, second = (part for part in parts if isinstance(part, Amount))
    if first.measure != "number" or second.measure != "number" or not second.number:
        return None
    part = Amount(first.number / second.number)
    said = [part for part in parts if isinstance(part, str)]
    return limit(said[0], part) if said else (Bound("bare", part),)


def ratio_is(zone: Named, other: Named, bounds: Bounds) -> Found:
    """`the ratio of park to homes must be at least 1 to 2`."""
    return None if zone.name == other.name else Ratio(bounds, one_zone(other)).of(Whom("", (zone.name,)))


def ratio_within(zone: Named, other: Named, bounds: Bounds, tolerance: Amount) -> Found:
    """`the ratio of swamp to pen must be 5:2, within 10%`."""
    if tolerance.measure == "points":
        tolerance = replace(tolerance, measure="percent")
    found = tolerated(bounds, tolerance)
    return ratio_is(zone, other, found) if found else None


def ratio_of_list(zones: tuple[Named, ...], bounds: Bounds) -> Found:
    return ratio_is(*zones, bounds) if len(zones) == 2 else None


def ratio_list_within(zones: tuple[Named, ...], bounds: Bounds, tolerance: Amount) -> Found:
    return ratio_within(*zones, bounds, tolerance) if len(zones) == 2 else None


# ---- averages


def mean_is(mean: str, size: str, zone: Named, bounds: Bounds) -> Sentences | None:
    """`the average size of the homes must be at least 4 sq in`."""
    if bounds[0].measure != _MEASURE.get(size) or len(bounds) > 1:
        return None
    text = bounds[0].text(bare="exactly")
    return (Said("", f"the {mean} of the {size} of that piece over every piece of {zone.name} is {text}"),)


def mean_is_not(mean: str, size: str, zone: Named, bounds: Bounds) -> Sentences | None:
    opposite = bounds[0].opposite if len(bounds) == 1 else None
    return mean_is(mean, size, zone, (opposite,)) if opposite else None


def mean_named(mean: str, zone: Named, *rest: str | Bounds) -> Sentences | None:
    """`the average home must be at least 4 sq in`, `the median home area is at most 8 sq in`."""
    size = rest[0] if len(rest) > 1 else "area"
    return mean_is(mean, str(size), zone, rest[-1])  # type: ignore[arg-type]


def mean_of(zone: Named, mean: str, size: str, bounds: Bounds) -> Sentences | None:
    return mean_is(mean, size, zone, bounds)


def on_average(who: Whom, bounds: Bounds) -> Sentences | None:
    """`on average, a home should be at least 8 sq in`."""
    of_pieces = isinstance(who, Whom) and len(who.names) == 1 and who.quantifier in ("", "a", "every", "all")
    return mean_is("mean", "area", Named(who.names[0]), bounds) if of_pieces else None


def of_area(bounds: Bounds, adjective: str) -> Bounds | None:
    return bounds if adjective == "size" else None


def range_is(first: str, *rest: Named | str | Bounds) -> Sentences | None:
    """`the difference between the largest and the smallest home is at most 2 sq in`."""
    zones = {part.name for part in rest if isinstance(part, Named)}
    second, bounds = (part for part in rest if not isinstance(part, Named))
    of_sizes = {first, second} == {"more size", "less size"} and len(zones) == 1
    if not of_sizes or not isinstance(bounds, tuple) or bounds[0].measure != "area" or len(bounds) > 1:
        return None
    text = bounds[0].text(bare="exactly")
    return (Said("", f"the range of the area of that piece over every piece of {zones.pop()} is {text}"),)


# ---- as large as one another


def _alike(tolerance: Amount | None) -> Bound:
    if tolerance and tolerance.measure == "points":
        tolerance = replace(tolerance, measure="percent")
    return Bound("exactly", ONE, tolerance=tolerance) if tolerance else Bound("bare", ONE)


def same_list(zones: tuple[Named, ...], tolerance: Amount | None = None) -> Found:
    """`the pond and the playground take up the same amount of space, within 10%`."""
    names = names_of(zones)
    parts = [Ratio((_alike(tolerance),), Whom("", (b,))).of(Whom("", (a,))) for a, b in pairwise(names)]
    found = [part for part in parts if isinstance(part, tuple)]
    return tuple(said for part in found for said in part) if len(found) == len(parts) else None


def same_pieces(zone: Named, tolerance: Amount | None = None) -> Sentences | None:
    """`all homes must be the same size, within 10%`."""
    if not zone.several:
        return None
    alike = f"the area of the first is exactly the area of the second{_alike(tolerance).within}"
    return (Said("", f"for every two pieces of {zone.name}: {alike}"),)


# ---- said once more


def said_again(sentences: Sentences, after: str) -> Sentences | None:
    """`exactly 3 stores, no more and no less`, `up to 4 homes and no more`: nothing but what was said."""
    relation, _ = relation_of(after)
    if relation == "exactly":
        sentences = tuple(
            said if "exactly" in said.plain else replace(said, plain=f"there are exactly {said.plain[10:]}")
            for said in sentences
        )
    good = all(f" {relation} " in said.plain and said.plain.startswith("there are ") for said in sentences)
    return sentences if good else None


# ---- one's size against another's


@dataclass(frozen=True)
class SizeOf:
    """`the lake's perimeter`."""

    size: str
    zone: Named


def size_name(size: str, zone: Named) -> SizeOf:
    return SizeOf(size, zone)


def name_size(zone: Named, size: str) -> SizeOf:
    return SizeOf(size, zone)


def size_by_part(first: SizeOf, bounds: Bounds, second: SizeOf | Named) -> Found:
    """`the barn's height is at least twice the silo's`."""
    if isinstance(second, Named):
        second = SizeOf(first.size, second)
    if first.size != second.size or first.zone.name == second.zone.name or len(bounds) > 1:
        return None
    if bounds[0].measure not in ("number", "percent"):
        return None
    return Ratio((as_times(bounds[0]),), one_zone(second.zone), first.size).of(Whom("", (first.zone.name,)))


def size_by_other(first: SizeOf, relation: str, second: SizeOf | Named) -> Found:
    """`the barn's area has to be less than the silo's`."""
    said, flavour = relation_of(relation)
    good = flavour in ("", "size", first.size)
    return size_by_part(first, (Bound(said, ONE),), second) if good else None


def given_most_land(who: Whom, said: str) -> Found:
    """`give the fields the biggest share of the farm`."""
    made = has_most_land(said)
    return stated(who, made) if made else None


def most_land_to(said: str, zone: Named) -> Found:
    return given_most_land(Whom("", (zone.name,)), said)


def added_up(zones: tuple[Named, ...], predicate: Predicate) -> Found:
    """`add up the orchard and the fields: the answer must be more than 20 sq in`."""
    sized_ = isinstance(predicate, Bounded) and not isinstance(predicate, Apart)
    who = together(zones) if isinstance(zones, tuple) else None
    return stated(who, predicate) if sized_ and who else None


def averages(zone: Named, bounds: Bounds) -> Sentences | None:
    """`the villas must average at least 4 sq in`."""
    return mean_is("mean", "area", zone, bounds)


def is_compared_within(said: str, thing: Whom, tolerance: Amount) -> Predicate | None:
    """`equals the gym, to within 10%`."""
    return is_as_within("size", thing, tolerance) if said == "exactly" else None


def part_of_size_after(times: Times, size: str, thing: Whom, said: str) -> Predicate | None:
    """`twice the height of any villa, at least`."""
    return is_part_of_size(times_limit(said, times), size, thing)


# ---- how near is near enough, behind a whole rule


def clause_within(sentences: Sentences, within: Amount) -> Sentences | None:
    """`the lake is half the size of the park, and 5 % off is fine`: of one rule with a bare number or an exact one."""
    said = sentences[0]
    if len(sentences) > 1 or within.measure == "number" or _LIMITED.search(f"{said.plain} {said.formula}"):
        return None
    share = "of the parcel" in said.text or re.search(r"\d%", said.text)
    if within.measure == "points" and not share:
        return None
    if within.measure in ("length", "area", "volume") and (_RELATIVE.search(said.plain) or _is_all(said.text, within)):
        return None
    return (replace(said, plain=_within(said.plain, within), formula=_within(said.formula, within)),)


def _is_all(text: str, within: Amount) -> bool:
    """Whether the tolerance is as large as the number itself."""
    number = re.search(r"\b(?:exactly|covers|is) (?P<number>[\d.]+) (?P<unit>(?:sq |cubic )?[a-z]+)", text)
    if number is None or not str(within).endswith(f" {number['unit']}"):
        return False
    return float(number["number"]) <= float(within.number)


def clause_give_or_take(sentences: Sentences, amount: Amount) -> Sentences | None:
    """`..., give or take 5%`: points of a share of the parcel, else per cent."""
    share = "of the parcel" in sentences[0].text
    within = replace(amount, measure="points") if amount.measure == "percent" and share else amount
    return clause_within(sentences, within)


_LIMITED = re.compile(
    r"\b(?:at least|at most|more than|less than|fewer than|between|within|no|not|every zone)\b|\bif\b"
)
_RELATIVE = re.compile(r"\b(?:as much as|times)\b")
_EXACT = re.compile(r"\bexactly\b|\bcovers (?:\d|as much as)|\bis \d")


def _within(sentence: str, within: Amount) -> str:
    return f"{sentence}, within {within}" if _EXACT.search(sentence) else ""


def given_together(zones: tuple[Named, ...], bounds: Bounds) -> Found:
    """`give homes and shops half of the board altogether`."""
    made = is_share(bounds)
    return stated(Whom("together", names_of(zones)), made) if made else None


def given_alone(zone: Named, bounds: Bounds) -> Found:
    return given_together((zone,), bounds) if zone.several else None


def area_said(who: Whom, size: str, predicate: Predicate) -> Found:
    """`the bazaar's area is over a third of the mosque's`."""
    return size_of_said(who, predicate) if size == "area" and isinstance(predicate, Bounded) else None


def area_said_not(who: Whom, size: str, predicate: Predicate) -> Found:
    denied = predicate.denied() if isinstance(predicate, Bounded) else None
    return area_said(who, size, denied) if denied else None

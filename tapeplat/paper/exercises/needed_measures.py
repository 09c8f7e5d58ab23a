"""What a team has to measure by hand so that it can decide the rules, shared out among its pupils."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal, cast

from measure.challenge import Challenge
from measure.rules.formula.formula_terms import AreaIn, Gap, Size
from measure.rules.formula.formula_things import Formula, Thing, Zones
from measure.rules.rule import Rule
from measure.rules.zone_groups import Group

QuantityByHand = Literal["area", "perimeter", "side", "gap", "volume", "height"]
EDGE = "the edge"
ANY_ZONE = "the two zones that are nearest"
_WORK: dict[QuantityByHand, int] = {"area": 3, "perimeter": 2, "side": 1, "gap": 1, "volume": 3, "height": 1}
"""How long measuring takes, against each other (common practice, no source)."""


@dataclass(frozen=True)
class Needed:
    """One number: a quantity of a zone (empty: of any); other is what the gap is to, or which side it is.

    rules are the numbers of the rules that need it.
    """

    quantity: QuantityByHand
    zone: str
    other: str = ""
    rules: tuple[int, ...] = ()


def needed_measures(challenge: Challenge) -> tuple[Needed, ...]:
    """Every number once: zone by zone in the challenge's order, then the gaps in the rules' order."""
    found: dict[tuple[str, str, frozenset[str]], Needed] = {}
    for number, stated in enumerate(challenge.rules, start=1):
        for one in _of_rule(stated.rule, challenge):
            key = (one.quantity, "" if one.other else one.zone, frozenset((one.zone, one.other)))
            known = found.setdefault(key, one)
            if number not in known.rules:
                found[key] = replace(known, rules=(*known.rules, number))
    order = [zone.name for zone in challenge.zones]
    sizes = [one for one in found.values() if one.quantity != "gap"]
    gaps = [one for one in found.values() if one.quantity == "gap"]
    return (*sorted(sizes, key=lambda one: order.index(one.zone) if one.zone in order else len(order)), *gaps)


def shared_out(needed: Sequence[Needed], pupils: int) -> tuple[int, ...]:
    """Which pupil (from 0) measures what: all of a zone one pupil, each about as much as the others."""
    load, of_zone, found = [0] * pupils, dict[str, int](), list[int]()
    for one in needed:
        least = load.index(min(load))
        who = least if one.quantity == "gap" else of_zone.setdefault(one.zone, least)
        load[who] += _WORK[one.quantity]
        found.append(who)
    return tuple(found)


def _of_rule(rule: Rule, challenge: Challenge) -> Iterator[Needed]:
    laid_out = [zone.name for zone in challenge.zones if zone.kind == "zone"]
    formula = getattr(rule.kind, "formula", None)
    if isinstance(formula, Formula):
        yield from _of_formula(formula, laid_out)
    elif rule.kind.gap_between:
        yield from _gaps(rule, laid_out)
    elif rule.kind.name_of(rule) == "distance":
        yield from (Needed("gap", zone, EDGE) for zone in rule.subject.singles(laid_out))
    elif rule.kind.about_structures(rule):
        yield from _of_structures(rule)
    elif rule.kind.measured_by_hand:
        for group in (rule.subject, *rule.others):
            yield from (_size(rule.size or "area", zone) for zone in _singles(group, laid_out))


def _gaps(rule: Rule, laid_out: Sequence[str]) -> Iterator[Needed]:
    """Of named zones every pair; where all zones are meant the smallest gap alone."""
    firsts, seconds = rule.subject.names, [name for group in rule.others for name in group.names]
    if rule.subject.mode in ("every", "all") and (seconds == [] or len(laid_out) > 2):
        yield Needed("gap", "", ANY_ZONE) if not seconds else Needed("gap", seconds[0], "the nearest zone")
        return
    for first in firsts:
        others = seconds or ["the nearest zone"]
        yield from (Needed("gap", first, second) for second in others if second != first)


def _of_structures(rule: Rule) -> Iterator[Needed]:
    name = rule.kind.name_of(rule)
    if name in ("volume", "people"):
        yield from (Needed("volume", zone) for zone in rule.subject.names)
    elif hasattr(rule.kind, "tallest"):
        yield from (Needed("height", zone) for zone in rule.subject.names or ("",))


def _of_formula(formula: Formula, laid_out: Sequence[str]) -> Iterator[Needed]:
    for part in formula.descendants():
        match part:
            case Size(name, of):
                yield from (_size(name, zone) for zone in _zones(of))
            case AreaIn(of, _):
                yield from (Needed("area", zone) for zone in _zones(of))
            case Gap(Zones((first, *_)), Zones((second, *_))):
                yield Needed("gap", first, second)


def _size(name: str, zone: str) -> Needed:
    """The quantity that the measuring sheets have for a size; a length or width is that of a side."""
    if name in ("area", "perimeter", "volume", "height"):
        return Needed(cast(QuantityByHand, name), zone)
    return Needed("volume", zone) if "surface" in name else Needed("side", zone, name)


def _zones(of: Thing) -> tuple[str, ...]:
    return of.names if isinstance(of, Zones) else ()


def _singles(group: Group, laid_out: Sequence[str]) -> tuple[str, ...]:
    return group.singles(laid_out) if group != Group() else ()

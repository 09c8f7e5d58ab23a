"""What a team has to measure by hand so that it can decide the rules, shared out among its pupils."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal, cast

from measure.challenge import Challenge
from measure.rules.formula.formula_terms import AreaIn, Gap, Size
from measure.rules.formula.formula_things import (
    AllZones,
    Centre,
    Edge,
    EveryZone,
    ExtremePiece,
    Formula,
    Node,
    Pieces,
    Point,
    That,
    Thing,
    Zones,
)
from measure.rules.kinds.lines.crossing_lines import ANY_LINE
from measure.rules.kinds.lines.line_cost import COST
from measure.rules.kinds.lines.line_distance import LINE_DISTANCE
from measure.rules.kinds.lines.line_sizes import LINE_LENGTH
from measure.rules.rule import Rule
from measure.rules.zone_groups import Group

QuantityByHand = Literal["area", "perimeter", "side", "gap", "volume", "height", "length"]
EDGE = "the edge"
_NEAREST = "the nearest zone"
ANY_ZONE = "the two zones that are nearest"
_WORK: dict[QuantityByHand, int] = {
    "area": 3,
    "perimeter": 2,
    "side": 1,
    "gap": 1,
    "volume": 3,
    "height": 1,
    "length": 2,
}
"""How long measuring takes, against each other (common practice, no source)."""


@dataclass(frozen=True)
class Needed:
    """One number: a quantity of a zone (empty: of any), or the length of a line, whose name zone then is; other is what
    the gap is to, or which side it is.

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
    """Which pupil (from 0) measures what: all sizes of a zone one pupil, each as many numbers as the others if it goes.

    Of as many numbers each gets about as much work.
    """
    together: dict[tuple[str, int], list[int]] = {}
    for at, one in enumerate(needed):
        together.setdefault((one.zone, at) if one.quantity == "gap" else (one.zone, -1), []).append(at)
    rows, load, who = [0] * pupils, [0] * pupils, [0] * len(needed)
    for own in sorted(together.values(), key=len, reverse=True):
        least = min(range(pupils), key=lambda pupil: (rows[pupil], load[pupil]))
        rows[least] += len(own)
        load[least] += sum(_WORK[needed[at].quantity] for at in own)
        for at in own:
            who[at] = least
    return tuple(who)


def _of_rule(rule: Rule, challenge: Challenge) -> Iterator[Needed]:
    laid_out = [zone.name for zone in challenge.zones if zone.kind == "zone"]
    formula = getattr(rule.kind, "formula", None)
    if rule.lines:
        yield from _of_lines(rule, challenge)
    elif isinstance(formula, Formula):
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


def _of_lines(rule: Rule, challenge: Challenge) -> Iterator[Needed]:
    """Lengths by string for rules about length and cost, and gaps to lines."""
    priced = tuple(line.name for line in challenge.lines if line.cost is not None)
    if rule.kind in (LINE_LENGTH, COST):
        yield from (Needed("length", line) for line in (priced if rule.lines == (ANY_LINE,) else rule.lines))
    elif rule.kind == LINE_DISTANCE:
        zones = rule.subject.names or tuple(zone.name for zone in challenge.zones if zone.kind == "zone")
        yield from (Needed("gap", zone, line) for zone in zones for line in rule.lines)


def _gaps(rule: Rule, laid_out: Sequence[str]) -> Iterator[Needed]:
    """Of named zones every pair; where all zones are meant the smallest gap alone."""
    firsts, seconds = rule.subject.names, [name for group in rule.others for name in group.names]
    if rule.subject.mode in ("every", "all") and (seconds == [] or len(laid_out) > 2):
        yield Needed("gap", "", ANY_ZONE) if not seconds else Needed("gap", seconds[0], _NEAREST)
        return
    for first in firsts:
        others = seconds or [_NEAREST]
        yield from (Needed("gap", first, second) for second in others if second != first)


def _of_structures(rule: Rule) -> Iterator[Needed]:
    name = rule.kind.name_of(rule)
    if name in ("volume", "people"):
        yield from (Needed("volume", zone) for zone in rule.subject.names)
    elif hasattr(rule.kind, "tallest"):
        yield from (Needed("height", zone) for zone in rule.subject.names or ("",))


def _of_formula(formula: Formula, laid_out: Sequence[str]) -> Iterator[Needed]:
    gone_through = tuple(zone for part in formula.descendants() for zone in _gone_through(part, laid_out))

    def zones(of: Thing) -> tuple[str, ...]:
        match of:
            case Zones(names):
                return names
            case That(_, zone):
                return (zone,) if zone else gone_through
            case ExtremePiece(_, zone):
                return (zone,)
            case AllZones(but):
                return tuple(zone for zone in laid_out if zone not in but)
        return ()

    for part in formula.descendants():
        match part:
            case Size(name, of):
                yield from (_size(name, zone) for zone in zones(of))
            case AreaIn(of, _):
                yield from (Needed("area", zone) for zone in zones(of))
            case Gap(of, Edge() | Centre() | Point()):
                yield from (Needed("gap", zone, EDGE) for zone in zones(of) if isinstance(part.to, Edge))
            case Gap(of, Thing() as to):
                ends = zones(to) or (_NEAREST,)
                yield from (Needed("gap", zone, end) for zone in zones(of) for end in ends if end != zone)


def _gone_through(part: Node, laid_out: Sequence[str]) -> tuple[str, ...]:
    """The zones that a formula goes through, one by one or piece by piece."""
    match part:
        case Pieces(zones):
            return zones
        case EveryZone(but):
            return tuple(zone for zone in laid_out if zone not in but)
    return ()


def _size(name: str, zone: str) -> Needed:
    """The quantity that the measuring sheets have for a size; a length or width is that of a side."""
    if name in ("area", "perimeter", "volume", "height"):
        return Needed(cast(QuantityByHand, name), zone)
    return Needed("volume", zone) if "surface" in name else Needed("side", zone, name)


def _singles(group: Group, laid_out: Sequence[str]) -> tuple[str, ...]:
    return group.singles(laid_out) if group != Group() else ()

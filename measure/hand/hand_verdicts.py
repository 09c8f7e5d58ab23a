"""What the hand measurements alone say about the rules, judged exactly as the photo's values are.

The rules are read again from the result's own sentences and asked of `HandMeasures`, which answers from the hand
values in place of a plat: the median of the measurers, with the uncertainty of one of them (several children who guess
the same tape's middle are not independent).  What was not measured by hand is `not measured`.  Zones together are the
sum of their areas: hand values do not tell of land that two zones share.
"""

from __future__ import annotations

import statistics
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from measure.challenge import Challenge, Parcel, Zone
from measure.challenge.allow_key import read_allowing
from measure.hand.hand_comparison import Checked
from measure.hand.values.hand_table import HandRow, QuantityName
from measure.plat.measures import Edge, Measures
from measure.plat.plat import Plat
from measure.plat.separation import Separation
from measure.quantity import COVERAGE_FACTOR, Quantity
from measure.result.result import Result, RuleResult
from measure.rules.allowance import allowance_of
from measure.rules.evaluation.allowed import Allowances
from measure.rules.evaluation.evaluate import evaluate
from measure.rules.evaluation.verdict_sentence import sentence_of
from measure.rules.language.zone_names import ZoneNames
from measure.rules.rule_context import Built, Context, Footprints, Heights
from measure.rules.sentences.rule_mistake import RuleMistake
from measure.rules.verdict import Origin, Verdict
from measure.units import to_mm


@dataclass(frozen=True)
class HandVerdict:
    """A rule's verdict by the photo and by hand. value and u95 are by hand, in unit (a share: 0 to 1).

    sentence says the hand value and the limit as the class reads them. again: numbers that do not agree made it.
    """

    text: str
    kind: str
    photo: Verdict
    hand: Verdict
    value: float | None = None
    u95: float | None = None
    unit: str = ""
    note: str = ""
    sentence: str = ""
    again: bool = False

    @property
    def differs(self) -> bool:
        """Whether both were judged and say different things."""
        judged = ("met", "not met", "too close to call")
        return self.photo in judged and self.hand in judged and self.photo != self.hand


def hand_verdicts(result: Result, rows: Sequence[Checked]) -> tuple[HandVerdict, ...]:
    """Every rule of a result, as the photo judged it and as the team's own hand values do."""
    challenge = _challenge(result)
    in_one = frozenset(zone.name for zone in result.zones if len(zone.pieces) == 1)
    hand = HandMeasures(rows, challenge, in_one)
    context = Context(challenge, hand, HandStructures(hand))
    names = ZoneNames({zone.name: () for zone in result.zones}, {line.name: () for line in result.lines})
    found = tuple(_verdict(rule, context, names, result) for rule in result.rules)
    agreeing = [row for row in rows if row.agrees is not False]
    if len(agreeing) == len(rows):
        return found
    sound = hand_verdicts(result, agreeing)
    return tuple(replace(one, again=one.hand != other.hand) for one, other in zip(found, sound, strict=True))


def _verdict(stated: RuleResult, context: Context, names: ZoneNames, result: Result) -> HandVerdict:
    unknown: Verdict = "by eye" if stated.verdict == "by eye" else "not measured"
    blank = HandVerdict(stated.text, stated.kind, stated.verdict, unknown)
    try:
        allows = Allowances(allowance_of(stated.allowed) if stated.allowed else None)
        read = read_allowing(stated.reads_as, names, result.unit, allows)
    except (RuleMistake, ValueError):
        return blank
    rule = read[0].part.rule
    if len(read) > 1 or not rule.kind.measured_by_hand:
        return blank
    found = evaluate(rule, stated.text, context, read[0].allowance)
    note = "not all that it needs was measured by hand" if found.verdict == "not measured" else ""
    said = sentence_of(rule, found, result.numbers)
    return replace(
        blank, hand=found.verdict, value=found.value, u95=found.u95, unit=found.unit, note=note, sentence=said
    )


def _challenge(result: Result) -> Challenge:
    """The challenge as far as a result tells it: enough to judge sizes and distances by."""
    parcel = Parcel(to_mm(result.parcel.width, result.unit), to_mm(result.parcel.depth, result.unit))
    zones = tuple(Zone(zone.name, at, kind=zone.kind) for at, zone in enumerate(result.zones, start=1))
    return Challenge(result.title, result.unit, parcel, zones, (), result.tape_edge)


class HandMeasures(Measures):
    """Answers from hand values what rules ask of a plat; every value is independent of the others."""

    _values: dict[tuple[str, str, str], Quantity]

    def __init__(self, rows: Sequence[Checked], challenge: Challenge, in_one: frozenset[str]) -> None:
        parcel = challenge.parcel
        super().__init__(Plat(parcel.width, parcel.depth, (), (), "card"), challenge.tape_edge)
        object.__setattr__(self, "_values", _values(rows, parcel.area, in_one))

    def value(self, quantity: QuantityName, zone: str, other: str = "") -> Quantity | None:
        """A hand value of a whole zone, in mm, mm2 or mm3."""
        return self._values.get((quantity, *_pair(zone, other)))

    def count(self, zone: str) -> int:
        """Nobody measures a zone that is not there, and what was not measured is unknown, not missing."""
        return 1

    def unmeasured(self, zone: str) -> int:
        """See count."""
        return 0

    def area(self, zones: Sequence[str]) -> Quantity | None:
        """The sum of the zones' areas; None where one was not measured."""
        parts = [self.value("area", zone) for zone in dict.fromkeys(zones)]
        known = [part for part in parts if part is not None]
        return sum(known, Quantity(0.0)) if known and len(known) == len(parts) else None

    def perimeter(self, zone: str) -> Quantity | None:
        """A zone's perimeter."""
        return self.value("perimeter", zone)

    def separation(self, a: str, b: str, *, edge: Edge = "tape_edge") -> Separation | None:
        """The gap between two zones, along the challenge's line of the tape only."""
        gap = self.value("gap", a, b) if edge == "tape_edge" else None
        return None if gap is None else Separation(gap, ((0.0, 0.0), (0.0, 0.0)), ((a, 1), (b, 1)), (gap,))

    def edge_clearance(self, zone: str) -> Separation | None:
        """Not among the hand measurements."""
        return None


@dataclass(frozen=True)
class HandStructures:
    """Answers from hand values what rules ask of a table of structures: volumes, and nothing else."""

    hand: HandMeasures

    def count(self, zone: str | None, solid: str | None) -> Built:
        """Not measured by hand."""
        return Built(None, "how many structures there are is not known")

    def different_solids(self, zone: str | None) -> Built:
        """Not measured by hand."""
        return Built(None, "how many different solids there are is not known")

    def heights(self, zone: str | None, solid: str | None) -> Heights:
        """Of every structure; a hand height may be any one's."""
        return Heights((), "how tall the structures are is not known")

    def volume(self, zone: str | None) -> Built:
        """Of the structures in one zone."""
        found = None if zone is None else self.hand.value("volume", zone)
        return Built(found, "" if found else f"the volume of the structures in {zone or 'the model'} is not known")

    def surface(self, zone: str | None, *, sides_only: bool) -> Built:
        """Not measured by hand."""
        return Built(None, "the surface of the structures is not known")

    def footprints(self, zone: str | None) -> Footprints:
        """Not measured by hand."""
        return Footprints((), "where the structures stand is not known")

    def origins(self, zones: Sequence[str]) -> tuple[Origin, ...]:
        """All that is known here is by hand."""
        return ()

    def doubts(self, zones: Sequence[str]) -> tuple[str, ...]:
        """Nothing else is compared with it."""
        return ()


_Key = tuple[str, str, str]


def _values(rows: Sequence[Checked], parcel_area: float, in_one: frozenset[str]) -> dict[_Key, Quantity]:
    """The median of each quantity's measurers, of whole zones; an area from its share where only that was measured.

    in_one names the zones of one piece, which is the whole.
    """
    groups: dict[_Key, list[tuple[float, float]]] = {}
    for checked in rows:
        row = checked.row
        whole = row.piece is None or (row.piece == 1 and row.zone in in_one and row.power != 3)
        if row.value is not None and checked.photo is not None and whole:
            u = checked.u95_hand / COVERAGE_FACTOR
            groups.setdefault(_key(row), []).append((row.value * row.scale, u * row.scale))
    for (quantity, zone, other), found in list(groups.items()):
        if quantity == "share" and ("area", zone, other) not in groups:
            groups["area", zone, other] = [(value * parcel_area, u * parcel_area) for value, u in found]
    return {key: _median(found, at, len(groups)) for at, (key, found) in enumerate(groups.items())}


def _median(found: list[tuple[float, float]], source: int, sources: int) -> Quantity:
    """The middle value, with the uncertainty of one measurer or half the measurers' range, whichever is larger."""
    values = [value for value, _ in found]
    u = max(statistics.median(u for _, u in found), (max(values) - min(values)) / 2.0 / COVERAGE_FACTOR)
    moves = np.zeros(sources)
    moves[source] = u
    return Quantity(statistics.median(values), moves)


def _key(row: HandRow) -> _Key:
    zone, other = _pair(row.zone, row.other)
    return (row.quantity, zone, other)


def _pair(zone: str, other: str) -> tuple[str, str]:
    """A gap is the same from either side."""
    return (zone, other) if not other or zone < other else (other, zone)

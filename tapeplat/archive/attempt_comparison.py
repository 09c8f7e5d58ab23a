"""Two attempts side by side: areas, gaps and lines' lengths with the uncertainty of their change, rules won and lost.

The change of two measured values is uncertain by the root of both squares (JCGM 100:2008, 5.1.2, uncorrelated).  Photos
of one class share their card and often their phone, which makes a change more certain than that, never less.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from measure.numbers import NumberStyle
from measure.result.result import Result, RuleResult, read_result
from measure.result.result_plat import plat_of
from measure.result.result_values import Value
from measure.rules.verdict import Verdict
from measure.units import MM_PER, Unit
from tapeplat.archive.attempts_drawing import overlay_svg
from tapeplat.archive.storage.entry import Entry
from tapeplat.reports.report_content import verdict_of

Trend = Literal["more", "less", "the same", "new", "gone", "not measured"]
"""`the same` is within the uncertainty of the change."""
Fate = Literal["won", "lost", "changed", "as before", "new", "gone"]
"""A rule is won where it is met now and was not; lost where it was met and is not now."""


_NUMBER = re.compile(r"\d+(?:[./ ]\d+)*")


@dataclass(frozen=True)
class Change:
    """One quantity before and after, in the comparison's unit (areas in its square); change is after minus before."""

    name: str
    before: Value | None
    after: Value | None
    change: Value | None
    trend: Trend


@dataclass(frozen=True)
class RuleChange:
    """One rule's verdicts; None where the challenge did not have the rule.

    formerly is how the rule was stated before, where it was edited since: in other words, or with another limit.
    """

    text: str
    before: Verdict | None
    after: Verdict | None
    fate: Fate
    formerly: str = ""


@dataclass(frozen=True)
class Comparison:
    """What changed from one attempt to another; overlay is an SVG drawing, empty where outlines cannot be laid so.

    numbers is the class's form of numbers, in the later attempt's challenge.
    """

    before: Entry
    after: Entry
    unit: Unit
    numbers: NumberStyle
    areas: tuple[Change, ...]
    gaps: tuple[Change, ...]
    rules: tuple[RuleChange, ...]
    overlay: str
    remarks: tuple[str, ...]
    lengths: tuple[Change, ...] = ()

    def of_fate(self, fate: Fate) -> tuple[RuleChange, ...]:
        """The rules that fared so."""
        return tuple(rule for rule in self.rules if rule.fate == fate)


def compare(before: Entry, after: Entry) -> Comparison:
    """Compare two attempts, of one team or of any two. Raises InputMistakes where a result cannot be read."""
    one, two = (read_result(entry.folder) for entry in (before, after))
    length = MM_PER[one.unit] / MM_PER[two.unit]
    areas = _changes(_areas(one), _areas(two), length**2)
    gaps = _changes(_gaps(one), _gaps(two), length)
    lengths = _changes(_lengths(one), _lengths(two), length)
    remarks = tuple(_remarks(one, two))
    placed = "card" not in (one.parcel.frame, two.parcel.frame)
    names = (before.name, after.name) if before.name != after.name else (before.id, after.id)
    overlay = overlay_svg(plat_of(one), plat_of(two), names) if placed else ""
    rules = rule_changes(one, two)
    return Comparison(before, after, two.unit, two.numbers, areas, gaps, rules, overlay, remarks, lengths)


def _areas(result: Result) -> dict[str, Value | None]:
    return {zone.name: zone.area for zone in result.zones}


def _lengths(result: Result) -> dict[str, Value | None]:
    return {line.name: line.length for line in result.lines}


def _gaps(result: Result) -> dict[str, Value | None]:
    """By names in the alphabet's order, so that both results name a gap alike."""
    return {" and ".join(sorted(gap.between)): Value(gap.value, gap.u95) for gap in result.distances}


def _changes(
    before: Mapping[str, Value | None], after: Mapping[str, Value | None], factor: float
) -> tuple[Change, ...]:
    """factor converts what was before into the later unit."""
    made = []
    for name in dict.fromkeys([*after, *before]):
        old, new = before.get(name), after.get(name)
        old = None if old is None else Value(old.value * factor, old.u95 * factor)
        made.append(_change(name, old, new))
    return tuple(made)


def _change(name: str, old: Value | None, new: Value | None) -> Change:
    if old is None or new is None:
        trend: Trend = "not measured" if old is new else "new" if old is None else "gone"
        return Change(name, old, new, None, trend)
    change = Value(new.value - old.value, math.hypot(old.u95, new.u95))
    clear = abs(change.value) > change.u95
    return Change(name, old, new, change, ("more" if change.value > 0 else "less") if clear else "the same")


def rule_changes(one: Result, two: Result) -> tuple[RuleChange, ...]:
    """How every rule of two results fares, those of the later one first."""
    before, after = ({_plain(rule.text): rule for rule in result.rules} for result in (one, two))
    edited = _edited(before, after)
    found = []
    for key, rule in after.items():
        earlier = before.get(key) or edited.get(key)
        old, new = None if earlier is None else verdict_of(earlier), verdict_of(rule)
        formerly = "" if earlier is None or key in before else earlier.text
        found.append(RuleChange(rule.text, old, new, _fate(old, new), formerly))
    gone = [rule for key, rule in before.items() if key not in after and rule not in edited.values()]
    return (*found, *(RuleChange(rule.text, verdict_of(rule), None, "gone") for rule in gone))


def _edited(before: Mapping[str, RuleResult], after: Mapping[str, RuleResult]) -> dict[str, RuleResult]:
    """The earlier rule of each later one that was edited: it reads the same, or the same but for its numbers.

    Where several rules are so alike, none is taken for another's; a rule by eye is its words.
    """
    found: dict[str, RuleResult] = {}
    for sense in (lambda rule: rule.reads_as, lambda rule: _NUMBER.sub("#", rule.reads_as)):
        old = [rule for key, rule in before.items() if key not in after and rule not in found.values()]
        new = {key: rule for key, rule in after.items() if key not in before and key not in found}
        for key, rule in new.items():
            alike = [other for other in old if _alike(rule, other, sense)]
            rivals = [other for other in new.values() if _alike(rule, other, sense)]
            if rule.kind != "by eye" and len(alike) == len(rivals) == 1:
                found[key] = alike[0]
    return found


def _alike(one: RuleResult, other: RuleResult, sense: Callable[[RuleResult], str]) -> bool:
    return one.kind == other.kind and sense(one) == sense(other)


def _fate(old: Verdict | None, new: Verdict | None) -> Fate:
    if old is None or new is None:
        return "new" if old is None else "gone"
    if old == new:
        return "as before"
    return "won" if new == "met" else "lost" if old == "met" else "changed"


def _plain(text: str) -> str:
    return " ".join(text.casefold().split())


def _remarks(one: Result, two: Result) -> Iterable[str]:
    if _plain(one.title) != _plain(two.title):
        yield f'the attempts are of different challenges, "{one.title}" and "{two.title}"'
    parcels = [(r.parcel.width * MM_PER[r.unit], r.parcel.depth * MM_PER[r.unit]) for r in (one, two)]
    if any(abs(a - b) > 0.5 for a, b in zip(*parcels, strict=True)):
        yield "the parcels are of different sizes"
    if one.tape_edge != two.tape_edge:
        yield f"areas and gaps are along the tape's {one.tape_edge} edge before and its {two.tape_edge} edge after"
    if "card" in (one.parcel.frame, two.parcel.frame):
        yield "the outlines are not laid over each other: a photo does not show where the parcel is"

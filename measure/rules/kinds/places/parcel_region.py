"""`school is in the north-west corner`: the whole zone in a half or a quarter of the parcel; `mostly`: its centroid."""
# ruff: noqa: D102  (what a kind offers is explained in measure/rules/rule.py)

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from measure.rules.compass import directions
from measure.rules.demand import InHalf
from measure.rules.kinds.places.zone_gaps import NO_PLACE, depth_claim, touch_gap
from measure.rules.rule import Kind, Rule
from measure.rules.rule_context import Context
from measure.rules.sentences.sentence_forms import sentence_form
from measure.rules.sentences.sentence_parts import Sentence, Subject
from measure.rules.sentences.subjects import separate
from measure.rules.setting import Setting, zones_laid_out
from measure.rules.told import Teller, Told, subject_of
from measure.rules.verdict import Claim, Findings, Mark, Unknown
from measure.units import to_mm


@dataclass(frozen=True)
class ParcelRegion(Kind):
    """rule.detail names the half (`north half`) or the quarter (`north-west corner`); up to touch_gap beyond is in it.

    The value is how far the zone reaches out of it, or its centroid where it is asked to lie mostly there.
    """

    name: ClassVar[str] = "place"
    mostly: bool = False

    def reads_as(self, rule: Rule) -> str:
        much = "mostly " if self.mostly else ""
        return f"{rule.subject} {'are' if rule.subject.plural else 'is'} {much}in the {rule.detail}"

    def told(self, rule: Rule, teller: Teller) -> Told:
        who = subject_of(rule.subject, teller.outcome.over)
        much = "mostly " if self.mostly else ""
        must = f"{who.they} must be {much}in the {rule.detail}"
        if not teller.number:
            return f"{who} {who.are} {much or 'all '}in the {rule.detail}", must
        if self.mostly:
            return f"the middle of {who} is {teller.value()} outside the {rule.detail}", must
        found = f"{who} {who.verb('reach', 'es')} {teller.value()} out of the {rule.detail}"
        return found, f"{must}{teller.but_for_play}"

    def findings(self, rule: Rule, context: Context) -> Findings:
        claims = [claim for zone in rule.subject.singles(context.zones) for claim in self._claims(rule, context, zone)]
        return Findings(tuple(claims), 0.0 if self.mostly else touch_gap(context), context.setting.unit)

    def _claims(self, rule: Rule, context: Context, zone: str) -> Iterator[Claim | Unknown]:
        missing = context.missing((zone,))
        if missing:
            yield missing
            return
        for way, line in _lines(rule, context.setting):
            yield self._claim(context, zone, way, line)

    def _claim(self, context: Context, zone: str, way: tuple[float, float], line: float) -> Claim | Unknown:
        """How far the zone lies on the right side of the line through the parcel's centre."""
        scale = to_mm(1.0, context.setting.unit)
        if self.mostly:
            centre = context.measures.centroid_along(zone, way)
            if centre is None:
                return Unknown(NO_PLACE, (zone,))
            ahead = (centre - line) / scale
            mark = Mark("zone", ((zone, 0),), label="mostly elsewhere")
            return Claim((ahead,), 0.0, None, (zone,), (mark,), shown=max(0.0, -ahead.value))
        found = context.measures.ahead_of_line(zone, way, line)
        if found is None:
            return Unknown(NO_PLACE, (zone,))
        return depth_claim(found, (-touch_gap(context), None), (zone,), "edge", context, label="{} outside")

    def demands(self, rule: Rule, setting: Setting) -> tuple[InHalf, ...] | None:
        """A plan does not use up the touch gap. Where a centroid lies is not looked at."""
        if self.mostly:
            return None
        zones = rule.subject.singles(zones_laid_out(setting))
        return tuple(InHalf(zone, way, line) for zone in zones for way, line in _lines(rule, setting))


IN_REGION, MOSTLY_IN_REGION = ParcelRegion(), ParcelRegion(mostly=True)


def _lines(rule: Rule, setting: Setting) -> Iterator[tuple[tuple[float, float], float]]:
    """The directions of the region, and how far along each, in mm, the line through the parcel's centre lies."""
    parcel = setting.parcel
    for way in directions(rule.detail.split(" ")[0], parcel.north):
        yield way, (way[0] * parcel.width + way[1] * parcel.depth) / 2


@sentence_form
def is_in_region(sentence: Sentence, subject: Subject, region: str) -> Rule:
    """`school is in the north half`."""
    return _in_region(sentence, subject, region, IN_REGION)


@sentence_form
def is_mostly_in(sentence: Sentence, subject: Subject, region: str) -> Rule:
    """`school is mostly in the north half`."""
    return _in_region(sentence, subject, region, MOSTLY_IN_REGION)


def _in_region(sentence: Sentence, subject: Subject, region: str, kind: ParcelRegion) -> Rule:
    if subject.denied:
        sentence.refuse("say where every zone or piece must be; `no` could mean not wholly or not at all there")
    return Rule(kind, separate(sentence, subject), detail=region)

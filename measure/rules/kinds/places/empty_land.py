"""`empty land covers at least 25% of the parcel`: the parcel as stated less the union of all zones on it."""
# ruff: noqa: D102  (what a kind offers is explained in measure/rules/rule.py)

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from measure.quantity import Quantity
from measure.rules.bounds import Most
from measure.rules.measured_sizes import claim
from measure.rules.rule import Kind, Rule
from measure.rules.rule_context import Context
from measure.rules.sentences.said_limits import measured_limit, share_limit
from measure.rules.sentences.sentence_forms import sentence_form
from measure.rules.sentences.sentence_parts import Sentence, What
from measure.rules.setting import Setting, SettingParcel
from measure.rules.sheet_text import SQUARE, Asked, amount_text, capital, ends_of, number_text, parcel_area
from measure.rules.told import Teller, Told
from measure.rules.verdict import Claim, Findings, Mark, Unknown


@dataclass(frozen=True)
class EmptyLand(Kind):
    """A limit on the land that no zone covers, keep-clear zones included; a share (per cent) or an area."""

    name: ClassVar[str] = "empty land"

    def reads_as(self, rule: Rule) -> str:
        of = " of the parcel" if rule.bound.amount.measure == "percent" else ""
        return f"empty land covers {rule.bound}{of}{rule.bound.within_text}"

    def told(self, rule: Rule, teller: Teller) -> Told:
        share = rule.bound.amount.measure == "percent"
        land = f"{teller.value('%')} of the parcel" if share else teller.value()
        return f"empty land covers {land}", f"it must cover {teller.asked()}"

    def findings(self, rule: Rule, context: Context) -> Findings:
        return Findings((self._claim(rule, context),), rule.bound.stated, rule.bound.amount.unit_text)

    def _claim(self, rule: Rule, context: Context) -> Claim | Unknown:
        there = tuple(zone for zone in context.all_zones if context.measures.count(zone))
        missing = context.missing(there)
        taken = context.measures.area(there) if there and not missing else Quantity(0.0)
        if missing or taken is None:
            return missing or Unknown("how much land is taken is not known", there)
        whole = context.setting.parcel.area
        share = rule.bound.amount.measure == "percent"
        left = (whole - taken.value) / whole if share else (whole - taken.value) / rule.bound.amount.mm
        empty = Quantity(left, -taken.sensitivity / (whole if share else rule.bound.amount.mm))
        label = context.said(empty, "%" if share else rule.bound.amount.unit_text, rule.bound)
        marks = tuple(Mark("zone", ((zone, 0),), label=f"{label} empty") for zone in there[:1])
        return claim(empty, rule.bound, there, marks)

    def most(self, rule: Rule, parcel: SettingParcel) -> Most | None:
        return Most(1.0 if rule.bound.amount.measure == "percent" else parcel.area, "the whole parcel")

    def as_fine_as_areas(self, rule: Rule) -> bool:
        return True

    def zones_named(self, rule: Rule, setting: Setting) -> frozenset[str]:
        return frozenset(zone.name for zone in setting.zones)

    def question(self, rule: Rule, setting: Setting) -> Asked | None:
        limit, unit, whole = rule.bound, setting.unit, parcel_area(setting)
        if limit.amount.unit is not None or limit.upper is not None or limit.tolerance is not None:
            return None
        areas = [number_text(end * whole, f"sq {unit}", setting) for end in ends_of(limit)]
        parcel = number_text(whole, f"sq {unit}", setting)
        text = f"{capital(limit.relation)} how many {SQUARE[unit]} stay empty?"
        return Asked(text, areas[0], f"{amount_text(limit.amount)} of {parcel}")


EMPTY_LAND = EmptyLand()


@sentence_form
def empty_covers(sentence: Sentence, what: What) -> Rule:
    """`empty land covers at least 25% of the parcel`."""
    said = what.said if what.form in ("share", "limit") else None
    if said is None:
        sentence.refuse("say how much land stays empty as a share of the parcel or as an area")
    if what.form == "share" or said.amount.amount.measure == "percent":
        return Rule(EMPTY_LAND, limit=share_limit(sentence, said))
    return Rule(EMPTY_LAND, limit=measured_limit(sentence, said, "area", "empty land", "size"))

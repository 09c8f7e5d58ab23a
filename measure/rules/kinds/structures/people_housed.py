"""`cottages house at least 600 people at 8 people per cubic cm`: the structures' volume times the density."""
# ruff: noqa: D102  (what a kind offers is explained in measure/rules/rule.py)

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import ClassVar

from measure.numbers import written
from measure.rules.amounts import Amount, Limit
from measure.rules.demand import DemandOnStructures, Volume
from measure.rules.measured_sizes import built, built_claims, zone_marks
from measure.rules.rule import Kind, Rule
from measure.rules.rule_context import Context
from measure.rules.sentences.said_limits import count_limit
from measure.rules.sentences.sentence_forms import sentence_form
from measure.rules.sentences.sentence_parts import SaidLimit, Sentence, Subject
from measure.rules.sentences.subjects import for_subject, size_group
from measure.rules.setting import Setting, zones_laid_out
from measure.rules.sheet_text import Asked, amount_text, number_text
from measure.rules.told import Teller, Told, subject_of
from measure.rules.verdict import Claim, Findings, Unknown
from measure.structures.people import whole_people
from measure.voice import Known


@dataclass(frozen=True)
class PeopleHoused(Kind):
    """A limit on the number of people; rule.rate is how many there are in one of its unit of volume."""

    name: ClassVar[str] = "people"

    def reads_as(self, rule: Rule) -> str:
        verb = "house" if rule.subject.plural else "houses"
        rate = f"{written(_rate(rule).number)} people per cubic {_rate(rule).unit}"
        return f"{rule.subject} {verb} {rule.bound} people at {rate}"

    def told(self, rule: Rule, teller: Teller) -> Told:
        who = subject_of(rule.subject, teller.outcome.over)
        people = whole_people(Known(teller.number, teller.outcome.u95 or 0.0))
        return f"{who} {who.verb('house')} {people} people", f"{who.they} must house {teller.asked()}"

    def findings(self, rule: Rule, context: Context) -> Findings:
        things = rule.subject.things(context.zones)
        claims = tuple(part for thing in things for part in self._claims(rule, context, thing))
        return Findings(claims, rule.bound.stated, "people")

    def _claims(self, rule: Rule, context: Context, thing: tuple[str, ...]) -> tuple[Claim | Unknown, ...]:
        volume = built("volume", thing, context)
        if volume.value is None:
            return (Unknown(volume.more, thing),)
        people = volume.value * (_rate(rule).value / _rate(rule).mm)
        marks = zone_marks(thing, f"{whole_people(people)} people")
        made = Claim((people,), rule.bound.low, rule.bound.high, thing, marks, rule.bound.strict)
        return built_claims(made, volume)

    def demands_on_structures(self, rule: Rule, setting: Setting) -> tuple[DemandOnStructures, ...]:
        low = rule.bound.low
        if not low:
            return ()
        room = low * (_rate(rule).mm / _rate(rule).value)
        return tuple(Volume(thing, room) for thing in rule.subject.things(zones_laid_out(setting)))

    def about_structures(self, rule: Rule) -> bool:
        return True

    def question(self, rule: Rule, setting: Setting) -> Asked:
        people, rate = rule.bound.amount, _rate(rule)
        density = amount_text(replace(people, number=rate.number))
        need = f"{density} people need 1 cubic {rate.unit}."
        text = f"{need} How many cubic {rate.unit} do {amount_text(people)} people need?"
        volume = number_text(people.value / rate.value, f"cubic {rate.unit}", setting)
        return Asked(text, volume, f"{amount_text(people)} ÷ {density}")

    def limit_suffix(self, limit: Limit) -> str:
        return " people"


PEOPLE = PeopleHoused()


def _rate(rule: Rule) -> Amount:
    assert rule.rate is not None
    return rule.rate


@sentence_form
def houses(sentence: Sentence, subject: Subject, limit: SaidLimit, rate: Amount) -> Rule:
    """`cottages house at least 600 people at 8 people per cubic cm`."""
    counted = count_limit(sentence, limit)
    rule = Rule(PEOPLE, size_group(sentence, "volume", subject), counted, rate=rate)
    return for_subject(sentence, rule, subject)

"""`there is a school`, `there are exactly 3 pieces of cottages`: how many pieces; exact, without uncertainty."""
# ruff: noqa: D102  (what a kind offers is explained in measure/rules/rule.py)

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import ClassVar

from measure.quantity import Quantity
from measure.rules.amounts import Amount, Limit
from measure.rules.bounds import Range
from measure.rules.demand import Count
from measure.rules.rule import Kind, Rule
from measure.rules.rule_context import Context
from measure.rules.sentences.said_limits import count_limit
from measure.rules.sentences.sentence_forms import sentence_form
from measure.rules.sentences.sentence_parts import SaidLimit, Sentence, Subject
from measure.rules.sentences.subjects import separate
from measure.rules.setting import Setting, SettingParcel, zones_laid_out
from measure.rules.told import Noun, Teller, Told, counted, subject_of
from measure.rules.verdict import Claim, Findings, Unknown
from measure.rules.zone_groups import Group, listed

AT_LEAST_ONE = Limit("at least", Amount(Fraction(1)))
NONE = Limit("exactly", Amount(Fraction(0)))


@dataclass(frozen=True)
class PieceCount(Kind):
    """A limit on the number of the subject's pieces, zone by zone."""

    counted: ClassVar[bool] = True

    def name_of(self, rule: Rule) -> str:
        """`presence` for whether there is any, else `count`."""
        return "presence" if rule.bound.whole_bounds in ((1, None), (0, 0)) else "count"

    def reads_as(self, rule: Rule) -> str:
        limit = rule.bound
        if limit.stated == 0 and limit.relation == "exactly":
            return f"there is no piece of {rule.subject}"
        one = (limit.upper or limit.amount).number == 1
        return f"there {'is' if one else 'are'} {limit} {'piece' if one else 'pieces'} of {rule.subject}"

    def told(self, rule: Rule, teller: Teller) -> Told:
        who = subject_of(rule.subject, teller.outcome.over)
        if self.name_of(rule) == "presence":
            there = f"there {who.are} {'' if teller.number else 'no '}{_some(who, article=bool(teller.number))}"
            return there, f"there must be {('some' if who.plural else 'one') if rule.bound.whole_bounds[0] else 'none'}"
        found = f"{who} {'have' if who.plural else 'has'} {counted(teller.number, 'piece', 'pieces')}"
        return found, f"{who.they} must have {teller.asked()}"

    def findings(self, rule: Rule, context: Context) -> Findings:
        zones = rule.subject.singles(context.zones)
        bounds = rule.bound.whole_bounds
        return Findings(tuple(self._claim(bounds, context, zone) for zone in zones), rule.bound.stated)

    def _claim(self, bounds: tuple[int, int | None], context: Context, zone: str) -> Claim | Unknown:
        """Tape whose outline cannot be measured is there, but may be one piece or part of another; a zone that was not
        seen may have any number of pieces besides those that were.
        """
        measures = context.measures
        unseen = measures.unseen(zone)
        count = measures.count(zone) - unseen
        least = count - (measures.unmeasured(zone) - unseen)
        least = max(1, least) if count else 0
        most = math.inf if unseen else count
        if not _decided(least, most, bounds):
            return Unknown(f"how many pieces {zone} has could not be told", (zone,))
        return Claim((Quantity(float(count)),), *bounds, (zone,))

    def ranges(self, rule: Rule, zones: Sequence[str], parcel: SettingParcel) -> Iterator[Range]:
        least, most = rule.bound.whole_bounds
        for thing in rule.subject.things(zones):
            words = f"the number of pieces of {listed(thing)}"
            yield Range(("count", thing), words, float(least), math.inf if most is None else float(most))

    def number_said(self, rule: Rule) -> bool:
        return rule.bound.amount.number > 1

    def demands(self, rule: Rule, setting: Setting) -> tuple[Count, ...]:
        return tuple(Count(zone, *rule.bound.whole_bounds) for zone in rule.subject.singles(zones_laid_out(setting)))


PIECE_COUNT = PieceCount()


def _some(who: Noun, *, article: bool) -> str:
    """`a library`, `an orchard`, `homes`; without the article behind `no`."""
    name = who.text.removeprefix("the ")
    if not article or who.plural:
        return name
    return f"{'an' if name[:1].casefold() in 'aeiou' else 'a'} {name}"


def _decided(least: int, most: float, bounds: tuple[int, int | None]) -> bool:
    """Whether every number from least to most is within the bounds, or none of them is."""
    low, high = bounds[0], math.inf if bounds[1] is None else bounds[1]
    return (low <= least and most <= high) or most < low or least > high


@sentence_form
def some_zone(sentence: Sentence, zone: str) -> Rule:
    """`there is a school`."""
    return Rule(PIECE_COUNT, Group((zone,)), AT_LEAST_ONE)


@sentence_form
def none_zone(sentence: Sentence, zone: str) -> Rule:
    """`there is no school`."""
    return Rule(PIECE_COUNT, Group((zone,)), NONE)


@sentence_form
def count_zone(sentence: Sentence, limit: SaidLimit, zone: str) -> Rule:
    """`there are at least 2 schools`."""
    return Rule(PIECE_COUNT, Group((zone,)), count_limit(sentence, limit))


@sentence_form
def some_piece(sentence: Sentence, subject: Subject) -> Rule:
    """`there is a piece of meadow`, `meadow exists`."""
    return Rule(PIECE_COUNT, _counted(sentence, subject), AT_LEAST_ONE)


@sentence_form
def none_piece(sentence: Sentence, subject: Subject) -> Rule:
    """`there is no piece of meadow`, `meadow does not exist`."""
    return Rule(PIECE_COUNT, _counted(sentence, subject), NONE)


@sentence_form
def count_piece(sentence: Sentence, limit: SaidLimit, subject: Subject) -> Rule:
    """`there are exactly 3 pieces of cottages`."""
    return Rule(PIECE_COUNT, _counted(sentence, subject), count_limit(sentence, limit))


@sentence_form
def has_pieces(sentence: Sentence, subject: Subject, limit: SaidLimit) -> Rule:
    """`cottages have exactly 3 pieces`."""
    return count_piece(sentence, limit, subject)


def _counted(sentence: Sentence, subject: Subject) -> Group:
    group = separate(sentence, subject, "pieces are counted zone by zone")
    if subject.denied or subject.mode in ("pieces", "some"):
        sentence.refuse("name the zone whose pieces are counted")
    return group

"""Changing one limit of one rule: which numbers it has, looser and tighter, round ones, and the new sentence."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from measure.challenge import Challenge, RuleLine
from measure.numbers import NUMBER_PATTERN, mixed, written
from measure.rules.amounts import Amount
from measure.rules.language.rule_reader import read_rule
from measure.rules.rule import Rule
from measure.rules.sentences.rule_mistake import RuleMistake

Place = Literal["amount", "upper", "tolerance"]
_STEPS: dict[str, tuple[str, ...]] = {
    "in": ("1", "1/2", "1/4", "1/8"), "ft": ("1/12",), "cm": ("1", "1/2", "1/10"), "mm": ("10", "5", "1"),
    "m": ("1/10", "1/100"), "percent": ("5", "1", "1/2", "1/10"), "points": ("1", "1/2", "1/10"),
    "number": ("1/2", "1/4", "1/10", "1/20", "1/100"), "sq": ("10", "5", "1", "1/2", "1/10"), "count": ("1",),
}  # fmt: skip
_NEAR = 0.1
"""A round number may be this share of the limit further on than it need be."""
_OF_CHANGE = Fraction(1, 10)
"""Or this share of the change."""
_PARTS = (2, 3, 4, 5, 6, 8)
"""A share in these parts is as round as one in fives of a per cent."""
_NUMBER = re.compile(NUMBER_PATTERN, re.IGNORECASE | re.VERBOSE)


@dataclass(frozen=True)
class Knob:
    """One number of one rule. looser: the sign of the change that makes the rule easier to keep."""

    number: int
    rule: Rule
    place: Place
    looser: Literal[1, -1]

    @property
    def amount(self) -> Amount:
        """The number as stated."""
        made = getattr(self.rule.bound, self.place)
        assert isinstance(made, Amount)
        return made

    def turned(self, value: Fraction) -> Rule:
        """The rule with another number in its place."""
        made_amount = replace(self.amount, number=value)
        return replace(self.rule, limit=replace(self.rule.bound, **{str(self.place): made_amount}))  # type: ignore[arg-type]

    def at(self, share: float, *, loosened: bool) -> Fraction:
        """The number changed by a share of itself, not below 0, a share of the parcel not above all of it."""
        own = self.amount.number
        sign = self.looser if loosened else -self.looser
        made = max(Fraction(0), own * (1 + sign * Fraction(share).limit_denominator(100_000)))
        return min(made, Fraction(100)) if self.amount.measure == "percent" and self.place != "tolerance" else made

    def rounds(self, value: Fraction, *, up: bool) -> Iterator[Fraction]:
        """Round numbers not before the value on the way up (or down), the roundest near ones first."""
        moved = abs(value - self.amount.number) * _OF_CHANGE
        room = max(abs(value) * Fraction(_NEAR).limit_denominator(1000), moved)
        end = value + room if up else value - room
        seen: set[Fraction] = set()
        for made in self._candidates(value, up):
            if made not in seen and made >= 0 and (min(value, end) <= made <= max(value, end)):
                seen.add(made)
                yield made
        finest = next(self._multiples(value, up, Fraction(self._steps[-1])))
        if finest not in seen:
            yield finest

    def _candidates(self, value: Fraction, up: bool) -> Iterator[Fraction]:
        for at, step in enumerate(self._steps):
            yield from self._multiples(value, up, Fraction(step))
            if at == 0 and self.amount.measure == "percent" and self.place != "tolerance":
                parts = {Fraction(100 * top, part) for part in _PARTS for top in range(1, part)}
                yield from sorted(parts, key=lambda part: abs(part - value))

    @staticmethod
    def _multiples(value: Fraction, up: bool, step: Fraction) -> Iterator[Fraction]:
        yield step * (math.ceil(value / step) if up else math.floor(value / step))

    @property
    def _steps(self) -> tuple[str, ...]:
        if self.rule.kind.counted:
            return _STEPS["count"]
        amount = self.amount
        if amount.unit is None:
            return _STEPS[amount.measure]
        return _STEPS[amount.unit] if amount.measure == "length" else _STEPS["sq"]


def knobs(number: int, rule: Rule) -> tuple[Knob, ...]:
    """The numbers of a rule that may be changed; none where none is said (`less than`, `there is a`)."""
    limit = rule.limit
    if limit is None or not rule.kind.number_said(rule):
        return ()
    if limit.relation == "exactly":
        return (Knob(number, rule, "tolerance", 1),) if limit.tolerance is not None else ()
    if limit.upper is not None:
        return Knob(number, rule, "amount", -1), Knob(number, rule, "upper", 1)
    return (Knob(number, rule, "amount", -1 if limit.low is not None else 1),)


def restated(challenge: Challenge, number: int, rule: Rule) -> Challenge:
    """The challenge with another rule in the place of this one (numbers count from 1)."""
    lines = list(challenge.rules)
    old = lines[number - 1]
    lines[number - 1] = RuleLine(sentence(challenge, number, rule), rule, old.line)
    return replace(challenge, rules=tuple(lines))


def sentence(challenge: Challenge, number: int, rule: Rule) -> str:
    """The rule as a sentence for the file: the teacher's own with the number changed, where that reads as the rule."""
    names = challenge.names
    text = challenge.rules[number - 1].text
    for found in _NUMBER.finditer(text):
        for said in _spellings(rule, found[0]):
            trial = f"{text[: found.start()]}{said}{text[found.end() :]}"
            try:
                read, _ = read_rule(trial, names, challenge.unit)
            except RuleMistake:
                continue
            if read == rule:
                return trial
    return rule.reads_as()


def _spellings(rule: Rule, before: str) -> Iterator[str]:
    """What may stand in the number's place: in the form that stood there before, where that is short."""
    limit = rule.bound
    for amount in (limit.amount, limit.upper, limit.tolerance):
        if amount is None:
            continue
        own, part = amount.number, amount.number / 100
        as_fraction = [mixed(number) for number in (own, part) if number.denominator <= 16]
        as_fraction += [f"{written(own)}%"] if amount.measure == "percent" else []
        as_decimal = [written(number) for number in (own, 100 * (own - 1), 100 * (1 - own), part) if number >= 0]
        spelled = any(sign in before for sign in "/½¼¾⅓⅔⅛⅜⅝⅞⅕⅖⅗⅘") or not any(c.isdigit() for c in before)
        spelled = spelled or (amount.measure == "length" and amount.unit == "in" and "." not in before)
        yield from (*as_fraction, *as_decimal) if spelled else (*as_decimal, *as_fraction)

"""`the water pipe costs at most 150 at 5 per inch`, `all lines together cost at most 300`: length times the price."""
# ruff: noqa: D102  (what a kind offers is explained in measure/rules/rule.py)

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import ClassVar

from lark import Token

from measure.numbers import written
from measure.quantity import Quantity
from measure.rules.amounts import Amount, Limit
from measure.rules.bounds import Range, allowed
from measure.rules.kinds.lines.crossing_lines import ANY_LINE
from measure.rules.kinds.lines.line_sizes import TOGETHER, names_of, said_sum, sum_or_each
from measure.rules.kinds.lines.line_words import line_mark, lines_noun, missing_line, net_in, not_denied, sums_of
from measure.rules.kinds.lines.open_ends import more_if_open
from measure.rules.measured_sizes import claim
from measure.rules.rule import Kind, Rule
from measure.rules.rule_context import Context
from measure.rules.sentences.sentence_forms import sentence_form
from measure.rules.sentences.sentence_parts import SaidLimit, SaidLines, Sentence
from measure.rules.sentences.sentence_words import number_of, unit_of
from measure.rules.setting import Setting, SettingParcel
from measure.rules.sheet_text import Asked, amount_text, capital, limit_text
from measure.rules.told import Noun, Teller, Told
from measure.rules.verdict import Claim, Findings, Unknown
from measure.rules.zone_groups import listed
from measure.units import to_mm


@dataclass(frozen=True)
class LineCost(Kind):
    """A limit on what lines cost by their length: at the rule's own rate, else at the challenge's."""

    name: ClassVar[str] = "cost"

    def reads_as(self, rule: Rule) -> str:
        every = rule.lines == (ANY_LINE,)
        who = "all lines together" if every else said_sum(rule)
        alone = not every and (len(rule.lines) == 1 or not rule.detail)
        verb = lines_noun(rule.lines[:1]).verb("cost") if alone else "cost"
        at = f" at {written(rule.rate.number)} per {rule.rate.unit}" if rule.rate else ""
        return f"{who} {verb} {rule.bound.said}{at}"

    def told(self, rule: Rule, teller: Teller) -> Told:
        every = rule.lines == (ANY_LINE,)
        over = teller.outcome.over
        who = Noun("all lines together", plural=True) if every else lines_noun(over, together=bool(rule.detail))
        return f"{who} {who.verb('cost')} {teller.value()}", f"{who.they} must cost {teller.asked()}"

    def findings(self, rule: Rule, context: Context) -> Findings:
        every = rule.lines == (ANY_LINE,)
        lines = tuple(line.name for line in context.setting.lines if line.cost is not None) if every else rule.lines
        things = [lines] if every or rule.detail else [(line,) for line in lines]
        return Findings(tuple(self._claim(rule, thing, context, every=every) for thing in things), rule.bound.stated)

    def _claim(self, rule: Rule, lines: tuple[str, ...], context: Context, *, every: bool) -> Claim | Unknown:
        net, total = net_in(context), Quantity(0.0)
        for line in lines:
            missing = missing_line((line,), context)
            if missing and not (every and not net.unread(line)):
                return missing
            rate = _rate(rule, line, context.setting)
            if rate is None:
                return Unknown("the challenge does not say what {} costs", (line,))
            total = total + (net.length(line) or Quantity(0.0)) * rate
        if not lines:
            return Unknown("the challenge does not say what any line costs")
        if not any(net.pieces(line) for line in lines):
            return Unknown("no {} was found", lines)
        label = context.said(total, "", rule.bound)
        cost = claim(total, rule.bound, lines, tuple(mark for line in lines for mark in line_mark(line, label)))
        return more_if_open(cost, lines, context)

    def ranges(self, rule: Rule, zones: Sequence[str], parcel: SettingParcel) -> Iterator[Range]:
        for thing in sums_of(rule):
            yield allowed(rule.bound, ("cost", thing, rule.rate), f"the cost of {listed(thing)}")

    def question(self, rule: Rule, setting: Setting) -> Asked | None:
        """How long it may be for the money."""
        prices = {line.name: line.cost for line in setting.lines}
        price = rule.rate.value if rule.rate else prices.get(rule.lines[0]) if len(rule.lines) == 1 else None
        if not price or rule.bound.relation not in ("at most", "less than"):
            return None
        unit = rule.rate.unit if rule.rate and rule.rate.unit else setting.unit
        who = lines_noun(rule.lines)
        must = f"{capital(str(who))} must cost {limit_text(rule.bound)}, and 1 {unit} costs {price:g}."
        text = f"{must} How long may {who} be?"
        long = Amount(rule.bound.amount.number / _fraction(price), "length", unit)
        return Asked(
            text, f"{rule.bound.relation} {amount_text(long)}", f"{amount_text(rule.bound.amount)} ÷ {price:g}"
        )


COST = LineCost()


def _fraction(price: float) -> Fraction:
    return Fraction(price).limit_denominator(10_000)


def _rate(rule: Rule, line: str, setting: Setting) -> float | None:
    """What a mm of a line costs."""
    if rule.rate is not None:
        return rule.rate.value / to_mm(1.0, rule.rate.unit or setting.unit)
    stated = next((known.cost for known in setting.lines if known.name == line), None)
    return None if stated is None else stated / to_mm(1.0, setting.unit)


@sentence_form
def line_costs(sentence: Sentence, lines: SaidLines, said: SaidLimit) -> Rule:
    """`the water pipe costs at most 150`."""
    not_denied(sentence, lines)
    return sum_or_each(sentence, lines, Rule(COST, limit=_money(sentence, said), lines=lines.names, detail=TOGETHER))


@sentence_form
def line_costs_not(sentence: Sentence, lines: SaidLines, said: SaidLimit) -> Rule:
    """`the road must not cost more than 120`."""
    if said.limit.relation not in ("more than", "less than"):
        sentence.refuse("say what it costs `at most`, without `not`", said.span)
    rule = line_costs(sentence, lines, said)
    return replace(rule, limit=rule.bound.opposite)


@sentence_form
def line_costs_at(sentence: Sentence, lines: SaidLines, said: SaidLimit, price: Token, unit: Token) -> Rule:
    """`the water pipe costs at most 150 at 5 per inch`."""
    not_denied(sentence, lines)
    number = number_of(price)
    if number == 0:
        sentence.refuse("what costs nothing needs no rule; write a price above 0")
    rate = Amount(number, "length", unit_of(unit))
    together = Rule(COST, limit=_money(sentence, said), lines=lines.names, detail=TOGETHER, rate=rate)
    return sum_or_each(sentence, lines, together)


@sentence_form
def lines_cost(sentence: Sentence, names: tuple[object, ...], said: SaidLimit) -> Rule:
    """`the road and the water pipe together cost at most 300`."""
    return Rule(COST, limit=_money(sentence, said), lines=names_of(names), detail=TOGETHER)


@sentence_form
def all_lines_cost(sentence: Sentence, _: Token, said: SaidLimit) -> Rule:
    """`all lines together cost at most 300`."""
    return Rule(COST, limit=_money(sentence, said), lines=(ANY_LINE,), detail=TOGETHER)


def _money(sentence: Sentence, said: SaidLimit) -> Limit:
    amounts = [amount for amount in (said.amount, said.upper) if amount is not None]
    if any(amount.times or amount.amount.measure != "number" for amount in amounts):
        sentence.refuse("a cost is a plain number, such as `150`", said.span)
    return said.limit

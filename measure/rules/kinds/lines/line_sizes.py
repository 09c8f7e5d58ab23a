"""`the water pipe is at most 30 in long`, `the road is at least 1 in wide`: of all pieces together, of every piece."""
# ruff: noqa: D102  (what a kind offers is explained in measure/rules/rule.py)

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import ClassVar, NoReturn

from measure.quantity import Quantity
from measure.rules.amounts import Amount
from measure.rules.bounds import Range, allowed
from measure.rules.kinds.lines.line_words import (
    line_mark,
    lines_noun,
    missing_line,
    net_in,
    not_denied,
    sums_of,
)
from measure.rules.kinds.lines.open_ends import more_if_open
from measure.rules.measured_sizes import claim
from measure.rules.rule import Kind, Rule
from measure.rules.rule_context import Context
from measure.rules.sentences.said_limits import measured_limit
from measure.rules.sentences.sentence_forms import sentence_form
from measure.rules.sentences.sentence_parts import Comparative, SaidAmount, SaidLimit, SaidLines, Sentence
from measure.rules.setting import Setting, SettingParcel
from measure.rules.sheet_text import Asked, amount_text, capital, limit_text
from measure.rules.told import Teller, Told, noun
from measure.rules.verdict import Claim, Findings, Unknown
from measure.rules.zone_groups import listed

TOGETHER = "together"
"""What a rule's detail says where the lines are one sum."""


@dataclass(frozen=True)
class LineLength(Kind):
    """A limit on the length of a line's middle, all its pieces; of several lines of each, or together."""

    name: ClassVar[str] = "line length"

    def reads_as(self, rule: Rule) -> str:
        return f"the length of {said_sum(rule)} is {rule.bound.said}"

    def told(self, rule: Rule, teller: Teller) -> Told:
        who = lines_noun(teller.outcome.over, together=bool(rule.detail))
        return f"{who} {who.are} {teller.value()} long", f"{who.they} must be {teller.asked(' long')}"

    def findings(self, rule: Rule, context: Context) -> Findings:
        claims = tuple(self._claim(rule, thing, context) for thing in sums_of(rule))
        return Findings(claims, rule.bound.stated, rule.bound.amount.unit_text)

    def _claim(self, rule: Rule, lines: tuple[str, ...], context: Context) -> Claim | Unknown:
        lengths = lengths_of(lines, context)
        if isinstance(lengths, Unknown):
            return lengths
        own = sum(lengths[1:], lengths[0]) / rule.bound.amount.mm
        label = context.said(own, rule.bound.amount.unit_text, rule.bound)
        length = claim(own, rule.bound, lines, tuple(mark for line in lines for mark in line_mark(line, label)))
        return more_if_open(length, lines, context)

    def ranges(self, rule: Rule, zones: Sequence[str], parcel: SettingParcel) -> Iterator[Range]:
        for thing in sums_of(rule):
            yield allowed(rule.bound, ("line length", thing), f"the length of {listed(thing)}")

    def question(self, rule: Rule, setting: Setting) -> Asked | None:
        amount, who = rule.bound.amount, lines_noun(rule.lines, together=bool(rule.detail))
        if rule.bound.relation not in ("at most", "at least") or (not rule.detail and len(rule.lines) > 1):
            return None
        half = Amount(amount.number / 2, amount.measure, amount.unit)
        must = f"{capital(str(who))} must be {limit_text(rule.bound)} long."
        text = f"{must} Half of the string is laid. How long is that piece?"
        return Asked(text, f"{rule.bound.relation} {amount_text(half)}", f"{amount_text(amount)} ÷ 2")


@dataclass(frozen=True)
class LineWidth(Kind):
    """A limit on the width of every piece of a line."""

    name: ClassVar[str] = "line width"

    def reads_as(self, rule: Rule) -> str:
        return f"the width of {said_lines(rule)} is {rule.bound.said}"

    def told(self, rule: Rule, teller: Teller) -> Told:
        who = noun(teller.outcome.over[0])
        return f"{who} {who.are} {teller.value()} wide", f"{who.they} must be {teller.asked(' wide')}"

    def findings(self, rule: Rule, context: Context) -> Findings:
        claims = tuple(part for line in rule.lines for part in self._claims(rule, line, context))
        return Findings(claims, rule.bound.stated, rule.bound.amount.unit_text)

    def _claims(self, rule: Rule, line: str, context: Context) -> Iterator[Claim | Unknown]:
        missing = missing_line((line,), context)
        if missing:
            yield missing
        for number, piece in enumerate(net_in(context).pieces(line), 1):
            own = piece.width / rule.bound.amount.mm
            label = context.said(own, rule.bound.amount.unit_text, rule.bound)
            yield claim(own, rule.bound, (line,), line_mark(line, label, number))

    def ranges(self, rule: Rule, zones: Sequence[str], parcel: SettingParcel) -> Iterator[Range]:
        for line in rule.lines:
            yield allowed(rule.bound, ("line width", line), f"the width of {line}")

    def question(self, rule: Rule, setting: Setting) -> Asked | None:
        amount, who = rule.bound.amount, lines_noun(rule.lines)
        if rule.bound.relation not in ("at most", "at least"):
            return None
        double = Amount(amount.number * 2, amount.measure, amount.unit)
        must = f"{capital(str(who))} must be {limit_text(rule.bound)} wide."
        text = f"{must} Two pieces lie side by side, without a gap. How wide are both together?"
        return Asked(text, f"{rule.bound.relation} {amount_text(double)}", f"2 × {amount_text(amount)}")


LINE_LENGTH, LINE_WIDTH = LineLength(), LineWidth()


def said_lines(rule: Rule) -> str:
    """The lines of a rule in its reading."""
    return f"{listed(rule.lines)}{' together' if rule.detail == TOGETHER else ''}"


def said_sum(rule: Rule) -> str:
    """The lines of a rule that limits their sum, or each of several, in its reading."""
    return said_lines(rule) if rule.detail or len(rule.lines) == 1 else f"every {listed(rule.lines)}"


def sum_or_each(sentence: Sentence, lines: SaidLines, together: Rule) -> Rule:
    """The rule of each line, where it is said or there is one alone; `the road and the path` may be their sum."""
    each = replace(together, detail="")
    if len(lines.names) > 1 and not (lines.each or lines.denied):
        sentence.refuse_both(f"`{listed(lines.names)}`", together.reads_as(), each.reads_as(), lines.span)
    return each


def lengths_of(lines: Sequence[str], context: Context) -> list[Quantity] | Unknown:
    """The lengths in mm of several lines, or why one is not known."""
    missing = missing_line(lines, context)
    found = [net_in(context).length(line) for line in lines]
    known = [length for length in found if length is not None]
    return missing or known


@sentence_form
def line_length(sentence: Sentence, lines: SaidLines, said: SaidLimit) -> Rule:
    """`the water pipe is at most 30 in long`, `no road is more than 30 in long`."""
    return sum_or_each(
        sentence, lines, replace(_sized(LINE_LENGTH, "a length", sentence, lines, said), detail=TOGETHER)
    )


@sentence_form
def lines_length(sentence: Sentence, names: tuple[object, ...], said: SaidLimit) -> Rule:
    """`the road and the path together are at most 60 in long`."""
    limit = measured_limit(sentence, said, "length", "a length", "distance")
    return Rule(LINE_LENGTH, limit=limit, lines=names_of(names), detail=TOGETHER)


@sentence_form
def line_width(sentence: Sentence, lines: SaidLines, said: SaidLimit) -> Rule:
    """`the road is at least 1 in wide`."""
    return _sized(LINE_WIDTH, "a width", sentence, lines, said)


def _sized(kind: Kind, what: str, sentence: Sentence, lines: SaidLines, said: SaidLimit) -> Rule:
    limit = measured_limit(sentence, said, "length", what, "distance")
    if lines.denied:
        if limit.relation in ("between", "exactly"):
            sentence.refuse("`no` needs `more than` or `less than` after it; say what every one must be")
        limit = limit.opposite
    return Rule(kind, limit=limit, lines=lines.names)


@sentence_form
def line_bare(sentence: Sentence, lines: SaidLines, said: SaidLimit) -> NoReturn:
    """`the road is at most 30 in`: long, or wide?"""
    limit = measured_limit(sentence, said, "length", "a length", "distance")
    sentence.refuse_both(
        f"`{limit}` of a line", f"{listed(lines.names)} is {limit} long", f"{listed(lines.names)} is {limit} wide"
    )


@sentence_form
def line_longer(sentence: Sentence, lines: SaidLines, *said: object) -> Rule:
    """`the road is longer than 20 in`."""
    return line_length(sentence, lines, _than("more than", said))


@sentence_form
def line_no_longer(sentence: Sentence, lines: SaidLines, *said: object) -> Rule:
    """`the road is no longer than 20 in`."""
    not_denied(sentence, lines)
    return line_length(sentence, lines, _than("at most", said))


@sentence_form
def lines_no_longer(sentence: Sentence, names: tuple[object, ...], *said: object) -> Rule:
    """`the road and the path together are no longer than 50 in`."""
    return lines_length(sentence, names, _than("at most", said))


@sentence_form
def line_wider(sentence: Sentence, lines: SaidLines, *said: object) -> Rule:
    """`the road is wider than 1 in`."""
    return line_width(sentence, lines, _than("more than", said))


@sentence_form
def line_no_wider(sentence: Sentence, lines: SaidLines, *said: object) -> Rule:
    """`the road is no wider than 1 in`."""
    not_denied(sentence, lines)
    return line_width(sentence, lines, _than("at most", said))


@sentence_form
def line_narrower(sentence: Sentence, lines: SaidLines, *said: object) -> Rule:
    """`the road is narrower than 1 in`."""
    return line_width(sentence, lines, _than("less than", said))


@sentence_form
def line_no_narrower(sentence: Sentence, lines: SaidLines, *said: object) -> Rule:
    """`the road is no narrower than 1 in`."""
    not_denied(sentence, lines)
    return line_width(sentence, lines, _than("at least", said))


def _than(relation: str, said: Sequence[object]) -> SaidLimit:
    amount = next(part for part in said if isinstance(part, SaidAmount))
    return SaidLimit(Comparative(relation), amount)  # type: ignore[arg-type]  # one of Relation


def names_of(tokens: Sequence[object]) -> tuple[str, ...]:
    """The lines that a sentence lists."""
    return tuple(dict.fromkeys(str(getattr(token, "value", token)) for token in tokens))

"""What rules about lines share: what is missing of a line, gaps as claims, marks, and the words of their readings."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from measure.lines.net import Net, net_of
from measure.lines.net_graph import Near
from measure.quantity import Quantity
from measure.rules.amounts import Limit
from measure.rules.rule import Rule
from measure.rules.rule_context import Context
from measure.rules.sentences.sentence_parts import SaidLines, Sentence
from measure.rules.told import Noun, noun
from measure.rules.verdict import Mark, Unknown
from measure.rules.zone_groups import listed
from measure.units import to_mm


def net_in(context: Context) -> Net:
    """The lines of the model that is judged."""
    return net_of(context.measures)


def missing_line(lines: Iterable[str], context: Context) -> Unknown | None:
    """Why nothing is known of one of the lines; None where all are there."""
    net = net_in(context)
    for line in lines:
        if net.unread(line):
            return Unknown("it cannot be told where {} runs", (line,))
        if not net.pieces(line):
            return Unknown("no {} was found", (line,))
    return None


def sums_of(rule: Rule) -> list[tuple[str, ...]]:
    """The lines whose sum each is limited: all together where the rule says so, else every one by itself."""
    return [rule.lines] if rule.detail else [(line,) for line in rule.lines]


def gap_mark(near: Near | None, label: str) -> tuple[Mark, ...]:
    """A dimension line where a gap is."""
    return () if near is None else (Mark("gap", near.pieces, near.touch.between, label),)


def line_mark(line: str, label: str, number: int = 0) -> tuple[Mark, ...]:
    """A line, or one piece of it (from 1), with words on it."""
    return (Mark("line", ((line, number),), label=label),)


def in_unit(quantity: Quantity, context: Context) -> Quantity:
    """A length in mm in the challenge's unit."""
    return quantity / to_mm(1.0, context.setting.unit)


def shown_gap(quantity: Quantity, context: Context, limit: Limit | None = None) -> str:
    """A gap in words: 0 where it is negative."""
    gap = in_unit(quantity, context) if limit is None else quantity / limit.amount.mm
    unit = context.setting.unit if limit is None else limit.amount.unit_text
    return context.said(Quantity(max(0.0, gap.value), gap.sensitivity), unit, limit)


def lines_noun(lines: Sequence[str], *, together: bool = False) -> Noun:
    """The lines of a rule, as the subject of a sentence."""
    if len(lines) == 1:
        return noun(lines[0])
    said = listed([str(noun(line)) for line in lines])
    return Noun(f"{said} together" if together else said, plural=True)


def one_line(sentence: Sentence, lines: SaidLines) -> str:
    """The only line of a sentence that speaks of one."""
    if len(lines.names) > 1:
        sentence.refuse("write a rule for each line", lines.span)
    return lines.one


def not_denied(sentence: Sentence, lines: SaidLines) -> None:
    """Refuse `no road` where it makes no rule."""
    if lines.denied:
        sentence.refuse(f"write `{listed(lines.names)}` with `not`, in place of `no`", lines.span)

"""The parts of a sentence from its parse tree: amounts, limits, who it is about, what it is compared with."""
# ruff: noqa: D102  (a method is said by its name, which is a node of the grammar)

from __future__ import annotations

from fractions import Fraction
from typing import Any

from lark import Token, Tree

from measure.rules.kind import Group
from measure.rules.limits import fitting
from measure.rules.parts import Amount, Relation, listed
from measure.rules.said import (
    FLAVOURS,
    Comparative,
    SaidAmount,
    SaidLimit,
    Span,
    Subject,
    SubjectMode,
    Target,
    Thing,
    What,
)
from measure.rules.sentence import Sentence
from measure.rules.sizes import Size
from measure.units import LENGTH_UNITS, LengthUnit

_MEANINGFUL = {
    "ZONE",
    "NUMBER",
    "LENGTH",
    "AREA_UNIT",
    "VOLUME_UNIT",
    "SOLID",
    "TEXT",
    "EVERY",
    "TWICE",
    "PERCENT",
    "POINTS",
    "TIMES",
}
_MEANINGFUL |= {"MORE", "LESS", *FLAVOURS}
"""Tokens that say something themselves; what the others say lies in the name of the tree's node."""


class PartsBuilder:
    """Walks a parse tree bottom up; a node named `x` goes to the method `x`, with what its children became."""

    def __init__(self, sentence: Sentence) -> None:
        self.sentence = sentence

    def build(self, tree: Tree[Any]) -> Any:
        """What the tree says."""
        made = []
        for child in tree.children:
            if isinstance(child, Tree):
                made.append(self.build(child))
            elif child.type in _MEANINGFUL:
                made.append(child)
        return getattr(self, tree.data)(*made)

    # ---- names

    def names(self, *parts: Any) -> tuple[Token, ...]:
        return tuple(token for part in parts for token in ((part,) if isinstance(part, Token) else part))

    # ---- amounts

    def plain(self, number: Token) -> SaidAmount:
        return _amount(number, Amount(number_of(number)))

    def percent(self, number: Token, sign: Token) -> SaidAmount:
        return _amount(number, Amount(number_of(number), "percent"), sign)

    def points(self, number: Token, *words: Token) -> SaidAmount:
        return _amount(number, Amount(number_of(number), "points"), words[-1])

    def length(self, number: Token, unit: Token) -> SaidAmount:
        return _amount(number, Amount(number_of(number), "length", unit_of(unit)), unit)

    def area(self, number: Token, unit: Token) -> SaidAmount:
        return _amount(number, Amount(number_of(number), "area", unit_of(unit)), unit)

    def volume(self, number: Token, unit: Token) -> SaidAmount:
        return _amount(number, Amount(number_of(number), "volume", unit_of(unit)), unit)

    def times(self, number: Token, word: Token) -> SaidAmount:
        return SaidAmount(Amount(number_of(number)), span_of(number).to(span_of(word)), times=True)

    def twice(self, word: Token) -> SaidAmount:
        return SaidAmount(Amount(Fraction(2)), span_of(word), times=True)

    # ---- limits

    def limit(self, comparative: Comparative, amount: SaidAmount) -> SaidLimit:
        return SaidLimit(comparative, amount)

    def bare(self, amount: SaidAmount) -> SaidLimit:
        return SaidLimit(Comparative("exactly"), amount, bare=True)

    def or_more(self, amount: SaidAmount, word: Token) -> SaidLimit:
        return SaidLimit(_comparative("at least", word), amount)

    def or_less(self, amount: SaidAmount, word: Token) -> SaidLimit:
        return SaidLimit(_comparative("at most", word), amount)

    def between(self, low: SaidAmount, high: SaidAmount) -> SaidLimit:
        return SaidLimit(Comparative("between"), low, high)

    def at_least(self) -> Comparative:
        return Comparative("at least")

    def at_most(self) -> Comparative:
        return Comparative("at most")

    def exactly(self) -> Comparative:
        return Comparative("exactly")

    def at_least_flavoured(self, *words: Token) -> Comparative:
        return _comparative("at least", words[-1])

    def at_most_flavoured(self, *words: Token) -> Comparative:
        return _comparative("at most", words[-1])

    def less_than(self, *words: Token) -> Comparative:
        return _comparative("less than", words[-1]) if words else Comparative("less than")

    def more_than(self, *words: Token) -> Comparative:
        return _comparative("more than", words[-1]) if words else Comparative("more than")

    def more(self, word: Token) -> Token:
        return word

    def less(self, word: Token) -> Token:
        return word

    # ---- who

    def subject_listed(self, names: tuple[Token, ...]) -> Subject:
        return _subject("listed", names)

    def subject_together(self, names: tuple[Token, ...]) -> Subject:
        return _subject("together", names)

    def subject_each(self, *parts: Any) -> Subject:
        return _subject("each", next(part for part in parts if isinstance(part, tuple)))

    def subject_every(self, *words: Token) -> Subject:
        if words and words[0].lower() == "any":
            self.sentence.infer("`any zone` is read as every zone")
        return Subject("every", word="every zone")

    def subject_all(self, *_: Token) -> Subject:
        return Subject("all", word="all zones together")

    def subject_none(self) -> Subject:
        return Subject("none", word="no zone")

    def others(self, *_: Token) -> Group:
        return Group(mode="other")

    def thing_listed(self, names: tuple[Token, ...]) -> Thing:
        return Thing(Group(_distinct(names)), inferred_together=len(names) > 1)

    def thing_together(self, names: tuple[Token, ...]) -> Thing:
        return Thing(Group(_distinct(names)))

    def thing_measured(self, size: Size, names: tuple[Token, ...]) -> Thing:
        return Thing(Group(_distinct(names)), size, inferred_together=len(names) > 1)

    def thing_measured_together(self, size: Size, names: tuple[Token, ...]) -> Thing:
        return Thing(Group(_distinct(names)), size)

    def thing_measured_others(self, size: Size, others: Group) -> Thing:
        return Thing(others, size)

    def thing_others(self, others: Group) -> Thing:
        return Thing(others)

    def target_listed(self, *parts: Any) -> Target:
        names = _distinct(next(part for part in parts if isinstance(part, tuple)))
        return Target(Group(names, "each" if len(names) > 1 else "together"))

    def target_others(self, others: Group) -> Target:
        return Target(others)

    def target_edge(self, _: None) -> Target:
        return Target(parcel="edge")

    def target_centre(self, _: None) -> Target:
        return Target(parcel="centre")

    def edge(self, *_: object) -> None:
        """Said by the node around it."""

    def centre(self, *_: object) -> None:
        """Said by the node around it."""

    def alike(self) -> None:
        """Said by the node around it."""

    def parcel(self, *_: object) -> None:
        """Said by the node around it."""

    # ---- sizes

    def size_area(self) -> Size:
        return "area"

    def size_perimeter(self) -> Size:
        return "perimeter"

    def size_volume(self) -> Size:
        return "volume"

    def size_surface(self) -> Size:
        return "surface area"

    def size_side_surface(self) -> Size:
        return "side surface area"

    def what_limit(self, limit: SaidLimit) -> What:
        return What("limit", limit)

    def what_share(self, limit: SaidLimit, _: None) -> What:
        return What("share", limit)

    def what_ratio(self, limit: SaidLimit, *parts: Any) -> What:
        return What("ratio", limit, thing=parts[-1])

    def what_compared(self, comparative: Comparative, *parts: Any) -> What:
        return What("compared", comparative=comparative, thing=parts[-1])

    def what_same(self, *parts: Any) -> What:
        return What("compared", comparative=Comparative("exactly"), thing=parts[-1])

    def what_more(self, limit: SaidLimit, word: Token, thing: Thing) -> What:
        self._same_flavour(limit, word)
        return What("more", limit, thing=thing)

    def what_less(self, limit: SaidLimit, word: Token, thing: Thing) -> What:
        self._same_flavour(limit, word)
        return What("less", limit, thing=thing)

    def _same_flavour(self, limit: SaidLimit, word: Token) -> None:
        fitting(self.sentence, _comparative(limit.comparative.relation, word), "size")


def _subject(mode: SubjectMode, names: tuple[Token, ...]) -> Subject:
    span = span_of(names[0]).to(span_of(names[-1]))
    return Subject(mode, _distinct(names), listed(_distinct(names)), span)


def span_of(token: Token) -> Span:
    """Where a token stands in the sentence."""
    return Span(token.start_pos or 0, token.end_pos or 0)


def number_of(token: Token) -> Fraction:
    """The number that a NUMBER token stands for."""
    value = token.value
    assert isinstance(value, Fraction)
    return value


def unit_of(token: Token) -> LengthUnit:
    """The unit that a unit token stands for."""
    return next(unit for unit in LENGTH_UNITS if unit == token.value)


def _amount(number: Token, amount: Amount, unit: Token | None = None) -> SaidAmount:
    span = span_of(number)
    return SaidAmount(amount, span.to(span_of(unit)) if unit is not None else span)


def _comparative(relation: Relation, word: Token) -> Comparative:
    return Comparative(relation, FLAVOURS.get(word.type, ""), str(word), span_of(word))


def _distinct(names: tuple[Token, ...]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(str(token.value) for token in names))

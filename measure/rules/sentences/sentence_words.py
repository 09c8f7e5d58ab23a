"""The words of a sentence as tokens, before any grammar has seen them."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from lark import Token

from measure.rules.sentences.sentence_parts import Span
from measure.units import LENGTH_UNITS, LengthUnit


class Reading(NamedTuple):
    """One way to take a token: the grammar's terminal and what it stands for."""

    terminal: str
    value: str | Fraction


@dataclass(frozen=True)
class Word:
    """A token: its text, where it stands, and the ways to take it, the likeliest first (none: it is not understood)."""

    text: str
    start: int
    end: int
    readings: tuple[Reading, ...]

    def is_a(self, *terminals: str) -> bool:
        """Whether it can be taken as one of these."""
        return any(reading.terminal in terminals for reading in self.readings)


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

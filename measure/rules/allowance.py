"""What a teacher allows beside a limit, apart from how uncertain a measurement is: `1/16 in`, `2%`."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from measure.rules.amounts import Amount
from measure.units import parse_number, unit_named

_PERCENT = re.compile(r"(.+?)\s*(?:%|per\s?cent)", re.IGNORECASE)
_LENGTH = re.compile(r"(.+?)\s*(mm|cm|ft|m|in\.?|inch|inches|feet|\"|″)", re.IGNORECASE)


@dataclass(frozen=True)
class Allowance:
    """A per cent of the limit, or a length; text is how the teacher writes it."""

    amount: Amount
    text: str

    @property
    def words(self) -> str:
        """`1/16 in allowed`."""
        return f"{self.text} allowed"


def allowance_of(text: str) -> Allowance:
    """The allowance that a text says. Raises ValueError, saying what would be right, where it says none."""
    plain = " ".join(text.split())
    percent, length = _PERCENT.fullmatch(plain), _LENGTH.fullmatch(plain)
    if percent:
        amount = Amount(parse_number(percent[1]), "percent")
    elif length:
        amount = Amount(parse_number(length[1]), "length", unit_named(length[2]))
    else:
        raise ValueError("write a length with its unit or a per cent, such as 1/16 in or 2%")
    if amount.number <= 0:
        raise ValueError("nothing is allowed then; write more than 0, or leave it out")
    if amount.measure == "percent" and amount.number > Fraction(50):
        raise ValueError("more than half of every limit is no limit; write 50% at most")
    return Allowance(amount, plain)

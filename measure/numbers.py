"""Numbers as people write and read them: number words and fractions in, the class's own form of numbers out.

The challenge key `numbers` says how numbers read for a class: "whole", "half", "quarter" or "eighth" (mixed numbers to
the nearest such part), "decimal", or "percent" (decimals, and shares as per cent).  No form ever shows a number finer
than its uncertainty: an eighth beside an uncertainty of 0.2 is shown as `about` the nearest half.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from typing import Literal, Protocol, get_args

from measure.units import format_number, parse_number

NumberStyle = Literal["whole", "half", "quarter", "eighth", "decimal", "percent"]
NUMBER_STYLES: tuple[NumberStyle, ...] = get_args(NumberStyle)

_CARDINALS = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"]
_PARTS: dict[str, int] = {
    "half": 2, "halves": 2, "third": 3, "quarter": 4, "fourth": 4, "fifth": 5, "sixth": 6, "seventh": 7,
    "eighth": 8, "ninth": 9, "tenth": 10, "eleventh": 11, "twelfth": 12,
}  # fmt: skip
_WORD = "|".join(sorted(_CARDINALS, key=len, reverse=True))
_PART = "|".join(f"{part}s?" for part in sorted(_PARTS, key=len, reverse=True))
_VULGAR = "¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"
NUMBER_PATTERN = rf"""
    \d+\s*-?\s*[{_VULGAR}] | [{_VULGAR}]
  | \d+(?:\s+|\s?-\s?)\d+\s?[/⁄]\s?\d+(?:ths?|rds?|nds?)?
  | \d+\s?[/⁄]\s?\d+(?:ths?|rds?|nds?)?\b
  | (?:\d+|\b(?:{_WORD}))\s+and\s+(?:an?|{_WORD})\s+(?:{_PART})\b
  | \d{{1,3}}(?:,\d{{3}})+(?![\d,])(?:\.\d+)?
  | \d+(?:\.\d+)?(?:e[-+]?\d{{1,2}}\b)?
  | \.\d+
  | \b(?:an?|{_WORD})[\s-]+(?:{_PART})\b
  | \b(?:half|quarter)\b
  | \b(?:{_WORD})\b
"""
"""Every way of writing one number, for a verbose, case-insensitive regular expression."""
_DENOMINATORS: dict[NumberStyle, int] = {"whole": 1, "half": 2, "quarter": 4, "eighth": 8}


class Measured(Protocol):
    """What `shown` needs of a quantity: its value and its expanded uncertainty."""

    @property
    def value(self) -> float:
        """The measured value."""
        ...

    @property
    def u95(self) -> float:
        """The expanded uncertainty."""
        ...


def shown(quantity: Measured, unit: str, style: NumberStyle = "percent") -> str:
    """A quantity in its own unit as the class reads it: `41 1/4 sq in`, `16.3 %`, `about 4 1/2 in`.

    unit "%" takes a share (0.163) and shows per cent, or a decimal in a class of style "decimal"; unit "" shows a bare
    number (a ratio). `about` says that the fraction shown is not the measured value within its uncertainty, or that
    the uncertainty allows no finer one.
    """
    if unit == "%":
        if style == "decimal":
            return format_number(quantity.value, quantity.u95)
        return f"{format_number(100 * quantity.value, 100 * quantity.u95)} %"
    denominator = _DENOMINATORS.get(style)
    text = (
        format_number(quantity.value, quantity.u95)
        if denominator is None
        else _as_fraction(quantity.value, quantity.u95, denominator)
    )
    return f"{text} {unit}".rstrip()


def written(number: Fraction) -> str:
    """An exact number as people write it: `4.5`, `200`, `4 1/3`; parses back to the same number."""
    decimal = _exact_decimal(number)
    return decimal if decimal is not None else mixed(number)


def mixed(number: Fraction) -> str:
    """A mixed number: `4 1/3`, `1/2`, `3`."""
    whole, rest = divmod(abs(number), 1)
    sign = "-" if number < 0 else ""
    if not rest:
        return f"{sign}{whole}"
    return f"{sign}{whole} {rest}" if whole else f"{sign}{rest}"


def number_from_words(text: str) -> Fraction:
    """The number in a text that NUMBER_PATTERN matched: `4 1/2`, `a fifth`, `one and a half`, `2/3rds`, `1,200`.

    Raises ValueError, saying what would be right, where it is no number or divides by zero.
    """
    plain = re.sub(r"(?<=\d)(?:ths?|rds?|nds?)\b", "", text.strip().lower().replace("⁄", "/"))
    joined = re.fullmatch(rf"(\d+|{_WORD})\s+and\s+(an?|{_WORD})\s+({_PART})", plain)
    if joined:
        return _counted(joined[1]) + _counted(joined[2]) / _part(joined[3])
    parts = re.fullmatch(rf"(an?|{_WORD})[\s-]+({_PART})", plain)
    if parts:
        return _counted(parts[1]) / _part(parts[2])
    if plain in _CARDINALS or plain in ("a", "an"):
        return _counted(plain)
    if plain in _PARTS:
        return Fraction(1, _PARTS[plain])
    if re.fullmatch(r"[\d.]+e[-+]?\d{1,2}", plain):
        return Fraction(plain)
    return parse_number(plain.replace(",", ""))


def _counted(word: str) -> Fraction:
    if word in ("a", "an"):
        return Fraction(1)
    return Fraction(_CARDINALS.index(word) if word in _CARDINALS else word)


def _part(word: str) -> int:
    return _PARTS[word] if word in _PARTS else _PARTS[word.removesuffix("s")]


def _exact_decimal(number: Fraction, places: int = 12) -> str | None:
    """The number as a decimal where that is exact."""
    scaled = number * 10**places
    if scaled.denominator != 1:
        return None
    digits = f"{abs(scaled.numerator):0{places + 1}d}"
    text = f"{digits[:-places]}.{digits[-places:]}".rstrip("0").rstrip(".")
    return f"-{text}" if number < 0 else text


def _as_fraction(value: float, u95: float, denominator: int) -> str:
    """The nearest part that the class reads; a coarser one, and `about`, where the uncertainty is wider than it."""
    asked = denominator
    while denominator > 1 and u95 > 1 / denominator:
        denominator //= 2
    if denominator == 1 and u95 > 1:
        tens = 10.0 ** math.floor(math.log10(u95))
        return f"about {round(value / tens) * tens:.0f}"
    nearest = Fraction(round(value * denominator), denominator)
    exact = abs(float(nearest) - value) <= max(u95, 1e-9 * max(1.0, abs(value)))
    return f"{'' if exact and denominator == asked else 'about '}{mixed(nearest)}"


_ROUND = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0)


def round_length(longest: float) -> float:
    """The largest of 1, 2, 5, 10, ... (and a tenth to a half) that is at most this, in whatever unit."""
    return max((length for length in _ROUND if length <= longest), default=_ROUND[0])

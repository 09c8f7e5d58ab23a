"""Numbers as people write and read them: number words and fractions in, the class's own form of numbers out.

The challenge key `numbers` says how numbers read for a class: "whole", "half", "quarter", "eighth" or "sixteenth"
(mixed numbers to the nearest such part), "decimal", or "percent" (decimals, and shares as per cent). How a measured
value is said in that form is in measure.voice.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Literal, get_args

from measure.units import parse_number

NumberStyle = Literal["whole", "half", "quarter", "eighth", "sixteenth", "decimal", "percent"]
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
  | (?:\d+|\b(?:{_WORD}))\s+and\s+(?:an?|{_WORD})[\s-]+(?:{_PART})\b
  | \d{{1,3}}(?:,\d{{3}})+(?![\d,])(?:\.\d+)?
  | \d+(?:\.\d+)?(?:e[-+]?\d{{1,2}}\b)?
  | \.\d+
  | \b(?:an?|{_WORD})[\s-]+(?:{_PART})\b
  | \b(?:half|quarter)\b
  | \b(?:{_WORD})\b
"""
"""Every way of writing one number, for a verbose, case-insensitive regular expression."""


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
    joined = re.fullmatch(rf"(\d+|{_WORD})\s+and\s+(an?|{_WORD})[\s-]+({_PART})", plain)
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


_ROUND = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0)


def round_length(longest: float) -> float:
    """The largest of 1, 2, 5, 10, ... (and a tenth to a half) that is at most this, in whatever unit."""
    return max((length for length in _ROUND if length <= longest), default=_ROUND[0])

"""Numbers in words as digits: `fifteen`, `twenty-five`, `a hundred`, `a dozen`, `1 ft 6 in`; ranges as `3 to 5`."""

from __future__ import annotations

import re
from fractions import Fraction

from measure.numbers import written

_TEENS = ("thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen")
_TENS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
_UNITS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
_ONES = "|".join(_UNITS)
_WORD = re.compile(
    rf"\b(?:(?P<teen>{'|'.join(_TEENS)})|(?P<ten>{'|'.join(_TENS)})(?:[\s-](?P<one>{_ONES}))?)\b", re.IGNORECASE
)
_HUNDRED = re.compile(rf"\b(?P<count>an?|{_ONES})\s+hundred(?:\s+(?:and\s+)?(?P<rest>\d+))?\b", re.IGNORECASE)
_DOZEN = re.compile(r"\b(?P<half>half\s+)?(?:(?P<count>an?|one|two|three)\s+)?dozen\b", re.IGNORECASE)
_FEET = re.compile(
    r"\b(?P<feet>\d+)\s*(?:ft|feet|foot|')\s*(?:and\s+)?"
    r"(?P<inches>\d+(?:\.\d+|\s+\d+/\d+)?)\s*(?:in\b|inch(?:es)?\b|\")",
    re.IGNORECASE,
)
_NO_NUMBERS = (
    (r"\bone another\b", "each other"),
    (r"\b(no|any|every) two\b", r"\1 pair of"),
    (r"\bthe one (?=closest|nearest|farthest)", ""),
)
_RANGE = re.compile(r"(?<=[\d%½¼¾⅓⅔⅛])\s?-\s?(?=[\d.½¼¾⅓⅔⅛])(?!\d+/\d)")


_OUT_OF = re.compile(
    rf"\b(?P<some>\d+|{_ONES})\s+(?:(?:square inch|sq\.? in\.?|square|part)(?:es|s)?\s+)?(?:out of|in)\s+"
    rf"(?P<every>every\s+|each\s+)?(?P<all>\d+|{_ONES}|ten|twelve)\b"
    r"(?P<land>\s+(?:square inches|sq\.? in\.?|squares|parts))?(?P<of>\s+of\b)?",
    re.IGNORECASE,
)


_PARTS = {"thirds": 3, "quarters": 4, "fourths": 4, "fifths": 5, "sixths": 6, "eighths": 8, "tenths": 10}
_TENTHS = re.compile(
    rf"\b(?:(?P<low>\d+|{_ONES}) (?P<to>to|or|and) )?(?P<high>\d+|{_ONES})[\s-](?P<part>{'|'.join(_PARTS)})\b",
    re.IGNORECASE,
)


_PART_OF_IT = re.compile(
    r"\b(?P<part>half|thirds?|quarters?|fourths?|fifths?|sixths?|eighths?|tenths?) parts? of\b", re.IGNORECASE
)


def _fractions(found: re.Match[str]) -> str:
    """`2 to 3 tenths`."""
    part = _PARTS[found["part"].lower()]
    if (found["low"] and found["to"].lower() == "and") or (not found["low"] and not found["high"].isdigit()):
        return found[0]
    low = f"{_digits(found['low'])}/{part} {found['to']} " if found["low"] else ""
    return f"{low}{_digits(found['high'])}/{part}"


def _part_of(found: re.Match[str]) -> str:
    """`3 out of every 10 square inches` is 3/10 of the parcel; `3 out of 4 homes` is 3/4 of the homes."""
    some, every = _digits(found["some"]), _digits(found["all"])
    if (" in " in f" {found[0].lower()} " and "out of" not in found[0].lower() and not found["every"]) or some >= every:
        return found[0]
    return f"{some}/{every} of{' the parcel' if found['land'] and not found['of'] else ''}"


def _digits(word: str) -> int:
    if word.isdigit():
        return int(word)
    return {"ten": 10, "twelve": 12}.get(word.lower()) or _small(word)


def in_digits(text: str) -> str:
    """The text with its larger number words as digits, so that the rest of the reading need not know them."""
    for said, plainer in _NO_NUMBERS:
        text = re.sub(said, plainer, text, flags=re.IGNORECASE)
    text = _WORD.sub(lambda found: str(_below_hundred(found)), text)
    text = _HUNDRED.sub(lambda found: str(100 * _small(found["count"]) + int(found["rest"] or 0)), text)
    text = _DOZEN.sub(lambda found: str((6 if found["half"] else 12) * _small(found["count"] or "a")), text)
    text = _FEET.sub(lambda found: f"{written(12 * Fraction(found['feet']) + _mixed(found['inches']))} in", text)
    text = _PART_OF_IT.sub(r"\g<part> of", text)
    text = _TENTHS.sub(_fractions, text)
    text = _OUT_OF.sub(_part_of, text)
    return _RANGE.sub(" to ", text)


def _below_hundred(found: re.Match[str]) -> int:
    if found["teen"]:
        return 13 + _TEENS.index(found["teen"].lower())
    return 20 + 10 * _TENS.index(found["ten"].lower()) + (_small(found["one"]) if found["one"] else 0)


def _small(word: str) -> int:
    return 1 if word.lower() in ("a", "an") else 1 + _UNITS.index(word.lower())


def _mixed(text: str) -> Fraction:
    return sum((Fraction(part) for part in text.split()), Fraction(0))

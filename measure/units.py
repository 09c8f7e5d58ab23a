"""Lengths, areas and volumes in the units that a class uses: exact conversion, reading and writing.

Inside the code every length is a float in mm, every area in mm2, every volume in mm3.  One inch is 25.4 mm exactly
(US 16 CFR 500.19); one foot is 12 inches, never the retired survey foot.
"""

from __future__ import annotations

import math
import re
import unicodedata
from fractions import Fraction
from typing import Literal, get_args

Unit = Literal["in", "cm", "mm"]
"""The units that a challenge may be written in."""
LengthUnit = Literal["in", "cm", "mm", "ft", "m"]
"""All the units that a sentence or a hand measurement may use."""
UNITS: tuple[Unit, ...] = get_args(Unit)
LENGTH_UNITS: tuple[LengthUnit, ...] = get_args(LengthUnit)

MM_PER: dict[LengthUnit, float] = {"in": 25.4, "cm": 10.0, "mm": 1.0, "ft": 304.8, "m": 1000.0}
_TENTHS_OF_MM: dict[LengthUnit, float] = {unit: float(round(10 * size)) for unit, size in MM_PER.items()}

_WORDS: dict[str, LengthUnit] = {
    **dict.fromkeys(("in", "ins", "inch", "inches", '"', "″", "”", "''"), "in"),
    **dict.fromkeys(("cm", "cms", "centimetre", "centimetres", "centimeter", "centimeters"), "cm"),
    **dict.fromkeys(("mm", "mms", "millimetre", "millimetres", "millimeter", "millimeters"), "mm"),
    **dict.fromkeys(("ft", "foot", "feet", "'", "′", "’"), "ft"),
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), "m"),
}
_NAMES: dict[int, tuple[str, str, str]] = {2: ("sq", "square", "squared"), 3: ("cu", "cubic", "cubed")}
_NUMBER = re.compile(r"([+-]?)(?:(\d+)(?:\s+|\s*-\s*))?(\d+)\s*/\s*(\d+)|([+-]?(?:\d+\.?\d*|\.\d+))", re.ASCII)
_SUPERSCRIPT = {2: "²", 3: "³"}
_KINDS = {1: "length", 2: "area", 3: "volume"}
_EXAMPLES = {1: '"4 1/2 in" or "12 cm"', 2: '"12 sq in" or "30 square cm"', 3: '"200 cubic cm"'}


def to_mm(value: float, unit: LengthUnit) -> float:
    """Length in mm."""
    return _scaled_up(value, unit, 1)


def from_mm(mm: float, unit: LengthUnit) -> float:
    """Length in mm, in the unit."""
    return _scaled_down(mm, unit, 1)


def area_to_mm2(value: float, unit: LengthUnit) -> float:
    """Area in squares of the unit, in mm2."""
    return _scaled_up(value, unit, 2)


def area_from_mm2(mm2: float, unit: LengthUnit) -> float:
    """Area in mm2, in squares of the unit."""
    return _scaled_down(mm2, unit, 2)


def volume_to_mm3(value: float, unit: LengthUnit) -> float:
    """Volume in cubes of the unit, in mm3."""
    return _scaled_up(value, unit, 3)


def volume_from_mm3(mm3: float, unit: LengthUnit) -> float:
    """Volume in mm3, in cubes of the unit."""
    return _scaled_down(mm3, unit, 3)


def unit_named(word: str) -> LengthUnit | None:
    """The unit that a word or sign means ("inches", the double prime, "centimeter"), None where it is no unit."""
    return _WORDS.get(word.strip().rstrip(".").lower())


def parse_number(text: str) -> Fraction:
    """A number as people write it, exactly: `13.2`, `5 3/8`, `5-3/8`, `5⅜`, `3/4`, `-2`.

    Raises ValueError, saying what would be right, for anything else (a comma, an empty text, a division by zero).
    """
    plain = _without_vulgar_fractions(text).strip()
    found = _NUMBER.fullmatch(plain)
    if not found or len(plain) > 40:
        hint = ": write a decimal point, not a comma" if "," in text else ""
        raise ValueError(f'"{text.strip()[:40]}" is not a number such as 13.2 or 5 3/8{hint}')
    sign, whole, over, under, decimal = found.groups()
    if decimal:
        return Fraction(decimal)
    if int(under) == 0:
        raise ValueError(f'"{text.strip()}" divides by zero')
    size = Fraction(int(over), int(under)) + int(whole or 0)
    return -size if sign == "-" else size


def parse_length(text: str, default: LengthUnit | None = None) -> float:
    """Length in mm of a text such as `4 1/2 in`, `11.5cm` or, with a default unit, `4.5`.

    Raises ValueError, saying what would be right.
    """
    return _parsed(text, default, 1)


def parse_area(text: str, default: LengthUnit | None = None) -> float:
    """Area in mm2 of a text such as `12 sq in`, `30 square cm`, `30 cm²`, `12 in^2`; raises ValueError."""
    return _parsed(text, default, 2)


def parse_volume(text: str, default: LengthUnit | None = None) -> float:
    """Volume in mm3 of a text such as `200 cubic cm`, `200 cm³`, `12 cu in`; raises ValueError."""
    return _parsed(text, default, 3)


def format_length(mm: float, unit: LengthUnit, u95: float = 0.0) -> str:
    """Length and its expanded uncertainty, both in mm, as `5.38 in`, rounded to the uncertainty."""
    return f"{format_number(from_mm(mm, unit), from_mm(u95, unit))} {unit}"


def format_area(mm2: float, unit: LengthUnit, u95: float = 0.0) -> str:
    """Area and its expanded uncertainty, both in mm2, as `41.2 sq in`, rounded to the uncertainty."""
    return f"{format_number(area_from_mm2(mm2, unit), area_from_mm2(u95, unit))} sq {unit}"


def format_volume(mm3: float, unit: LengthUnit, u95: float = 0.0) -> str:
    """Volume and its expanded uncertainty, both in mm3, as `200 cubic cm`, rounded to the uncertainty."""
    return f"{format_number(volume_from_mm3(mm3, unit), volume_from_mm3(u95, unit))} cubic {unit}"


def format_number(value: float, u95: float = 0.0) -> str:
    """The value rounded to its expanded uncertainty; an exact value (u95 0) with up to six significant digits."""
    if u95 <= 0 or not math.isfinite(u95):
        return f"{value:.6g}" if abs(value) < 1e6 else f"{value:.0f}"
    places = decimals(u95)
    return f"{round(value, places) + 0.0:.{max(0, places)}f}"


def decimals(u95: float) -> int:
    """Decimal places to show beside an uncertainty (negative: tens, hundreds).

    The three leading digits decide (Particle Data Group, Review of Particle Physics, introduction, "Rounding"; from
    memory): 100 to 354 keep two digits, 355 to 949 one, 950 to 999 are rounded up to 1000 and keep two.
    """
    exponent = math.floor(math.log10(u95))
    leading = round(u95 / 10.0**exponent * 100)
    if leading >= 1000:
        exponent, leading = exponent + 1, 100
    if leading < 355:
        return 1 - exponent
    return -exponent


def _scaled_up(value: float, unit: LengthUnit, power: int) -> float:
    """By whole numbers, so that only one rounding is left: 25.4 itself is no binary number, 254 / 10 is exact."""
    return float(value * _TENTHS_OF_MM[unit] ** power / 10.0**power)


def _scaled_down(value: float, unit: LengthUnit, power: int) -> float:
    return float(value * 10.0**power / _TENTHS_OF_MM[unit] ** power)


def _parsed(text: str, default: LengthUnit | None, power: int) -> float:
    found = re.fullmatch(r"([-+.,/\d\s]*)(.*)", _without_vulgar_fractions(text), re.ASCII | re.DOTALL)
    number, words = (found[1].rstrip("- "), found[2].strip()) if found else (text, "")
    value = float(parse_number(number or text))
    unit = default if not words else _unit_of_power(words, power)
    if unit is None:
        raise ValueError(f'"{text.strip()[:60]}" is no {_KINDS[power]} with its unit: write it like {_EXAMPLES[power]}')
    return _scaled_up(value, unit, power)


def _unit_of_power(words: str, power: int) -> LengthUnit | None:
    """The unit in `sq in`, `square inches`, `in2`, `in²`, `in^2`, `inches squared`."""
    if power == 1:
        return unit_named(words)
    short, before, after = _NAMES[power]
    patterns = (
        rf"(?:{before}|{short}\.?)\s*(.+)",
        rf"(.+?)\s*(?:\^?{power}|{_SUPERSCRIPT[power]}|\s{after})",
    )
    for pattern in patterns:
        found = re.fullmatch(pattern, words, re.IGNORECASE)
        if found:
            return unit_named(found[1])
    return None


def _without_vulgar_fractions(text: str) -> str:
    """`5⅜` as `5 3/8`."""
    return "".join(_spelled_out(sign) for sign in text)


def _spelled_out(sign: str) -> str:
    if unicodedata.category(sign) != "No" or "⁄" not in unicodedata.normalize("NFKC", sign):
        return sign
    return " " + unicodedata.normalize("NFKC", sign).replace("⁄", "/")

"""One voice for what was measured: how picture, terminal, pages and paper say a value to a class.

A value has the class's unit and form: a mixed number to the mark of its ruler (halves to sixteenths), or a decimal no
finer than a class reads; a share is a fraction or a per cent, as its rule was written.  No form is finer than the
uncertainty. How certain a verdict is stands in words (`sure`, `nearly sure`, `cannot tell`); exact decimals with their
uncertainty are in result.json and the tables.  Where the mark would show a value at its limit, or beyond it, the words
are `just under` or `just over` the limit.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, Protocol

from measure.numbers import NumberStyle, mixed
from measure.units import decimals, format_number

Sureness = Literal["sure", "nearly sure", "cannot tell"]
SURE, NEARLY_SURE = 0.99, 0.95
"""The chance of a verdict (met, or not met) from which it is sure, and nearly sure."""
ShareForm = Literal["fraction", "per cent", "decimal"]

_DENOMINATORS: dict[NumberStyle, int] = {"whole": 1, "half": 2, "quarter": 4, "eighth": 8, "sixteenth": 16}
FRACTIONS = frozenset(_DENOMINATORS)
"""The forms of numbers that are fractions."""
_PLACES: dict[str, int] = {
    "": 2, "in": 2, "cm": 1, "mm": 0, "ft": 2, "m": 2, "sq in": 1, "sq cm": 1, "sq mm": 0,
    "cubic in": 1, "cubic cm": 0, "cubic mm": 0, "people": 0,
}  # fmt: skip
"""The finest decimals that a class reads of each unit; `_OTHER_PLACES` of others."""
_OTHER_PLACES = 2
_PER_CENT_PLACES, _SHARE_PLACES = 1, 3
_SHARE_DENOMINATORS = (1, 2, 3, 4, 5, 6, 8, 10, 12)
_PARTS = range(7, 51)
"""Lower numbers of fractions of which a class reads one part alone: 1/7, 1/13."""
_SHARE_NEAR, _LITTLE, _HARDLY = 0.03, 0.07, 0.01
"""Relative: how far a share may be from the fraction that is said for it, and from a limit to be a little, or just,
under or over it.
"""
_MOST_PARTS = 1000
"""What is smaller than one of so many parts of a whole is almost nothing."""
_INCH_MARKS = ("eighth", "sixteenth")
_METRIC = ("cm", "mm", "m")
"""No ruler has such marks in such units."""
_RATIO_DENOMINATOR = 8
"""Ratios are worked out, not read from a ruler: no class of fractions hears them in coarser ones."""
_FINEST_DENOMINATOR = 16
_SMALL_DENOMINATOR = 16
"""The largest lower number of an exact fraction that a class reads."""
_EQUAL = 1e-9


class Measured(Protocol):
    """What the voice needs of a quantity: its value and its expanded uncertainty."""

    @property
    def value(self) -> float:
        """The measured value."""
        ...

    @property
    def u95(self) -> float:
        """The expanded uncertainty."""
        ...


@dataclass(frozen=True)
class Known:
    """A value with its expanded uncertainty, to be said."""

    value: float
    u95: float = 0.0


@dataclass(frozen=True)
class End:
    """An end of a limit: its number in the value's unit, and how it is said."""

    value: float
    text: str


@dataclass(frozen=True)
class _Shown:
    """A number as it is shown, and the number that this is."""

    text: str
    number: float


def value_said(quantity: Measured, unit: str, style: NumberStyle = "percent", limits: Sequence[End] = ()) -> str:
    """A measured value as the class reads it: `41 1/4 sq in`, `16.3%`, `about 240 sq cm`, `just over 4 1/2 in`.

    unit "%" takes a share (0.163); unit "" is a bare number (a ratio). `about` says that the uncertainty allows no
    finer number. limits are the ends that the value is held against.
    """
    if unit == "%":
        return share_said(quantity, "decimal" if style == "decimal" else "per cent", limits)
    denominator = None if style in _INCH_MARKS and unit.endswith(_METRIC) else _DENOMINATORS.get(style)
    if denominator is None:
        return _beside(
            quantity.value, _decimal(quantity, _PLACES.get(unit, _OTHER_PLACES)), f" {unit}".rstrip(), limits
        )
    if not unit and 0 < quantity.value < 1 / _FINEST_DENOMINATOR:
        return _beside(quantity.value, _one_part(quantity.value), "", limits)
    finest = denominator if unit else max(denominator, _RATIO_DENOMINATOR)
    while finest < _FINEST_DENOMINATOR and _is_far_from_what_it_shows(quantity, finest, limits):
        finest *= 2
    shown = _to_the_mark(quantity.value, quantity.u95, finest)
    if finest != denominator and unit and not shown.text.startswith("about"):
        shown = _Shown(f"about {shown.text}", shown.number)
    return _beside(quantity.value, shown, f" {unit}".rstrip(), limits)


def _is_far_from_what_it_shows(quantity: Measured, denominator: int, limits: Sequence[End]) -> bool:
    """Whether `just under` an end would be said of what every ruler shows to be far from it: 0.79 ft of 1 ft."""
    said = _beside(quantity.value, _to_the_mark(quantity.value, quantity.u95, denominator), "", limits)
    end = next((end for end in limits if said in (f"just under {end.text}", f"just over {end.text}")), None)
    return end is not None and abs(quantity.value - end.value) > _LITTLE * abs(end.value)


def _one_part(value: float) -> _Shown:
    """`about 1/40`, of what is smaller than the marks; `almost 0` of what is next to nothing."""
    if value < 1 / _MOST_PARTS:
        return _Shown("0", 0.0)
    parts = round(1 / value)
    step = 10 ** max(0, len(str(parts)) - 2)
    parts = round(parts / step) * step
    return _Shown(f"about 1/{parts}", 1 / parts)


def difference_said(before: Measured, after: Measured, unit: str, style: NumberStyle) -> str:
    """How far two values are apart as they are said, so that a class that subtracts them finds the same."""
    denominator = _DENOMINATORS.get(style)
    shown = [
        _decimal(value, _PLACES.get(unit, _OTHER_PLACES))
        if denominator is None
        else _to_the_mark(value.value, value.u95, denominator)
        for value in (before, after)
    ]
    apart = abs(Fraction(shown[1].number).limit_denominator(10000) - Fraction(shown[0].number).limit_denominator(10000))
    about = "about " if any(each.text.startswith("about") for each in shown) else ""
    return f"{about}{format_number(float(apart)) if denominator is None else mixed(apart)} {unit}".rstrip()


def share_said(quantity: Measured, form: ShareForm, limits: Sequence[End] = ()) -> str:
    """A share of the parcel (0.163) in the form that its rule has: `about 1/6`, `16.3%`, `0.163`."""
    if form == "fraction":
        return _near_a_limit(quantity.value, limits) or _beside(
            quantity.value, _fraction_of_a_whole(quantity), "", limits
        )
    if form == "decimal":
        return _beside(quantity.value, _decimal(quantity, _SHARE_PLACES), "", limits)
    per_cent = _decimal(Known(100 * quantity.value, 100 * quantity.u95), _PER_CENT_PLACES)
    return _beside(quantity.value, _Shown(per_cent.text, per_cent.number / 100), "%", limits)


def reckoned_said(value: float, unit: str, style: NumberStyle = "percent") -> str:
    """An exact number, worked out and not measured: `50 2/5 sq in` where a class reads fractions, `50.4 sq in`.

    What is no small fraction is `just over` or `just under` the nearest mark: it may be a limit.
    """
    denominator = _DENOMINATORS.get(style)
    if denominator is None:
        return f"{format_number(value)} {unit}".rstrip()
    part = Fraction(value).limit_denominator(_SMALL_DENOMINATOR)
    if abs(float(part) - value) > _EQUAL * max(1.0, abs(value)):
        mark = Fraction(math.floor(value * denominator + 0.5), denominator)
        return f"just {'over' if value > mark else 'under'} {mixed(mark)} {unit}".rstrip()
    return f"{mixed(part)} {unit}".rstrip()


def sureness(chance: float) -> Sureness:
    """How certain the verdict is that follows from the chance of a rule's being met.

    `sure` from a chance of 0.99 that it is as the verdict says, `nearly sure` for the rest of what has a verdict, else
    `cannot tell` (too close to call).
    """
    certain = max(chance, 1.0 - chance)
    if certain >= SURE - _EQUAL:
        return "sure"
    return "nearly sure" if certain >= NEARLY_SURE - _EQUAL else "cannot tell"


def _beside(value: float, shown: _Shown, unit: str, limits: Sequence[End]) -> str:
    """The number with its unit; `just under` or `just over` an end that it seems to be at, or on the wrong side of."""
    for end in sorted(limits, key=lambda end: abs(end.value - value)):
        slack = _EQUAL * max(1.0, abs(end.value))
        if abs(value - end.value) <= slack:
            return end.text
        if abs(shown.number - end.value) <= slack or (shown.number > end.value) != (value > end.value):
            return f"just {'over' if value > end.value else 'under'} {end.text}"
    if value and not shown.number:
        return f"almost 0{unit}"
    return f"{shown.text}{unit}"


def _near_a_limit(share: float, limits: Sequence[End]) -> str:
    """`just under 1/5`, `a little over 1/12`: a fraction between would say less to a class."""
    for end in sorted(limits, key=lambda end: abs(end.value - share)):
        apart = abs(share - end.value)
        if apart <= _EQUAL:
            return end.text
        if apart <= _LITTLE * end.value:
            how = "just" if apart <= _HARDLY * end.value else "a little"
            return f"{how} {'over' if share > end.value else 'under'} {end.text}"
    return ""


def _to_the_mark(value: float, u95: float, denominator: int) -> _Shown:
    """The nearest mark of the class's ruler; `about` and another one where the uncertainty is wider than its step, or
    the value is too small for it.
    """
    asked = denominator
    while denominator > 1 and u95 > 1 / denominator:
        denominator //= 2
    if denominator == 1 and u95 > 1:
        tens = 10.0 ** math.floor(math.log10(u95))
        nearest = round(value / tens) * tens
        return _Shown(f"about {nearest:.0f}", nearest)
    while value > 0 and value * denominator < 0.5 and denominator < _FINEST_DENOMINATOR:
        denominator *= 2
    mark = Fraction(math.floor(value * denominator + 0.5), denominator)
    return _Shown(f"{'' if denominator == asked else 'about '}{mixed(mark)}", float(mark))


def _decimal(quantity: Measured, finest: int) -> _Shown:
    """No finer than the class reads, nor than the uncertainty; noughts at the end are left off."""
    known = quantity.u95 > 0 and math.isfinite(quantity.u95)
    places = min(finest, decimals(quantity.u95)) if known else finest
    number = round(quantity.value, places) + 0.0
    text = f"{number:.{max(0, places)}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return _Shown(f"about {text}" if places < 0 else text, number)


def _fraction_of_a_whole(share: Measured) -> _Shown:
    """The fraction with the smallest lower number that is near; else the nearest, which it is a little under or over.

    `about` says that the fraction is not the value.
    """
    near = [Fraction(round(share.value * under), under) for under in _SHARE_DENOMINATORS]
    near = [part for part in [*near, *(Fraction(1, under) for under in _PARTS)] if part]
    allowed = max(_SHARE_NEAR * abs(share.value), share.u95 / 2)
    part = next((part for part in near if abs(float(part) - share.value) <= allowed), None)
    if part is not None:
        exact = abs(float(part) - share.value) <= max(share.u95, _EQUAL)
        return _Shown(mixed(part) if exact else f"about {mixed(part)}", float(part))
    if share.value < 1 / _PARTS[-1]:
        return _one_part(share.value)
    part = min(near, key=lambda part: abs(float(part) - share.value))
    return _Shown(f"a little {'over' if share.value > part else 'under'} {mixed(part)}", float(part))

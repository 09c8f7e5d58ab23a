"""Limits and questions as a class reads them on sheets."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from measure.numbers import mixed
from measure.rules.amounts import Amount, Limit
from measure.rules.setting import Setting
from measure.rules.told import the
from measure.rules.zone_groups import Group, listed
from measure.units import area_from_mm2
from measure.voice import reckoned_said

SQUARE = {"in": "square inches", "cm": "square cm", "mm": "square mm", "ft": "square feet", "m": "square metres"}
_SMALL_DENOMINATOR = 16
_TIMES = " times"


@dataclass(frozen=True)
class Asked:
    """A question, its answer, and how one gets there."""

    text: str
    answer: str
    working: str


def amount_text(amount: Amount) -> str:
    """An amount as children read it: `4 1/2 in`, `1/5`, `20%`, `11.5 cm`."""
    small = amount.number.denominator <= _SMALL_DENOMINATOR
    imperial = amount.unit in ("in", "ft")
    share = amount.measure == "number" and amount.number < 1 and amount.number.denominator <= 100
    if share or (small and imperial):
        return f"{mixed(amount.number)} {amount.unit_text}".rstrip()
    return str(amount)


def limit_text(limit: Limit, suffix: str = "") -> str:
    """A limit as children read it: `at most 1/5 of the parcel`, `between 20% and 30%`; suffix follows the number."""
    if limit.upper is not None:
        return f"between {amount_text(limit.amount)} and {amount_text(limit.upper)}{suffix}"
    tolerance = f", within {amount_text(limit.tolerance)}" if limit.tolerance else ""
    if suffix.startswith(_TIMES) and limit.amount.number == 1:
        as_much = limit.relation if limit.strict else f"{limit.relation} as much as"
        return f"{as_much}{suffix[len(_TIMES) :]}{tolerance}"
    return f"{limit.relation} {amount_text(limit.amount)}{suffix}{tolerance}"


def number_text(value: float, unit: str, setting: Setting) -> str:
    """An exact number in the class's own form."""
    return reckoned_said(value, unit, setting.numbers)


def group_text(group: Group) -> str:
    """Who a rule is about, as children read it."""
    if group.mode in ("every", "other"):
        return "each zone" if group.mode == "every" else "another zone"
    if group.mode == "together" and group.names:
        return f"{listed([the(name) for name in group.names])}{' together' if len(group.names) > 1 else ''}"
    return str(group)


def how_many(limit: Limit, what: str, who: str) -> str:
    """The question for the number that a limit with one end is."""
    if limit.relation == "at most":
        return f"How many {what} may {who} take at most?"
    if limit.relation == "at least":
        return f"How many {what} must {who} take at least?"
    if limit.strict:
        return f"{capital(who)} must take {limit.relation} how many {what}?"
    return f"How many {what} must {who} take?"


def parcel_area(setting: Setting) -> float:
    """The parcel's area in squares of the class's unit."""
    return area_from_mm2(setting.parcel.area, setting.unit)


def ends_of(limit: Limit) -> list[float]:
    """The ends that a limit has, in its own unit."""
    return [end for end in (limit.low, limit.high) if end is not None]


def in_sentences(told: Iterable[str]) -> str:
    """What was told as sentences with capital letters and full stops; what is empty is left out."""
    return " ".join(f"{capital(part)}." for part in told if part)


def capital(text: str) -> str:
    """With a capital letter first."""
    return text[:1].upper() + text[1:]

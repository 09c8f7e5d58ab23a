"""How a verdict is told to a class: who it is about, the measured value and the limit in the class's own form."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from measure.numbers import NumberStyle, mixed, written
from measure.plat.measures import piece_of
from measure.rules.amounts import Amount, Limit
from measure.rules.verdict import Outcome
from measure.rules.zone_groups import WHOLE_MODEL, Group, listed
from measure.voice import FRACTIONS, End, Known, ShareForm, share_said, value_said

_SMALL_DENOMINATOR = 16
_REPEATED = ("each", "every", "other", "pieces", "some", "another")
Told = tuple[str, str]
"""What was found, and what must be: two sentences without capital letter and full stop."""


@dataclass(frozen=True)
class Noun:
    """Who a sentence is about: `the homes`, `piece 2 of the orchard`; repeated: one of several of the rule."""

    text: str
    plural: bool
    repeated: bool = False

    def __str__(self) -> str:
        return self.text

    @property
    def are(self) -> str:
        """`is`, `are`."""
        return "are" if self.plural else "is"

    def verb(self, plain: str, ending: str = "s") -> str:
        """`cover`, `covers`."""
        return plain if self.plural else f"{plain}{ending}"

    @property
    def they(self) -> str:
        """Who must keep the limit: `they`, `it`, or `each` of several."""
        return "each" if self.repeated else "they" if self.plural else "it"


@dataclass(frozen=True)
class Teller:
    """An outcome in the class's form of numbers; share is the form in which the rule's sentence has its share."""

    outcome: Outcome
    limit: Limit | None
    numbers: NumberStyle
    share: ShareForm

    @property
    def number(self) -> float:
        """The measured value."""
        return self.outcome.value or 0.0

    def value(self, unit: str | None = None, number: float | None = None) -> str:
        """The measured value (or another number in its place) beside the limit: `just under 4 1/2 in`."""
        known = Known(self.number if number is None else number, self.outcome.u95 or 0.0)
        if unit == "%":
            return share_said(known, self.share, self.ends)
        return value_said(known, self.outcome.unit if unit is None else unit, self.numbers, self.ends)

    @property
    def times(self) -> str:
        """`1 1/8 times as`, before `large as`; `as` where it is just as much."""
        value = self.value("")
        return "as" if value in ("1", "about 1") else f"{value} times as"

    @property
    def ends(self) -> tuple[End, ...]:
        """The ends of the rule's limit, as they are said."""
        return () if self.limit is None else ends_said(self.limit, self.numbers, self.share)

    @property
    def play(self) -> str:
        """The limit of a rule whose sentence names none."""
        limit = self.outcome.limit
        return value_said(Known(limit if isinstance(limit, float | int) else 0.0), self.outcome.unit, self.numbers)

    @property
    def but_for_play(self) -> str:
        """What does not count yet; nothing where the class's mark is too coarse to say it."""
        return "" if self.play.split()[0] in ("0", "almost") else f"; up to {self.play} does not count"

    @property
    def give_or_take(self) -> str:
        """The limit's tolerance, after it; empty where there is none."""
        return "" if self.limit is None else _give_or_take(self.limit, self.numbers)

    def asked(self, suffix: str = "") -> str:
        """The limit: `at least 4 1/2 in`, `between 1/5 and 1/4`; suffix follows its last number."""
        assert self.limit is not None
        return limit_said(self.limit, self.numbers, self.share, suffix)


def ends_said(limit: Limit, numbers: NumberStyle, share: ShareForm) -> tuple[End, ...]:
    """The ends of a limit, as the class reads them; of one with a tolerance also what it still allows."""
    amounts = [amount for amount in (limit.amount, limit.upper) if amount is not None]
    if limit.tolerance is not None and not (limit.amount.measure == "percent" and share == "fraction"):
        amounts += [replace(limit.amount, number=number) for number in _still_allowed(limit.amount, limit.tolerance)]
    return tuple(End(amount.value, amount_said(amount, numbers, share)) for amount in amounts)


def _still_allowed(amount: Amount, tolerance: Amount) -> tuple[Fraction, Fraction]:
    off = tolerance.in_unit_of(amount).number
    if tolerance.measure == "percent":
        off = amount.number * tolerance.number / 100
    return amount.number - off, amount.number + off


def limit_said(limit: Limit, numbers: NumberStyle, share: ShareForm, suffix: str = "") -> str:
    """A limit as the class reads it."""
    low = amount_said(limit.amount, numbers, share)
    if limit.upper is not None:
        return f"between {low} and {amount_said(limit.upper, numbers, share)}{suffix}"
    return f"{limit.relation} {low}{suffix}{_give_or_take(limit, numbers)}"


def _give_or_take(limit: Limit, numbers: NumberStyle) -> str:
    """A per cent of the limit stays one, however a share is said."""
    return "" if limit.tolerance is None else f", give or take {amount_said(limit.tolerance, numbers, 'per cent')}"


def amount_said(amount: Amount, numbers: NumberStyle, share: ShareForm) -> str:
    """An amount of a rule as the class reads it: `1/5`, `20%`, `4 1/2 in`, `1 2/5`."""
    if amount.measure == "percent" and share != "per cent":
        part = amount.number / 100
        return mixed(part) if share == "fraction" else written(part)
    small = amount.number.denominator <= _SMALL_DENOMINATOR
    below_one = amount.measure == "number" and amount.number < 1
    fractions = numbers in FRACTIONS or (numbers != "decimal" and (amount.unit in ("in", "ft") or below_one))
    if small and fractions and amount.measure not in ("percent", "points"):
        return f"{mixed(amount.number)} {amount.unit_text}".rstrip()
    return str(amount)


def share_form(text: str) -> ShareForm:
    """The form in which a rule's sentence has its share: `20%` per cent, `0.2` a decimal, `1/5` a fraction."""
    text = re.split(r"\bwithin\b|plus or minus|±|\+-", text, flags=re.IGNORECASE)[0]
    if in_per_cent(text):
        return "per cent"
    return "decimal" if re.search(r"\.\d", text) and "/" not in text else "fraction"


def in_per_cent(text: str) -> bool:
    """Whether a sentence speaks of per cent."""
    return "%" in text or "cent" in text.casefold()


def subject_of(group: Group, over: Sequence[str]) -> Noun:
    """Who was measured: the group, or of a rule about several one by one the one that decided (the first in over)."""
    if group.mode == "all":
        return Noun("all zones together", plural=True)
    if group == WHOLE_MODEL:
        return Noun("all structures together", plural=True)
    if group.mode in _REPEATED and over:
        return replace(noun(over[0]), repeated=True)
    if len(group.names) > 1:
        return Noun(f"{listed([the(name) for name in group.names])} together", plural=True)
    return noun(group.names[0]) if group.names else Noun("all of it", plural=False)


def _other_of(group: Group, over: Sequence[str], subject: Group) -> Noun:
    """What it is compared with: the group, or the one of several that decided, which follows the subject in over."""
    before = 1 if subject.mode in _REPEATED else len(subject.names)
    if group.mode in _REPEATED and len(over) > before:
        return noun(over[before])
    return replace(subject_of(group, ()), repeated=False)


def both_of(subject: Group, other: Group, over: Sequence[str]) -> tuple[Noun, Noun]:
    """Who was measured, and what that is compared with."""
    return subject_of(subject, over), _other_of(other, over, subject)


def noun(name: str) -> Noun:
    """One zone, or one piece of a zone."""
    zone, piece = piece_of(name)
    if piece is not None:
        return Noun(f"piece {piece} of {the(zone)}", plural=False)
    return Noun(the(name), Group((name,)).plural)


def counted(number: float, one: str, several: str) -> str:
    """`1 piece`, `3 pieces`, `no pieces`."""
    whole = Fraction(number).limit_denominator(1)
    return f"{whole or 'no'} {one if whole == 1 else several}"


def so_many_of(group: Group, number: float) -> str:
    """Of how many things of a group that is counted something is so: `2 other zones`, `no pieces of the homes`."""
    of = f" of {listed([the(name) for name in group.names])}" if group.names else ""
    thing = f"{'other ' if group.mode == 'another' else ''}{'piece' if group.names else 'zone'}"
    return counted(number, f"{thing}{of}", f"{thing}s{of}")


def the(name: str) -> str:
    """`the library`; a name that begins with an article keeps it."""
    return name if name.casefold().startswith(("the ", "our ", "my ")) else f"the {name}"

"""What a team is told of its hand measurements: agrees, look again, or why a number was not compared.

The answers are worked out anew from the numbers as they were sent, in their order; so after an outline was repaired the
same numbers get the answers that they deserve, and nobody wins a try by it.

So that trying is no way to the photo's value:

- Tries are counted by what is measured (`subject`), whoever measures, however, and in whatever unit it is written. A
  zone's area and its share are one subject, and so are a zone and its only piece, and a gap from either end.
- The same number again, by another method or in another unit, is neither compared nor counted.
- Once a number agrees, later ones are kept for the team's median and range, and not compared: how far from the value
  numbers still agree is not told either.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

from measure.hand.hand_comparison import Checked, Comparing
from measure.hand.mistakes.hints import SMALLER_SQUARES, hints_for
from measure.hand.values.hand_table import HandRow
from measure.hand.values.true_values import ModelTruth, Target
from measure.units import MM_PER

Word = Literal["agrees", "look again", "same number", "agreed before", "no try left", "nothing there", "waiting"]
"""`waiting`: the team's model was not photographed yet."""
_SAME_LENGTH = 1.0
"""Divisions: lengths nearer than this are the same reading (common practice, no source)."""
_SAME_PART = 0.01
"""Of a number that was worked out: nearer ones are the same (common practice, no source)."""
_EXACT = 1e-9


@dataclass(frozen=True)
class Sent:
    """A number that a team sent, and the initials beside it; asked is False where it came when no try was left."""

    id: int
    row: HandRow
    asked: bool = True
    who: str = ""


@dataclass(frozen=True)
class Answer:
    """What is said of one number; subject is what it measures, left is how many tries of that are left after it."""

    sent: Sent
    word: Word
    subject: str
    left: int
    hints: tuple[str, ...] = ()
    checked: Checked | None = None


@dataclass
class _Subject:
    """What was sent of one subject so far."""

    compared: list[HandRow] = field(default_factory=list)
    agreed: bool = False


class Model:
    """A team's measured model, to compare numbers with; what was worked out once is kept."""

    def __init__(self, truth: ModelTruth) -> None:
        self.truth = truth
        self._comparing = Comparing((truth,))
        self._checked: dict[HandRow, Checked] = {}

    def checked(self, row: HandRow) -> Checked:
        """The number against the photo's."""
        if row not in self._checked:
            self._checked[row] = self._comparing.checked(row, row.team, self.truth)
        return self._checked[row]

    def value(self, target: Target) -> float | None:
        """The photo's value in mm, mm2, mm3 or as a share."""
        found = self.truth.estimate(target)
        return None if found is None else found.value


def answers(
    numbers: Iterable[Sent], model: Model | None, tries: int, more: Mapping[str, int] | None = None
) -> list[Answer]:
    """The answer to every number, in the order sent; tries is how often each subject may be tried, more by subject."""
    seen: dict[str, _Subject] = {}
    found = []
    for sent in numbers:
        name = subject(sent.row, model)
        so_far = seen.setdefault(name, _Subject())
        most = tries + (more or {}).get(name, 0)
        found.append(_answer(sent, name, so_far, model, most))
    return found


def _answer(sent: Sent, name: str, so_far: _Subject, model: Model | None, most: int) -> Answer:
    left = 0 if so_far.agreed else most - len(so_far.compared)
    if so_far.agreed:
        return Answer(sent, "agreed before", name, 0)
    if any(_same(sent.row, earlier) for earlier in so_far.compared):
        return Answer(sent, "same number", name, left)
    if not sent.asked or left <= 0:
        return Answer(sent, "no try left", name, left)
    if model is None:
        so_far.compared.append(sent.row)
        return Answer(sent, "waiting", name, left - 1)
    checked = model.checked(sent.row)
    if checked.too_coarse:
        return Answer(sent, "look again", name, left, (SMALLER_SQUARES,), checked)
    if checked.agrees is None:
        return Answer(sent, "nothing there", name, left)
    so_far.compared.append(sent.row)
    if checked.agrees:
        so_far.agreed = True
        return Answer(sent, "agrees", name, 0, checked=checked)
    return Answer(sent, "look again", name, left - 1, hints_for(checked.likely, checked.row.quantity), checked)


def _same(row: HandRow, earlier: HandRow) -> bool:
    """Whether two numbers of one subject are the same reading. Nothing of the photo's may decide this."""
    if row.power == 1:
        apart = abs((row.value or 0.0) * row.scale - (earlier.value or 0.0) * earlier.scale)
        return apart < _SAME_LENGTH * row.division * MM_PER[row.unit] * (1 - _EXACT)
    if row.power != earlier.power:
        return False  # an area and a share: the parcel's area stands between them, and children round it
    a, b = ((one.value or 0.0) * one.scale for one in (row, earlier))
    return abs(a - b) < _SAME_PART * max(a, b)


def subject(row: HandRow, model: Model | None = None) -> str:
    """What a row measures, in one name for all ways of asking for it."""
    target = Target(row.quantity, row.zone, row.piece, row.side, row.other)
    if row.quantity == "share":
        target = replace(target, quantity="area")
    if model is not None:
        target = _widest(target, model)
    if row.quantity == "gap":
        return min(_names_of_gap(target, model))
    return _name(target)


def _widest(target: Target, model: Model) -> Target:
    """A piece that gives what the whole zone gives is the whole zone: its only one, the nearest, the tallest."""
    whole = replace(target, piece=None)
    own, all_ = (model.value(each) for each in (target, whole))
    return whole if own is not None and all_ is not None and abs(own - all_) <= _EXACT * max(1.0, own) else target


def _names_of_gap(target: Target, model: Model | None) -> Iterator[str]:
    """A gap's name from here, and from its other end where that gives the same gap."""
    yield _name(target)
    if target.piece is None:
        yield _name(replace(target, zone=target.other, other=target.zone))
    elif model is not None:
        own = model.value(target)
        for piece in range(1, model.truth.pieces(target.other) + 1):
            other_way = Target("gap", target.other, piece, None, target.zone)
            found = model.value(other_way)
            if own is not None and found is not None and abs(own - found) <= _EXACT * max(1.0, own):
                yield _name(other_way)


def _name(target: Target) -> str:
    parts = (target.quantity, target.zone, str(target.piece or ""), str(target.side or ""), target.other)
    return "|".join(parts)

"""What a formula says of one plat: comparisons of numbers, and what is put together of them.

Every event holds surely, or possibly: the two differ where something is unknown, and only then.
"""
# ruff: noqa: D102  (what an event offers is explained in Event)

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from measure.conformity import ROUNDING
from measure.quantity import FloatArray
from measure.rules.formula.judging.joint_draws import JointDraws
from measure.rules.formula.judging.numbers_found import Number, Pair, Reach
from measure.rules.formula.judging.numbers_reckoned import added
from measure.rules.verdict import StatedLimit, Unknown

Bools = NDArray[np.bool_]
Holding = tuple[Bools, Bools]
_WHOLE = 1e-9


class Event(ABC):
    """Something that holds of a plat or not."""

    @property
    @abstractmethod
    def known(self) -> bool | None:
        """Whether it surely holds, or surely does not; None where that is uncertain or unknown."""

    @abstractmethod
    def measured(self) -> bool:
        """Whether it holds of the measured values."""

    @abstractmethod
    def draw(self, draws: JointDraws) -> Holding:
        """Whether it surely, and whether it possibly, holds in every draw; arrays (n,) or of one element."""

    def below(self) -> tuple[Event, ...]:
        """The events that it is made of."""
        return ()

    def numbers(self) -> Iterator[Number]:
        """The numbers that decide it, and are not decided already."""
        if self.known is None:
            for part in self.below():
                yield from part.numbers()


@dataclass(frozen=True)
class Certain(Event):
    """What holds, or does not, whatever is measured."""

    holds: bool

    @cached_property
    def known(self) -> bool:
        return self.holds

    def measured(self) -> bool:
        return self.holds

    def draw(self, draws: JointDraws) -> Holding:
        made = np.array([self.holds])
        return made, made


@dataclass(frozen=True)
class Unclear(Event):
    """What the plat does not tell."""

    unknown: Unknown

    @cached_property
    def known(self) -> None:
        return None

    def measured(self) -> bool:
        return False

    def draw(self, draws: JointDraws) -> Holding:
        return np.array([False]), np.array([True])


@dataclass(frozen=True)
class Shown:
    """How a comparison is reported: the unit of its value, mm (mm2, mm3) per unit, the limit as stated.

    what: the value itself; how far it is below 0 ("depth") or above it ("gap").
    """

    unit: str = ""
    scale: float = 1.0
    limit: StatedLimit = None
    what: Literal["value", "depth", "gap"] = "value"
    label: str = "{}"


@dataclass(frozen=True, eq=False)
class Compared(Event):
    """A number lies from low to high (None: no limit); strict: it is not at the limit."""

    of: Number
    low: Number | None = None
    high: Number | None = None
    strict: bool = False
    shown: Shown = field(default_factory=Shown)

    def gaps(self) -> tuple[Number, ...]:
        """What must not be below 0: how far it is above the low limit, and below the high one."""
        above = () if self.low is None else (added((self.of, self.low), (1.0, -1.0)),)
        below = () if self.high is None else (added((self.high, self.of), (1.0, -1.0)),)
        return (*above, *below)

    @cached_property
    def known(self) -> bool | None:
        sure = True
        for limit, gap in zip(self._limits(), self.gaps(), strict=True):
            low, high = gap.reach
            room = ROUNDING * max(1.0, abs(limit.value) if math.isfinite(limit.value) else 1.0)
            room = -room if self.strict else room
            if high < -room:
                return False
            sure = sure and (low > -room if self.strict else low >= -room)
        return True if sure else None

    def measured(self) -> bool:
        value = self.of.value
        room = ROUNDING * max(1.0, *(abs(limit.value) for limit in self._limits()))
        room = -room if self.strict else room
        return all(sign * (value - limit.value) >= -room for limit, sign in self._signed())

    def draw(self, draws: JointDraws) -> Holding:
        surely, possibly = np.array([True]), np.array([True])
        low, high = self.of.draw(draws)
        for limit, sign in self._signed():
            first, last = limit.draw(draws)
            room = ROUNDING * np.maximum(1.0, np.where(np.isfinite(first), abs(first), 1.0))
            room = -room if self.strict else room
            least, most = (low - last, high - first) if sign > 0 else (first - high, last - low)
            surely, possibly = surely & (least >= -room), possibly & (most >= -room)
        return surely, possibly

    def _signed(self) -> Iterator[tuple[Number, int]]:
        if self.low is not None:
            yield self.low, 1
        if self.high is not None:
            yield self.high, -1

    def _limits(self) -> tuple[Number, ...]:
        return tuple(limit for limit, _ in self._signed())

    def numbers(self) -> Iterator[Number]:
        if self.known is None:
            yield from (self.of, *self._limits())


@dataclass(frozen=True)
class AllOf(Event):
    """All of them hold."""

    parts: tuple[Event, ...]

    def below(self) -> tuple[Event, ...]:
        return self.parts

    @cached_property
    def known(self) -> bool | None:
        found = [part.known for part in self.parts]
        if any(known is False for known in found):
            return False
        return True if all(found) else None

    def measured(self) -> bool:
        return all(part.measured() for part in self.parts)

    def draw(self, draws: JointDraws) -> Holding:
        surely, possibly = np.array([True]), np.array([True])
        for part in self.parts:
            first, last = _drawn(part, draws)
            surely, possibly = surely & first, possibly & last
        return surely, possibly


@dataclass(frozen=True)
class AnyOf(Event):
    """At least one of them holds. amiss: what is to blame where none does (none given: all of them)."""

    parts: tuple[Event, ...]
    amiss: tuple[Event, ...] = ()

    def below(self) -> tuple[Event, ...]:
        return self.parts

    @cached_property
    def known(self) -> bool | None:
        found = [part.known for part in self.parts]
        if any(found):
            return True
        return False if all(known is False for known in found) else None

    def measured(self) -> bool:
        return any(part.measured() for part in self.parts)

    def draw(self, draws: JointDraws) -> Holding:
        surely, possibly = np.array([False]), np.array([False])
        for part in self.parts:
            first, last = _drawn(part, draws)
            surely, possibly = surely | first, possibly | last
        return surely, possibly


@dataclass(frozen=True)
class Not(Event):
    """It does not hold."""

    of: Event

    def below(self) -> tuple[Event, ...]:
        return (self.of,)

    @cached_property
    def known(self) -> bool | None:
        found = self.of.known
        return None if found is None else not found

    def measured(self) -> bool:
        return not self.of.measured()

    def draw(self, draws: JointDraws) -> Holding:
        surely, possibly = _drawn(self.of, draws)
        return ~possibly, ~surely


@dataclass(frozen=True)
class WholeMultiple(Event):
    """A count is a multiple of a number."""

    of: Number
    number: int

    @cached_property
    def known(self) -> bool | None:
        low, high = self.of.reach
        return _is_multiple(low, self.number) if low == high else None

    def measured(self) -> bool:
        return _is_multiple(self.of.value, self.number)

    def draw(self, draws: JointDraws) -> Holding:
        low, high = self.of.draw(draws)
        same = np.isfinite(low) & (low == high)
        share = np.where(same, low, 0.0) / self.number
        holds = abs(share - np.round(share)) < _WHOLE
        return same & holds, ~same | holds

    def numbers(self) -> Iterator[Number]:
        if self.known is None:
            yield self.of


@dataclass(frozen=True)
class Linked(Event):
    """Things hang together: a chain of pairs that hold leads from each to each; pairs[i] are those of i with j > i."""

    pairs: tuple[tuple[Event, ...], ...]

    def below(self) -> tuple[Event, ...]:
        return tuple(event for row in self.pairs for event in row)

    @cached_property
    def known(self) -> bool | None:
        found = [[event.known for event in row] for row in self.pairs]
        surely = self._chained([[np.array([known is True]) for known in row] for row in found])
        possibly = self._chained([[np.array([known is not False]) for known in row] for row in found])
        return True if surely.all() else None if possibly.all() else False

    def measured(self) -> bool:
        return bool(self._chained([[np.array([event.measured()]) for event in row] for row in self.pairs]).all())

    def draw(self, draws: JointDraws) -> Holding:
        drawn = [[_drawn(event, draws) for event in row] for row in self.pairs]
        surely, possibly = (self._chained([[pair[at] for pair in row] for row in drawn]) for at in (0, 1))
        return surely, possibly

    def _chained(self, pairs: Sequence[Sequence[Bools]]) -> Bools:
        """Whether each is reached from the first, in every draw."""
        count = len(self.pairs)
        reached = [np.array([at == 0]) for at in range(count)]
        for _ in range(count):
            for i, row in enumerate(pairs):
                for j, holds in enumerate(row, i + 1):
                    reached[j] = reached[j] | (reached[i] & holds)
                    reached[i] = reached[i] | (reached[j] & holds)
        return np.asarray(np.logical_and.reduce(np.broadcast_arrays(*reached)))


@dataclass(frozen=True)
class Tally(Number):
    """How many of the cases hold; more: there may be others that were not seen."""

    cases: tuple[Event, ...]
    more: bool = False

    @cached_property
    def reach(self) -> Reach:
        found = [case.known for case in self.cases]
        low, high = sum(known is True for known in found), sum(known is not False for known in found)
        return float(low), math.inf if self.more else float(high)

    def draw(self, draws: JointDraws) -> Pair:
        low: FloatArray = np.zeros(1)
        high: FloatArray = np.array([math.inf if self.more else 0.0])
        for case in self.cases:
            surely, possibly = _drawn(case, draws)
            low, high = low + surely, high + possibly
        return low, high

    @property
    def value(self) -> float:
        return float(sum(case.measured() for case in self.cases))

    def leaves(self) -> Iterator[Number]:
        for case in self.cases:
            for number in case.numbers():
                yield from number.leaves()


def _drawn(event: Event, draws: JointDraws) -> Holding:
    """Without drawing where it is known."""
    known = event.known
    if known is None:
        return event.draw(draws)
    made = np.array([known])
    return made, made


def _is_multiple(count: float, number: int) -> bool:
    return math.isfinite(count) and abs(count / number - round(count / number)) < _WHOLE

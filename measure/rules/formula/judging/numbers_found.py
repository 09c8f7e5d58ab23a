"""What terms are on one plat: numbers made of measured quantities, or of what is not known of them.

Every number is a pair of a lower and an upper one: they differ where something is unknown, and only then. So a sum with
an unmeasured area in it is still known to be at least what was measured.
"""
# ruff: noqa: D102  (what a number offers is explained in Number)

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from measure.quantity import FloatArray, Quantity
from measure.rules.formula.judging.joint_draws import JointDraws
from measure.rules.verdict import Mark, Unknown

Pair = tuple[FloatArray, FloatArray]
Reach = tuple[float, float]
CERTAIN = 6.5
"""Standard uncertainties beyond which nothing is drawn."""


class Number(ABC):
    """A number on one plat."""

    @property
    @abstractmethod
    def reach(self) -> Reach:
        """Between what it surely lies."""

    @abstractmethod
    def draw(self, draws: JointDraws) -> Pair:
        """Its lower and its upper value in every draw, each (n,) or of one element."""

    @property
    @abstractmethod
    def value(self) -> float:
        """As measured."""

    def below(self) -> tuple[Number, ...]:
        """What it is made of."""
        return ()

    def linear(self) -> Quantity | None:
        """The quantity that it is, where it is one."""
        return None

    def leaves(self) -> Iterator[Number]:
        """The numbers at the bottom of it."""
        if not self.below():
            yield self
        for part in self.below():
            yield from part.leaves()


@dataclass(frozen=True)
class Exact(Number):
    """A number without uncertainty."""

    number: float

    @cached_property
    def reach(self) -> Reach:
        return self.number, self.number

    def draw(self, draws: JointDraws) -> Pair:
        made = np.array([self.number])
        return made, made

    @property
    def value(self) -> float:
        return self.number

    def linear(self) -> Quantity:
        return Quantity(self.number)


@dataclass(frozen=True, eq=False)
class Measured(Number):
    """The smallest of measured quantities, never below a floor; over and mark say where it is."""

    candidates: tuple[Quantity, ...]
    over: tuple[str, ...] = ()
    mark: Mark | None = None
    floor: float | None = None

    @cached_property
    def reach(self) -> Reach:
        low = min(q.value - CERTAIN * q.u for q in self.candidates)
        high = min(q.value + CERTAIN * q.u for q in self.candidates)
        floor = -math.inf if self.floor is None else self.floor
        return max(low, floor), max(high, floor)

    def draw(self, draws: JointDraws) -> Pair:
        drawn = draws.of(self.candidates[0])
        for candidate in self.candidates[1:]:
            drawn = np.minimum(drawn, draws.of(candidate))
        if self.floor is not None:
            drawn = np.maximum(drawn, self.floor)
        return drawn, drawn

    @property
    def value(self) -> float:
        found = min(q.value for q in self.candidates)
        return found if self.floor is None else max(found, self.floor)

    def linear(self) -> Quantity | None:
        only = self.candidates[0]
        if len(self.candidates) > 1 or (self.floor is not None and only.value - CERTAIN * only.u <= self.floor):
            return None
        return only


@dataclass(frozen=True)
class NotKnown(Number):
    """A number of which only its bounds are known, and why."""

    unknown: Unknown
    low: float = -math.inf
    high: float = math.inf

    @cached_property
    def reach(self) -> Reach:
        return self.low, self.high

    def draw(self, draws: JointDraws) -> Pair:
        return np.array([self.low]), np.array([self.high])

    @property
    def value(self) -> float:
        return math.nan

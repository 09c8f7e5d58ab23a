"""Numbers reckoned from others on one plat: sums, quotients, differences, the largest or the median of several.

Where parts are unknown, a number lies between what its parts' bounds give.
"""
# ruff: noqa: D102  (what a number offers is explained in Number)

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np

from measure.quantity import FloatArray, Quantity
from measure.rules.formula.judging.joint_draws import JointDraws
from measure.rules.formula.judging.numbers_found import CERTAIN, Number, Pair, Reach

_WHOLE = 1e-9
"""Relative: as near to a whole number as this is at it."""


def added(parts: Sequence[Number], weights: Sequence[float] | None = None) -> Number:
    """The sum of numbers, weighted."""
    by = [1.0] * len(parts) if weights is None else list(weights)
    kept = [(part, weight) for part, weight in zip(parts, by, strict=True) if weight]
    return Weighted(tuple(part for part, _ in kept), tuple(weight for _, weight in kept))


@dataclass(frozen=True)
class Weighted(Number):
    """The sum of numbers, each with a weight."""

    parts: tuple[Number, ...]
    weights: tuple[float, ...]

    def below(self) -> tuple[Number, ...]:
        return self.parts

    @cached_property
    def reach(self) -> Reach:
        found = self.linear()
        if found is not None:
            return found.value - CERTAIN * found.u, found.value + CERTAIN * found.u
        reaches = [part.reach for part in self.parts]
        turned = [ends if weight >= 0 else ends[::-1] for ends, weight in zip(reaches, self.weights, strict=True)]
        low, high = (sum(w * ends[at] for ends, w in zip(turned, self.weights, strict=True)) for at in (0, 1))
        return low, high

    def draw(self, draws: JointDraws) -> Pair:
        low: FloatArray = np.zeros(1)
        high: FloatArray = np.zeros(1)
        for part, weight in zip(self.parts, self.weights, strict=True):
            first, last = part.draw(draws)
            if weight < 0:
                first, last = last, first
            low, high = low + weight * first, high + weight * last
        return low, high

    @property
    def value(self) -> float:
        return sum(weight * part.value for part, weight in zip(self.parts, self.weights, strict=True))

    def linear(self) -> Quantity | None:
        total = Quantity(0.0)
        for part, weight in zip(self.parts, self.weights, strict=True):
            found = part.linear()
            if found is None:
                return None
            total = total + found * weight
        return total


@dataclass(frozen=True)
class Quotient(Number):
    """One number divided by another; unknown where the divisor may be 0."""

    of: Number
    by: Number

    def below(self) -> tuple[Number, ...]:
        return self.of, self.by

    @cached_property
    def reach(self) -> Reach:
        found = self.linear()
        if found is not None:
            return found.value - CERTAIN * found.u, found.value + CERTAIN * found.u
        low, high = self._divided(*(np.array([end]) for part in (self.of, self.by) for end in part.reach))
        return float(low[0]), float(high[0])

    def draw(self, draws: JointDraws) -> Pair:
        return self._divided(*self.of.draw(draws), *self.by.draw(draws))

    @staticmethod
    def _divided(low: FloatArray, high: FloatArray, by_low: FloatArray, by_high: FloatArray) -> Pair:
        with np.errstate(divide="ignore", invalid="ignore"):
            ends = [end / by for end in (low, high) for by in (by_low, by_high)]
        ends = [np.nan_to_num(end, nan=0.0, posinf=np.inf, neginf=-np.inf) for end in ends]
        lowest, highest = np.minimum.reduce(np.broadcast_arrays(*ends)), np.maximum.reduce(np.broadcast_arrays(*ends))
        open_ended = (by_low <= 0) & (by_high >= 0)
        return np.where(open_ended, -np.inf, lowest), np.where(open_ended, np.inf, highest)

    @property
    def value(self) -> float:
        by = self.by.value
        return self.of.value / by if by else math.nan

    def linear(self) -> Quantity | None:
        """Only by an exact number: a ratio of measured ones is drawn."""
        of, by = self.of.linear(), self.by.linear()
        if of is None or by is None or by.u > 0 or by.value == 0:
            return None
        return of / by.value


@dataclass(frozen=True)
class Apart(Number):
    """The difference of two numbers, never below 0."""

    first: Number
    second: Number

    def below(self) -> tuple[Number, ...]:
        return self.first, self.second

    def _difference(self) -> Number:
        return Weighted((self.first, self.second), (1.0, -1.0))

    @cached_property
    def reach(self) -> Reach:
        low, high = self._difference().reach
        return max(0.0, low, -high), max(abs(low), abs(high))

    def draw(self, draws: JointDraws) -> Pair:
        low, high = self._difference().draw(draws)
        return np.maximum(0.0, np.maximum(low, -high)), np.maximum(abs(low), abs(high))

    @property
    def value(self) -> float:
        return abs(self.first.value - self.second.value)


@dataclass(frozen=True)
class Ordered(Number):
    """The smallest, the largest or the median of several numbers."""

    which: Literal["smallest", "largest", "median"]
    parts: tuple[Number, ...]

    def below(self) -> tuple[Number, ...]:
        return self.parts

    @cached_property
    def reach(self) -> Reach:
        low, high = (
            self._of([np.array([end]) for end in ends]) for ends in zip(*(p.reach for p in self.parts), strict=True)
        )
        return float(low[0]), float(high[0])

    def draw(self, draws: JointDraws) -> Pair:
        low, high = (self._of(ends) for ends in zip(*(part.draw(draws) for part in self.parts), strict=True))
        return low, high

    def _of(self, several: Sequence[FloatArray]) -> FloatArray:
        all_of = np.stack(np.broadcast_arrays(*several))
        if self.which == "median":
            return np.asarray(np.median(all_of, axis=0))
        return np.asarray(all_of.min(axis=0) if self.which == "smallest" else all_of.max(axis=0))

    @property
    def value(self) -> float:
        return float(self._of([np.array([part.value]) for part in self.parts])[0])


@dataclass(frozen=True)
class Whole(Number):
    """A number rounded up or down to a whole one."""

    of: Number
    up: bool

    def below(self) -> tuple[Number, ...]:
        return (self.of,)

    @cached_property
    def reach(self) -> Reach:
        low, high = self.of.reach
        return float(self._rounded(np.array([low]))[0]), float(self._rounded(np.array([high]))[0])

    def draw(self, draws: JointDraws) -> Pair:
        low, high = self.of.draw(draws)
        return self._rounded(low), self._rounded(high)

    def _rounded(self, of: FloatArray) -> FloatArray:
        near = np.round(of)
        at_it = abs(of - near) <= _WHOLE * np.maximum(1.0, abs(near))
        return np.where(at_it, near, np.ceil(of) if self.up else np.floor(of))

    @property
    def value(self) -> float:
        return float(self._rounded(np.array([self.of.value]))[0])

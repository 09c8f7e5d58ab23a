"""The chance that an event holds, and which comparisons decide it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import cached_property

import numpy as np

from measure.conformity import chance_within
from measure.quantity import COVERAGE_FACTOR, Quantity
from measure.rules.formula.judging.events import AllOf, AnyOf, Compared, Event, Linked, Not, Tally, Unclear
from measure.rules.formula.judging.joint_draws import JointDraws
from measure.rules.formula.judging.numbers_found import Measured, NotKnown, Number
from measure.rules.verdict import SURELY, Unknown

Chance = tuple[float, float]
"""At least, and at most: they differ where something is unknown."""


class Chances:
    """The chances of an event and of its parts, from one joint distribution."""

    def __init__(self, whole: Event) -> None:
        self.whole = whole
        self._known: dict[int, Chance] = {}

    @cached_property
    def draws(self) -> JointDraws:
        """Draws of all that is uncertain."""
        return JointDraws(_quantities(self.whole))

    def of(self, event: Event) -> Chance:
        """The chance of the event, or of one of its parts."""
        if id(event) not in self._known:
            self._known[id(event)] = self._chance(event)
        return self._known[id(event)]

    def middle(self, event: Event, want: bool) -> float:
        """The chance that the event is as wanted, halfway between its bounds."""
        chance = sum(self.of(event)) / 2.0
        return chance if want else 1.0 - chance

    def _chance(self, event: Event) -> Chance:
        if event.known is not None:
            return float(event.known), float(event.known)
        if isinstance(event, Not):
            low, high = self.of(event.of)
            return 1.0 - high, 1.0 - low
        if isinstance(event, AllOf | AnyOf):
            open_parts = [part for part in event.parts if part.known is None]
            if len(open_parts) == 1:
                return self.of(open_parts[0])
        closed = closed_form(event) if isinstance(event, Compared) else None
        if closed is not None:
            return closed, closed
        quantities = list(_quantities(event))
        # a part of what is known as a whole has not been drawn with it
        surely, possibly = event.draw(self.draws if self.draws.has(quantities) else JointDraws(quantities))
        return float(surely.mean()), float(possibly.mean())

    def u95(self, number: Number) -> float:
        """Expanded uncertainty of a number's measured value."""
        found = number.linear()
        if found is not None:
            return found.u95
        drawn = (number.draw(JointDraws(_of_numbers([number])))[0] - number.value) ** 2
        return float(COVERAGE_FACTOR * np.sqrt(drawn.mean()))

    # ---- what decides

    def amiss(self, event: Event, want: bool = True) -> Iterator[tuple[Compared, bool]]:
        """The comparisons that are to blame where an event is not surely as wanted, and how each should be."""
        if self.middle(event, want) >= SURELY:
            return
        match event:
            case Compared():
                yield event, want
                yield from self._cases(event, want)
            case Not(of):
                yield from self.amiss(of, not want)
            case AnyOf(_, amiss) if want and amiss:
                for part in amiss:
                    yield from self.amiss(part, want)
            case Linked():
                found = [leaf for pair in event.below() for leaf in self.amiss(pair, want)]
                yield from sorted(found, key=lambda leaf: -self.middle(*leaf))[:1]
            case _:
                for part in event.below():
                    yield from self.amiss(part, want)

    def _cases(self, event: Compared, want: bool) -> Iterator[tuple[Compared, bool]]:
        """Of a count: the cases that should hold, where there are too few, else those that should not."""
        if not isinstance(event.of, Tally):
            return
        few = event.low is not None and event.of.value < event.low.value
        for case in event.of.cases:
            yield from self.amiss(case, few == want)

    def weakest(self, event: Event, want: bool = True) -> tuple[Compared, bool] | None:
        """The comparison that decides an event that is as wanted."""
        match event:
            case Compared():
                return event, want
            case Not(of):
                return self.weakest(of, not want)
        parts = [part for part in event.below() if not isinstance(part, Unclear)]
        either = isinstance(event, AnyOf) == want
        if either and parts:
            return self.weakest(max(parts, key=lambda part: self.middle(part, want)), want)
        found = [leaf for part in parts if (leaf := self.weakest(part, want)) is not None]
        return min(found, key=lambda leaf: self.rank(*leaf)) if found else None

    def rank(self, leaf: Compared, want: bool) -> tuple[float, float]:
        """The least likely first, then the one nearest to its limit."""
        gaps = [gap.value for gap in leaf.gaps()]
        least = min(gaps, default=math.inf)
        size = max(abs(leaf.of.value), 1e-12)
        return round(self.middle(leaf, want), 6), (least if want else -least) / size


def closed_form(event: Compared) -> float | None:
    """The chance of a comparison of linear terms, where it needs no draws."""
    gaps = event.gaps()
    if len(gaps) == 1:
        found = gaps[0].linear()
        return None if found is None else chance_within(found, 0.0, strict=event.strict)
    of, low, high = (number.linear() if number else None for number in (event.of, event.low, event.high))
    if of is None or low is None or high is None or low.u > 0 or high.u > 0:
        return None
    return chance_within(of, low.value, high.value, strict=event.strict)


def unknowns(event: Event) -> Iterator[Unknown]:
    """What is not known, and could matter."""
    if event.known is not None:
        return
    if isinstance(event, Unclear):
        yield event.unknown
    for number in _own_numbers(event):
        for leaf in number.leaves():
            if isinstance(leaf, NotKnown):
                yield leaf.unknown
        if isinstance(number, Tally):
            for case in number.cases:
                yield from unknowns(case)
    for part in event.below():
        yield from unknowns(part)


def _own_numbers(event: Event) -> Iterator[Number]:
    if not event.below():
        yield from event.numbers()


def _quantities(event: Event) -> Iterator[Quantity]:
    return _of_numbers(event.numbers())


def _of_numbers(numbers: Iterator[Number] | list[Number]) -> Iterator[Quantity]:
    for number in numbers:
        for leaf in number.leaves():
            if isinstance(leaf, Measured):
                yield from leaf.candidates

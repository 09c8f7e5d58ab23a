"""The chance that a measured quantity conforms: one, the smallest of several, all of several together.

What is known of a quantity is a normal distribution about the measured value (flat prior), and the chance that it lies
within limits is the conformance probability of JCGM 106:2012 (clause 7, from memory).  Quantities of one plat share
sources, so several of them have a joint normal distribution; its integral over the conforming region is taken over a
fixed, evenly spread set of points (multiples of the square roots of primes), so that the same plat always gets the same
answer; the error is below 0.005, which is small beside the 0.05 that decides a verdict.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from measure.quantity import FloatArray, Quantity

ROUNDING = 1e-9
"""Relative: an exact value this near to its limit is at the limit; it is what float arithmetic leaves."""
_CERTAIN = 6.0
"""Standard uncertainties from a limit beyond which the chance differs from 0 or 1 by less than 1e-9."""
_POINTS = 1 << 14


@dataclass(frozen=True)
class Event:
    """The smallest of the candidates lies between low and high (None: no limit on that side).

    strict: a value exactly at the limit does not conform. It matters only for values without uncertainty.
    """

    candidates: tuple[Quantity, ...]
    low: float | None = None
    high: float | None = None
    strict: bool = False


def chance_within(
    quantity: Quantity, low: float | None = None, high: float | None = None, *, strict: bool = False
) -> float:
    """Chance that one quantity lies between low and high."""
    if not quantity.linear:
        return _joint_chance([Event((quantity,), low, high, strict)])
    u = quantity.u
    if u <= ROUNDING * max(abs(quantity.value), *(abs(limit) for limit in (low, high) if limit is not None), 0.0):
        return float(_exactly_within(quantity.value, low, high, strict))
    below_low = 0.0 if low is None else _normal_cdf((low - quantity.value) / u)
    above_high = 0.0 if high is None else _normal_cdf((quantity.value - high) / u)
    return max(0.0, 1.0 - below_low - above_high)


def chance_all(events: Sequence[Event]) -> float:
    """Chance that every event holds, from the joint distribution of all the quantities."""
    decided = [_without_the_certain(event) for event in events]
    if any(isinstance(event, bool) and not event for event in decided):
        return 0.0
    open_events = [event for event in decided if isinstance(event, Event)]
    if not open_events:
        return 1.0
    if len(open_events) == 1 and len(open_events[0].candidates) == 1:
        event = open_events[0]
        return chance_within(event.candidates[0], event.low, event.high, strict=event.strict)
    return _joint_chance(open_events)


def chance_count(cases: Sequence[Sequence[Event]], low: int, high: int | None) -> float:
    """Chance that from low to high of the cases hold (high None: any number), each being all of its events."""
    chances = [chance_all(case) for case in cases]
    least = sum(chance > 1 - 1e-9 for chance in chances)
    open_cases = [case for case, chance in zip(cases, chances, strict=True) if 1e-9 <= chance <= 1 - 1e-9]
    most = least + len(open_cases)
    if least >= low and (high is None or most <= high):
        return 1.0
    if most < low or (high is not None and least > high):
        return 0.0
    quantities = [q for case in open_cases for event in case for q in event.candidates]
    values, at = _sampled(quantities), 0
    held = np.full(len(values), least)
    for case in open_cases:
        size = sum(len(event.candidates) for event in case)
        held += _holding(case, values[:, at : at + size])
        at += size
    return float(((held >= low) & (held <= (np.inf if high is None else high))).mean())


def smallest(candidates: Sequence[Quantity]) -> Quantity:
    """Mean and uncertainty of the smallest of several correlated quantities, as one quantity.

    The sensitivities are each candidate's, weighted by its chance of being the smallest (the derivative of the mean),
    scaled so that the standard uncertainty is the standard deviation of the smallest.
    Raises ValueError where there is no candidate.
    """
    if not candidates:
        raise ValueError("the smallest of no quantities")
    near = _contenders(candidates)
    if len(near) == 1 and near[0].linear:
        return near[0]
    values = _sampled(near)
    lowest = values.min(axis=1)
    chances = np.bincount(values.argmin(axis=1), minlength=len(near)) / len(values)
    direction = np.asarray(chances @ _matrix(near), dtype=np.float64)
    length = float(np.sqrt(direction @ direction))
    scale = float(lowest.std()) / length if length > 0 else 0.0
    return Quantity(float(lowest.mean()), direction * scale)


def largest(candidates: Sequence[Quantity]) -> Quantity:
    """Mean and uncertainty of the largest of several correlated quantities; raises ValueError for none."""
    return -smallest([-candidate for candidate in candidates])


def rms_about(candidates: Sequence[Quantity], value: float) -> float:
    """Root mean square deviation of the smallest of the candidates from a value: its uncertainty where the value is
    what is reported, although the smallest of several uncertain numbers is, in the mean, below the smallest number.
    """
    found = smallest(candidates)
    return math.hypot(found.u, found.value - value)


def rms_of_worst(groups: Sequence[Sequence[Quantity]], value: float, *, largest: bool = False) -> float:
    """Root mean square deviation from a value of the smallest (else: largest) of several numbers, each of which is the
    smallest of a group of candidates: the uncertainty of a value that stands for all of them.
    """
    rivals = _rivals(groups, largest=largest)
    if len(rivals) == 1:
        return rms_about(rivals[0], value)
    values = _sampled([q for group in rivals for q in group])
    starts = np.cumsum([0, *(len(group) for group in rivals[:-1])])
    lowest = np.minimum.reduceat(values, starts, axis=1)
    worst = lowest.max(axis=1) if largest else lowest.min(axis=1)
    return float(np.sqrt(np.mean((worst - value) ** 2)))


def _rivals(groups: Sequence[Sequence[Quantity]], *, largest: bool) -> list[tuple[Quantity, ...]]:
    """The groups that may hold the worst number, and of each the candidates that may be its smallest."""
    sign = -1.0 if largest else 1.0
    smallest_of = [min(group, key=lambda q: q.value) for group in groups]
    first = min(smallest_of, key=lambda q: sign * q.value)
    kept = []
    for group, best in zip(groups, smallest_of, strict=True):
        near = _contenders(group)
        behind = sign * (best.value - first.value)
        if best is first or behind <= _CERTAIN * max((q - first).u for q in near):
            kept.append(near)
    return kept


def _normal_cdf(z: float) -> float:
    return 0.5 * math.erfc(-z / math.sqrt(2.0))


def _exactly_within(value: float, low: float | None, high: float | None, strict: bool) -> bool:
    """Whether a value without uncertainty conforms."""
    for limit, margin in ((low, 1.0), (high, -1.0)):
        if limit is None:
            continue
        if abs(value - limit) <= ROUNDING * max(abs(limit), abs(value), 1.0):
            if strict:
                return False
        elif margin * (value - limit) < 0:
            return False
    return True


def _without_the_certain(event: Event) -> Event | bool:
    """Leave out the candidates that cannot matter; True or False where nothing is left in doubt."""
    near = _contenders(event.candidates)
    if len(near) == 1:
        chance = chance_within(near[0], event.low, event.high, strict=event.strict)
        return (
            bool(round(chance)) if min(chance, 1 - chance) < 1e-9 else Event(near, event.low, event.high, event.strict)
        )
    if event.high is None and event.low is not None:
        chances = [chance_within(q, event.low, strict=event.strict) for q in near]
        if min(chances) < 1e-9:
            return False
        near = tuple(q for q, chance in zip(near, chances, strict=True) if chance < 1 - 1e-9)
        if not near:
            return True
    return Event(near, event.low, event.high, event.strict)


def _contenders(candidates: Sequence[Quantity]) -> tuple[Quantity, ...]:
    """The candidates that may be the smallest: those not surely larger than another."""
    first = min(candidates, key=lambda q: q.value)
    return tuple(q for q in candidates if q is first or (q - first).value <= _CERTAIN * (q - first).u)


def _joint_chance(events: Sequence[Event]) -> float:
    quantities = [q for event in events for q in event.candidates]
    return float(_holding(events, _sampled(quantities)).mean())


def _holding(events: Sequence[Event], values: FloatArray) -> NDArray[np.bool_]:
    """In which draws all events hold; values (draws, quantities) are of all their candidates, one after another."""
    holds = np.ones(len(values), dtype=bool)
    at = 0
    for event in events:
        lowest = values[:, at : at + len(event.candidates)].min(axis=1)
        at += len(event.candidates)
        if event.low is not None:
            holds &= lowest > event.low if event.strict else lowest >= event.low - ROUNDING * max(1.0, abs(event.low))
        if event.high is not None:
            holds &= (
                lowest < event.high if event.strict else lowest <= event.high + ROUNDING * max(1.0, abs(event.high))
            )
    return holds


def _matrix(quantities: Sequence[Quantity]) -> FloatArray:
    """Sensitivities, one row a quantity."""
    size = max(len(q.sensitivity) for q in quantities)
    return np.array([np.pad(q.sensitivity, (0, size - len(q.sensitivity))) for q in quantities])


def _sampled(quantities: Sequence[Quantity]) -> FloatArray:
    """Evenly spread draws of all the quantities together, shape (points, quantities)."""
    parts = [part for q in quantities for part in q.parts]
    means = np.array([part.value for part in parts])
    left, sizes, _ = np.linalg.svd(_matrix(parts), full_matrices=False)
    kept = sizes > 1e-12 * max(float(sizes.max(initial=0.0)), 1e-300)
    spread = left[:, kept] * sizes[kept]
    values = np.asarray(means + _normal_points(int(kept.sum())) @ spread.T, dtype=np.float64)
    if len(parts) == len(quantities):
        return values
    ends = np.cumsum([len(q.parts) for q in quantities])
    return np.stack([q.drawn(values[:, end - len(q.parts) : end]) for q, end in zip(quantities, ends, strict=True)], 1)


@lru_cache(maxsize=8)
def _normal_points(dimensions: int) -> NDArray[np.float64]:
    """Points of the standard normal distribution, shape (_POINTS, dimensions), the same in every run."""
    if dimensions == 0:
        return np.zeros((1, 0))
    points = np.column_stack([_normal_coordinates(prime) for prime in _primes(dimensions)])
    points.setflags(write=False)
    return points


@lru_cache(maxsize=16)
def _normal_coordinates(prime: int) -> NDArray[np.float64]:
    """The points' coordinates (_POINTS,) in the dimension of a prime."""
    folded = np.abs(2.0 * ((np.arange(1.0, _POINTS + 1.0) * np.sqrt(float(prime))) % 1.0) - 1.0)
    shares = np.clip(folded, 1e-12, 1 - 1e-12).tolist()
    # The standard library's inverse: importing scipy's takes longer than all points do.
    return np.fromiter(map(NormalDist().inv_cdf, shares), np.float64, len(shares))


def _primes(count: int) -> list[int]:
    found: list[int] = []
    number = 2
    while len(found) < count:
        if all(number % prime for prime in found):
            found.append(number)
        number += 1
    return found

"""Which mistake explains a number best: Bayes's rule over the mistakes' predictions.

Each mistake predicts values with uncertainties (measure.hand.mistakes.hypotheses) or undoes what is written
(measure.hand.mistakes.digits); its likelihood is the normal density of the number there.  Beside the mistakes stand
that the value is right but careless, that another side was measured, and that something else altogether happened,
whose density is spread over a factor of several.  How common these are is read from the class's own numbers
(measure.hand.mistakes.habits).  A mistake is a candidate where it predicts the number within its uncertainty, and the
mistakes together are likelier than all that has no name; it is named where they are clearly likelier.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from measure.hand.mistakes.digits import Meant
from measure.hand.mistakes.habits import Habits, Weighed
from measure.hand.mistakes.mistake_codes import (
    CARELESS_TIMES,
    CODES,
    NEIGHBOUR_SIDE,
    PRIOR,
    UNEXPLAINED_SPREAD,
    Code,
)
from measure.hand.mistakes.prediction import Prediction
from measure.quantity import FloatArray

_FITS = 2.6
"""Standard uncertainties within which a mistake explains a number (99 % of a normal distribution)."""
_LEAST = 0.03
"""A mistake less likely than this, of all that may have happened, is not named."""
_MOST_PLACES = 4
_CLEARLY, _OF_TWO = 12.0, 0.85
"""A mistake is named where the mistakes together are so many times likelier than all that has no name, and the first
two places hold so much of it. Chosen in made-up classes in which one number in fifteen has a mistake outside the list:
fewer than 2 % of all rows are then named falsely (docs/verify.md)."""
_SAME = 0.25
"""Standard uncertainties: predictions nearer than this are one number on paper."""
_Ints = NDArray[np.intp]
_Bools = NDArray[np.bool_]
Likely = tuple[tuple[Code, ...], ...]


@dataclass(frozen=True)
class Observed:
    """A hand value with its true one and the standard uncertainty of their difference, all in mm, mm2, mm3 or shares.

    rounding is the standard uncertainty of the last digit written.
    """

    value: float
    true: float
    u: float
    rounding: float = 0.0


class Predicted:
    """All predictions for one quantity, method and division, as arrays: many rows ask for the same."""

    def __init__(self, predictions: Sequence[Prediction]) -> None:
        self.codes = np.array([-1 if p.code is None else CODES.index(p.code) for p in predictions], dtype=np.intp)
        self.values = np.array([p.value for p in predictions])
        self.u = np.array([p.u for p in predictions])
        self.weights = np.array([p.weight for p in predictions])


class Evidence:
    """What one number that does not agree says for and against every mistake.

    unit is how many mm, mm2 or mm3 one of the number's unit is; scatter how far this class's right numbers lie from the
    true ones, in the uncertainties that were taken (1: just as expected).
    """

    def __init__(
        self, seen: Observed, predicted: Predicted, meant: Sequence[Meant], unit: float, scatter: float
    ) -> None:
        meant_codes = np.array([CODES.index(m.code) for m in meant], dtype=np.intp)
        self.codes = np.concatenate([predicted.codes, meant_codes])
        apart = np.array([m.number * unit - seen.true for m in meant])
        self.off = np.concatenate([seen.value - predicted.values, apart])
        rounding = np.full(len(predicted.values), seen.rounding)
        spread = np.concatenate([np.hypot(scatter * predicted.u, rounding), np.full(len(meant), scatter * seen.u)])
        self.spread = np.maximum(spread, 1e-9)
        weights = np.concatenate([predicted.weights, np.array([m.weight for m in meant])])
        density = weights * _normal(self.off / self.spread) / self.spread
        self.fits = (np.abs(self.off) <= _FITS * self.spread) & (self.codes >= 0)
        self.scores = _scores(self.codes, density, self.fits)
        self.weighed = Weighed(
            listed=float(self.scores.sum()),
            unexplained=_something_else(seen),
            careless=_careless(seen, scatter),
            neighbour=float(density[self.codes < 0].sum()),
        )


def diagnose(evidence: Evidence, habits: Habits) -> tuple[Likely, Likely]:
    """The mistakes to name, and all candidates: the likeliest first, those in one place tied; empty where none fits."""
    weighed = evidence.weighed
    listed = habits.listed * weighed.listed
    nameless = (
        habits.unexplained * weighed.unexplained
        + habits.careless * weighed.careless
        + NEIGHBOUR_SIDE * weighed.neighbour
    )
    if listed <= 0 or listed < nameless:
        return (), ()
    candidates = _ranked(evidence, listed + nameless, habits)
    first = habits.listed * sum(evidence.scores[CODES.index(code)] for place in candidates[:2] for code in place)
    clear = listed >= _CLEARLY * nameless and first >= _OF_TWO * listed
    return (candidates if clear else ()), candidates


def _scores(codes: _Ints, density: FloatArray, fits: _Bools) -> FloatArray:
    """Likelihood of every code that explains the number, times its share of the mistakes; the others 0. (codes,)."""
    possible = np.zeros(len(CODES), dtype=bool)
    possible[codes[codes >= 0]] = True
    prior = np.array([PRIOR[code] for code in CODES]) * possible
    likelihood = np.bincount(codes[fits], density[fits], minlength=len(CODES))
    return np.asarray(prior / max(float(prior.sum()), 1e-12) * likelihood)


def _careless(seen: Observed, scatter: float) -> float:
    """Likelihood of a right but careless value."""
    wide = CARELESS_TIMES * scatter * seen.u
    return float(_normal(np.array((seen.value - seen.true) / wide))) / wide


def _something_else(seen: Observed) -> float:
    """Likelihood of something else altogether."""
    if seen.value <= 0:
        return 0.0
    ratio = math.log(seen.value / max(seen.true, seen.u)) / UNEXPLAINED_SPREAD
    return float(_normal(np.array(ratio))) / (UNEXPLAINED_SPREAD * seen.value)


def _normal(z: FloatArray) -> FloatArray:
    return np.asarray(np.exp(-0.5 * z**2) / math.sqrt(2.0 * math.pi))


def _ranked(evidence: Evidence, total: float, habits: Habits) -> Likely:
    codes, off, spread, fits = evidence.codes, evidence.off, evidence.spread, evidence.fits
    scores = habits.listed * evidence.scores
    order = [int(at) for at in np.argsort(-scores, kind="stable") if scores[at] >= _LEAST * total]
    places: list[list[int]] = []
    for code in order:
        mine = fits & (codes == code)
        tied = next((place for place in places if _same_number(place[0], mine, codes, off, spread, fits)), None)
        if tied is not None:
            tied.append(code)
        else:
            places.append([code])
    return tuple(tuple(CODES[code] for code in place) for place in places[:_MOST_PLACES])


def _same_number(first: int, mine: _Bools, codes: _Ints, off: FloatArray, spread: FloatArray, fits: _Bools) -> bool:
    """Whether the best predictions of two codes are one number on paper."""
    theirs = fits & (codes == first)
    best = [np.flatnonzero(which)[np.argmin(np.abs(off[which] / spread[which]))] for which in (mine, theirs)]
    return bool(abs(off[best[0]] - off[best[1]]) <= _SAME * min(spread[best[0]], spread[best[1]]))

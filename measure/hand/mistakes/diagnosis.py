"""Which mistake explains a number best: Bayes's rule over the mistakes' predictions.

Each mistake predicts values with uncertainties (measure.hand.mistakes.hypotheses) or undoes what is written
(measure.hand.mistakes.digits); its likelihood is the normal density of the number there.  Beside the mistakes stand
that the value is right but careless, that another side was measured, and that something else altogether happened,
whose density is spread over a factor of several.  A mistake is named only where it predicts the number within its
uncertainty, and the mistakes together are likelier than all that has no name.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from measure.hand.mistakes.digits import Meant
from measure.hand.mistakes.mistake_codes import (
    CARELESS,
    CARELESS_TIMES,
    CODES,
    MISTAKEN,
    NEIGHBOUR_SIDE,
    PRIOR,
    UNEXPLAINED,
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


def diagnose(seen: Observed, predicted: Predicted, meant: Sequence[Meant], unit: float) -> Likely:
    """The mistakes that explain a value which does not agree, the likeliest first; those in one place are tied.

    unit is how many mm, mm2 or mm3 one of the number's unit is. Empty where nothing explains the number.
    """
    rounding = np.full(len(predicted.values), seen.rounding)
    spread = np.hypot(predicted.u, rounding)
    codes = np.concatenate([predicted.codes, np.array([CODES.index(m.code) for m in meant], dtype=np.intp)])
    off = np.concatenate([seen.value - predicted.values, np.array([m.number * unit - seen.true for m in meant])])
    spread = np.maximum(np.concatenate([spread, np.full(len(meant), seen.u)]), 1e-9)
    weights = np.concatenate([predicted.weights, np.array([m.weight for m in meant])])
    density = weights * _normal(off / spread) / spread
    fits = (np.abs(off) <= _FITS * spread) & (codes >= 0)
    scores = _scores(codes, density, fits)
    nameless = _nameless(seen) + NEIGHBOUR_SIDE * float(density[codes < 0].sum())
    return _ranked(scores, nameless, codes, off, spread, fits)


def _scores(codes: _Ints, density: FloatArray, fits: _Bools) -> FloatArray:
    """Prior times likelihood of every code that explains the number; the others have 0. Shape (codes,)."""
    possible = np.zeros(len(CODES), dtype=bool)
    possible[codes[codes >= 0]] = True
    prior = np.array([PRIOR[code] for code in CODES]) * possible
    likelihood = np.bincount(codes[fits], density[fits], minlength=len(CODES))
    return np.asarray(MISTAKEN * prior / max(float(prior.sum()), 1e-12) * likelihood)


def _nameless(seen: Observed) -> float:
    """Prior times likelihood of a right but careless value, and of something else altogether."""
    wide = CARELESS_TIMES * seen.u
    careless = CARELESS * float(_normal(np.array((seen.value - seen.true) / wide))) / wide
    if seen.value <= 0:
        return careless
    ratio = math.log(seen.value / max(seen.true, seen.u)) / UNEXPLAINED_SPREAD
    return careless + UNEXPLAINED * float(_normal(np.array(ratio))) / (UNEXPLAINED_SPREAD * seen.value)


def _normal(z: FloatArray) -> FloatArray:
    return np.asarray(np.exp(-0.5 * z**2) / math.sqrt(2.0 * math.pi))


def _ranked(
    scores: FloatArray, nameless: float, codes: _Ints, off: FloatArray, spread: FloatArray, fits: _Bools
) -> Likely:
    total = float(scores.sum()) + nameless
    if total <= 0 or scores.sum() < nameless:
        return ()
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

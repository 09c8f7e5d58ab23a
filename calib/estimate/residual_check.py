"""Whether a fit is as good as its observations claim, and what to make of it where it is not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from calib.chi_square import tail
from calib.edges import FloatArray
from calib.estimate.adjustment import Adjustment, Widening
from calib.estimate.parameters import INDEX
from calib.estimate.prior import TINY
from calib.printed import CORNER_TAGS

TRUSTED, TRUSTED_BOW = 8.0, 1.0
"""Degrees of freedom that the stated uncertainty of a line, and the expected bow of tape, are worth."""
SMOOTH, TRUSTED_SMOOTH = 4.0, 10.0
"""By how much the smooth part of a tag's residuals exceeds (in variance) what its single edges and lines scatter, and
the degrees of freedom that this is worth: 3 to 10 in real photos (Pixel 7 Pro, a grid on a monitor, once the lens is
fitted to the whole grid), about 1 in rendered ones.
"""
ALIKE = 20.0
"""Degrees of freedom that the other tags of the photo are worth against a tag's own."""
ODD_BOW = 3.0
"""A line bowed by more than so many standard deviations counts as if by as many: it is no straight strip."""


@dataclass(frozen=True, eq=False)
class Residuals:
    """A fit's whitened residuals by group (tags, then lines): sums of squares and degrees of freedom, each (g,)."""

    squares: FloatArray
    freedom: FloatArray

    @classmethod
    def of(cls, adjustment: Adjustment, jacobian: FloatArray, residuals: FloatArray, factor: FloatArray) -> Residuals:
        """factor (p, k): covariance = factor @ factor.T of the parameters."""
        free = 1 - np.sum((jacobian @ factor) ** 2, axis=1)
        starts = [g.start for g in adjustment.groups]
        end = adjustment.groups[-1].stop
        return cls(np.add.reduceat(residuals[:end] ** 2, starts), np.add.reduceat(free[:end], starts))


def widened(
    adjustment: Adjustment, vector: FloatArray, jacobian: FloatArray, residuals: FloatArray, factor: FloatArray
) -> Widening:
    """The factors by which each tag's and line's residuals exceed what was stated, never less than 1, and tape's bow.

    A variance is estimated from its residuals together with what was stated, as if that came from TRUSTED degrees of
    freedom (scaled inverse chi-square; Gelman et al., Bayesian Data Analysis, 3rd ed., 2.6; from memory).
    """
    now = adjustment.factors
    seen = Residuals.of(adjustment, jacobian, residuals, factor)
    count = len(now.tags)
    variance = (TRUSTED + now.lines**2 * seen.squares[count:]) / (TRUSTED + seen.freedom[count:])
    effect = jacobian @ factor
    return Widening(
        _tag_factors(adjustment, residuals, effect),
        np.sqrt(np.maximum(variance, 1.0)),
        _bow(adjustment, vector, effect),
    )


def _tag_factors(adjustment: Adjustment, residuals: FloatArray, effect: FloatArray) -> FloatArray:
    """Factors (t,) from the smooth part of each tag's residuals, which is what moves the estimate.

    effect (m, k): of the fit's independent unit sources on the residuals; it tells how much the fit has taken.
    """
    squares, freedom = [], []
    for now, (rows, basis) in zip(adjustment.factors.tags, adjustment.smooth_fields(), strict=True):
        squares.append(now**2 * float(np.sum((basis.T @ residuals[rows]) ** 2)))
        freedom.append(basis.shape[1] - float(np.sum((basis.T @ effect[rows]) ** 2)))
    common = (TRUSTED_SMOOTH * SMOOTH + sum(squares)) / (TRUSTED_SMOOTH + sum(freedom))
    own = (ALIKE * common + np.array(squares)) / (ALIKE + np.array(freedom))
    return np.asarray(np.sqrt(np.maximum(own, 1.0)), dtype=np.float64)


def tile_chances(adjustment: Adjustment, vector: FloatArray, factor: FloatArray) -> dict[int, float]:
    """How probable it is that a tile which lies as stated is seen as far from its place as each corner tile is.

    Tiles that are stated as exact are left out.
    """
    chances = {}
    spread = 1 / np.diag(adjustment.prior.whitening)
    for tag in CORNER_TAGS:
        names = [f"tile {tag} {axis}" for axis in ("x", "y", "turn")]
        if any(t.tag == tag for t in adjustment.known_tags) and spread[INDEX[names[0]]] >= 10 * TINY:
            chances[tag] = chance_as_known(adjustment, vector, factor, names)
    return chances


def chance_as_known(adjustment: Adjustment, vector: FloatArray, factor: FloatArray, names: Sequence[str]) -> float:
    """How probable it is that parameters are found as far from what was known of them, where that was right.

    The deviation from a prior P, of an estimate with covariance C, has the covariance P - C (Baarda 1968), so that its
    square in these units is chi-square.  What nothing was found out about says nothing.
    """
    rows = [INDEX[name] for name in names]
    unit, prior = adjustment.prior.whitening[np.ix_(rows, rows)], adjustment.prior
    off, known = unit @ (vector - prior.expected)[rows], unit @ factor[rows]
    values, axes = np.linalg.eigh(np.eye(len(rows)) - known @ known.T)
    told = values > 1e-3
    square = float(np.sum((axes.T @ off)[told] ** 2 / values[told]))
    return tail(square, int(told.sum()))


def _bow(adjustment: Adjustment, vector: FloatArray, effect: FloatArray) -> float:
    """Standard deviation of the bow of hand-laid lines, mm: what they show beyond their points' own noise.

    Each line counts for as much as its points tell of its bow, less what the fit has taken of it.
    """
    bow2 = adjustment.factors.bow**2
    found, variance, taken = adjustment.bows(vector, effect)
    usable = np.isfinite(found)
    found, variance, free = found[usable], variance[usable], np.maximum(1 - taken[usable], 0.0)
    total = variance + bow2
    weight = (bow2 / total) ** 2
    square = np.minimum(found**2, ODD_BOW**2 * total)
    excess = float(np.sum(weight * (square - free * variance)))
    told = float(np.sum(weight * free))
    return float(np.sqrt((TRUSTED_BOW * adjustment.setup.bow**2 + max(excess, 0.0)) / (TRUSTED_BOW + told)))

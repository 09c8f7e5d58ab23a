"""What the photos of one camera tell of its lens together, each for the others.

A photo's own fit gives its radial terms with their covariance C about a mean m, starting from what was known before: P
about m0.  What the photo itself adds is the information C^-1 - P^-1 and the vector C^-1 m - P^-1 m0; those of several
photos add up (a Gaussian likelihood in information form: Thrun, Burgard, Fox, Probabilistic Robotics, 3.5; from
memory).  What a photo is told is the others' sum, never its own.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass

import numpy as np

from calib.chi_square import tail
from calib.edges import FloatArray
from calib.lens.lens_prior import RadialPrior, radial_prior

SHOT = (0.002, 0.001, 0.001, 0.02, 0.02)
"""By how much k1 to k5 of one lens differ from shot to shot: what focusing does (common practice, no source)."""
FALSE_ALARM = 0.01
"""How often a camera whose photos all agree may be said to have one that does not."""
MOST_ODD = 0.34
"""Share of a camera's photos that may disagree with the others; with more of them it is not one lens."""
TOLD = 1e-6
"""Relative to what was known: smaller gains are rounding, not something that was told."""


@dataclass(frozen=True, eq=False)
class RadialEvidence:
    """What photos say of the radial terms k1 to k5: information (5, 5) and information times mean (5,)."""

    information: FloatArray
    vector: FloatArray

    @classmethod
    def of(cls, found: RadialPrior, before: RadialPrior) -> RadialEvidence:
        """What a fit has found beyond what was known before; no direction of it is less than nothing."""
        now, then = np.linalg.inv(found.covariance), np.linalg.inv(before.covariance)
        # In units of what was known, so that small and large terms are cut off alike.
        unit = np.linalg.cholesky(before.covariance)
        values, axes = np.linalg.eigh(unit.T @ (now - then) @ unit)
        told = values > TOLD
        part = np.linalg.inv(unit).T @ axes[:, told]
        vector = now @ found.mean - then @ before.mean
        return cls(part @ (values[told, None] * part.T), part @ (axes[:, told].T @ (unit.T @ vector)))

    @classmethod
    def kept(cls, information: Sequence[Sequence[float]], vector: Sequence[float]) -> RadialEvidence:
        """As it was kept; what knew of fewer terms says nothing of the others."""
        whole = NOTHING.information.copy(), NOTHING.vector.copy()
        whole[0][: len(information), : len(information)] = information
        whole[1][: len(vector)] = vector
        return cls(*whole)

    def of_first(self, terms: int) -> RadialEvidence:
        """What it says of the first terms alone, where no more is known of the others than what is usual."""
        here, there = slice(terms), slice(terms, None)
        others = self.information[there, there] + np.linalg.inv(radial_prior().covariance[there, there])
        gain = self.information[here, there] @ np.linalg.inv(others)
        information = self.information[here, here] - gain @ self.information[there, here]
        return RadialEvidence(information, self.vector[here] - gain @ self.vector[there])

    def __add__(self, other: RadialEvidence) -> RadialEvidence:
        return RadialEvidence(self.information + other.information, self.vector + other.vector)

    def __sub__(self, other: RadialEvidence) -> RadialEvidence:
        return RadialEvidence(self.information - other.information, self.vector - other.vector)

    def less(self, variance: float) -> RadialEvidence:
        """The same with so many times its variance."""
        return RadialEvidence(self.information / variance, self.vector / variance)

    def of_any_shot(self) -> RadialEvidence:
        """What it says of another photo of the same lens, whose terms differ by SHOT."""
        less = np.linalg.inv(np.eye(len(SHOT)) + self.information @ np.diag(np.square(SHOT)))
        information = less @ self.information
        return RadialEvidence((information + information.T) / 2, less @ self.vector)

    def with_prior(self, before: RadialPrior) -> RadialPrior:
        """The terms as it and what was known before tell them."""
        then = np.linalg.inv(before.covariance)
        covariance = np.linalg.inv(then + self.information)
        return RadialPrior(covariance @ (then @ before.mean + self.vector), (covariance + covariance.T) / 2)


NOTHING = RadialEvidence(np.zeros((len(SHOT), len(SHOT))), np.zeros(len(SHOT)))


@dataclass(frozen=True, eq=False)
class ToldByOthers:
    """What a number of other photos of its camera say of a photo's lens."""

    evidence: RadialEvidence
    photos: int


def told_by_others(evidence: Sequence[RadialEvidence], models: Sequence[Hashable]) -> tuple[ToldByOthers | None, ...]:
    """For each of a camera's photos what the others say that agree with one another and with it.

    Photos of one model tell each other nothing: what its tape is bowed by, they have in common.  None where no other
    photo says anything, or the photo is the one that disagrees.  The photos' order does not matter.
    """
    kept = agreeing(evidence)
    return tuple(
        _told([evidence[j] for j, also in enumerate(kept) if also and models[j] != models[i]]) if own else None
        for i, own in enumerate(kept)
    )


def told_by_all(evidence: Sequence[RadialEvidence]) -> ToldByOthers | None:
    """What all photos of a camera that agree say of another photo of it; None where they are too few."""
    kept = agreeing(evidence)
    return _told([one for one, also in zip(evidence, kept, strict=True) if also])


def agreeing(evidence: Sequence[RadialEvidence]) -> tuple[bool, ...]:
    """Which photos of one camera agree on its lens; none where too many do not. One photo agrees with itself."""
    kept = list(range(len(evidence)))
    while len(kept) > 1:
        chances = [chance for _, _, chance in _disagreements([evidence[i] for i in kept])]
        worst = int(np.argmin(chances))
        if chances[worst] * len(kept) >= FALSE_ALARM:
            break
        kept.pop(worst)
    enough = len(evidence) - len(kept) <= MOST_ODD * len(evidence)
    return tuple(enough and i in kept for i in range(len(evidence)))


def chance_of_agreement(one: RadialEvidence, others: RadialEvidence) -> float:
    """How probable it is that a photo of the same lens is as far from what the others say."""
    return _disagreement(one.of_any_shot(), others)[2]


def together(evidence: Sequence[RadialEvidence]) -> RadialEvidence:
    """What several photos' evidence says of their one lens, whatever their order."""
    shots = [one.of_any_shot() for one in evidence]
    if not shots:
        return NOTHING
    # The sum of floats depends on their order.
    shots.sort(key=lambda one: (*one.information.ravel(), *one.vector))
    return RadialEvidence(np.sum([o.information for o in shots], axis=0), np.sum([o.vector for o in shots], axis=0))


def _told(others: Sequence[RadialEvidence]) -> ToldByOthers | None:
    """What photos that agree say, by so much less certain as they scatter more than they claim (Birge 1932)."""
    if not others:
        return None
    squares, freedom, _ = zip(*_disagreements(others), strict=True)
    scatter = max(1.0, sum(squares) / sum(freedom)) if len(others) > 2 and sum(freedom) else 1.0
    return ToldByOthers(together(others).less(scatter).of_any_shot(), len(others))


def _disagreements(evidence: Sequence[RadialEvidence]) -> list[tuple[float, int, float]]:
    """Each photo against all others: as _disagreement."""
    shots, total = [one.of_any_shot() for one in evidence], together(evidence)
    return [_disagreement(shot, total - shot) for shot in shots]


def _disagreement(shot: RadialEvidence, others: RadialEvidence) -> tuple[float, int, float]:
    """Chi-square of a photo's evidence against the others', its degrees of freedom, and the chance of one as large.

    With one more observation an estimate moves by d, whose covariance is what the estimate's own loses (Baarda 1968).
    """
    usual = radial_prior()
    before = others.with_prior(usual)
    after = shot.with_prior(before)
    unit = np.linalg.inv(np.linalg.cholesky(before.covariance))
    values, axes = np.linalg.eigh(unit @ (before.covariance - after.covariance) @ unit.T)
    told = values > TOLD
    moved = axes[:, told].T @ (unit @ (after.mean - before.mean))
    square, freedom = float(np.sum(moved**2 / values[told])), int(told.sum())
    return square, freedom, tail(square, freedom)

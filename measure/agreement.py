"""Whether a hand value agrees with the photo's: the En number, and the per cent error that a class works out."""

from __future__ import annotations

import math

from measure.quantity import COVERAGE_FACTOR


def en_number(hand: float, u95_hand: float, photo: float, u95_photo: float, covariance: float = 0.0) -> float:
    """En = (hand - photo) / sqrt(U_hand^2 + U_photo^2 - 2 k^2 cov) (ISO 13528; ISO/IEC 17043); |En| <= 1 agrees.

    The two U are expanded (k = 2). covariance is between the two, in the value's unit squared: where one ruler made
    both the hand measurement and the photo's scale, their common error drops out of the difference, and without the
    covariance En would be too small.  Equal values have En 0 however certain they are.
    """
    difference = hand - photo
    if difference == 0:
        return 0.0
    squared = u95_hand**2 + u95_photo**2 - 2.0 * COVERAGE_FACTOR**2 * covariance
    return difference / math.sqrt(squared) if squared > 0 else math.copysign(math.inf, difference)


def agrees(en: float) -> bool:
    """|En| <= 1."""
    return abs(en) <= 1.0


def percent_error(hand: float, photo: float) -> float | None:
    """|hand - photo| / photo in per cent, as a class works it out; None where the photo's value is 0."""
    return None if photo == 0 else 100.0 * abs(hand - photo) / abs(photo)

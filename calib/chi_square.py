"""The chi-squared distribution of few degrees of freedom."""

from __future__ import annotations

from math import erfc, exp, pi, sqrt


def tail(square: float, freedom: int) -> float:
    """The chance that chi-square of 0 to 3 degrees of freedom is larger (Abramowitz and Stegun, 26.4.4 and 26.4.5).

    Importing a library for these would take longer than measuring a photo.
    """
    if freedom == 0:
        return 1.0
    term = exp(-square / 2)
    if freedom == 2:
        return term
    return erfc(sqrt(square / 2)) + (sqrt(2 * square / pi) * term if freedom == 3 else 0.0)

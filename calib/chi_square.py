"""The chi-squared distribution of few degrees of freedom."""

from __future__ import annotations

from math import erfc, exp, pi, sqrt


def tail(square: float, freedom: int) -> float:
    """The chance that chi-square of so many degrees of freedom is larger (Abramowitz and Stegun, 26.4.4 and 26.4.5).

    Importing a library for these would take longer than measuring a photo.
    """
    if freedom == 0:
        return 1.0
    even = freedom % 2 == 0
    # The last term but one of the sum is that of two degrees less.
    term = exp(-square / 2) * (1.0 if even else sqrt(2 * square / pi))
    total = 0.0 if even else erfc(sqrt(square / 2))
    for divisor in range(2 if even else 3, freedom + 1, 2):
        total += term
        term *= square / divisor
    return total

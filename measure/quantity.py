"""A measured number with its uncertainty, as linear parts that quantities of one plat share.

Every standard uncertainty of a plat comes from sources: independent random variables of mean 0 and standard deviation
1, such as "print scale" or "left edge of side 3".  A quantity keeps how far it moves when each source moves by one
standard deviation.  Two quantities that depend on the same source are then correlated as they should be, and
differences, sums and ratios come out right without further thought (JCGM 100:2008, 5.2 and annex C.3.2).
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
COVERAGE_FACTOR = 2.0
"""k of the expanded uncertainty u95 (JCGM 100:2008, 6.3.3)."""


@dataclass(frozen=True, eq=False)
class Quantity:
    """A value and its sensitivity to every source, shape (k,), in the value's own unit per standard deviation."""

    value: float
    sensitivity: FloatArray = field(default_factory=lambda: np.zeros(0))

    @property
    def u(self) -> float:
        """Standard uncertainty."""
        return float(np.sqrt(self.sensitivity @ self.sensitivity))

    @property
    def u95(self) -> float:
        """Expanded uncertainty at 95 % (k = 2)."""
        return COVERAGE_FACTOR * self.u

    @property
    def linear(self) -> bool:
        """Whether its value and sensitivity say all of it."""
        return True

    @property
    def parts(self) -> tuple[Quantity, ...]:
        """The linear quantities that its value in a draw hangs on: itself."""
        return (self,)

    def drawn(self, parts: FloatArray) -> FloatArray:
        """Its values (draws,) where its parts have the values (draws, number of parts)."""
        return np.asarray(parts[:, 0])

    def covariance(self, other: Quantity) -> float:
        """Covariance with another quantity of the same plat."""
        mine, theirs = _aligned(self.sensitivity, other.sensitivity)
        return float(mine @ theirs)

    def __add__(self, other: Quantity | float) -> Quantity:
        return self._combine(other, 1.0)

    def __sub__(self, other: Quantity | float) -> Quantity:
        return self._combine(other, -1.0)

    def __mul__(self, factor: Quantity | float) -> Quantity:
        """Multiply by a number, or by a quantity of the same plat to first order (JCGM 100:2008, 5.2.2)."""
        if not isinstance(factor, Quantity):
            return Quantity(self.value * factor, self.sensitivity * factor)
        mine, theirs = _aligned(self.sensitivity, factor.sensitivity)
        return Quantity(self.value * factor.value, mine * factor.value + theirs * self.value)

    __rmul__ = __mul__

    def __neg__(self) -> Quantity:
        return self * -1.0

    def __truediv__(self, other: Quantity | float) -> Quantity:
        """Divide by a number, or by a quantity of the same plat to first order (JCGM 100:2008, 5.2.2).

        Raises ZeroDivisionError where the divisor's value is 0.
        """
        if not isinstance(other, Quantity):
            return self * (1.0 / other)
        ratio = self.value / other.value
        mine, theirs = _aligned(self.sensitivity, other.sensitivity)
        return Quantity(ratio, (mine - ratio * theirs) / other.value)

    def _combine(self, other: Quantity | float, sign: float) -> Quantity:
        if not isinstance(other, Quantity):
            return Quantity(self.value + sign * other, self.sensitivity)
        mine, theirs = _aligned(self.sensitivity, other.sensitivity)
        return Quantity(self.value + sign * other.value, mine + sign * theirs)


def _aligned(a: FloatArray, b: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Pad the shorter with zeros: an exact number has no sources."""
    if len(a) == len(b):
        return a, b
    size = max(len(a), len(b))
    return np.pad(a, (0, size - len(a))), np.pad(b, (0, size - len(b)))

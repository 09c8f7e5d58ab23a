"""Residuals that are wrong together, turned into independent ones of unit variance."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from calib.edges import FloatArray


@dataclass(frozen=True, eq=False)
class Together:
    """Groups of observations that share one error each; an observation's own errors have unit variance.

    shape (n,): what one standard deviation of its group's common error does to each observation.  Groups lie one after
    the other; start (g,) says where.  The covariance is I + shape shape' within each group.
    """

    shape: FloatArray
    start: NDArray[np.intp]

    def whitened(self, rows: FloatArray) -> FloatArray:
        """The inverse symmetric square root of the covariance times rows (n,) or (n, k).

        (I + d d')^(-1/2) = I - a d d' with a = (1 - (1 + d'd)^(-1/2)) / d'd.
        """
        if not len(self.start):
            return rows
        shape = self.shape if rows.ndim == 1 else self.shape[:, None]
        size = np.add.reduceat(self.shape**2, self.start)
        part = (1 - 1 / np.sqrt(1 + size)) / np.maximum(size, 1e-12)
        common = np.add.reduceat(rows * shape, self.start, axis=0)
        common = common * (part if rows.ndim == 1 else part[:, None])
        return np.asarray(rows - shape * np.repeat(common, self.count, axis=0))

    @property
    def count(self) -> NDArray[np.intp]:
        """Observations of each group (g,)."""
        return np.diff(np.append(self.start, len(self.shape)))

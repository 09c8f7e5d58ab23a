"""Draws from the joint normal distribution of a plat's quantities, the same in every run.

As many as keep the standard error of a chance of 0.95 below 0.0013; each comes with its mirror image (antithetic
variates), so that means of linear terms have no error at all.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

import numpy as np

from measure.quantity import FloatArray, Quantity

COUNT = 1 << 15
_SEED = 20_110_618
_BLOCK = 16
_MOST = 1 << 24
"""Numbers in one table of draws, 128 MiB: of more quantities there are fewer draws each,"""
_FEWEST = 1 << 13
"""but never fewer than these, which keep that error below 0.0025."""
_NOTHING = 1e-9
"""Variance, in standard uncertainties squared: directions with less are left out."""


class JointDraws:
    """Draws of quantities together, each (COUNT,)."""

    def __init__(self, quantities: Iterable[Quantity]) -> None:
        found = {id(quantity): quantity for quantity in quantities}
        self._row = {key: row for row, key in enumerate(found)}
        self._kept = tuple(found.values())
        self._values = _drawn(self._kept)

    def has(self, quantities: Iterable[Quantity]) -> bool:
        """Whether all of them are drawn."""
        return all(id(quantity) in self._row for quantity in quantities)

    def of(self, quantity: Quantity) -> FloatArray:
        """The draws of one of the quantities."""
        drawn: FloatArray = self._values[self._row[id(quantity)]]
        return drawn


def _drawn(quantities: tuple[Quantity, ...]) -> FloatArray:
    means = np.array([quantity.value for quantity in quantities]).reshape(-1, 1)
    size = max((len(quantity.sensitivity) for quantity in quantities), default=0)
    moves = np.zeros((len(quantities), size))
    for row, quantity in enumerate(quantities):
        moves[row, : len(quantity.sensitivity)] = quantity.sensitivity
    spread = moves if len(quantities) >= size else _directions(moves)  # more of them than sources: these are drawn
    count = min(COUNT, max(_FEWEST, 2 * (_MOST // (2 * max(1, len(quantities))))))
    return np.asarray(means + spread @ _independent(spread.shape[1], count))


def _directions(moves: FloatArray) -> FloatArray:
    """As few independent directions (n, m) as have the same covariance as the quantities' movements (n, k)."""
    sizes = np.sqrt((moves**2).sum(axis=1, keepdims=True))
    alike = moves / np.where(sizes > 0, sizes, 1.0)  # lengths beside areas: each in its own standard uncertainty
    variances, axes = np.linalg.eigh(alike @ alike.T)
    kept = variances > _NOTHING
    return np.asarray(sizes * axes[:, kept] * np.sqrt(variances[kept]))


def _independent(number: int, count: int) -> FloatArray:
    """So many independent standard normal variates, each drawn count times: (number, count)."""
    blocks = [_points(block)[:, : count // 2] for block in range(-(-number // _BLOCK))]
    half = np.concatenate(blocks)[:number] if blocks else np.zeros((0, count // 2))
    return np.concatenate([half, -half], axis=1)


@lru_cache(maxsize=32)
def _points(block: int) -> FloatArray:
    """Independent standard normal draws, (_BLOCK, COUNT / 2); every block has its own."""
    half = np.random.default_rng((_SEED, block)).standard_normal((_BLOCK, COUNT // 2))
    half.setflags(write=False)
    return half

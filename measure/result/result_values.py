"""What values and places look like in a result file."""

from __future__ import annotations

from dataclasses import dataclass

from pydantic import ConfigDict, with_config

FINITE = ConfigDict(allow_inf_nan=False)

Place = tuple[float, float]
Stretch = tuple[int, float, float]
"""A side from 0, and where on it a stretch starts and ends, 0 to 1."""
Moves = tuple[int, int, tuple[float, ...]]
"""A source from 0, a point from 0, and how that point and the next ones move (dx, dy, dx, dy, ...) a deviation."""
Steps = tuple[tuple[int, float], ...]
"""How a number moves, a source from 0 each."""


@with_config(FINITE)
@dataclass(frozen=True)
class Value:
    """A value and its expanded uncertainty."""

    value: float
    u95: float = 0.0

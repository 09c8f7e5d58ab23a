"""Grids to look for layouts on: steps in round parts of the class's unit, and whole numbers of ticks."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from measure.challenge import Challenge
from measure.units import MM_PER, Unit

_STEPS: dict[Unit, tuple[str, ...]] = {
    "in": ("4", "2", "1", "1/2", "1/4", "1/8", "1/16", "1/32"),
    "cm": ("10", "5", "2", "1", "1/2", "1/5", "1/10", "1/20"),
    "mm": ("100", "50", "20", "10", "5", "2", "1", "1/2"),
}
_COARSEST = 48
"""Steps along the parcel's longer side on the coarsest grid; the finer ones have about twice and four times as many."""
_GRIDS = 3
_FINER = (4, 8)
_PARTS = (1, 2, 4, 5, 8, 10, 16, 20, 25, 32, 40, 50)
_SAME = 1e-6
"""Of a tick: what rounding leaves."""


@dataclass(frozen=True)
class Grid:
    """Corners lie on multiples of `step` (in the unit); `parts` ticks make a step, so that fixed zones fit too."""

    step: Fraction
    unit: Unit
    parts: int = 1

    @property
    def tick(self) -> float:
        """mm."""
        return float(self.step) * MM_PER[self.unit] / self.parts

    def ticks(self, mm: float) -> float:
        """A length in ticks, whole where it nearly is."""
        exact = mm / self.tick
        return float(round(exact)) if abs(exact - round(exact)) < _SAME * max(1.0, abs(exact)) else exact

    def __str__(self) -> str:
        return f"{self.step} {self.unit}"


def grids(challenge: Challenge) -> tuple[Grid, ...]:
    """The grids for a challenge, the coarsest first."""
    longer = max(challenge.parcel.width, challenge.parcel.depth)
    steps = [Fraction(step) for step in _STEPS[challenge.unit]]
    counts = [longer / (float(step) * MM_PER[challenge.unit]) for step in steps]
    fitting = [at for at, count in enumerate(counts) if count <= _COARSEST]
    first = min(fitting[-1] if fitting else 0, len(steps) - _GRIDS)
    return tuple(_with_ticks(Grid(step, challenge.unit), challenge) for step in steps[first : first + _GRIDS])


def finer(challenge: Challenge) -> tuple[Grid, ...]:
    """Grids so fine that nearly every layout can be moved to them: too large to search through, but often lucky."""
    finest = grids(challenge)[-1].step
    return tuple(_with_ticks(Grid(finest / part, challenge.unit), challenge) for part in _FINER)


def _with_ticks(grid: Grid, challenge: Challenge) -> Grid:
    """The fewest ticks to a step with which the keep-clear zones' sides lie on ticks."""
    sides = [side for zone in challenge.zones for side in _sides(zone.place, zone.size)]
    for parts in _PARTS:
        finer = Grid(grid.step, grid.unit, parts)
        if all(abs(finer.ticks(side) - round(finer.ticks(side))) < _SAME for side in sides):
            return finer
    return Grid(grid.step, grid.unit, _PARTS[-1])


def _sides(place: tuple[float, float] | None, size: tuple[float, float] | None) -> list[float]:
    """The numbers that a fixed zone brings: its sides, its size, or twice its centre."""
    if place and size:
        return [c + sign * s / 2 for c, s in zip(place, size, strict=True) for sign in (-1, 1)]
    return list(size or ()) + [2 * c for c in place or ()]

"""How often a sheet is printed."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True)
class Copies:
    """In words; one print does for so many teams (0: for the whole class), and spare ones are printed besides."""

    words: str
    teams: int = 0
    spare: int = 0

    def number(self, teams: int) -> int:
        """How many prints so many teams need."""
        return math.ceil(teams / self.teams) + self.spare if self.teams else 1

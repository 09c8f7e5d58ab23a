"""What a set of sheets is made from."""

from __future__ import annotations

from dataclasses import dataclass

from measure.challenge import Challenge


@dataclass(frozen=True)
class Job:
    """The challenge and the teams' numbers that labels and lists are printed for."""

    challenge: Challenge
    teams: tuple[int, ...]

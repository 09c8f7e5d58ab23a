"""What a kit is made from."""

from __future__ import annotations

from dataclasses import dataclass

from measure.challenge import Challenge
from tapeplat.reports.report_content import TeamContent


@dataclass(frozen=True, eq=False)
class KitJob:
    """The challenge, how many teams and pupils in each, and the measured models that some pages speak of."""

    challenge: Challenge
    teams: int = 8
    pupils: int = 4
    models: tuple[TeamContent, ...] = ()

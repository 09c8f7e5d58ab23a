"""What a set of sheets is made from."""

from __future__ import annotations

from dataclasses import dataclass

from measure.challenge import Challenge
from tapeplat.paper.pdf.pdf_canvas import PaperSize
from tapeplat.paper.sheets.photo_sheet import CorrectedPhoto


@dataclass(frozen=True)
class Job:
    """The challenge, the paper, the teams' numbers for labels and lists, and a measured model's corrected photo.

    pupils is how many there are in a team: they share out what is to be measured.
    """

    challenge: Challenge
    paper: PaperSize
    teams: tuple[int, ...] = ()
    photo: CorrectedPhoto | None = None
    pupils: int = 4

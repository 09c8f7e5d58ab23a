"""The class's progress as a chart: for each team a bar an attempt, as high as the share of its rules that were met."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from calib.printed import Box
from measure.teams import team_key
from tapeplat.archive.storage.entry import Entry, team_name
from tapeplat.paper.pdf.pdf_canvas import FOOTER, HEADER, MARGIN, Pages, PaperSize

HEADING = "our class's progress"
_ROW, _LEAST_ROW = 17.0, 13.0
"""Height of a team's row, and the least where that keeps them on one page, mm."""
_NAME = 56.0
_GAIN = 24.0
_WIDEST = 12.0
_GAP = 2.5
_TOP = HEADER + 22.0
_MOST = 9
"""Bars beside each other; of more attempts the newest."""


@dataclass(frozen=True)
class Step:
    """One attempt: its number, how many of how many rules were met."""

    number: int
    met: int
    rules: int

    @property
    def share(self) -> float:
        """0 to 1."""
        return self.met / self.rules if self.rules else 0.0


@dataclass(frozen=True)
class TeamSteps:
    """A team's name and its attempts in their order, at least one."""

    name: str
    steps: tuple[Step, ...]


def steps_from(entries: Sequence[Entry], names: Mapping[str, str] | None = None) -> list[TeamSteps]:
    """Every team's attempts, in the entries' order; names, by team_key, are printed behind it."""
    teams: dict[str, list[Entry]] = {}
    for entry in entries:
        teams.setdefault(team_key(entry.team), []).append(entry)
    return [TeamSteps(_named(own[0].team, names or {}), tuple(map(_step, own))) for own in teams.values()]


def _named(team: str, names: Mapping[str, str]) -> str:
    said = team_name(team)
    own = names.get(team_key(team), "")
    return f"{said[:1].upper()}{said[1:]}: {own}" if own else f"{said[:1].upper()}{said[1:]}"


def _step(entry: Entry) -> Step:
    return Step(entry.attempt, entry.verdicts.get("met", 0), sum(entry.verdicts.values()))


def class_progress_pdf(title: str, teams: Sequence[TeamSteps], paper: PaperSize) -> bytes:
    """One page for up to about a dozen teams, more for more."""
    pages = Pages(paper, title)
    room = paper.height - _TOP - FOOTER
    row_height = max(_LEAST_ROW, min(_ROW, room / max(1, len(teams))))
    each = int(room / row_height + 1e-6)
    for first in range(0, max(1, len(teams)), each):
        pages.start(f"{title}: {HEADING}" if title else HEADING)
        pages.fitted(MARGIN, HEADER + 5, progress_said(teams), paper.width - 2 * MARGIN, size=12)
        note = "One bar for each attempt. The frame is all rules; what is filled is met. The number says how many."
        pages.fitted(MARGIN, HEADER + 12, note, paper.width - 2 * MARGIN, size=10, grey=0.25)
        for row, team in enumerate(teams[first : first + each]):
            _draw_team(pages, team, _TOP + row * row_height, row_height - 6)
    return pages.finished()


def progress_said(teams: Sequence[TeamSteps]) -> str:
    """How the class did at first and does now: all rules of the teams with more than one attempt."""
    again = [team for team in teams if len(team.steps) > 1]
    if not again:
        return f"{len(teams)} {'team has' if len(teams) == 1 else 'teams have'} one attempt each so far."
    who = "1 team has" if len(again) == 1 else f"{len(again)} teams have"
    first, last = (
        f"{sum(step.met for step in steps)} of {sum(step.rules for step in steps)}"
        for steps in zip(*((team.steps[0], team.steps[-1]) for team in again), strict=True)
    )
    return f"{who} more than one attempt. Rules met at first: {first}. Rules met now: {last}."


def _draw_team(pages: Pages, team: TeamSteps, top: float, height: float) -> None:
    """The name, the bars with their counts, and what was gained."""
    base = top + height
    pages.fitted(MARGIN, base - 3, team.name, _NAME - 4, size=12, bold=True)
    steps = team.steps[-_MOST:]
    room = pages.paper.width - 2 * MARGIN - _NAME - _GAIN
    width = min(_WIDEST, room / len(steps) - _GAP)
    for n, step in enumerate(steps):
        x = MARGIN + _NAME + n * (width + _GAP)
        pages.box(Box(x, base - height, width, height), width=0.25, grey=0.3)
        filled = height * step.share
        if filled:
            pages.box(Box(x, base - filled, width, filled), width=0.25, grey=0.3, fill=0.72)
        pages.text(x + width / 2, base - 1.2, str(step.met), size=10, bold=True, align="centre")
        pages.text(x + width / 2, base + 3.4, str(step.number), size=8, align="centre", grey=0.25)
    last = team.steps[-1]
    pages.text(pages.paper.width - MARGIN, base - 3, f"{last.met} of {last.rules}", size=12, align="right")
    pages.line((MARGIN, base + 5), (pages.paper.width - MARGIN, base + 5), width=0.15, grey=0.7)

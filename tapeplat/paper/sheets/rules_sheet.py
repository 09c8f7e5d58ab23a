"""The rule list that a team works through, and the teacher's master list with every team as a column."""

from __future__ import annotations

import math
from collections.abc import Sequence

from reportlab.platypus import Flowable, Table

from measure.rules.verdict import VERDICTS
from tapeplat.paper.pdf.flow import PUPIL, TEACHER, flow_fitted, para, space, table, text_size
from tapeplat.paper.pdf.pdf_canvas import MARGIN, POINTS_PER_MM, Pages
from tapeplat.paper.pdf.signs import LETTERS, Sign, sign_height
from tapeplat.paper.sheets.sheet_job import Job

TEAM_HEADING = "Our rules"
MASTER_HEADING = "All teams, all rules"
TEAMS_ON_A_PAGE = 8
_NUMBER = 11.0
_TEAM_COLUMN = 14.0
_WIDER = {"too close to call": 41.0, "not measured": 35.0}


def draw_team_rules(pages: Pages, job: Job) -> None:
    """Each rule with room for the team's own number and working, and boxes for met or not."""
    width = pages.paper.width - 2 * MARGIN
    widths = (_NUMBER, 78.0, width - _NUMBER - 78.0 - 24.0, 24.0)

    def story(factor: float) -> list[Flowable]:
        size = text_size(PUPIL, factor)
        rows: list[Sequence[Flowable | str]] = [("", "Rule", "Our number and how we found it", "Met? Ring it.")]
        for n, rule in enumerate(job.challenge.rules, start=1):
            rows.append((str(n), rule.told, "", para("yes \u00a0 no", size)))
        return [_blanks("Team", "Date"), space(3), table(rows, widths, size=size, row_height=20 * factor)]

    flow_fitted(pages, TEAM_HEADING, story)


def draw_master_list(pages: Pages, job: Job) -> None:
    """Every rule with a box for every team, on as many pages as the teams need."""
    each = math.ceil(len(job.teams) / max(1, math.ceil(len(job.teams) / TEAMS_ON_A_PAGE)))
    for first in range(0, len(job.teams), each):
        teams = job.teams[first : first + each]
        text_width = pages.paper.width - 2 * MARGIN - _NUMBER - _TEAM_COLUMN * len(teams)
        rows: list[Sequence[Flowable | str]] = [("", "Rule", *(str(team) for team in teams))]
        rows += [(str(n), rule.told, *("" for _ in teams)) for n, rule in enumerate(job.challenge.rules, start=1)]
        widths = (_NUMBER, text_width, *(_TEAM_COLUMN for _ in teams))
        _draw_master(pages, rows, widths, f"{MASTER_HEADING} (teams {teams[0]} to {teams[-1]})")


def _draw_master(pages: Pages, rows: Sequence[Sequence[Flowable | str]], widths: Sequence[float], heading: str) -> None:
    note = "The columns are the teams. Draw the sign, or write its letter as the program's table has it:"

    def story(factor: float) -> list[Flowable]:
        lines = table(rows, widths, size=text_size(TEACHER, factor), row_height=9 * factor)
        return [para(note), _signs(), space(2), lines]

    flow_fitted(pages, heading, story)


def _signs() -> Flowable:
    """The signs of all pictures and pages, and the letters of the table in the terminal."""
    cells: list[Flowable] = []
    for verdict in VERDICTS:
        cells += [
            Sign(verdict, sign_height(TEACHER), grey=True),
            para(f"{LETTERS[verdict]}  {verdict}", TEACHER, after=0),
        ]
    widths = [part for verdict in VERDICTS for part in (6.0, _WIDER.get(verdict, 26.0))]
    return Table([cells], colWidths=[width * POINTS_PER_MM for width in widths], hAlign="LEFT")


def _blanks(*names: str) -> Flowable:
    return para(("\u00a0" * 4).join(f"{name}: {'_' * 22}" for name in names), PUPIL)

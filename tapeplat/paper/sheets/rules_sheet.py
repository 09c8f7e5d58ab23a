"""The rule list that a team works through, and the teacher's master list with every team as a column."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus import Flowable

from tapeplat.paper.pdf.flow import PUPIL, TEACHER, flow, para, space, table
from tapeplat.paper.pdf.pdf_canvas import MARGIN, Pages
from tapeplat.paper.sheets.sheet_job import Job

TEAM_HEADING = "Our rules"
MASTER_HEADING = "All teams, all rules"
TEAMS_ON_A_PAGE = 8
_NUMBER = 11.0
_TEAM_COLUMN = 14.0


def draw_team_rules(pages: Pages, job: Job) -> None:
    """Each rule with room for the team's own number and working, and boxes for met or not."""
    width = pages.paper.width - 2 * MARGIN
    widths = (_NUMBER, 70.0, width - _NUMBER - 70.0 - 26.0, 26.0)
    rows: list[Sequence[Flowable | str]] = [("", "Rule", "Our number and how we found it", "Met? Draw a ring.")]
    for n, rule in enumerate(job.challenge.rules, start=1):
        rows.append((str(n), rule.told, "", para("yes \u00a0\u00a0 no", PUPIL)))
    story = [_blanks("Team", "Date"), space(3), table(rows, widths, size=PUPIL, row_height=20)]
    flow(pages, TEAM_HEADING, story)


def draw_master_list(pages: Pages, job: Job) -> None:
    """Every rule with a box for every team, on as many pages as the teams need."""
    for first in range(0, len(job.teams), TEAMS_ON_A_PAGE):
        teams = job.teams[first : first + TEAMS_ON_A_PAGE]
        text_width = pages.paper.width - 2 * MARGIN - _NUMBER - _TEAM_COLUMN * len(teams)
        rows: list[Sequence[Flowable | str]] = [("", "Rule", *(str(team) for team in teams))]
        rows += [(str(n), rule.told, *("" for _ in teams)) for n, rule in enumerate(job.challenge.rules, start=1)]
        widths = (_NUMBER, text_width, *(_TEAM_COLUMN for _ in teams))
        note = "The columns are the teams. + met, 0 not met, ? too close to call or not measured."
        story = [para(note), space(2), table(rows, widths, size=TEACHER, row_height=9)]
        flow(pages, f"{MASTER_HEADING} (teams {teams[0]} to {teams[-1]})", story)


def _blanks(*names: str) -> Flowable:
    return para(("\u00a0" * 4).join(f"{name}: {'_' * 22}" for name in names), PUPIL)

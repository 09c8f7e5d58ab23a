"""The picture of a team's own model and its verdicts: what of them the teacher has opened, and nothing else."""

from __future__ import annotations

from flask import Response, render_template, request, send_file
from werkzeug.wrappers import Response as AnyResponse

from tapeplat.page.base.page_errors import not_found
from tapeplat.page.content.attempt_model import shown_picture
from tapeplat.page.content.class_results import is_current
from tapeplat.page.session.roles import students_only
from tapeplat.page.student.numbered_picture import numbered
from tapeplat.page.student.student_blueprint import blueprint
from tapeplat.page.student.student_context import Attempt, Team, asking_team, attempt_of, attempts_of, need_open
from tapeplat.reports.report_content import content_of

_PLAIN = "corrected.jpg"


@blueprint.get("/results")
@students_only
def results() -> str:
    """An attempt of the team, the newest if none is named."""
    team = asking_team()
    if not {"picture", "verdicts"} & team.state.opened:
        need_open(team, "picture")
    entries = attempts_of(team)
    attempt = _attempt(team) if entries else None
    opened = team.state.opened if attempt else frozenset()
    waits = attempt is not None and not is_current(team.slug, attempt.entry)
    judged = attempt is not None and "verdicts" in opened and not waits
    return render_template(
        "student/results.html",
        team=team,
        attempt=attempt,
        waits=waits and "verdicts" in opened,
        attempts=[entry.attempt for entry in entries],
        rules=content_of(attempt.result).rules if attempt and judged else (),
        numbered=numbered(attempt.result, attempt.folder) if attempt and "picture" in opened and not judged else None,
        marked=judged and "picture" in opened,
    )


@blueprint.get("/picture")
@students_only
def picture() -> AnyResponse:
    """The picture of an attempt: as annotated where the verdicts are open, too, else as seen from above."""
    team = asking_team()
    need_open(team, "picture")
    attempt = _attempt(team)
    if "verdicts" not in team.state.opened or not is_current(team.slug, attempt.entry):
        file = attempt.folder / _PLAIN
        if file.is_file():
            return send_file(file, mimetype="image/jpeg", max_age=0)
    else:
        marked = shown_picture(attempt.entry)
        if marked is not None:
            return Response(marked, mimetype="image/jpeg")
    raise not_found("There is no picture of this model.", "Ask your teacher.")


def _attempt(team: Team) -> Attempt:
    """The attempt that the address names among the team's own, else the newest."""
    number = request.args.get("attempt", type=int)
    own = [entry for entry in attempts_of(team) if number in (None, entry.attempt)]
    found = attempt_of(own[-1]) if own else None
    if found is None:
        raise not_found("Your team has no such model.", "Go back, and choose one of the list.")
    return found

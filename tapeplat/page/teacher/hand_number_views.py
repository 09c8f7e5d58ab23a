"""What the teams measured by hand, for the teacher: photo values, likely mistakes, further tries, the teams' words."""

from __future__ import annotations

from flask import Blueprint, Response, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from tapeplat.page.base.page_errors import PageError
from tapeplat.page.base.redirects import redirect_to
from tapeplat.page.session.lookups import sound_challenge
from tapeplat.page.session.roles import teachers_only
from tapeplat.page.session.services import services
from tapeplat.page.store.hand_numbers import HandEntries
from tapeplat.page.store.team_words import TeamWords
from tapeplat.page.student.student_context import latest_attempt, team_numbered
from tapeplat.page.teacher.hand_tables import class_csv, class_numbers, file_or_say

blueprint = Blueprint("hand", __name__, url_prefix="/teacher/challenge/<slug>/numbers")
Page = str | AnyResponse


@blueprint.get("")
@teachers_only
def show(slug: str) -> Page:
    """Every team's word and numbers."""
    stored, challenge = sound_challenge(slug)
    return render_template("teacher/hand.html", stored=stored, teams=class_numbers(slug, challenge))


@blueprint.get("/hand.csv")
@teachers_only
def table(slug: str) -> Page:
    """All numbers as a table, as `tapeplat verify` reads it."""
    _, challenge = sound_challenge(slug)
    headers = {"Content-Disposition": f'attachment; filename="{slug}-hand.csv"'}
    return Response(class_csv(slug, challenge), mimetype="text/csv", headers=headers)


@blueprint.post("/tries")
@teachers_only
def give_tries(slug: str) -> Page:
    """As many tries more of one quantity as the class has to begin with."""
    _, challenge = sound_challenge(slug)
    number, subject = _team(slug), request.form.get("subject", "")
    attempt = latest_attempt(team_numbered(slug, challenge, number))
    of = attempt.id if attempt else ""
    tries = services().classes.of(slug).tries
    HandEntries(services().database).give_tries(slug, number, of, subject[:200], tries)
    return redirect_to(url_for("hand.show", slug=slug, _anchor=f"team-{number}"))


@blueprint.post("/free")
@teachers_only
def free(slug: str) -> Page:
    """Take a team's word away: its devices join again, the first one gets a new word."""
    number = _team(slug)
    TeamWords(services().database).free(slug, number)
    return redirect_to(url_for("hand.show", slug=slug, _anchor=f"team-{number}"))


@blueprint.post("/file")
@teachers_only
def file(slug: str) -> Page:
    """File the numbers in the archive, beside the attempts that they are of."""
    _, challenge = sound_challenge(slug)
    file_or_say(slug, challenge)
    return redirect_to(url_for("hand.show", slug=slug))


def _team(slug: str) -> int:
    number = request.form.get("team", type=int)
    if number is None or not 1 <= number <= services().classes.of(slug).teams:
        raise PageError(400, "There is no such team", "No team has that number.", "Go back and choose again.")
    return number

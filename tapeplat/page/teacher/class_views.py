"""The students of a challenge: their code, what is open to them, how many teams, how often they may try."""

from __future__ import annotations

from flask import Blueprint, render_template, request, url_for
from werkzeug.wrappers import Response

from tapeplat.page.base.page_errors import PageError
from tapeplat.page.base.redirects import redirect_to
from tapeplat.page.session.lookups import stored_challenge
from tapeplat.page.session.roles import teachers_only
from tapeplat.page.session.services import services
from tapeplat.page.store.classes import MOST_TEAMS, OPENED, class_name_in
from tapeplat.page.teacher.hand_tables import file_or_say

blueprint = Blueprint("classes", __name__, url_prefix="/teacher/challenge/<slug>/students")
Page = str | Response
_MOST_TRIES = 20


@blueprint.get("")
@teachers_only
def show(slug: str) -> Page:
    """Everything about the students."""
    stored, classes = stored_challenge(slug), services().classes
    return render_template(
        "teacher/students.html", stored=stored, state=classes.of(slug), names=classes.team_names(slug), most=MOST_TEAMS
    )


@blueprint.get("/code")
@teachers_only
def code(slug: str) -> Page:
    """The code alone, large, for the projector."""
    return render_template("teacher/code.html", stored=stored_challenge(slug), state=services().classes.of(slug))


@blueprint.post("")
@teachers_only
def keep(slug: str) -> Page:
    """Keep all that the page shows: what is open, how many teams and tries, the names. One form, so that no part of it
    drops what was typed into another.
    """
    stored, teams, tries = (
        stored_challenge(slug),
        request.form.get("teams", type=int),
        request.form.get("tries", type=int),
    )
    if teams is None or tries is None or not 1 <= teams <= MOST_TEAMS or not 1 <= tries <= _MOST_TRIES:
        what = f"There are 1 to {MOST_TEAMS} teams, and 1 to {_MOST_TRIES} tries."
        raise PageError(400, "This was not kept", what, "Go back and choose again.")
    classes, before = services().classes, services().classes.of(slug).opened
    classes.set_teams(slug, teams, tries)
    classes.set_name(slug, class_name_in(request.form.get("class_name", "")))
    names = {n: class_name_in(request.form.get(f"name_{n}", "")) for n in range(1, teams + 1)}
    classes.name_teams(slug, names)
    ticked = request.form.getlist("opened")
    classes.open_only(slug, frozenset(name for name in OPENED if name in ticked))
    if "entry" in before and "entry" not in ticked and stored.challenge is not None:
        file_or_say(slug, stored.challenge)
    return redirect_to(url_for("classes.show", slug=slug, _anchor="kept"))


@blueprint.post("/new-code")
@teachers_only
def new_code(slug: str) -> Page:
    """Another code; everybody has to come in anew."""
    stored_challenge(slug)
    services().classes.new_code(slug)
    return redirect_to(url_for("classes.show", slug=slug))

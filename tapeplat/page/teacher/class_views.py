"""The students of a challenge: their code, what is open to them, how many teams, how often they may try."""

from __future__ import annotations

from flask import Blueprint, render_template, request, url_for
from werkzeug.wrappers import Response

from tapeplat.page.base.page_errors import PageError
from tapeplat.page.base.redirects import redirect_to
from tapeplat.page.session.lookups import stored_challenge
from tapeplat.page.session.roles import teachers_only
from tapeplat.page.session.services import services
from tapeplat.page.store.classes import MOST_TEAMS, OPENED, Opened, class_name_in
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
        "teacher/students.html",
        stored=stored,
        state=classes.of(slug),
        names=classes.team_names(slug),
        most=MOST_TEAMS,
        waiting=services().teams_taken.waiting(),
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
    drops what was typed into another; and only what was changed on it, so that no window drops what another one kept.
    """
    stored, now = stored_challenge(slug), services().classes.of(slug)
    teams = request.form.get("teams", type=int) if _changed("teams") else now.teams
    tries = request.form.get("tries", type=int) if _changed("tries") else now.tries
    if teams is None or tries is None or not 1 <= teams <= MOST_TEAMS or not 1 <= tries <= _MOST_TRIES:
        what = f"There are 1 to {MOST_TEAMS} teams, and 1 to {_MOST_TRIES} tries."
        raise PageError(400, "This was not kept", what, "Go back and choose again.")
    classes = services().classes
    classes.set_teams(slug, teams, tries)
    if _changed("class_name"):
        classes.set_name(slug, class_name_in(request.form.get("class_name", "")))
    fields = {n: f"name_{n}" for n in range(1, teams + 1)}
    names = {n: class_name_in(request.form[name]) for n, name in fields.items() if name in request.form}
    classes.name_teams(slug, {n: name for n, name in names.items() if _changed(fields[n])})
    opened = _opened(now.opened)
    classes.open_only(slug, opened)
    if "entry" in now.opened - opened and stored.challenge is not None:
        file_or_say(slug, stored.challenge)
    return redirect_to(url_for("classes.show", slug=slug, _anchor="kept"))


def _changed(field: str) -> bool:
    """Whether a field holds something else than when its page was made."""
    return request.form.get(f"was_{field}") != request.form.get(field)


def _opened(now: frozenset[Opened]) -> frozenset[Opened]:
    """What is open after the ticks that were set and taken away on this page."""
    ticked, was = set(request.form.getlist("opened")), request.form.get("was_opened")
    before = now if was is None else set(was.split())
    return frozenset(name for name in OPENED if name in (ticked if (name in ticked) != (name in before) else now))


@blueprint.post("/let-in")
@teachers_only
def let_in(slug: str) -> Page:
    """Let the devices of an address that began several teams begin the others, too."""
    stored_challenge(slug)
    address = request.form.get("address", "")
    if address in services().teams_taken.waiting():
        services().teams_taken.let_in(address)
    return redirect_to(url_for("classes.show", slug=slug))


@blueprint.post("/new-code")
@teachers_only
def new_code(slug: str) -> Page:
    """Another code; everybody has to come in anew."""
    stored_challenge(slug)
    services().classes.new_code(slug)
    return redirect_to(url_for("classes.show", slug=slug))

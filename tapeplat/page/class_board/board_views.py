"""The class board: how far every team is, live; photos that nobody's label is in are given to their teams."""

from __future__ import annotations

from flask import Blueprint, Response, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from tapeplat.page.base.page_errors import PageError, not_found
from tapeplat.page.base.redirects import redirect_to
from tapeplat.page.class_board.team_states import class_board, what_the_board_depends_on
from tapeplat.page.content.attempt_model import entry_of, small_picture
from tapeplat.page.jobs.job_queue import Job
from tapeplat.page.session.live_parts import live_part
from tapeplat.page.session.lookups import stored_challenge
from tapeplat.page.session.roles import teachers_only
from tapeplat.page.session.services import services

blueprint = Blueprint("board", __name__, url_prefix="/teacher")
Page = str | AnyResponse


@blueprint.get("/challenge/<slug>/board")
@teachers_only
def show(slug: str) -> Page:
    """Every team on one screen; with `plain`, without verdicts and pictures, for the projector."""
    return render_template("teacher/board.html", stored=stored_challenge(slug), **_shown(slug))


@blueprint.get("/challenge/<slug>/board/now")
@teachers_only
def now(slug: str) -> Page:
    """The same for the script that keeps it fresh."""
    stored = stored_challenge(slug)
    seen = (what_the_board_depends_on(slug), "plain" in request.args)
    return live_part(seen, lambda: render_template("teacher/board_parts.html", stored=stored, **_shown(slug)))


@blueprint.post("/job/<int(max=999999999):number>/team")
@teachers_only
def assign(number: int) -> Page:
    """Say whose model a photo shows, which nobody said or which waits or was refused under another team; or set a
    waiting one aside until somebody says it.
    """
    job = services().jobs.get(number)
    if job is None:
        raise not_found("This photo is not on the list any more.")
    aside, before = "aside" in request.form, request.form.get("before", "")
    team = "" if aside else request.form.get("team", "")
    if not aside and team not in map(str, range(1, services().classes.of(job.challenge).teams + 1)):
        raise PageError(400, "Whose model is it?", "No team was chosen.", "Go back and choose the team.")
    why = f"It was sent as team {before}'s, and set aside." if aside else ""
    if not services().jobs.assign(number, team, before, why):
        raise _too_late(job, before)
    services().queue.wake()
    return redirect_to(url_for("board.show", slug=job.challenge))


def _too_late(job: Job, before: str) -> PageError:
    """What became of photos since the board was drawn."""
    do = "Go back to the class board."
    if job.team == before:
        what = f"It is {'being measured just now' if job.state == 'measuring' else job.state}, as team {job.team}'s."
        do = "When it is measured, remove that attempt on the model's page, and send the photo for its own team."
        return PageError(409, "The photo stays where it is", what, do)
    if not job.team:
        return PageError(409, "This photo was set aside", "In the meantime somebody set it aside.", do)
    what = f"In the meantime somebody said that it is team {job.team}'s."
    return PageError(409, "This photo has its team", what, do)


@blueprint.get("/model/<entry>/small.jpg")
@teachers_only
def small(entry: str) -> Response:
    """A small annotated picture. Its address has a version, so that it may be cached."""
    content = small_picture(entry_of(entry))
    headers = {"Cache-Control": "private, max-age=3600"}
    if content is None:
        raise not_found("This model has no picture.")
    return Response(content, mimetype="image/jpeg", headers=headers)


def _shown(slug: str) -> dict[str, object]:
    state = services().classes.of(slug)
    names = services().classes.team_names(slug)
    return {"board": class_board(slug), "state": state, "names": names, "plain": "plain" in request.args}
